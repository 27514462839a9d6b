"""Laws of every feed, and three thousand damaged ones: refused by name, or right by a second computation.

The second computation is written here from the rules of wire and fuse, and shares nothing with lumpedbox but its parts.
"""

import dataclasses
import math
import random
import re

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lumpedbox.build import Cable, Draw, Feed, awg
from lumpedbox.build.feed import NoFuse
from lumpedbox.tables.quantity_text import number_in
from lumpedbox.units import foot, mm2

SHEET = "the maker's sheet of this cable"
METALS = ("copper", "copper-clad aluminium 10 %", "copper-clad aluminium 15 %")
SOLD = (1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 500)

areas = st.floats(0.5, 120).map(lambda x: x * mm2)
cables = st.builds(
    Cable,
    area=areas,
    length=st.floats(0.2, 8),
    metal=st.sampled_from(METALS),
    current_rating=st.floats(60, 300),
    source=st.just(SHEET),
)
draws = st.builds(
    Draw,
    power=st.floats(1, 300),
    efficiency=st.floats(0.3, 1),
    maker_fuse=st.none() | st.floats(5, 150),
    kind=st.sampled_from(["amplifier", "amplifier", "converter", "lights"]),
)


@st.composite
def feeds(draw, depth=0):
    """A feed at 13.8 V, as nested as three deep, that loses less than all its volts."""
    branches = draw(st.lists(feeds(depth + 1), max_size=2)) if depth < 2 else []
    least = 0 if branches else 1
    fields = {
        "cable": draw(cables),
        "draws": draw(st.lists(draws, min_size=least, max_size=2)),
        "return_resistance": draw(st.none() | st.floats(0, 0.01)),
    }
    made = attempt(lambda: Feed(voltage=13.8, branches=branches, **fields))
    assume(not (isinstance(made, ValueError) and made.name == "cable"))  # all volts lost on the way
    assert isinstance(made, Feed)
    return made


def attempt(build):
    """Return what a call gives, or its refusal."""
    try:
        return build()
    except (ValueError, TypeError) as error:
        return error


def outcome(feed):
    """Return the fuse of a feed, or its refusal."""
    return attempt(lambda: feed.fuse)


@given(feeds(), st.floats(1, 4))
def test_a_longer_wire_never_drops_less(feed, factor):
    longer = dataclasses.replace(feed.cable, length=feed.cable.length * factor)
    other = attempt(lambda: dataclasses.replace(feed, cable=longer))
    if isinstance(other, ValueError):
        assert re.search(r"cable cannot carry", str(other))
    else:
        assert all(b.drop >= a.drop for a, b in zip(feed.places, other.places, strict=True))


@given(feeds(), st.floats(0.05, 1))
def test_a_larger_fuse_is_never_told_for_a_smaller_cable(feed, factor):
    smaller = dataclasses.replace(
        feed.cable, area=max(feed.cable.area * factor, 0.06e-6), current_rating=feed.cable.current_rating * factor
    )
    told = attempt(lambda: dataclasses.replace(feed, cable=smaller).fuse)
    larger = outcome(feed)
    if isinstance(larger, NoFuse):
        assert isinstance(told, ValueError), "less wire finds no fuse where more does not"
    elif not isinstance(told, ValueError) and not isinstance(larger, ValueError):
        assert told <= larger


@given(feeds())
def test_every_fuse_carries_its_draw_and_lies_within_every_bound(feed):
    """And there is one at the beginning of every cable, or none is told for the feed at all."""
    if isinstance(outcome(feed), ValueError):
        assert any(isinstance(outcome(place.feed), ValueError) for place in feed.places)
        return
    for place in feed.places:
        drawn = current(place.feed)
        assert drawn / 0.8 * (1 - 1e-12) <= place.fuse <= place.feed.cable.current_rating
        only = place.feed.draws if len(place.feed.draws) == 1 and not place.feed.branches else ()
        alone = only or amplifiers(place.feed)
        if len(alone) == 1 and place.feed.draws.count(alone[0]) and alone[0].maker_fuse is not None:
            assert place.fuse <= alone[0].maker_fuse


@given(feeds())
def test_thicker_wire_is_advised_only_where_it_helps(feed):
    """Where the cable alone binds, a thicker one is enough; where the maker's figure binds, it is not."""
    found = outcome(feed)
    if not isinstance(found, NoFuse) or not found.owner == "Feed":
        return
    much = dataclasses.replace(feed.cable, area=500 * mm2, current_rating=2000)
    mended = outcome(dataclasses.replace(feed, cable=much))
    if found.binds == ("cable",):
        assert not isinstance(mended, NoFuse) or mended.owner != "Feed"
        assert "take thicker" in str(found)
    else:
        assert isinstance(mended, NoFuse)
        assert "take thicker" not in str(found)


