"""The page on wire and fuse: its numbers by hand, what it refuses, and no answer that could burn a wire."""

import io
import re

import numpy as np
import pypdf
import pytest

from lumpedbox.build.workings.gauge import gauge_of
from lumpedbox.sliders.kit.along import taken_of
from lumpedbox.sliders.kit.answer import ONLY
from lumpedbox.sliders.kit.taking import take
from lumpedbox.sliders.lessons.wire_and_fuse import wire_and_fuse
from lumpedbox.sliders.lessons.wire_and_fuse.options import (
    ALONE,
    BRANCH,
    CONVERTER,
    COPPER,
    LIGHTS,
    MADE_FOR,
    METALS,
    NOBODY,
    OWN,
)
from lumpedbox.units import mm2
from tests.sliders.conftest import details, headline, number, put

# Sold for vehicles, as the trade lists them: common practice, no source.
SOLD = (1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 500)
CLAD = "clad, 10 % copper"


@pytest.fixture(scope="module")
def made():
    return wire_and_fuse()


def pieces(page):
    return [(piece["kind"], piece["text"]) for piece in page.board.feed if piece["kind"] != "buy"]


def bought(page):
    return [piece["text"] for piece in page.board.feed if piece["kind"] == "buy"]


def told(page):
    """Everything that the page says now."""
    said = page.board.answer
    facts = [cell["text"] for line in said["facts"] for cell in line["values"]]
    drawn = [piece[key] for piece in page.board.feed for key in ("text", "note")]
    return " ".join([said["headline"], *facts, *said["details"], said["conditions"], *said["cautions"], *drawn])


def test_the_start_by_hand(page):
    """300 / 0.65 / 13.8 = 33.44 A; 6 m of 1.21 ohm/km lose 0.243 V; 33.44 / 0.8 = 41.8 A, and 50 A is the next."""
    assert headline(page) == "Fuse it at 50 A, close to the battery. The wire loses 0.24 V on the way there."
    assert number(page, "draws") == pytest.approx(33.44, abs=5e-3)
    assert number(page, "lost on the way there") == pytest.approx(0.2428, abs=5e-5)
    assert str(page.answer["arrives"][ONLY]) == "not known: measure the way back"
    assert number(page, "fuse") == 50
    assert "The fuse at the battery must lie between 41.8 A and 75 A." in details(page)
    assert bought(page)[0] == "6 m of 16 mm² (or 4 AWG) copper, a holder with a fuse of 50 A."


def test_the_way_back_by_hand(page):
    """3 milliohm more lose 0.1003 V: 13.457 V arrive, and 20 log(13.457 / 13.8) is -0.22 dB."""
    put(page, back=3e-3)
    assert number(page, "arrives") == pytest.approx(13.457, abs=5e-4)
    assert number(page, "highest level") == pytest.approx(0.219, abs=2e-3)


def test_lights_on_a_branch_by_hand(page):
    """60 W at 13.8 V are 4.348 A: 5 A are too few (5.43 are needed), 7.5 A it is; the trunk carries 37.79 A.

    Trunk 7.26 milliohm: 0.2743 V. Half a metre more to the amplifier, 0.605 milliohm at 33.44 A: 0.2946 V.
    """
    put(page, more=LIGHTS)
    assert number(page, "fuse") == {"fuse0": 50, "fuse1": 50, "fuse2": 7.5}
    assert number(page, "draws") == pytest.approx(37.79, abs=5e-3)
    assert number(page, "lost on the way there") == pytest.approx(0.2946, abs=5e-5)
    assert "Up to lights, 0.34 V are lost on the way there." in details(page)  # 0.2743 and 15.96 mohm at 4.348 A
    assert [kind for kind, _ in pieces(page)] == [
        *("battery", "fuse", "wire", "grommet", "split", "fuse", "wire", "load", "fuse", "wire", "load", "back")
    ]


def test_the_way_back_beside_a_branch(page):
    """All 37.79 A come back through 3 milliohm: 0.1134 V more than the 0.2946 there."""
    put(page, more=LIGHTS, back=3e-3)
    assert number(page, "arrives") == pytest.approx(13.8 - 0.2946 - 0.1134, abs=2e-4)


