"""Channels of one's own: their form, and the page that shows them."""

import html
import re

import pytest

from lumpedbox.sliders.kit.kept_channels import IN_LINE, NOT_OFFERED, TWO_ONLY, TWO_TWEETERS, WITHOUT
from lumpedbox.sliders.kit.wirings import NOT_KNOWN, PAIRS, PARALLEL, SERIES
from lumpedbox.sliders.lessons.my_parts import my_parts
from lumpedbox.sliders.lessons.shared_channel import shared_channel
from lumpedbox.sliders.lessons.shared_channel.answering import ACROSS, NO_CURE
from lumpedbox.tables import demo_drivers
from lumpedbox.tables.my_parts import forget, keep, read
from lumpedbox.units import uF
from tests import two_on_a_channel as by_hand
from tests.sliders.conftest import SHEET, put

PANEL, TWEETER, DASH, ROOF = "165 mm panel", "25 mm pillar tweeter", "19 mm dash tweeter", "100 mm roof"
UNIT, STORES = "head unit of the minibus", "four channels from the stores"
FRONT = {"feeds": f"{PANEL} + {TWEETER}", "wiring": "series", "line": f"{TWEETER} = 4.7 uF", "source": UNIT}
MINE = SHEET | {"fs": "60 Hz", "sensitivity_2V83": "90 dB"}


@pytest.fixture
def page(place):
    return shared_channel()


def taken_up(page, **typed):
    """The page, after it was asked to take up a channel of these entries."""
    keep("channel", "front left", typed)
    page.keeping._look()
    page.keeping.channels.value = "front left"
    return html.unescape(page.keeping.said.value)


def test_a_kept_channel_sets_the_whole_circuit(page):
    """What the woofer loses at 50 Hz then is that of the circuit worked out by hand."""
    put(page, cure=ACROSS, second=DASH, wiring=PARALLEL)
    said = taken_up(page, **FRONT)
    expected = {"woofer": PANEL, "second": TWEETER, "fitted": IN_LINE, "wiring": SERIES, "amplifier": UNIT}
    assert {name: page.values[name] for name in expected} == expected
    assert page.values["capacitor"] == pytest.approx(4.7 * uF)
    assert page.values["cure"] == NO_CURE
    assert said.startswith(f"front left: Woofer {PANEL}; Second {TWEETER}; Wiring series; Amplifier {UNIT}")
    drivers = demo_drivers()
    circuit = {"woofer": drivers[PANEL], "other": drivers[TWEETER], "wiring": SERIES, "capacitor": 4.7 * uF}
    lost = float(by_hand.lost(50.0, **circuit))
    assert page.answer["woofer, 50 Hz"]["nothing added"]["level"] == pytest.approx(-lost, abs=1e-4)
    assert page.keeping.channels.value == "choose one"


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ({"feeds": f"{TWEETER} + {PANEL}", "wiring": "parallel"}, (PANEL, TWEETER, WITHOUT, PARALLEL)),
        ({"feeds": f"{PANEL} + {TWEETER}", "wiring": NOT_KNOWN}, (PANEL, TWEETER, WITHOUT, NOT_KNOWN)),
        ({"feeds": f"{PANEL} + {PANEL}", "wiring": "series"}, (PANEL, PANEL, None, SERIES)),
        ({"feeds": f"{PANEL}\n{TWEETER}", "wiring": "series"}, (PANEL, TWEETER, WITHOUT, SERIES)),
        ({"feeds": f"{PANEL} + {TWEETER}\n{TWEETER} + {PANEL}"}, (PANEL, TWEETER, WITHOUT, PAIRS)),
        ({"feeds": f"{PANEL} + {ROOF}\n{PANEL} + {ROOF}", "wiring": "parallel"}, (PANEL, ROOF, None, PAIRS)),
    ],
)
def test_each_wiring_that_the_page_knows_is_taken_up(page, typed, expected):
    put(page, amplifier=UNIT)
    taken_up(page, **typed)
    woofer, second, fitted, wiring = expected
    assert [page.values[name] for name in ("woofer", "second", "wiring")] == [woofer, second, wiring]
    assert fitted in (None, page.values["fitted"])
    assert page.values["amplifier"] == UNIT  # as it was: the channel does not tell
    assert page.message == ""