def current(feed):
    return sum(d.power / d.efficiency / 13.8 for d in feed.draws) + sum(map(current, feed.branches))


def amplifiers(feed):
    return [d for d in feed.draws if d.kind == "amplifier"] + [d for b in feed.branches for d in amplifiers(b)]


@given(st.integers(0, 20), st.floats(0.5, 8), st.floats(20, 900), st.floats(20, 300), st.none() | st.floats(5, 150))
def test_no_system_of_units_changes_a_verdict(gauge, metres, power, rating, maker):
    """The same wire typed as a gauge and feet, and as square millimetres and metres, to six digits."""
    typed = {
        "metric": (number_in(f"{awg(gauge) / mm2:.9g} mm2", "mm2", 1e-6), number_in(f"{metres:.9g} m", "m", 1.0)),
        "US": (awg(gauge), number_in(f"{metres / foot:.9g} ft", "ft", foot)),
    }
    draw = Draw(power=power, efficiency=0.65, maker_fuse=maker)
    told = []
    for area, length in typed.values():
        cable = Cable(area=area, length=length, current_rating=rating)
        feed = attempt(lambda cable=cable: Feed(voltage=13.8, cable=cable, draws=draw))
        told.append((outcome(feed), feed.drop) if isinstance(feed, Feed) else (feed, math.nan))
    (metric, drop), (us, other) = told
    assert type(metric) is type(us)
    assert isinstance(metric, ValueError) or metric == us
    assert getattr(metric, "binds", ()) == getattr(us, "binds", ())
    assert drop == pytest.approx(other, rel=1e-7, nan_ok=True)


# --- three thousand random and damaged inputs -----------------------------------------------------------------------

RHO = {"copper": 1 / 58, "copper-clad aluminium 10 %": 0.0274, "copper-clad aluminium 15 %": 0.0268}
NONSENSE = (
    *(None, math.nan, math.inf, -math.inf, -1.0, 0.0, 1e9, "12", "", b"1", True, [], [1.0, 2.0], {}, object(), 1j),
    *(10**400, np.array([1.0, 2.0]), "copper-clad aluminium", "accessory tap", "high voltage", (16, 10.8)),
)


def random_cable(rng):
    clad = rng.random() < 0.3
    return {
        "area": rng.choice([4, 10, 25, 35, 50, rng.uniform(1, 100)]) * mm2,
        "length": rng.uniform(0.2, 8),
        "metal": METALS[rng.randrange(1, 3)] if clad else "copper",
        "current_rating": None if rng.random() < 0.1 else math.exp(rng.uniform(2, 6)),
        "source": rng.choice(["", "sheet of this wire", "copper table"]),
    }


def random_draw(rng):
    return {
        "power": math.exp(rng.uniform(1, 7)),
        "efficiency": rng.uniform(0.3, 1),
        "maker_fuse": None if rng.random() < 0.6 else rng.uniform(5, 150),
        "rated_voltage": rng.choice([*[(10.8, 16)] * 8, (20, 32), (36, 60)]),
        "kind": rng.choice(["amplifier", "converter", "lights"]),
    }


def random_feed(rng, voltage, depth=0):
    count = rng.randrange(3) if depth < 2 else 0
    return {
        "voltage": voltage if rng.random() < 0.97 else 27.6,
        "cable": random_cable(rng),
        "draws": [random_draw(rng) for _ in range(rng.randrange(0 if count else 1, 3))],
        "branches": [random_feed(rng, voltage, depth + 1) for _ in range(count)],
        "return_resistance": None if rng.random() < 0.5 else rng.uniform(0, 0.01),
        "vehicle": "high voltage" if rng.random() < 0.04 else rng.choice(["unknown", "start-stop", "mild hybrid"]),
        "taken_from": "accessory tap" if rng.random() < 0.03 else "battery",
    }


def dicts(given_):
    """Return every dict that a description is made of."""
    if isinstance(given_, dict):
        return [given_, *(found for item in given_.values() for found in dicts(item))]
    return [found for item in given_ for found in dicts(item)] if isinstance(given_, list) else []


def built(given_):
    """Make a feed of a description; what is no description is handed on as it is."""

    def each(make, items):
        good = isinstance(items, list) and all(isinstance(one, dict) for one in items)
        return [make(one) for one in items] if good else items

    cable = Cable(**given_["cable"]) if isinstance(given_["cable"], dict) else given_["cable"]
    draws = each(lambda one: Draw(**one), given_["draws"])
    return Feed(**{**given_, "cable": cable, "draws": draws, "branches": each(built, given_["branches"])})


def right_current(given_):
    here = sum(one["power"] / one["efficiency"] / given_["voltage"] for one in given_["draws"])
    return here + sum(map(right_current, given_["branches"]))