def test_much_lost_is_said(page):
    """By hand: 250 W draw 27.87 A, 34.8 over 0.8; 6 m of 4.95 ohm/km lose 0.828 V, 6 % of 13.8."""
    put(page, area=4 * mm2, rating=47.0, power=250.0)
    assert headline(page).startswith("Fuse it at 40 A. Thicker or shorter wire pays: 0.83 V are lost")


def test_a_rating_that_is_high_for_its_wire_comes_first(page):
    """By hand for 2.5 mm2 and 65 K: 134.9 A (2.5 / 16)^0.75 = 33.5 A, and 50 A is more."""
    put(page, area=2.5 * mm2, rating=50.0)
    assert headline(page) == "Fuse it at 50 A only if this wire's own sheet allows it: 50 A is much for its size."


def test_a_hot_way_back_comes_first(page):
    """By hand: 33.44 A through 50 milliohm lose 1.672 V, more than 5 % of 13.8 (0.69); 56 W of heat."""
    put(page, back=0.05)
    assert headline(page) == "Mend the way back first: it loses 1.67 V, and a bad joint burns. Then fuse it at 50 A."
    assert any("56 W of heat" in said for said in page.board.answer["cautions"])
    put(page, back=0.02)
    assert headline(page).startswith("Fuse it at 50 A, close to")


def test_a_fuse_that_a_short_may_not_blow_is_a_caution(page):
    """By hand: 15 m of 0.5 mm2 (39 ohm/km) are 0.585 ohm: 23.6 A, less than twice 15. 80 W draw 8.9 A."""
    put(page, area=0.5 * mm2, length=15.0, power=80.0, rating=15.0)
    assert any("A short at its end draws at most 23.6 A" in said for said in page.board.answer["cautions"])


def test_more_than_a_blade_fuse_breaks_is_said_at_the_fuse(page):
    """ISO 8820-3 (from memory): 32 V. By hand: 300 / 0.65 / 52 = 8.9 A, 11.1 over 0.8: 15 A."""
    put(page, battery=52.0, made_for="48 V")
    assert headline(page).startswith("Fuse it at 15 A, made for 52 V,")
    assert ("fuse", "Fuse, 15 A, made for 52 V") in pieces(page)
    assert bought(page)[0].endswith("a holder with a fuse of 15 A, both made for 52 V.")
    assert any("a common blade fuse cannot break that" in said for said in page.board.answer["cautions"])
    put(page, battery=27.6, made_for="24 V")
    assert "made for 27.6 V" not in told(page)


def test_other_volts_do_not_say_what_vehicle_it_is(page):
    put(page, battery=14.2)
    assert "Taken: an engine alone, and 14.2 V. Say what yours is, and measure." in page.board.answer["cautions"]
    put(page, vehicle="start-stop")
    assert "Taken" not in " ".join(page.board.answer["cautions"])


STOPPED = {
    "high voltage": (
        {"vehicle": "high voltage"},
        "Stop here: only the maker or a qualified person wires a high-voltage",
    ),
    "unknown vehicle": ({"vehicle": "unknown"}, "Find out first what vehicle it is"),
    "mild hybrid, 48 V": (
        {"vehicle": "mild hybrid", "battery": 48.0, "made_for": "48 V"},
        "Stop: of a mild hybrid only the 12 V side may be used.",
    ),
    "24 V": ({"battery": 27.6}, "Stop: the amplifier is made for 12 V, and the battery has 27.6 V."),
    "48 V": ({"battery": 48.0}, "Stop: the amplifier is made for 12 V, and the battery has 48 V."),
    "made for 24 V": ({"made_for": "24 V"}, "Stop: the amplifier is made for 24 V, and the battery has 13.8 V."),
    "accessory tap": ({"taken_from": "accessory tap"}, "An accessory tap only switches"),
    "all volts lost": ({"area": 0.5 * mm2, "length": 15.0}, "This wire loses all of the volts"),
}
WITHOUT_A_FUSE = {
    "no rating": ({"rating": 0.0}, "No fuse without the wire's rating"),
    "nobody's rating": ({"source": NOBODY}, "No fuse without the wire's rating"),
    "no rating of the branch": ({"more": LIGHTS, "branch_rating": 0.0}, "No fuse without the wire's rating"),
    "clad by a copper table": ({"metal": CLAD, "source": COPPER}, "A table of copper does not hold for clad wire"),
    "not such a wire": ({"rating": 400.0}, "The wire is too thin for such a rating"),
    "not such a branch": ({"more": LIGHTS, "branch_rating": 150.0}, "The branch's wire is too thin for such a rating"),
    "cable": ({"rating": 40.0}, "No fuse fits: 41.8 A are needed. The wire may carry 40 A: take thicker wire."),
    "branch": ({"more": LIGHTS, "branch_rating": 5.0}, "The branch's wire may carry 5 A: take thicker wire."),
    "maker": ({"maker": 40.0}, "and the maker allows 40 A. Draw less; thicker wire is no help."),
    "both": ({"maker": 40.0, "rating": 40.0}, "No fuse fits: neither wire nor maker allows the 41.8 A"),
    "sold": ({"power": 3000.0, "efficiency": 0.3, "area": 120 * mm2, "rating": 500.0}, "split the feed in two"),
}


