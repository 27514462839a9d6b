"""The search for a box: its reasons solved again, its refusals and what it takes to be let in.

Invented parts; no real product is meant by any number. Every number that the search says is recomputed with `solve`.
"""

import dataclasses
import re

import numpy as np
import pytest

from lumpedbox import Air, Amplifier, Brief, Cabin, Driver, Loudspeaker, Port, SealedBox, frequencies, recommend, solve
from lumpedbox.design.search import WORDS
from lumpedbox.design.search.boxes import Boxes
from lumpedbox.design.search.candidates import Candidates
from lumpedbox.design.search.ports import Ports
from lumpedbox.design.trade_off import trade_off
from lumpedbox.figures.style import new_figure
from lumpedbox.figures.trade_off import TradeOffPicture, longest_run
from lumpedbox.parts.displacement import displacement
from lumpedbox.parts.port import port_fit
from lumpedbox.units import cm2, litre, mH, mm

AMPLIFIER = Amplifier(power=40, rated_impedance=4, minimum_load=2, output_resistance=0.05)
DRIVER = Driver.from_thiele_small(
    fs=32,
    Qes=0.42,
    Qms=5.0,
    Vas=30 * litre,
    Sd=214 * cm2,
    Re=3.3,
    Le=0.9 * mH,
    xmax=8 * mm,
    displacement=1.4 * litre,
    name="200 mm bass",
)
STRONG = dataclasses.replace(AMPLIFIER, power=50)
WEAK = dataclasses.replace(AMPLIFIER, power=20)
BRIEF = Brief(volume=30 * litre, amplifier=AMPLIFIER, port_area=80 * cm2, lowest=35)


@pytest.fixture(scope="module")
def found():
    return recommend(DRIVER, BRIEF)


def solved(design, per_octave=200):
    grid = np.union1d(frequencies(8, 500, per_octave), design.brief.lowest)
    return solve(design.loudspeaker, grid, design.brief.drive)


def droop(response):
    """How far the level above f3 lies under a first-order high-pass, and under the loudest beyond: point by point."""
    over, worst = response.level - response.reference_level, 0.0
    for i in np.flatnonzero(response.frequency > response.f3):
        first_order = -10 * np.log10(1 + (response.f3 / response.frequency[i]) ** 2)
        worst = max(worst, min(0.0, over[i:].max()) + first_order - over[i])
    return worst


