"""A page that was opened from a stage of a plan: it begins with that stage's parts, and gives its result back."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

from ...plan.files import keep_together, put_back
from .keeping import go
from .offered import marked
from .stages import LINKED, UPGRADE, at_stage, link_of

__all__ = ["LINKED", "Result", "Returning", "Way", "carried"]

ASIDE = "The invented example stays as it is: copy it as yours on My upgrade to give results back."
OTHERS = "Nothing to give back: {names} cannot be counted here, so the answer is about another driver."
ANOTHER = (
    "{label} is not that of the stage any more, so nothing is written. Put {text} back, or change the stage first."
)


@dataclass(frozen=True, slots=True)
class Result:
    """What can be given back to a stage.

    Attributes
    ----------
    label : str
        What it is, in a few words, such as "sealed, 38 litres".
    key : str
        What of the stage it changes: "box", "line", "filter", "wiring" or "feed".
    values : dict
        Name of an opening or a channel: what stands there then, as the file holds it; of a feed key by key.
    """

    label: str
    key: str
    values: dict


class Way:
    """What a page takes from a stage, and what it gives back; a page that takes part says so with one of its own.

    Attributes
    ----------
    page : Page
    same : tuple of str
        Controls that stand for the stage's own parts: once they stand at others, nothing is given back.
    replaced : tuple of str
        Drivers of the stage in whose place another one of the page stands.
    gives_back : bool
        Whether the page has results for a stage at all.
    """

    same, replaced, gives_back = (), (), True

    def replace(self, driver, unfit, tell):
        """Say that a driver of the stage is not offered on the page, and why."""
        self.replaced = (*self.replaced, driver.name)
        tell(f"{driver.name} is not offered here: {unfit}.")

    def settings(self, at, tell):
        """Return name of a control: value for a stage; `tell` takes sentences on what cannot be shown. [SI]"""
        raise NotImplementedError

    def results(self, at):
        """Return key: Result of what the page has come to; nothing on a page that gives nothing back."""
        return {}

    def ways(self, at):
        """Return pairs of what is said and an address, of pages to go on to; `at` is None without a stage."""
        return []

    def is_of_the_stage(self, driver):
        """Whether the page was opened with a driver of a stage."""
        return self.page.returning.began.get("driver") == driver


class Returning:
    """What a page remembers of the stage that it was opened from.

    Parameters
    ----------
    page : Page
    way : Way or None
        None for a page that gives nothing back.
    """

    def __init__(self, page, way):
        self._page, self._way, self._at = page, way, None
        if way is not None:
            way.page = page
        self._before, self._said, self.began = None, "", {}

    def open(self, text):
        """Begin with the stage that a link is about; return what is told of that, None if it is about none."""
        self._at = at_stage(text) if self._way is not None else None
        if self._at is None:
            return None
        told, page, self._way.replaced = [], self._page, ()
        self.began = self._way.settings(self._at, told.append)
        moved = {page.controls[name]: value for name, value in self.began.items()}
        said = go(page, moved, self._where, *told)
        page.begin_at(page.values)
        return said

    def settle_at(self, at):
        """Give results back to a stage, where the page was opened from none."""
        self._at = self._at or at

    @property
    def _where(self):
        return ", ".join(filter(None, (self._at.name, self._at.place)))

    def said(self):
        """Return what the browser shows of it, and the ways to other pages; nothing where there is neither."""
        ways = self._way.ways(self._at) if self._way is not None and self._page.answer is not None else []
        if self._at is None:
            return {"ways": ways} if ways else {}
        back = f"{UPGRADE}#{urlencode(link_of(self._at.plan, self._at.name))}" if Path(UPGRADE).is_file() else ""
        replaced = self._way.replaced
        aside = ASIDE if self._at.is_example else OTHERS.format(names=", ".join(replaced)) if replaced else ""
        aside = aside if self._way.gives_back else ""
        results = {} if aside or self._page.answer is None else self._way.results(self._at)
        return {
            "link": dict(link_of(self._at.plan, self._at.name, self._at.place)),
            "name": self._where,
            "gives": [[key, result.label] for key, result in results.items()],
            "said": aside or self._said,
            "undo": self._before is not None,
            "back": back,
            "ways": ways,
        }

    def give(self, key):
        """Write a result into the stage, all or nothing.

        Raises
        ------
        ValueError
            If the page shows other parts than the stage has by now, or the file was changed meanwhile.
        """
        page, at = self._page, self._at
        page.rest()
        for name in self._way.same:
            if page.values[name] != self.began.get(name, page.values[name]):
                control = page.controls[name]
                text = control.text(self.began[name], page.values, page.system)
                raise ValueError(ANOTHER.format(label=control.label, text=text))
        results = self._way.results(at)
        if key not in results:
            raise ValueError("There is nothing to give back now: see what is wrong, or choose again.")
        result = results[key]
        self._take(keep_together(at.plan, [at.changed(result.key, result.values)]), at.plan.text)
        self._said = f"Written into {at.plan.path.name}, {self._where}: {result.label}."

    def take_back(self):
        """Write the stage as it was before."""
        self._take(put_back(self._at.plan, self._before), None)
        self._said = "Undone: the stage is as it was."

    def _take(self, plan, before):
        self._at, self._before = dataclasses.replace(self._at, plan=plan), before


def carried(control, offers, part, name):
    """Return the name under which a part of a plan stands in a choice: it is offered from now on if it was not.

    Parameters
    ----------
    control : Choice
    offers : dict
        Name: part, of what the page can show.
    part : part
    name : str
        What it is called in the plan.
    """
    called = next((called for called, other in offers.items() if other == part), None)
    if called is None:
        called = marked(name, offers)
        offers[called] = part
    if called not in control.options:
        control.options = (*control.options, called)
    return called
