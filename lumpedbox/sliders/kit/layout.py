"""Where the pieces of a page stand."""

from __future__ import annotations

import ipywidgets

from .access import Access
from .gone import Gone


class ShownInCell:
    """What shows its `widget` at the end of a notebook's cell."""

    def _ipython_display_(self):
        from IPython.display import display

        display(self.widget)


def plain(*rows):
    """Return a page without sliders: what it shows, one below the other."""
    return ipywidgets.VBox([Access(), Gone(), *rows], layout={"overflow": "visible"})


def laid_out(board, helpers, remembered, wrong):
    """Return the board of a page, with what is folded away beside it, and what is wrong with the kept parts below."""
    folds = {helper.title: helper.widget for helper in helpers if helper.widget.children}
    more = ipywidgets.Accordion(list(folds.values()))
    more.titles = tuple(folds)
    extras = ipywidgets.VBox([Access(), Gone(), remembered, more, wrong])
    extras.add_class("lb-extras")
    page = ipywidgets.Box([board, extras])
    page.add_class("lb-page")
    around = ipywidgets.Box([page])
    around.add_class("lb-around")
    return around
