"""What a page hands over to be taken along: where it stands, in a copy that may be drawn on."""

from __future__ import annotations

import copy
import datetime

from ...figures.style import LIGHT, paint
from .controls import Choice
from .offered import invented
from .reading import is_drawn
from .scene import REFERENCE
from .taking import Taken


def taken_of(page, address=""):
    """Return what a page stands at.

    Parameters
    ----------
    page : Page
    address : str
        A link that opens it so.

    Returns
    -------
    Taken
    """
    shown = [control for control in page.controls.values() if control.name not in page.board.hidden]
    chosen = [page.values[control.name] for control in shown if isinstance(control, Choice)]
    return Taken(
        question=page.question,
        answer=page.answer,
        figure=lambda width, height: figure_of(page, width, height),
        curves=curves_of(page),
        made=datetime.date.today(),
        parts=tuple((control.label, page.text(control.name)) for control in shown),
        start=page.start_answer if page.values != page.since else None,
        system=page.system,
        kept=page.compared.answers,
        invented=invented(chosen),
        address=address,
        along=page.scene.along,
        feed=tuple(page.board.feed),
    )


def figure_of(page, width, height):
    """Return the picture anew for paper of some size, with the names of the curves above it. [inch]"""
    scene = copy.deepcopy(page.scene)
    for slot, state in page.compared.names.items():
        for key in scene.stack.axes:  # the first of its curves; the others differ by their marks
            scene.stack.lines[f"{scene.kept[0]}, kept {slot}", key].set_label(state)
    if page.values == page.since:
        for (name, _), line in scene.stack.lines.items():
            if name.endswith(REFERENCE):
                line.set_label("_")
    for (name, _), line in scene.stack.lines.items():
        if not is_drawn(scene, name):
            line.set_label("_")
    scene.fit(width, height, legend=True)
    scene.stack.legend()
    return paint(scene.figure, LIGHT)


def curves_of(page):
    """Return the frequencies and the curves that have a name, in the reader's units: [Hz], (heading, values)..."""
    stack, columns = page.scene.stack, []
    for name, (_, text) in page.scene.pens.items():
        if not text or name.endswith(REFERENCE) or name in stack.uprights:
            continue
        for key, panel in stack.panels.items():
            frequency, values = stack.values(name, key)
            if len(frequency):
                columns.append((f"{text}: {_heading(panel.label)}", values))
    return page.scene.grid, tuple(columns)


def _heading(label):
    """Return the label of a panel with its unit last."""
    what, _, rest = label.partition("[")
    unit, _, after = rest.partition("]")
    return f"{' '.join((what + after).split())} [{unit}]"