def test_ones_own_parts_are_found_under_the_names_by_which_they_are_offered(place):
    keep("driver", PANEL, MINE)
    keep("amplifier", STORES, {"power": "40 W", "rated_impedance": "4 ohm"})
    page = shared_channel()
    taken_up(page, **FRONT | {"source": STORES})
    assert page.values["woofer"] == f"{PANEL} (mine)"
    assert page.values["amplifier"] == f"{STORES} (mine)"


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ({"feeds": PANEL}, TWO_ONLY),
        ({"feeds": f"{PANEL} + {ROOF} + {TWEETER}", "wiring": "parallel"}, TWO_ONLY),
        ({"feeds": f"{PANEL} + {TWEETER}\n{PANEL} + {ROOF}"}, TWO_ONLY),
        ({"feeds": f"{PANEL} + {TWEETER}\n{PANEL} + {TWEETER}", "wiring": "series"}, TWO_ONLY),
        ({"feeds": f"{TWEETER} + {DASH}", "wiring": "series"}, TWO_TWEETERS),
        ({"feeds": f"{PANEL} + {TWEETER}", "wiring": "series", "line": f"{PANEL} = 47 uF"}, "before a woofer"),
        ({"feeds": f"{PANEL} + {ROOF}", "wiring": "series", "line": f"{ROOF} = 47 uF"}, "before a woofer"),
        ({"feeds": f"{PANEL} + soft", "wiring": "series"}, "soft does not serve this page (its printed sensitivity is"),
        ({"feeds": f"{PANEL} + capped", "wiring": "series", "line": "capped = 4.7 uF"}, "has a capacitor built in"),
        ({"feeds": f"{PANEL} + late", "wiring": "series"}, f"late {NOT_OFFERED}"),
    ],
)
def test_what_the_page_cannot_show_is_said_and_moves_nothing(place, typed, why):
    keep("driver", "soft", SHEET)
    tweeter = {"fs": "1.5 kHz", "sensitivity_2V83": "90 dB", "Sd": "6 cm^2", "Vas": "10 cm^3", "xmax": "0.3 mm"}
    keep("driver", "capped", SHEET | tweeter | {"built_in_capacitance": "4.7 uF"})
    page = shared_channel()
    before = dict(page.values)
    keep("driver", "late", MINE)
    said = taken_up(page, **typed)
    assert "front left cannot be shown: " in said
    assert why in said
    assert page.values == before


def test_a_capacitor_beyond_the_slider_is_said(page):
    said = taken_up(page, **FRONT | {"line": f"{TWEETER} = 100 uF"})
    assert page.values["capacitor"] == pytest.approx(47 * uF)
    assert "Capacitor: the slider goes to 47.0 µF only." in said


def test_one_that_is_not_complete_is_not_offered(page):
    keep("driver", "mine", MINE)
    keep("channel", "rear", {"feeds": "mine"})
    keep("channel", "front left", FRONT)
    forget("driver", "mine")
    page.keeping._look()
    assert page.keeping.channels.options == ("choose one", "front left")


def test_only_pages_of_a_shared_channel_offer_channels(pages):
    assert pages("shared_channel").keeping.channels in pages("shared_channel").keeping.widget.children
    assert pages("closed_box").keeping.channels not in pages("closed_box").keeping.widget.children


@pytest.fixture
def form(place):
    return my_parts().forms["channel"]


def report(form):
    return html.unescape(re.sub(r"<[^>]+>", " ", form.report.value))


def fill(form, **typed):
    for key, text in typed.items():
        form.fields[key].value = text


def test_the_form_tells_what_follows_and_keeps_it(form):
    """Two panels of 3.4 ohm, Re as on their sheet (data/drivers.csv), in series; two such pairs in parallel."""
    fill(form, feeds=f"{PANEL} + {PANEL}\n{PANEL} + {PANEL}", wiring="parallel", source=UNIT)
    assert "its wires show 3.4 ohm on an ohmmeter" in report(form)
    assert "Its groups are in parallel; the drivers of a group are in series." in report(form)
    assert "Serves on:  shared channel" in report(form)
    form.name.value = "front left"
    form.keep.click()
    assert "Kept. The other pages offer it as front left." in form.said.value
    assert read().typed["channel"]["front left"]["feeds"] == [[PANEL, PANEL], [PANEL, PANEL]]
    again = my_parts().forms["channel"]
    again.kept.value = "front left"
    assert again.typed == form.typed