def right_resistance(cable):
    rows = {4: 4.95e-3, 10: 1.91e-3, 25: 0.78e-3, 35: 0.554e-3, 50: 0.386e-3}
    row = rows.get(round(cable["area"] / mm2, 9)) if cable["metal"] == "copper" else None
    return (row or RHO[cable["metal"]] / (cable["area"] / mm2)) * cable["length"]


def all_amplifiers(given_):
    here = [one for one in given_["draws"] if one["kind"] == "amplifier"]
    return here + [one for branch in given_["branches"] for one in all_amplifiers(branch)]


def must_refuse_to_build(given_):
    """Tell whether the table of refusals forbids any answer: voltage, vehicle, tap."""
    every = [given_, *(branch for branch in dicts(given_["branches"]) if "voltage" in branch)]
    return any(
        one["vehicle"] == "high voltage"
        or one["taken_from"] == "accessory tap"
        or (one["vehicle"] == "mild hybrid" and one["voltage"] > 16)
        or one["voltage"] != given_["voltage"]
        or any(not low <= one["voltage"] <= high for low, high in (d["rated_voltage"] for d in one["draws"]))
        for one in every
    )


def too_much(cable):
    """Tell whether a rating is more than still air carries away at 180 K: 13,572 W/m per root of m2."""
    ohm_per_metre = RHO[cable["metal"]] / (cable["area"] / mm2)
    return cable["current_rating"] ** 2 * ohm_per_metre > 15 * math.pi * 1.6 * 180 * math.sqrt(cable["area"])


def has_no_fuse(given_):
    """Tell whether a cable or a branch of it lacks a rating, a draw, or a fuse that is sold and fits."""
    cable = given_["cable"]
    foreign = cable["metal"] != "copper" and cable["source"] in ("", "copper table")
    nothing = cable["current_rating"] is None or foreign or not right_current(given_) or too_much(cable)
    return nothing or right_fuse(given_) is None or any(map(has_no_fuse, given_["branches"]))


def right_fuse(given_):
    """Return the smallest fuse that is sold and fits, or None."""
    bounds = [given_["cable"]["current_rating"]]
    amplifiers = all_amplifiers(given_)
    alone = given_["draws"] if len(given_["draws"]) == 1 and not given_["branches"] else amplifiers
    if len(alone) == 1 and alone[0] in given_["draws"] and alone[0]["maker_fuse"]:
        bounds.append(alone[0]["maker_fuse"])
    carries = [one for one in SOLD if one * 0.8 * (1 + 1e-12) >= right_current(given_)]
    return carries[0] if carries and carries[0] <= min(bounds) else None


def check_numbers(given_, feed):
    """Hold what a feed tells against the second computation."""
    assert feed.current == pytest.approx(right_current(given_), rel=1e-12)
    there = right_resistance(given_["cable"]) + (given_["return_resistance"] or 0)
    assert feed.drop == pytest.approx(right_current(given_) * there, rel=1e-9)
    if given_["return_resistance"] is None:
        with pytest.raises(ValueError, match=r"return_resistance is missing"):
            _ = feed.voltage_at_load
    else:
        assert feed.voltage_at_load == pytest.approx(given_["voltage"] - feed.drop, rel=1e-12)
    assert feed.remarks


def check_fuse(given_, feed):
    told = outcome(feed)
    if has_no_fuse(given_):
        assert isinstance(told, ValueError)
        assert re.match(r"Feed(\.branches\[\d\])*\.(cable|draws|rating_of_fuses)", str(told)), str(told)
        return "refused"
    assert told == right_fuse(given_)
    return "told"


def damage(given_, rng):
    """Put nonsense in the place of one value; return its name."""
    target = rng.choice(dicts(given_))
    key = rng.choice(list(target))
    target[key] = rng.choice(NONSENSE)
    return key


def check(given_, key):
    """Hold one description, damaged at `key` if that is not empty, against the rules; return what came of it."""
    feed = attempt(lambda: built(given_))
    if not isinstance(feed, Feed):
        assert key or must_refuse_to_build(given_) or "cannot carry" in str(feed), str(feed)
        assert re.match(r"(Cable|Draw|Feed)(\.branches\[\d\])*\.\w+", str(feed)), str(feed)
        return "damaged" if key else "not built"
    assert not must_refuse_to_build(given_)
    check_numbers(given_, feed)
    return check_fuse(given_, feed)


@pytest.mark.parametrize("part", range(3))
def test_a_thousand_random_and_damaged_inputs(part):
    rng = random.Random(part)
    seen = []
    for _ in range(1000):
        given_ = random_feed(rng, rng.choice([12.4, 13.8, 14.4]))
        key = damage(given_, rng) if rng.random() < 0.5 else ""
        seen.append(check(given_, key))
    counts = {word: seen.count(word) for word in ("told", "refused", "not built", "damaged")}
    assert min(counts.values()) > 20, counts