def numbers(text):
    return [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", text)]


def test_the_few_best_come_first(found):
    assert [design.kind for design in found.designs] == ["vented", "sealed"]
    assert found.designs[0].values["f3"] < found.designs[1].values["f3"]
    assert (found.refused, found.refused_kinds) == ({}, ())


@pytest.mark.parametrize("kind", ["sealed", "vented"])
def test_every_number_in_a_reason_is_what_solving_it_gives(found, kind):
    design = next(design for design in found.designs if design.kind == kind)
    response, box, told = solved(design), design.loudspeaker.box, list(design.reasons)
    played = response.frequency >= BRIEF.lowest
    assert design.loudspeaker.source_resistance == AMPLIFIER.output_resistance
    port = box.port if kind == "vented" else None
    taken = box.volume + DRIVER.displacement + (port.area * port.length if port else 0.0)
    what = [200, 1e3 * box.volume]
    if port:
        what += [float(port.tuning(box.volume)), 1e3 * port.diameter, 1e3 * port.length]
    first = numbers(told.pop(0))
    assert first == pytest.approx([*what, 1e3 * taken, 30.0], abs=0.51)
    assert first[-2] == pytest.approx(1e3 * taken, abs=0.051)
    over = response.level - response.reference_level
    said = [3, float(response.f3), over.max(), droop(response), 1e3 * np.nanmax(response.group_delay[played])]
    assert numbers(told.pop(0)) == pytest.approx(said, abs=0.06)
    travel = 1e3 * response.excursion[played].max()
    assert numbers(told.pop(0)) == pytest.approx([AMPLIFIER.voltage, 35, travel, 8.0], abs=0.06)
    if port:
        assert numbers(told.pop(0)) == pytest.approx([response.port_velocity[played].max()], abs=0.06)
    if port:
        assert told.pop(0).startswith("What holds it back: volume")
    else:  # a larger closed box has a higher f3
        assert told.pop(0) == "Nothing holds it back: loosening any limit would gain almost nothing."
    assert told == []


def test_what_it_returns_keeps_every_limit(found):
    for design in found.designs:
        response = solved(design)
        played = response.frequency >= BRIEF.lowest
        assert (response.level - response.reference_level).max() <= BRIEF.ripple + 0.01
        assert droop(response) <= BRIEF.droop + 0.01
        assert response.excursion[played].max() <= DRIVER.xmax * 1.001
        assert design.values["volume"] <= BRIEF.volume * 1.0001
        if design.kind == "vented":
            assert response.port_velocity[played].max() <= BRIEF.port_speed * 1.001
            assert design.loudspeaker.box.port.area <= BRIEF.port_area * 1.0001
            port = design.loudspeaker.box.port
            assert port.length + port.diameter <= np.cbrt(BRIEF.volume) * 1.0001


LESS = {"candidates": 400}
ROOMY = dataclasses.replace(BRIEF, port_length=0.4, voltage=12.0, lowest=30)


def test_more_litres_are_never_worse_and_a_little_less_is_no_cliff():
    """The f3 of a box whose level sags to nearly half power would leap by half an octave."""
    volumes = np.linspace(40, 80, 11)
    found = [recommend(DRIVER, dataclasses.replace(ROOMY, volume=v * litre), **LESS).designs[0] for v in volumes]
    f3 = np.array([design.values["f3"] for design in found])
    assert {design.kind for design in found} == {"vented"}
    assert np.all(np.diff(f3) < 0.002 * f3[1:])
    assert np.all(f3[:-1] / f3[1:] < 1.1)
    held = [design.values["droop"] for design in found if "droop" in design.holds]
    assert held == pytest.approx([ROOMY.droop] * len(held), abs=0.01)
    assert len(held) > 3


@pytest.mark.parametrize("litres", [60, 70, 75, 80, 85, 90, 100, 120])
def test_without_a_limit_on_droop_half_power_rests_on_a_shelf(litres):
    """A shelf that dips below half power between two frequencies would put f3 above it, half an octave higher."""
    brief = dataclasses.replace(ROOMY, volume=litres * litre, droop=None)
    design = recommend(DRIVER, brief).designs[0]
    response = solved(design, per_octave=2000)
    assert design.values["f3"] == pytest.approx(response.f3, rel=1e-4)
    assert design.values["droop"] == pytest.approx(droop(response), abs=0.02)
    assert droop(response) > 0.8
    assert design.values["f3"] < recommend(DRIVER, dataclasses.replace(brief, droop=0.5)).designs[0].values["f3"] * 0.98


@pytest.mark.parametrize(
    "brief",
    [
        pytest.param(BRIEF, id="volume"),
        pytest.param(dataclasses.replace(ROOMY, volume=70 * litre), id="droop"),
        pytest.param(dataclasses.replace(ROOMY, volume=50 * litre, aim="volume", f3=34), id="f3"),
    ],
)
def test_what_holds_a_design_is_what_more_of_would_make_it_better(brief, request):
    """Found anew, by a search of its own, for each limit that is loosened."""
    design = recommend(DRIVER, brief, **LESS).designs[0]
    assert request.node.callspec.id in design.holds
    limits = {"volume": 1.03, "ripple": 1.1, "droop": 1.3, "excursion": 1.03, "port_speed": 1.03, "port_area": 1.03}
    limits |= {"f3": 1.03} if brief.f3 else {}
    for name, more in limits.items():
        looser = dataclasses.replace(brief, **{name: getattr(brief, name) * more})
        gained = 1 - recommend(DRIVER, looser, **LESS).designs[0].values[brief.aim] / design.values[brief.aim]
        assert (gained > 1e-3) if name in design.holds else (gained < 0.01), name


def vented(brief):
    return next(design for design in recommend(DRIVER, brief, **LESS).designs if design.kind == "vented")


def test_what_is_used_up_without_holding_is_told_apart():
    design = recommend(DRIVER, dataclasses.replace(ROOMY, volume=30 * litre, lowest=25), **LESS).designs[0]
    assert (design.holds, design.used) == (("volume",), ("excursion", "port_speed"))
    assert design.reasons[-2:] == (
        "What holds it back: volume.",
        "Also used up: cone travel, port speed.",
    )


def test_a_port_is_tuned_so_that_it_helps():
    """With little else to keep, the vented box of the lowest hump would be a closed one with a hole."""
    design = vented(dataclasses.replace(BRIEF, amplifier=WEAK, aim="ripple"))
    box = design.loudspeaker.box
    assert "tuning" in design.holds
    assert box.port.tuning(box.volume) == pytest.approx(DRIVER.fs * np.sqrt(1 + DRIVER.Vas / box.volume) / 2, rel=0.01)


def test_a_port_is_no_pinhole_and_no_shorter_than_nothing():
    """Where its air may be as fast as it likes, and where hardly any power makes it slow."""
    fast = vented(dataclasses.replace(BRIEF, amplifier=WEAK, ripple=6.0, port_speed=None, aim="volume"))
    assert any("m/s: above 17 m/s a port gets noisy" in reason for reason in fast.reasons)
    soft = vented(dataclasses.replace(BRIEF, voltage=0.05))
    for design in (fast, soft):
        port = design.loudspeaker.box.port
        assert port.area >= DRIVER.Sd / 50 * (1 - 1e-9)
        assert port.length >= 0
    assert fast.loudspeaker.box.port.area < DRIVER.Sd / 45


def test_a_lowest_tone_of_80_hz_leaves_boxes_that_are_tuned_lower():
    designs = recommend(DRIVER, dataclasses.replace(BRIEF, lowest=80), **LESS).designs
    design = next(design for design in designs if design.kind == "vented")
    assert design.loudspeaker.box.port.tuning(design.loudspeaker.box.volume) < 50
    assert any("It reaches lower than you play" in reason for reason in design.reasons)


def test_the_lowest_tone_that_is_told_is_that_from_which_travel_and_speed_are_kept():
    driver = dataclasses.replace(DRIVER, xmax=4 * mm)
    brief = dataclasses.replace(BRIEF, amplifier=dataclasses.replace(AMPLIFIER, power=75), port_area=None)
    relaxed = recommend(driver, brief, **LESS).refused["200 mm bass"].relaxed["lowest"]
    assert recommend(driver, relaxed, **LESS).designs
    slightly_lower = dataclasses.replace(relaxed, lowest=relaxed.lowest * 0.99)
    assert not recommend(driver, slightly_lower, **LESS).designs


# What asks too much, and the limit that it fails by: briefs that no box meets.
INFEASIBLE = {
    "f3": (DRIVER, dataclasses.replace(BRIEF, volume=8 * litre, f3=35.0, port_area=None)),
    "ripple": (dataclasses.replace(DRIVER, Bl=4.0), dataclasses.replace(BRIEF, ripple=0.3)),
    "voltage": (dataclasses.replace(DRIVER, xmax=4 * mm), dataclasses.replace(BRIEF, f3=38, port_length=0.6)),
    "port_length": (DRIVER, dataclasses.replace(BRIEF, amplifier=STRONG, lowest=30, f3=45)),
    "volume": (DRIVER, dataclasses.replace(BRIEF, volume=11 * litre, port_area=None, f3=61.8, ripple=0.75)),
    "delay": (DRIVER, dataclasses.replace(BRIEF, delay=0.002, amplifier=WEAK)),
}


@pytest.mark.parametrize("limit", INFEASIBLE)
def test_of_a_brief_that_no_box_meets_the_limit_is_named_and_its_relaxation_works(limit):
    driver, brief = INFEASIBLE[limit]
    refused = recommend(driver, brief, **LESS)
    assert refused.designs == ()
    refusal = refused.refused["200 mm bass"]
    assert refusal.limit == limit, refusal.why
    assert "no box can do it. What would help: " in refusal.why
    for relaxed in refusal.relaxed.values():
        assert recommend(driver, relaxed, **LESS).designs, relaxed
    nearest = next(iter(refusal.relaxed.values()))
    design = recommend(driver, nearest, **LESS).designs[0]
    assert solved(design).f3 <= (nearest.f3 or np.inf) * 1.001


def test_a_relaxation_is_the_nearest_there_is():
    """Less than it says does not do; here for the f3 that a box of that size reaches, and the power that it stands."""
    for limit, share in (("f3", 0.99), ("voltage", 1.02)):
        driver, brief = INFEASIBLE[limit]
        relaxed = recommend(driver, brief, **LESS).refused["200 mm bass"].relaxed[limit]
        value = getattr(relaxed, limit) * share
        assert recommend(driver, dataclasses.replace(brief, **{limit: value}), **LESS).designs == ()


def test_the_power_that_is_told_is_the_square_of_the_volts():
    driver, brief = INFEASIBLE["voltage"]
    why = recommend(driver, brief, **LESS).refused["200 mm bass"].why
    new, old, percent = map(
        float, re.search(r"no more than ([\d.]+) V instead of ([\d.]+) \((\d+) % of the power\)", why).groups()
    )
    assert percent == pytest.approx(100 * (new / old) ** 2, abs=1.2)
    assert old == pytest.approx(brief.drive, abs=0.06)


def test_where_no_single_limit_is_enough_several_give():
    brief = dataclasses.replace(INFEASIBLE["f3"][1], f3=30.0, ripple=0.05, lowest=20, volume=3 * litre)
    brief = dataclasses.replace(brief, amplifier=dataclasses.replace(AMPLIFIER, power=200))
    refusal = recommend(DRIVER, brief, **LESS).refused["200 mm bass"]
    assert "loosening one limit is not enough" in refusal.why
    (relaxed,) = refusal.relaxed.values()
    assert recommend(DRIVER, relaxed, **LESS).designs


def test_per_driver_why_one_is_out():
    table = {
        "fits": DRIVER,
        "low load": dataclasses.replace(DRIVER, Re=1.4, Bl=6.0),
        "no travel known": dataclasses.replace(DRIVER, xmax=None),
    }
    found = recommend(table, BRIEF, **LESS)
    assert {design.name for design in found.designs} == {"fits"}
    assert found.refused["low load"].limit == "amplifier"
    assert "1.4 ohm, and the amplifier needs at least 1.6 ohm" in found.refused["low load"].why
    assert found.refused["no travel known"].limit == "xmax"
    relaxed = found.refused["no travel known"].relaxed["excursion"]
    design = recommend(table["no travel known"], relaxed, **LESS).designs[0]
    assert not any("the cone moves" in reason for reason in design.reasons), "nothing is said of what is not known"
    assert "low load is out: its coil has" in str(found)


def test_the_kind_that_does_not_suit_says_why():
    loud = dataclasses.replace(BRIEF, amplifier=dataclasses.replace(AMPLIFIER, power=75), port_area=20 * cm2)
    found = recommend(DRIVER, loud, **LESS)
    assert [design.kind for design in found.designs] == ["sealed"]
    (refusal,) = found.refused_kinds
    assert refusal.kind == "vented"
    assert "200 mm bass in a vented box is out: no box can do it." in str(refusal)
    assert recommend(DRIVER, refusal.relaxed[refusal.limit], **LESS).designs[0].kind in ("sealed", "vented")


@pytest.mark.parametrize("aim", ["volume", "ripple", "delay", "excursion", "port_speed"])
def test_what_is_aimed_at_is_no_worse_than_when_something_else_is(found, aim):
    aimed = recommend(DRIVER, dataclasses.replace(BRIEF, aim=aim), **LESS)
    for design in aimed.designs:
        other = next(entry for entry in found.designs if entry.kind == design.kind)
        assert design.values[aim] <= other.values[aim] * 1.005 + 1e-6


def test_in_a_cabin_and_without_a_port():
    small = Cabin(length=2.4, width=1.4, height=1.1)
    inside = recommend(DRIVER, dataclasses.replace(BRIEF, cabin=small, port_area=None), **LESS)
    assert [design.kind for design in inside.designs] == ["sealed"]
    assert inside.designs[0].values["f3"] < recommend(DRIVER, BRIEF, **LESS).designs[1].values["f3"]
    assert inside.designs[0].loudspeaker.cabin == small


def of_sheet(fs, Qes, Qms, litres, area, Le=0.0, **more):
    return Driver.from_thiele_small(
        fs=fs, Qes=Qes, Qms=Qms, Vas=litres * litre, Sd=area * cm2, Re=3.4, Le=Le * mH, **more
    )


def test_drivers_of_unlike_kinds_are_answered():
    """Found by random trials: several limits passed at once, a port that is a hole, an f3 beyond what is bass."""
    strong = dataclasses.replace(AMPLIFIER, power=150, output_resistance=0.0)
    stiff = of_sheet(72, 0.54, 9, 50, 214, xmax=8.5 * mm)
    found = recommend(stiff, Brief(volume=20 * litre, amplifier=strong, port_area=30 * cm2, lowest=35), **LESS)
    (refusal,) = found.refused_kinds
    assert "loosening one limit is not enough" in refusal.why
    light = of_sheet(56.8, 0.3527, 6.632, 67.05, 330, Le=1.0, xmax=7.23 * mm)
    brief = Brief(volume=0.0604, amplifier=AMPLIFIER, voltage=7.82, port_area=164 * cm2, port_length=0.736, lowest=73.3)
    assert len(recommend(light, dataclasses.replace(brief, ripple=1, droop=0.1), **LESS).designs) == 2
    short = of_sheet(77.89, 0.5, 7.823, 48.28, 500, Le=1.0, xmax=6.26 * mm)
    tiny = Brief(volume=7.487 * litre, amplifier=strong, port_area=55 * cm2, ripple=4, aim="excursion")
    assert all(design.values["f3"] < 250 for design in recommend(short, tiny, **LESS).designs)
    tweeter = of_sheet(900, 1.0, 3, 0.01, 6, xmax=0.3 * mm, name="a tweeter")
    assert "it resonates at 900 Hz" in str(recommend(tweeter, BRIEF))


def test_where_no_limit_could_be_so_loose_the_one_that_is_missed_most_is_named():
    """No port fits into a third of a litre, however it is loosened; nor does the driver itself."""
    tiny = dataclasses.replace(BRIEF, volume=0.3 * litre, port_length=0.005)
    bare = dataclasses.replace(DRIVER, displacement=0.0)
    found = recommend(bare, dataclasses.replace(tiny, ripple=20, excursion=3), **LESS)
    assert [design.kind for design in found.designs] == ["sealed"]
    (refusal,) = found.refused_kinds
    assert (refusal.kind, refusal.limit, refusal.relaxed) == ("vented", "port_area", {})
    assert "no looser limit that we tried helps. It misses port area by most." in str(refusal)
    assert recommend(DRIVER, tiny, **LESS).refused["200 mm bass"].limit == "volume"
    with pytest.raises(ValueError, match=r"Brief\.f3 must be between 8 and 250 Hz"):
        dataclasses.replace(BRIEF, f3=300.0)


def test_ways_that_are_told_lead_there_where_only_a_sliver_is_left():
    weak = dataclasses.replace(AMPLIFIER, power=5, output_resistance=0.2)
    driver = of_sheet(26.74, 0.3283, 4.482, 12.38, 130, Le=1.0, xmax=7.6 * mm, displacement=1.5 * litre)
    brief = Brief(volume=6.427 * litre, amplifier=weak, port_area=132 * cm2, port_length=0.1017, lowest=31.05)
    brief = dataclasses.replace(brief, ripple=4, droop=1.5, aim="delay")
    (refusal,) = recommend(driver, brief, **LESS).refused_kinds
    for relaxed in refusal.relaxed.values():
        assert {design.kind for design in recommend(driver, relaxed, **LESS).designs} == {"sealed", "vented"}


def test_a_longer_port_is_never_worse_and_more_candidates_are_no_worse():
    """Two kinds of vented box compete here: the smaller one that is tuned higher was missed by 10 %."""
    brief = dataclasses.replace(BRIEF, amplifier=STRONG, voltage=12.0)
    f3 = [
        recommend(DRIVER, dataclasses.replace(brief, port_length=length), candidates=900).designs[0].values["f3"]
        for length in np.linspace(0.25, 0.3, 6)
    ]
    assert np.all(np.diff(f3) <= 1e-3 * f3[0])
    more = recommend(DRIVER, dataclasses.replace(brief, port_length=0.25)).designs[0].values["f3"]
    assert more == pytest.approx(f3[0], rel=1e-3)


def test_without_a_longest_port_the_room_that_it_needs_is_what_is_told():
    brief = dataclasses.replace(BRIEF, amplifier=STRONG, voltage=12.0)
    design = recommend(DRIVER, brief, **LESS).designs[0]
    assert {"volume", "port_length"} <= set(design.holds)
    longer = recommend(DRIVER, dataclasses.replace(brief, port_length=0.4), **LESS).designs[0]
    assert longer.values["f3"] < 0.9 * design.values["f3"]


def test_the_volume_holds_a_driver_that_takes_up_none_of_it():
    bare = dataclasses.replace(DRIVER, displacement=0.0)
    small = dataclasses.replace(BRIEF, volume=8 * litre, port_area=None, voltage=12.0)
    (design,) = recommend(bare, small, **LESS).designs
    assert design.holds == ("volume",)


def test_a_driver_of_unknown_displacement_takes_up_what_is_estimated():
    """A box is judged with the driver in it, whether its sheet says how much it takes up or not."""
    unknown = dataclasses.replace(DRIVER, displacement=None)
    for design in recommend(unknown, BRIEF, **LESS).designs:
        box = design.loudspeaker.box
        ported = box.port.area * box.port.length if design.kind == "vented" else 0.0
        assert design.values["volume"] - box.volume - ported == pytest.approx(displacement(unknown), rel=1e-9)
        assert design.values["volume"] <= BRIEF.volume * (1 + 1e-6)


def test_nonsense_is_refused_by_name():
    with pytest.raises(ValueError, match=r"Brief\.volume must be between .* got 30: did you mean 30 \* litre\?"):
        Brief(volume=30, amplifier=AMPLIFIER)
    with pytest.raises(ValueError, match=r"Brief\.port_area .* did you mean 80 \* cm2"):
        dataclasses.replace(BRIEF, port_area=80)
    with pytest.raises(ValueError, match="aim"):
        dataclasses.replace(BRIEF, aim="loudness")
    with pytest.raises(
        ValueError, match=r"Brief\.voltage must be at most what the amplifier gives, 12\.65 V, got 30 V"
    ):
        dataclasses.replace(BRIEF, voltage=30)
    with pytest.raises(TypeError, match=r"recommend\.brief must be Brief"):
        recommend(DRIVER, {"volume": 0.03})
    with pytest.raises(ValueError, match="family of shape"):
        recommend({"several": dataclasses.replace(DRIVER, Re=[3.3, 3.4])}, BRIEF, **LESS)
    with pytest.raises(ValueError, match="must be a single number"):
        dataclasses.replace(BRIEF, volume=[0.02, 0.03])


@pytest.mark.parametrize("drivers", [[DRIVER], "200 mm bass", None, 3.0])
def test_what_is_no_driver_nor_a_table_of_them_is_refused(drivers):
    with pytest.raises(TypeError, match=r"recommend\.drivers must be a Driver, or a dict of name to Driver, got "):
        recommend(drivers, BRIEF)


def test_an_empty_table_and_what_is_no_air_are_refused():
    with pytest.raises(ValueError, match=r"recommend\.drivers has no driver in it"):
        recommend({}, BRIEF)
    with pytest.raises(TypeError, match=r"recommend\.air must be Air, got int 20"):
        recommend(DRIVER, BRIEF, air=20)


@pytest.mark.parametrize("best", [0, -1, "x", 2.5])
def test_a_number_of_designs_that_is_none_is_refused(best):
    with pytest.raises((TypeError, ValueError), match=r"recommend\.best must be "):
        recommend(DRIVER, BRIEF, best=best)


def test_the_trade_off_refuses_by_name():
    with pytest.raises(TypeError, match=r"trade_off\.driver must be Driver"):
        trade_off(None, BRIEF)
    with pytest.raises(TypeError, match=r"trade_off\.brief must be Brief"):
        trade_off(DRIVER, None)
    with pytest.raises(ValueError, match=r"trade_off\.driver must be one Driver, got a family of shape \(2,\)"):
        trade_off(dataclasses.replace(DRIVER, Re=[3.3, 3.4]), BRIEF)


def test_limits_at_the_ends_of_what_they_can_be():
    wide = dataclasses.replace(BRIEF, port_area=0.25, port_length=3.0, volume=10, droop=20, ripple=20, excursion=3)
    assert recommend(DRIVER, wide, **LESS).designs


@pytest.mark.parametrize("volume", [0.2, 2, 6, 7, 9000])
def test_any_volume_is_answered(volume):
    """Where hardly a hole, or no room at all, is left for a port too."""
    found = recommend(DRIVER, dataclasses.replace(BRIEF, volume=volume * litre, lowest=20), candidates=400)
    assert found.designs or found.refused


def test_litres_that_are_told_do_not_hang_on_those_that_exist():
    told = []
    for volume in (8, 12, 15):
        relaxed = (
            recommend(DRIVER, dataclasses.replace(BRIEF, volume=volume * litre, voltage=12.0), **LESS)
            .refused_kinds[0]
            .relaxed
        )
        told.append(relaxed["volume"].volume)
    assert told == pytest.approx([told[0]] * 3, rel=0.01)


def test_a_number_out_of_a_range_is_answered_with_its_ends():
    with pytest.raises(ValueError, match="must be one of 100 to 1000000"):
        recommend(DRIVER, BRIEF, candidates=10)


def test_the_trade_off_passes_through_what_is_recommended(found):
    for entry in trade_off(DRIVER, BRIEF):
        design = next(design for design in found.designs if design.kind == entry.kind)
        known = np.isfinite(entry.f3)
        there = np.interp(BRIEF.volume, entry.volume[known], np.minimum.accumulate(entry.f3[known]))
        assert there == pytest.approx(design.values["f3"], rel=0.04)
        assert np.all(np.diff(entry.volume) > 0)
        assert np.all(entry.f3[known] > entry.bound[known]), "this driver suits none of the best shapes"
        assert np.array_equal(known, [limit == "" for limit in entry.limits])
        assert set(entry.limits) - {""} <= set(WORDS)


def test_a_volume_that_is_out_is_out_for_the_reason_that_it_gives():
    """The smallest sealed boxes have a hump that is higher than allowed: solved here for each."""
    sealed, _ = trade_off(DRIVER, dataclasses.replace(BRIEF, ripple=0.5), candidates=400)
    out = [volume for volume, limit in zip(sealed.volume, sealed.limits, strict=True) if limit == "ripple"]
    assert out
    for volume in out:
        box = SealedBox(volume=volume - DRIVER.displacement, Ql=7)
        speaker = Loudspeaker(driver=DRIVER, box=box, source_resistance=AMPLIFIER.output_resistance)
        response = solve(speaker, frequencies(8, 500, 96))
        assert (response.level - response.reference_level).max() > 0.5


def test_the_picture_of_the_trade_off(found):
    brief = dataclasses.replace(BRIEF, ripple=0.5)
    entries = trade_off(DRIVER, brief, candidates=400)
    picture = TradeOffPicture(new_figure().subplots(), 15, 120)
    picture.change(0.06, "takes up [litres]", litre)
    points = {design.kind: (design.values["volume"], design.values["f3"]) for design in found.designs}
    picture.show(entries, WORDS, brief.volume, {**points, "vented": None})
    x, y = picture.curves["sealed"].get_data()
    assert x == pytest.approx(entries[0].volume / litre)
    assert y == pytest.approx(entries[0].f3, nan_ok=True)
    assert picture.available.get_xdata()[0] == pytest.approx(30)
    assert np.ravel(picture.points["sealed"].get_data()) == pytest.approx(
        [1e3 * points["sealed"][0], points["sealed"][1]]
    )
    assert np.isnan(picture.points["vented"].get_xdata()[0])
    first, after = longest_run([bool(limit) for limit in entries[0].limits])
    assert picture.reasons["sealed"].get_text() == f"sealed: {WORDS['ripple']}"
    strip = picture.strips["sealed"]
    assert strip.get_x() == 0.0
    assert strip.get_width() == pytest.approx(entries[0].volume[after - 1] / litre)
    assert first == 0
    picture.show(entries[:1], WORDS, brief.volume, {})
    assert len(picture.curves["vented"].get_xdata()) == 0
    assert picture.reasons["vented"].get_text() == ""


def test_the_port_is_as_large_as_its_limits_allow():
    """Its area, its length and the room that it takes are checked with the port itself; a larger one breaks a limit."""
    for brief in (BRIEF, dataclasses.replace(BRIEF, port_length=0.15)):
        boxes = Boxes.within(DRIVER, "vented", brief, Air())
        volume, tuning = boxes.volumes_and_tunings(Candidates(boxes, 400).points)
        ports, room = boxes.ports(volume, tuning), brief.volume - DRIVER.displacement - volume
        found = ports.largest_within(room)
        inside = (ports.smallest < np.minimum(ports.longest, brief.port_area)) & (room > 0)
        assert inside.sum() > 100

        def over(area, brief=brief, volume=volume, tuning=tuning, room=room):
            port = Port(length=0.0, diameter=2 * np.sqrt(area / np.pi))
            length = port.length_for(tuning, volume)
            longest = brief.port_length or np.cbrt(volume) - port.diameter
            return (port.area > brief.port_area) | (length > longest) | (length * port.area > room)

        assert not over(found * (1 - 1e-6))[inside].any()
        assert over(found * 1.001)[inside].all()


def test_the_search_and_the_pages_agree_on_the_longest_port():
    """The largest straight port of the search fits by the pages' rule; of a little more area it needs a bend."""
    volume, tuning = np.array([20.0, 60.0]) * litre, np.array([36.0, 45.0])
    ports = Ports.that_tune(volume, tuning, DRIVER, BRIEF, Air())
    for one, fb, longest in zip(volume, tuning, ports.longest, strict=True):
        verdicts = [port_fit(share * longest, fb, one).verdict for share in (0.999, 1.001)]
        assert verdicts == ["fits", "needs a bend"]