@pytest.mark.parametrize("what", STOPPED)
def test_it_stops_and_draws_nothing(page, what):
    places, said = STOPPED[what]
    put(page, **places)
    assert said in headline(page)
    assert (page.board.feed, page.answer.facts) == ([], ())
    assert not re.search(r"fuse of [\d.]+ A|Fuse it|holder", told(page))
    for curve in ("own", "fuse"):
        assert len(page.scene.stack.values(curve, "current")[0]) == 0


@pytest.mark.parametrize("what", WITHOUT_A_FUSE)
def test_no_fuse_is_told(page, what):
    places, said = WITHOUT_A_FUSE[what]
    put(page, **places)
    assert said in headline(page)
    assert "fuse" not in [fact.name for fact in page.answer.facts]
    assert not re.search(r"fuse of [\d.]+ A|Fuse it|Fuse, [\d.]+ A|holder", told(page))
    assert any(text.startswith("Fuse: none") for _, text in pieces(page))


@pytest.mark.parametrize("what", ["not such a wire", "clad by a copper table", "no rating"])
def test_a_rating_that_is_refused_is_not_said_of_the_wire(page, what):
    put(page, **WITHOUT_A_FUSE[what][0])
    assert not re.search(r"It may carry [\d.]+ A|must lie between", told(page))
    assert "What it may carry is not known" in told(page)
    assert len(page.scene.stack.values("rating", "current")[0]) == 0


def test_a_high_voltage_vehicle_hides_every_other_control(page):
    put(page, vehicle="high voltage")
    assert set(page.controls) - set(page.board.hidden) == {"vehicle"}


def test_thicker_wire_is_never_advised_against_the_maker(page):
    put(page, maker=40.0)
    assert "take thicker" not in told(page)


@pytest.mark.parametrize(
    ("places", "said"),
    [
        ({"vehicle": "start-stop"}, "connect the ground where the vehicle's maker says"),
        ({"vehicle": "mild hybrid"}, "use only the 12 V side"),
        ({"metal": CLAD}, "Clad wire loses more than copper"),
        ({"source": COPPER}, "One for houses does not hold"),
        ({"rating": 200.0}, "A rating is high for its wire"),
        ({}, "Local codes"),
        ({}, "At every metal edge"),
        ({}, "measure across both, and feed nothing from one of them"),
        ({}, "45 cm is common practice"),
        ({}, "Take its − off first"),
        ({"more": CONVERTER}, "Each branch has its fuse where it begins"),
        ({}, "Way back: not measured"),
        ({}, "Its maker's largest fuse is not known: read its sheet first."),
        ({"maker": 60.0}, "Its maker allows 60 A at most."),
        ({}, "as its maker lays it: less in a bundle or in heat"),
    ],
)
def test_cautions_stand_where_they_bite(page, places, said):
    put(page, **places)
    assert said in told(page)


