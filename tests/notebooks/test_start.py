"""The start opens every page that there is, and calls nothing missing that there is."""

import json
import re

import pytest

from lumpedbox.tables.shipped import notebooks_folder

FOLDER = notebooks_folder()
PAGES = {path.name for path in FOLDER.glob("*.ipynb")}
SMALL_WORDS = {"and", "before", "does", "for", "get", "how", "one", "something", "the", "what", "which", "your"}


def cells(name):
    return json.loads((FOLDER / name).read_text(encoding="utf-8"))["cells"]


START = "\n\n".join("".join(cell["source"]) for cell in cells("start.ipynb"))


def stems(text):
    """The words of a text that say what it is about, without their endings."""
    found = {re.sub(r"(ting|ing|s|e)$", "", word) for word in re.findall(r"[a-z]{3,}", text.lower())}
    return found - {re.sub(r"(ting|ing|s|e)$", "", word) for word in SMALL_WORDS}


def missing(text):
    """What a start calls missing, thing by thing."""
    listed = re.search(r"Not in here yet:\s+([^.]+)\.", text)
    return re.split(r",\s+|\s+and\s+", listed[1]) if listed else []


def titles():
    """What the pages are called: by their file, their heading, and on the start."""
    asked = dict(re.findall(r"\[([^\]]+)\]\((\w+\.ipynb)\)", START))
    return [*asked, *PAGES, *("".join(cells(name)[0]["source"]).splitlines()[0] for name in PAGES)]


def there(thing):
    """The pages that are about a thing."""
    return [title for title in titles() if stems(thing) & stems(title.replace("_", " ").replace(".ipynb", ""))]


def test_every_page_is_on_the_start_and_none_that_is_not_there():
    linked = set(re.findall(r"\]\((\w+\.ipynb)\)", START))
    assert linked == PAGES - {"start.ipynb"}


def test_what_is_called_missing_is_not_there():
    things = missing(START)
    assert things, "where nothing is missing any more, this test goes with the sentence"
    assert {thing: there(thing) for thing in things if there(thing)} == {}
    assert not re.search(r"(is|are) not in here", START), "what is missing stands in one list"


@pytest.mark.parametrize("thing", ["how loud it gets until something gives", "where bass and panels meet"])
def test_what_is_there_would_be_found(thing):
    assert there(thing)
    assert missing(f"Not in here yet: cutting boards, {thing}.") == ["cutting boards", *thing.split(" and ")]
