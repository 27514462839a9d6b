"""What the browser's side of a widget asks of it, and what the widget has."""

import importlib
import pkgutil
import re

import anywidget
import pytest

import lumpedbox.sliders


def _boards(base=anywidget.AnyWidget):
    for found in base.__subclasses__():
        yield from ([found] if found.__module__.startswith("lumpedbox.") and hasattr(found, "_esm") else [])
        yield from _boards(found)


for module in pkgutil.walk_packages(lumpedbox.sliders.__path__, "lumpedbox.sliders."):
    importlib.import_module(module.name)


@pytest.mark.parametrize("board", sorted(set(_boards()), key=lambda board: board.__name__))
def test_the_browser_asks_a_widget_for_nothing_that_it_lacks(board):
    """A link to a page failed in the browser alone where a script of the kit read what that page's widget had not."""
    asked = set(re.findall(r'model\.(?:get|set)\("(\w+)"|"change:(\w+)"', str(board._esm)))
    names = {name for pair in asked for name in pair if name}
    assert names <= set(board.class_trait_names(sync=True))


def test_the_boards_of_all_pages_are_looked_at():
    assert {"Board", "BoxBoard", "GarageBoard", "UpgradeBoard", "Checks"} <= {one.__name__ for one in _boards()}
