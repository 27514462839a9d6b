"""A search with every driver, by the brief that a page stands for."""

from __future__ import annotations

import html

import ipywidgets

from ....design.search import recommend
from ....design.search.brief import VENTED
from ....parts.displacement import assumed_from
from ...kit import facts
from ...kit.answer import say, verbatim
from ...kit.keeping import complaint, unexpected
from ...kit.systems import FREQUENCY, LENGTH, VOLUME
from ...kit.words import as_html
from .answering import refused


class EveryDriver:
    """A button that searches the boxes of every driver that is offered, by the brief of the page.

    Parameters
    ----------
    drivers : dict
        Name: Driver.
    candidates : int
        How many boxes to try first.
    """

    title = "Try every driver"

    def __init__(self, drivers, candidates):
        self._drivers, self._candidates, self._searched = drivers, candidates, None
        self._button = ipywidgets.Button(description="Search with every driver", layout={"width": "auto"})
        self._answer = ipywidgets.HTML()
        self._button.on_click(self.search)
        self.widget = ipywidgets.VBox([self._button, self._answer])

    def attach(self, page):
        """Search by the brief of a page; once that has changed, what was found says nothing any more."""
        self._page = page
        page.listen(self._forget)

    @property
    def answer(self):
        """What is said, as plain text."""
        return html.unescape(self._answer.value)

    def search(self, _button=None):
        """Search, and say of each driver what its best box is, the best one first, or why it has none."""
        self._answer.value = "Searching: this takes some seconds."
        self._searched = self._where()
        try:
            paragraphs = [as_html(entry.text(self._page.system)) for entry in self._entries()]
            self._answer.value = "".join(f"<p>{paragraph}</p>" for paragraph in paragraphs)
        except ValueError as error:
            self._answer.value = complaint(str(error))
        except Exception as error:
            self._answer.value = unexpected(error)

    def _where(self):
        return dict(self._page.values), self._page.system

    def _forget(self):
        if self._where() != self._searched:
            self._answer.value = ""

    def _entries(self):
        scene = self._page.scene
        brief, best = scene.brief(self._page.values), {}
        found = recommend(self._drivers, brief, best=2 * len(self._drivers), candidates=self._candidates)
        for design in found.designs:
            best.setdefault(design.name, design)
        for name, design in best.items():
            yield say("{name}: {box}.{assumed}", name=verbatim(name), box=_box(design), assumed=self._assumed(name))
        for name, refusal in found.refused.items():
            yield say("{name}: {why}", name=verbatim(name), why=refused(refusal, scene.reach))

    def _assumed(self, name):
        driver = self._drivers[name]
        return say(" {room}", room=facts.takes_up(driver)) if assumed_from(driver) else say("")


def _box(design):
    box, port = design.loudspeaker.box, ""
    numbers = {"net": VOLUME(box.volume), "f3": FREQUENCY(design.values["f3"])}
    if design.kind == VENTED:
        port = ", tuned to {fb} by a port of {across} × {length}"
        numbers |= {
            "fb": FREQUENCY(box.port.tuning(box.volume)),
            "across": LENGTH(box.port.diameter),
            "length": LENGTH(box.port.length),
        }
    return say(f"{design.kind}, {{net}} net{port}; bass down to {{f3}}", **numbers)