def test_a_bare_capacitor_takes_its_unit_and_a_series_one_shows_open(form):
    fill(form, **FRONT | {"line": f"{TWEETER} = 6.8"})
    assert form.fields["line"].value == f"{TWEETER} = 6.8 µF"
    assert "its wires show OL on an ohmmeter" in report(form)
    assert "6.8 µF" in report(form)


def test_a_comma_in_a_name_stays(form):
    fill(form, feeds="1,5 inch", source="1,5 kW")
    assert form.typed == {"feeds": "1,5 inch", "source": "1,5 kW"}


def test_the_form_names_the_nearest_spelling_and_what_is_missing(form):
    fill(form, feeds="165 mm panell")
    assert f"no driver of that name is kept: did you mean '{PANEL}'?" in report(form)
    fill(form, feeds=f"{PANEL} + {TWEETER}")
    assert "Not complete yet: add   Wired" in report(form)
    fill(form, wiring=NOT_KNOWN)
    assert "How it is wired is not known yet" in report(form)
    fill(form, feeds=f"{PANEL} + {ROOF} + {TWEETER}")
    assert f"Not on: shared channel, because {TWO_ONLY}" in report(form)


@pytest.mark.parametrize(
    "state",
    [
        {"woofer": ROOF, "second": DASH, "capacitor": 3.3 * uF, "wiring": PARALLEL, "amplifier": UNIT},
        {"second": TWEETER, "fitted": WITHOUT, "wiring": NOT_KNOWN},
        {"second": PANEL, "wiring": SERIES},
        {"wiring": PAIRS, "capacitor": 10 * uF},
    ],
)
def test_a_page_keeps_its_channel_and_takes_it_up_again(page, state):
    """All of it: speakers, capacitor, wiring and amplifier; kept again it asks nothing, and the form can read it."""
    put(page, **state)
    page.keeping.name.value = "front left"
    for _ in range(2):
        page.keeping.keep_part.click()
        assert page.keeping.said.value == "Kept the channel front left."
    names = {"woofer", "second", "fitted", "capacitor", "wiring", "amplifier"} - set(page.board.hidden)
    wanted = {name: page.values[name] for name in names}
    again = shared_channel()
    again.keeping.channels.value = "front left"
    assert {name: again.values[name] for name in wanted} == pytest.approx(wanted)
    form = my_parts().forms["channel"]
    form.kept.value = "front left"
    assert "Serves on:  shared channel" in report(form)


def test_a_channel_is_kept_under_ones_own_names_and_never_under_one_that_means_another_part(page):
    keep("driver", PANEL, MINE)
    mine = shared_channel()
    put(mine, woofer=f"{PANEL} (mine)")
    mine.keeping.name.value = "front left"
    mine.keeping.keep_part.click()
    assert read().typed["channel"]["front left"]["feeds"] == [PANEL, TWEETER]
    assert read().parts["channel"]["front left"].loudspeakers[0].driver == read().parts["driver"][PANEL].driver
    put(mine, woofer=PANEL)
    mine.keeping.keep_part.click()
    assert f"a part of your own is called {PANEL} too" in mine.keeping.said.value
    assert read().typed["channel"]["front left"]["feeds"] == [PANEL, TWEETER]


def test_another_channel_of_the_name_is_replaced_only_when_told_so(page):
    page.keeping.name.value = "front left"
    page.keeping.keep_part.click()
    put(page, wiring=PARALLEL)
    page.keeping.keep_part.click()
    assert "A channel named front left is kept already, and differs." in page.keeping.said.value
    assert read().typed["channel"]["front left"]["wiring"] == SERIES
    page.keeping.replacing.replace.click()
    assert read().typed["channel"]["front left"]["wiring"] == PARALLEL
