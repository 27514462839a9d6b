"""Cards of checks in the browser: gates, what to do next, and for each check its drawing, fields and meaning."""

from __future__ import annotations

import anywidget
import traitlets

from .board import joined
from .systems import SYSTEMS

SCRIPTS = ("elements", "checks")


class Checks(anywidget.AnyWidget):
    """Shows cards, says what is typed into them, and remembers that in this browser.

    Attributes
    ----------
    gates : list of dict
        Fields to answer first: "key", "label", "options", and "row".
    cards : list of dict
        "number", "title", "tools", "how", "caution", "drawing" (SVG), "alternative", "fields".
    typed : dict
        "card key": what is typed or chosen there; of a gate "gates key".
    told : dict
        Number of a card, as text: list of {"kind", "text"}.
    wrong : dict
        "card key": what is wrong there.
    fills : dict
        Number of a card, as text: list of {"text", "names"}; names of where it can be written, if anywhere.
    leads : dict
        Number of a card, as text: the pages that its answer leads to, pairs of a label and an address.
    written : dict
        Number of a card, as text: what became of a wish to write it.
    headline, ranked : str, dict
        What to do next; and why: "heads", "rows" (each {"number", "cells"}), "said", "running".
    systems, system : list of str, str
        Of units.
    """

    _esm = joined(SCRIPTS, "js")
    _css = joined(("checks",), "css")
    gates = traitlets.List().tag(sync=True)
    cards = traitlets.List().tag(sync=True)
    typed = traitlets.Dict().tag(sync=True)
    told = traitlets.Dict().tag(sync=True)
    wrong = traitlets.Dict().tag(sync=True)
    fills = traitlets.Dict().tag(sync=True)
    leads = traitlets.Dict().tag(sync=True)
    written = traitlets.Dict().tag(sync=True)
    headline = traitlets.Unicode().tag(sync=True)
    ranked = traitlets.Dict().tag(sync=True)
    systems = traitlets.List(SYSTEMS).tag(sync=True)
    system = traitlets.Unicode(SYSTEMS[0]).tag(sync=True)
