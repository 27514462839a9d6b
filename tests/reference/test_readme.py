"""The table of outside agreement in README.md, which this file's last test holds to what the others reached."""

from pathlib import Path

import pytest


@pytest.fixture(scope="module")
def page(load_module):
    """The module that makes and writes the table, apart from the one in use."""
    return load_module(Path(__file__).parents[1] / "agreement.py")


@pytest.fixture
def blank(page):
    """A collection apart from the one in use."""
    return page.Agreements()


@pytest.mark.parametrize(
    ("reached", "allowed", "unit", "words"),
    [
        (0.0, 1e-9, "", "1e-9"),
        (3e-14, 1e-9, "dB", "1e-9 dB"),
        (3e-14, 1e-6, "dB", "1e-8 dB"),
        (1.01e-9, 1e-8, "", "1e-8"),
        (2.2e-6, 1e-5, "", "3e-6"),
        (2e-6, 1e-5, "", "2e-6"),
        (1.2e-4, 1.5e-4, "", "1.5e-4"),
        (0.0132, 0.1, "m/s", "0.02 m/s"),
        (0.3, 1.0, "dB", "0.3 dB"),
    ],
)
def test_a_value_is_rounded_up_but_not_past_what_is_allowed(reached, allowed, unit, words, page):
    assert page.shown(page.rounded_up(reached, allowed), unit) == words


def test_rows_with_the_same_words_are_joined(blank):
    for reached in (1e-3, 4.2e-3, 2e-3):
        blank.record("level", "a book", reached, 1e-2, "dB")
    blank.record("a delay", "a book", 0.0, 1e-6)
    lines = blank.table().splitlines()
    assert lines[2:] == ["| a delay | a book | 1e-8 | 1e-6 |", "| level | a book | 0.005 dB | 0.01 dB |"]


@pytest.mark.parametrize("reached", [2e-2, float("nan")])
def test_too_far_fails(blank, reached):
    with pytest.raises(AssertionError, match="level differs from a book by"):
        blank.record("level", "a book", reached, 1e-2, "dB")


def test_only_the_table_is_rewritten(page):
    before = "A\n<!-- agreement -->\nold\n<!-- /agreement -->\nB\n"
    assert page.rewritten(before, "| new |\n") == "A\n<!-- agreement -->\n| new |\n<!-- /agreement -->\nB\n"
    with pytest.raises(ValueError, match="needs one line <!-- agreement -->"):
        page.rewritten("no markers\n", "| new |\n")


def test_readme_tells_what_was_reached(agreements, page, request):
    if request.config.getoption("--write-agreement"):
        pytest.skip("the table is about to be written")
    if agreements.not_run:
        pytest.skip(f"{len(agreements.not_run)} reference tests did not run or failed, so the table is not complete")
    told = page.README.read_text(encoding="utf-8")
    assert page.rewritten(told, agreements.table()) == told, f"run: {page.COMMAND}"