def random_places(rng):
    sizes = [one * mm2 for one in (0.75, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 95)]
    return {
        "battery": rng.uniform(11, 16),
        "power": rng.uniform(20, 500),
        "efficiency": rng.uniform(0.3, 0.95),
        "maker": rng.choice([0.0, 0.0, 40.0, 80.0, 150.0]),
        "area": rng.choice(sizes),
        "metal": str(rng.choice(list(METALS))),
        "length": rng.uniform(0.3, 10),
        "source": str(rng.choice([OWN, OWN, COPPER, NOBODY])),
        "rating": rng.choice([0.0, 30.0, 60.0, 100.0, 200.0]),
        "back": rng.choice([0.0, 2e-3, 10e-3]),
        "more": str(rng.choice([ALONE, LIGHTS, CONVERTER])),
        "branch_power": rng.uniform(5, 200),
        "branch_area": rng.choice(sizes),
        "branch_length": rng.uniform(0.2, 8),
        "branch_rating": rng.choice([0.0, 10.0, 20.0, 40.0]),
    }


def bounds(values):
    """(draw, most) of every cable by the rules, from where the controls stand. [A]"""
    main = values["power"] / values["efficiency"] / values["battery"]
    if values["more"] == ALONE:
        return [(main, min(values["rating"], values["maker"] or np.inf))]
    other = values["branch_power"] / (1.0 if values["more"] == LIGHTS else 0.85) / values["battery"]
    ours = min(values["rating"], values["maker"] or np.inf)
    return [(main + other, values["rating"]), (main, ours), (other, values["branch_rating"])]


def test_every_fuse_told_lies_within_its_bounds_and_in_both_systems_alike(page):
    """500 random states; every fuse is sold, carries its draw over 0.8, and is within every bound."""
    rng, scene, seen = np.random.default_rng(7), page.scene, 0
    for _ in range(500):
        values = page.values | random_places(rng)
        scene.curves(values)
        answer = scene.answer(values)
        found = [fact for fact in answer.facts if fact.name == "fuse"]
        if found:
            seen += 1
            fuses = [one.value for one in found[0].values[ONLY].numbers.values()]
            assert values["source"] != NOBODY
            assert values["metal"] == "copper" or values["source"] != COPPER
            assert len(fuses) == len(bounds(values))
            for fuse, (draw, most) in zip(fuses, bounds(values), strict=True):
                assert fuse in SOLD
                assert draw / 0.8 * (1 - 1e-12) <= fuse <= most
        assert answer.headline.text("US customary") == answer.headline.text("metric"), "units change a verdict"
    assert seen > 30


@pytest.mark.parametrize(
    ("system", "text", "area"),
    [
        ("metric", "25", 25e-6),
        ("metric", "4 AWG", 21.1506e-6),
        ("US customary", "4", 21.1506e-6),
        ("US customary", "1/0", 53.4751e-6),
        ("US customary", "35 mm2", 35e-6),
    ],
)
def test_sizes_are_typed_in_either_way(page, system, text, area):
    """Areas of gauges: tests/reference/data/awg.csv, ASTM B258."""
    page.board.system = system
    page._on_typed(["area", text])
    assert page.board.refused.get("area", "") == ""
    assert page.values["area"] == pytest.approx(area, rel=1e-5)


@pytest.mark.parametrize("text", ["", "thick", "nan", "4 kg"])
def test_a_size_that_is_none_is_refused(page, text):
    page._on_typed(["area", text])
    assert page.board.refused["area"]
    assert page.values["area"] == 16 * mm2


OUT_OF_REACH = {
    "more power than the page has": ("power", "5000"),
    "a longer wire": ("length", "20 m"),
    "a longer wire in another unit": ("length", "80 ft"),
    "thinner than the page has": ("area", "0.3"),
    "less than nothing": ("area", "-3"),
    "a gauge that is less than nothing": ("area", "-3 AWG"),
    "a gauge too thin": ("area", "25 AWG"),
    "a gauge that is none": ("area", "5/0"),
    "more than any wire here": ("area", "16 cm2"),
    "all power out": ("efficiency", "100"),
    "a rating beyond the page": ("rating", "700 A"),
    "less than no rating": ("rating", "-5"),
    "a rating of milliamperes": ("rating", "75 mA"),
    "a maker's figure of milliamperes": ("maker", "40 mA"),
    "a way back of microohms": ("back", "0.001"),
    "two numbers for one": ("area", "2x10"),
    "a diameter for an area": ("area", "16 mm"),
    "a way back of ohms": ("back", "3 ohm"),
    "more volts than extra low": ("battery", "72"),
    "a maker's figure below nothing": ("maker", "-1"),
}


