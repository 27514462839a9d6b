"""The page on agreement, AGREEMENT.md, which this file's last test holds to what the other files measured."""

from pathlib import Path

import pytest


@pytest.fixture(scope="module")
def module(load_module):
    """The module that measures and writes the page, apart from the one in use."""
    return load_module(Path(__file__).parents[1] / "agreement.py")


@pytest.fixture
def blank(module):
    """A collection apart from the one in use."""
    return module.Agreements()


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (0.0, "", "0"),
        (2.98e-7, "", "2.98e-7"),
        (3e-7, "", "3e-7"),
        (0.01550891, "", "0.0155"),
        (10.0, "dB", "10 dB"),
        (4.897e-5, "dB", "4.9e-5 dB"),
    ],
)
def test_a_value_is_shown_in_three_digits(value, unit, words, module):
    assert module.shown(value, unit) == words


@pytest.mark.parametrize(
    ("source", "kind"),
    [
        ("CoolProp, humid air", "independent solver"),
        ("scipy.signal", "independent solver"),
        ("mpmath", "own derivation"),  # it evaluates what we wrote
        ("Small 1972, derived", "own derivation"),
        ("Thiele 1961, from memory", "published table"),
    ],
)
def test_the_kind_of_a_check(source, kind, module):
    assert module.kind(source) == kind


def test_rows_with_the_same_words_are_joined(blank):
    for reached in (1e-3, 4.2e-3, 2e-3):
        blank.record("level", "a book", reached, 1e-2, "dB")
    blank.record("a delay", "a book, from memory", 0.0, 1e-6)
    assert blank.page().splitlines()[-2:] == [
        "| a delay | a book, from memory | published table | 0 | 1e-6 |",
        "| level | a book | own derivation | 0.0042 dB | 0.01 dB |",
    ]


@pytest.mark.parametrize("reached", [2e-2, float("nan")])
def test_too_far_fails(blank, reached):
    with pytest.raises(AssertionError, match="level differs from a book by"):
        blank.record("level", "a book", reached, 1e-2, "dB")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("0.0042 dB | 0.01", "0.005 dB | 0.01"),
        ("0.0042 dB | 0.01", "0.0042 dB | 0.02"),
        ("0.0042 dB", "0.0042"),
        ("own derivation | 0", "independent solver | 0"),
        ("| level | a book", "| level | another book"),
        ("| 3e-15 |", "| 3e-8 |"),
        ("relative", "absolute"),
    ],
)
def test_a_changed_word_or_number_is_stale(blank, old, new, module):
    blank.record("level", "a book", 4.2e-3, 1e-2, "dB")
    blank.record("rounding", "a book", 3e-15, 1e-6)
    page = blank.page()
    assert page.count(old) == 1
    assert module.stale(page.replace(old, new), page)
    assert module.stale(page, page.replace(old, new))


def test_rounding_and_the_last_digit_are_not_stale(blank, module):
    blank.record("level", "a book", 4.2e-3, 1e-2, "dB")
    blank.record("rounding", "a book", 3e-15, 1e-6)
    page = blank.page()
    assert module.stale(page.replace("0.0042", "0.00421").replace("3e-15", "8e-16"), page) == []


def test_the_page_tells_what_was_measured(agreements, module, request):
    if request.config.getoption("--write-agreement"):
        pytest.skip("the page is about to be written")
    if agreements.not_run:
        pytest.skip(f"{len(agreements.not_run)} reference tests did not run or failed, so the page is not complete")
    told = module.PAGE.read_text(encoding="utf-8")
    assert module.stale(told, agreements.page()) == [], f"run: {module.COMMAND}"
