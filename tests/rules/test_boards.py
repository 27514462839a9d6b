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


DECLARED = re.compile(
    r"^(?:export )?(?:(?:async )?function\*? |class |(?:const|let|var) )(?:(\w+)|[\[{]([^\]}]*)[\]}])", re.M
)
ALSO = re.compile(r"(?<=, )(\w+)(?= = )")  # const one = 1, two = 2


def _declared(script):
    """Return the names that a script declares for all of it, each as often as it is declared."""
    names = []
    for found in DECLARED.finditer(script):
        line = script[found.end() : script.index("\n", found.end())]
        in_brackets = re.findall(r"(\w+)\s*(?=,|$|=)", found[2]) if found[2] else [found[1]]
        names += in_brackets + ([] if "(" in line or "{" in line else ALSO.findall(line))
    return names


for module in pkgutil.walk_packages(lumpedbox.sliders.__path__, "lumpedbox.sliders."):
    importlib.import_module(module.name)


@pytest.mark.parametrize("board", sorted(set(_boards()), key=lambda board: board.__name__))
def test_the_browser_asks_a_widget_for_nothing_that_it_lacks(board):
    """A link to a page failed in the browser alone where a script of the kit read what that page's widget had not."""
    asked = set(re.findall(r'model\.(?:get|set)\("(\w+)"|"change:(\w+)"', str(board._esm)))
    names = {name for pair in asked for name in pair if name}
    assert names <= set(board.class_trait_names(sync=True))


@pytest.mark.parametrize("board", sorted(set(_boards()), key=lambda board: board.__name__))
def test_scripts_that_are_joined_declare_each_name_once(board):
    """A page showed nothing but "javascript error" where a script of its own had a name of one of the kit's."""
    names = _declared(str(board._esm) + "\n")
    assert names
    assert [name for name in set(names) if names.count(name) > 1] == []


def test_the_boards_of_all_pages_are_looked_at():
    assert {"Board", "BoxBoard", "GarageBoard", "UpgradeBoard", "Checks"} <= {one.__name__ for one in _boards()}