@pytest.mark.parametrize("system", ["metric", "US customary"])
def test_nothing_is_taken_for_what_is_out_of_reach(page, system):
    """A power or a length cut to the slider's end would tell too small a loss, and too small a fuse."""
    page.board.system = system
    before = dict(page.values)
    for what, (name, text) in OUT_OF_REACH.items():
        page.board.refused = {}
        page._on_typed([name, text])
        assert page.board.refused.get(name), what
        assert page.values == before, what


@pytest.mark.parametrize(("text", "area"), [("00", 67.4309e-6), ("0000 AWG", 107.2193e-6), ("0", 53.4751e-6)])
def test_noughts_are_gauges(page, text, area):
    """00 is 2/0, 0000 is 4/0 (ASTM B258, tests/reference/data/awg.csv)."""
    page.board.system = "US customary"
    page._on_typed(["area", text])
    assert page.values["area"] == pytest.approx(area, rel=1e-5)


def test_a_link_beyond_the_ends_is_refused(page):
    page._on_link("power=5000&length=40&area=0.00002&rating=900")
    assert page.values == page.start | {"area": 0.00002}
    assert "outside what this page reaches" in page.board.note


def test_a_second_amplifier_on_the_same_feed(page):
    """Two of 300 W at 0.65 and 13.8 V draw 33.44 A each: 83.6 over 0.8, so 100 A; a maker bounds his own branch."""
    two = {"more": "a second amplifier", "branch_power": 300.0, "branch_area": 16 * mm2, "branch_rating": 75.0}
    put(page, area=35 * mm2, rating=150.0, **two)
    assert number(page, "fuse") == {"fuse0": 100, "fuse1": 50, "fuse2": 50}
    put(page, branch_maker=40.0)
    assert "the maker allows 40 A" in headline(page)
    assert "fuse" not in [fact.name for fact in page.answer.facts]


def test_gauges_read_as_gauges_and_others_as_mm2(page):
    page.board.system = "US customary"
    put(page, area=21.15064e-6)
    assert page.board.shown["area"]["text"] == "4"
    assert page.text("area") == "4 AWG"
    put(page, area=16 * mm2)
    assert page.text("area") == "16 mm²"
    assert (gauge_of(107.2193e-6), gauge_of(25e-6)) == ("4/0", "")


def test_what_is_not_known_is_shown_as_a_question_mark(page):
    put(page, rating=0.0)
    assert page.board.shown["rating"] == {"text": "?", "note": "(not known)"}
    page._on_typed(["rating", "?"])
    assert page.values["rating"] == 0
    assert page.text("back") == "not measured"


@pytest.mark.parametrize("step", [BRANCH])
def test_a_step_changes_no_answer(page, step):
    before = page.board.answer
    put(page, step=step)
    assert page.board.answer["headline"] == before["headline"]


@pytest.mark.long  # 3 s
def test_nothing_is_called_safe(page):
    for places in ({}, *(places for places, _ in (STOPPED | WITHOUT_A_FUSE).values())):
        page.reset()
        put(page, **places)
        assert "safe" not in told(page).casefold()
    assert set(MADE_FOR) == {"12 V", "24 V", "48 V"}


@pytest.mark.long  # 3 s: a PDF
def test_the_sheet_holds_the_feed_with_every_fuse_and_what_to_buy(page):
    put(page, more=LIGHTS, back=3e-3)
    _, _, content = take("sheet as PDF", taken_of(page))
    (sheet,) = pypdf.PdfReader(io.BytesIO(content)).pages
    text = " ".join(sheet.extract_text().split())
    for piece in page.board.feed:
        assert piece["text"] in text
        assert piece["note"] in text
    assert len(bought(page)) == 4, "three wires, and grommets"
    for line in bought(page):
        assert f"☐ {line}" in text
    assert "the maker allows" not in text, "a curve that is not drawn has no name in the legend"
