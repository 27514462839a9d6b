"""The scripts of a page in the browser read nothing that the page does not tell."""

import re
from pathlib import Path

import pytest

from lumpedbox.sliders import kit
from lumpedbox.sliders.kit.board import Board
from lumpedbox.sliders.lessons.draw_the_box.board import BoxBoard
from lumpedbox.sliders.lessons.take_it_to_the_garage.board import GarageBoard

KIT = Path(kit.__file__).parent


@pytest.mark.parametrize("board", [Board, BoxBoard, GarageBoard])
@pytest.mark.parametrize("script", ["controls", "answer", "visit"])
def test_what_a_script_of_the_kit_reads_is_told(board, script):
    """Undefined in the browser, it stops the script: an address that is no longer kept loses a drawing on a reload."""
    text = (KIT / f"{script}.js").read_text(encoding="utf-8")
    assert text in board._esm
    assert set(re.findall(r'model\.get\("(\w+)"\)', text)) - set(board.class_trait_names(sync=True)) == set()
