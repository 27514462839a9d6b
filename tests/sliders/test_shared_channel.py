"""What the page on two speakers of one channel says, against Kirchhoff's laws by hand (tests/two_on_a_channel.py)."""

import dataclasses
import re

import numpy as np
import pytest

from lumpedbox.sliders.kit.wirings import METER_OFF, NOT_KNOWN, PAIRS, PARALLEL, SERIES
from lumpedbox.sliders.lessons.shared_channel import shared_channel
from lumpedbox.sliders.lessons.shared_channel.answering import (
    ACROSS,
    AGAINST,
    BEHIND,
    NO_CURE,
    NOT_READ,
    OFF_PLASTIC,
    OHMS,
    OPEN,
    PAD,
    with_watts,
)
from lumpedbox.sliders.lessons.shared_channel.page import WITHOUT
from lumpedbox.tables import demo_drivers
from lumpedbox.units import uF
from tests import two_on_a_channel as by_hand
from tests.sliders.conftest import conditions, details, headline, put

WOOFER, TWEETER, DASH = "165 mm panel", "25 mm pillar tweeter", "19 mm dash tweeter"
STORES, UNIT = "four channels from the stores", "head unit of the minibus"
FULL = {STORES: np.sqrt(75 * 4), UNIT: 9.1}  # V: data/amplifiers.csv, data/head_units.csv
LOWEST = {STORES: 1.6, UNIT: 3.2}  # ohm: 0.8 of the printed 2 and 4 (IEC 60268-5, from memory)
E12 = [digits * power for power in (1, 10) for digits in (1, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2)][
    :21
]


@pytest.fixture(scope="module")
def made():
    return shared_channel()


def cell(page, name, column):
    return page.answer[name][column]


def cautions(page):
    return [said.text("metric") for said in page.answer.cautions]


def size_sold(watts):
    """The next size of wirewound resistors from 1 to 100 W (common practice, no source)."""
    return min(size for size in (1, 2, 5, 10, 15, 20, 25, 50, 100, 200) if size >= watts)


def circuit(page, wiring=None, **changed):
    """The page's circuit without a cure, or with what is named."""
    values, drivers = page.values, demo_drivers()
    capacitor = values["capacitor"] if values["fitted"] != WITHOUT and "tweeter" in values["second"] else None
    how = PARALLEL if (wiring or values["wiring"]) == PARALLEL else SERIES
    pair = {"woofer": drivers[values["woofer"]], "other": drivers[values["second"]]}
    return {**pair, "wiring": how, "capacitor": capacitor} | changed


def fault(drawn):
    """The worse of what the woofer loses at most from 40 to 315 Hz and how far the tweeter is off it. [dB]"""
    return max(by_hand.lost(np.geomspace(40, 315, 300), **drawn).max(), abs(by_hand.off(**drawn)))


def holds(page, column, drawn, loads=1.0):
    """Whether a column says what is computed by hand."""
    for frequency in (50, 200):
        told, lost = cell(page, f"woofer, {frequency} Hz", column), float(by_hand.lost(float(frequency), **drawn))
        assert (told.text("metric") == "unchanged") == (abs(lost) < 0.05)
        assert lost < 0.05 or told["level"] == pytest.approx(-lost, abs=1e-4)
    off = by_hand.off(**drawn)
    louder = "as loud" if abs(off) < 0.05 else f"{abs(off):.1f} dB {'louder' if off > 0 else 'softer'}"
    assert cell(page, AGAINST, column).text("metric") == louder
    assert cell(page, "lowest load", column)["least"] == pytest.approx(by_hand.least(**drawn) * loads, rel=3e-3)
    said = cell(page, "buy", column)
    most = list(by_hand.watts(FULL[page.values["amplifier"]], **drawn).values())
    assert [value for name, value in numbers(said) if "watts" in name] == list(map(size_sold, most))
    exact = [said for said in page.answer.details if said.words.startswith(f"{column.capitalize()}: {{takes0}}")]
    assert [value for told in exact for _, value in numbers(told)] == pytest.approx(most, rel=3e-3)
    assert bool(most) or said.text("metric") == "none"


def numbers(said):
    return [(name, number.value) for name, number in said.numbers.items() if hasattr(number, "value")]


def best_resistor(page):
    """The best of E12 (IEC 60063, from memory) by hand."""
    return min(E12, key=lambda ohm: fault(circuit(page, resistor=ohm)))


@pytest.mark.parametrize("state", [{}, {"capacitor": 22 * uF}, {"second": DASH, "capacitor": 4.7 * uF}], ids=str)
def test_what_the_start_says_of_each_candidate(page, state):
    put(page, **state)
    best = best_resistor(page)
    assert page.answer.columns == ("nothing added", "best resistor", "in parallel")
    holds(page, "nothing added", circuit(page))
    holds(page, "in parallel", circuit(page, PARALLEL))
    holds(page, "best resistor", circuit(page, resistor=best))
    assert cell(page, "buy", "best resistor")["ohm0"] == pytest.approx(best)
    told = page.answer.headline
    assert told["taken"] == pytest.approx(float(by_hand.lost(50.0, **circuit(page))), abs=1e-4)
    assert re.fullmatch(
        r"The tweeter's capacitor blocks the woofer's bass: [\d.]+ dB less\. Rewire in parallel\.", headline(page)
    )


def test_the_ranking_is_told_with_its_faults(page):
    drawn = {
        "in parallel": circuit(page, PARALLEL),
        "best resistor": circuit(page, resistor=best_resistor(page)),
        "nothing added": circuit(page),
    }
    (said,) = (said for said in page.answer.details if said.words.startswith("The best first"))
    assert re.findall(r"(in parallel|best resistor|nothing added) \(", said.text("metric")) == list(drawn)
    assert "Too low a load" not in said.text("metric")
    assert [value for _, value in numbers(said)] == pytest.approx([fault(one) for one in drawn.values()], abs=0.1)


def test_what_the_amplifier_cannot_drive_is_ranked_apart_and_only_what_has_a_column_is_ranked(page):
    put(page, woofer="165 mm panel of 2 ohm", amplifier=UNIT)
    assert re.search(r"The best first, by its worse fault: best resistor \(.* dB\), nothing added \(", details(page))
    assert re.search(r"Too low a load: in parallel \([\d.]+ dB\)\.", details(page))
    put(page, wiring=PARALLEL)
    assert "best resistor (" not in details(page)
    assert "best resistor" not in page.answer.columns


@pytest.mark.parametrize("wiring", [SERIES, PARALLEL, PAIRS])
@pytest.mark.parametrize(
    ("cure", "values", "by"),
    [
        (ACROSS, {"resistor": 4.7}, {"resistor": 4.7}),
        (ACROSS, {"resistor": 22.0}, {"resistor": 22.0}),
        (BEHIND, {"resistor": 10.0}, {"behind": 10.0}),
        (PAD, {"pad": 4.0}, {"pad": (1.5, 6.8)}),  # by its two equations into 4 ohm, to E24 (IEC 60063, from memory)
        (PAD, {"pad": 6.0}, {"pad": (2.0, 3.9)}),
    ],
)
def test_each_cure_by_hand(page, wiring, cure, values, by):
    put(page, wiring=wiring, cure=cure, **values)
    drawn = circuit(page, **by)
    holds(page, cure, drawn, 0.5 if wiring == PAIRS else 1.0)
    most = max(by_hand.watts(FULL[STORES], **drawn).values())
    lost = float(by_hand.lost(50.0, **drawn))
    told, words = dict(numbers(page.answer.headline)), headline(page)
    if wiring == PARALLEL and cure == ACROSS:
        assert re.fullmatch(r"In parallel [\d.]+ ohm, [\d.]+ W only loads the amplifier: leave it out\.", words)
    elif wiring == PARALLEL:
        start = (
            "With that pad the woofer keeps its bass"
            if cure == PAD
            else r"With [\d.]+ ohm, [\d.]+ W across it the tweeter is"
        )
        assert re.match(start, words)
    elif cure == BEHIND:
        assert words.endswith("brings no bass back: put it across tweeter and capacitor.")
        assert lost > 20
    else:
        more = float(by_hand.lost(200.0, **drawn))
        assert more > lost, "above its resonance the woofer has fewer ohms, and the resistor takes more"
        assert words.endswith(
            f"the woofer loses {lost:.1f} dB at 50 Hz, but {more:.1f} dB at 200 Hz: rewire if you can."
        )
    assert told["watts"] == size_sold(most)
    assert OFF_PLASTIC in cautions(page)


def test_in_parallel_it_keeps_its_bass(page):
    put(page, wiring=PARALLEL)
    off = by_hand.off(**circuit(page))
    assert headline(page) == f"In parallel the woofer keeps its bass; the tweeter is {-off:.1f} dB softer than it."
    assert page.answer.columns == ("nothing added", "in series")
    put(page, woofer="165 mm panel of 2 ohm", amplifier=UNIT)
    low = by_hand.least(**circuit(page))
    assert low < LOWEST[UNIT]
    assert headline(page) == f"In parallel the load falls to {low:.1f} ohm: too low for this amplifier."
    assert any("made for no less than 3.2 ohm" in said for said in cautions(page))


def test_a_tweeter_that_is_too_loud_in_parallel_is_sent_to_a_pad():
    drivers = demo_drivers()
    loud = dataclasses.replace(drivers[TWEETER], sensitivity=drivers[TWEETER].sensitivity + 8)
    page = put(shared_channel(drivers | {"loud tweeter": loud}), second="loud tweeter", wiring=PARALLEL)
    off = by_hand.off(**(circuit(put(page, second=TWEETER)) | {"other": loud}))
    put(page, second="loud tweeter")
    assert headline(page) == (
        f"In parallel the woofer keeps its bass; the tweeter is {off:.1f} dB louder than it: a pad cures that."
    )


def test_where_the_amplifier_cannot_drive_parallel_it_is_not_advised(page):
    """A coil of 2 ohm against 3.2 of the head unit: by hand below it, so only the resistor is left."""
    put(page, woofer="165 mm panel of 2 ohm", amplifier=UNIT)
    assert by_hand.least(**circuit(page, PARALLEL)) < 0.97 * LOWEST[UNIT]
    best = best_resistor(page)
    watts = size_sold(by_hand.watts(FULL[UNIT], **circuit(page, resistor=best))["across"])
    assert headline(page).endswith(f" less. Put {best:.1f} ohm, {watts} W across tweeter and capacitor.")


def test_a_load_that_reads_as_the_limit_is_told_as_at_the_limit(page):
    """3.19 ohm by hand: as said, the same 3.2 ohm as the head unit's limit, so no failure."""
    put(page, amplifier=UNIT, wiring=PARALLEL)
    least = by_hand.least(**circuit(page))
    assert least < LOWEST[UNIT]
    assert f"{least:.1f}" == f"{LOWEST[UNIT]:.1f}"
    assert headline(page).startswith("In parallel the woofer keeps its bass")
    assert "The load falls to 3.2 ohm: right at the amplifier's limit." in cautions(page)
    assert not any("may shut down" in said for said in cautions(page))


def test_a_tweeter_without_a_capacitor_gets_one_first(page):
    for wiring in (SERIES, PARALLEL):
        put(page, fitted=WITHOUT, wiring=wiring)
        assert headline(page).startswith("Give the tweeter a capacitor first")
        holds(page, "nothing added", circuit(page))


def test_a_capacitor_that_is_built_in():
    drivers = demo_drivers()
    mine = dataclasses.replace(drivers[TWEETER], built_in_capacitance=6.8 * uF)
    page, start = shared_channel(drivers | {"mine": mine}), shared_channel()
    put(page, second="mine")
    assert {"fitted", "capacitor"} <= set(page.board.hidden)
    assert str(page.answer) == str(start.answer), "the same circuit, whoever fitted the capacitor"
    put(page, cure=BEHIND)
    assert (
        headline(page) == "The tweeter's capacitor is built in: no resistor fits behind it. Put one across its wires."
    )
    assert "resistor" in page.board.hidden


@pytest.mark.parametrize(
    ("state", "fits", "says"),
    [
        ({"meter": OPEN}, {"in series", "in series pairs"}, "OL fits series wiring or series pairs. Make sure"),
        ({"reading": 3.4}, {"in parallel"}, "3.4 ohm fits parallel wiring or the woofer alone. Make sure"),
        ({"reading": 15.0}, set(), "15 ohm fits no wiring of these two: take off what the leads read"),
        ({"fitted": WITHOUT, "reading": 1.7}, {"in parallel"}, "1.7 ohm fits parallel wiring. Make sure"),
        ({"fitted": WITHOUT, "reading": 6.7}, {"in series"}, "6.7 ohm fits series wiring. Make sure"),
        (
            {"fitted": WITHOUT, "reading": 3.4},
            {"in series pairs"},
            "3.4 ohm fits the woofer alone or series pairs. Make sure: unplug one speaker, and listen.",
        ),
        ({"fitted": WITHOUT, "meter": OPEN}, set(), "OL fits no wiring of these two"),
    ],
)
def test_what_the_ohmmeter_tells(page, state, fits, says):
    """Coils of 3.4 and 3.3 ohm (data/drivers.csv) by Kirchhoff; behind a capacitor direct current finds none."""
    put(page, **({"wiring": NOT_KNOWN, "meter": OHMS} | state))
    assert headline(page).startswith(says)
    yours = page.answer["fits yours"].values
    assert {column for column, said in yours.items() if said.text("metric") == "yes"} == fits
    reads = {column: said.text("metric") for column, said in page.answer["meter reads"].values.items()}
    coils = {"in parallel": "1.7 ohm", "in series": "6.7 ohm", "in series pairs": "3.3 ohm"}
    blocked = {"in parallel": "3.4 ohm", "in series": "OL", "in series pairs": "OL"}
    assert reads == (coils if state.get("fitted") else blocked)
    silent = {column: said.text("metric") for column, said in page.answer["one unplugged"].values.items()}
    assert silent == {
        "in parallel": "the other plays on",
        "in series": "both are silent",
        "in series pairs": "its pair is silent",
    }
    series, parallel = circuit(page, SERIES), circuit(page, PARALLEL)
    for column, drawn, share in (
        ("in series", series, 1),
        ("in parallel", parallel, 1),
        ("in series pairs", series, 0.5),
    ):
        assert cell(page, "lowest load", column)["least"] == pytest.approx(by_hand.least(**drawn) * share, rel=3e-3)
    lost = float(by_hand.lost(50.0, **series))
    assert cell(page, "woofer, 50 Hz", "in series")["level"] == pytest.approx(-lost, abs=1e-4)
    assert cell(page, "woofer, 50 Hz", "in parallel").text("metric") == "unchanged"
    assert METER_OFF in cautions(page)
    assert "Touch the meter's leads together" in details(page)


def test_the_caution_on_ohms_stands_only_where_ohms_are_measured(page):
    assert METER_OFF not in cautions(page)
    assert OFF_PLASTIC in cautions(page)
    put(page, wiring=PARALLEL)
    assert OFF_PLASTIC not in cautions(page), "no resistor is named there"


def test_before_anything_is_measured_the_page_says_how_and_answers_nothing(page):
    put(page, wiring=NOT_KNOWN)
    assert page.values["meter"] == NOT_READ
    assert headline(page).startswith("Unplug one speaker: if the other falls silent, they are in series.")
    assert {said.text("metric") for said in page.answer["fits yours"].values.values()} == {NOT_READ}
    assert "drawn until you measure" in conditions(page)
    assert METER_OFF in cautions(page)


@pytest.mark.parametrize("other", [WOOFER, "130 mm step well"])
@pytest.mark.parametrize("amplifier", [STORES, UNIT])
def test_two_woofers(page, other, amplifier):
    put(page, second=other, amplifier=amplifier, wiring=SERIES)
    at, one = np.array([50.0]), by_hand.level(demo_drivers()[WOOFER], np.array([50.0]), 1.0)
    together, low = {}, {}
    for wiring in (SERIES, PARALLEL):
        drawn = circuit(page, wiring)
        together[wiring] = 20 * np.log10(abs(sum(by_hand.TwoOnAChannel(frequency=at, **drawn).pressures) / one))[0]
        low[wiring] = by_hand.least(**drawn)
    more = together[PARALLEL] - together[SERIES]
    stands = low[PARALLEL] >= LOWEST[amplifier]
    assert stands == (amplifier == STORES)
    assert headline(page) == (
        f"Rewire in parallel: {more:.1f} dB louder at 50 Hz, and the amplifier can drive {low[PARALLEL]:.1f} ohm."
        if stands
        else f"Leave it so: in parallel the load falls to {low[PARALLEL]:.1f} ohm, too low for this amplifier."
    )
    for column, wiring in (("in series, now", SERIES), ("in parallel", PARALLEL)):
        said = cell(page, "all at 50 Hz", column)
        assert (said["level"] if said.numbers else 0.0) == pytest.approx(
            together[wiring], abs=1e-3 if said.numbers else 0.05
        )
        assert cell(page, "lowest load", column)["least"] == pytest.approx(low[wiring], rel=3e-3)
        fits = "yes" if low[wiring] >= LOWEST[amplifier] else "no"
        assert cell(page, "amplifier can drive it", column).text("metric") == fits
    put(page, wiring=PARALLEL)
    do = f"wire them in series, {more:.1f} dB softer."
    assert headline(page) == (
        f"In parallel both get all the volts: {together[PARALLEL]:.1f} dB louder at 50 Hz than one alone."
        if stands
        else f"The load falls to {low[PARALLEL]:.1f} ohm, too low for this amplifier: {do}"
    )


@pytest.mark.parametrize("second", ["165 mm panel of 2 ohm", WOOFER, TWEETER, DASH])
@pytest.mark.parametrize("wiring", [SERIES, PARALLEL, PAIRS])
def test_a_load_under_the_amplifiers_least_is_never_left_so_or_cured_by_another(page, second, wiring):
    """Coils of 2 ohm on a head unit for 4: two series pairs are half of one pair, and parallel is less (Kirchhoff)."""
    put(page, woofer="165 mm panel of 2 ohm", second=second, wiring=wiring, amplifier=UNIT)
    now = by_hand.least(**circuit(page)) * (0.5 if wiring == PAIRS else 1.0)
    in_parallel = by_hand.least(**circuit(page, PARALLEL)) * (0.5 if wiring == PAIRS else 1.0)
    said = headline(page)
    assert ("too low for this amplifier" in said) >= (now < LOWEST[UNIT])
    if now < LOWEST[UNIT]:
        assert "Leave it so" not in said
    if in_parallel < LOWEST[UNIT]:
        assert "ewire" not in said
    if wiring == PAIRS:
        assert now < LOWEST[UNIT]
        assert "across tweeter" not in said


@pytest.mark.parametrize("cure", [ACROSS, BEHIND])
def test_a_cure_that_the_amplifier_cannot_drive_is_told_so(page, cure):
    put(page, woofer="165 mm panel of 2 ohm", wiring=PAIRS, amplifier=UNIT, cure=cure)
    assert re.fullmatch(r"With that cure the load falls to [\d.]+ ohm, too low for this amplifier\.", headline(page))


def test_two_woofers_alike_add_to_one_alone_in_series(page):
    """Half of the volts each, twice the cones: 0 dB; in parallel 6 dB more."""
    put(page, second=WOOFER, wiring=PARALLEL)
    assert cell(page, "all at 50 Hz", "in parallel, now")["level"] == pytest.approx(20 * np.log10(2), abs=1e-6)
    assert cell(page, "all at 50 Hz", "in series").text("metric") == "unchanged"
    assert cell(page, "woofer, 50 Hz", "in series")["level"] == pytest.approx(-20 * np.log10(2), abs=1e-6)


def test_who_gets_what_volts(page):
    both = by_hand.TwoOnAChannel(frequency=np.array([50.0, 3000.0]), **circuit(page))
    told = [said for said in page.answer.details if said.words.startswith("Of the channel's")]
    for place, said in enumerate(told):
        assert said["volts"] == pytest.approx(FULL[STORES])
        assert said["woofer"] == pytest.approx(FULL[STORES] * abs(both.at_woofer[place]), rel=5e-3)
        assert said["other"] == pytest.approx(FULL[STORES] * abs(both.at_other[place]), rel=5e-3)
    assert len(told) == 2
    sums = abs(both.at_woofer) + abs(both.at_other)
    assert sums[1] > 1.05, "3000 Hz: together more than the channel's"
    assert "They are out of step, so the two do not simply add up to the channel's volts." in details(page)
    put(page, wiring=PARALLEL)
    assert "out of step" not in details(page)


def test_why_it_is_suddenly_loud(page):
    """Capacitor and woofer's coil resonate at 1 / (2 pi sqrt(L C)); near there the tweeter gets more."""
    meet = 1 / (2 * np.pi * np.sqrt(0.3e-3 * 6.8e-6))
    assert f"resonate near {meet:.0f} Hz" in details(page)
    series, parallel = (
        abs(by_hand.TwoOnAChannel(frequency=np.array([3000.0, 8000.0]), **circuit(page, how)).at_other)
        for how in (SERIES, PARALLEL)
    )
    assert series[0] > parallel[0]
    assert series[1] < parallel[1] / 2, "well above, the coil takes it away"


def test_the_curves_are_those_by_hand(page):
    put(page, cure=ACROSS, resistor=10.0)
    frequency = np.asarray(page.scene.stack.values("sum", "level")[0])
    two = by_hand.TwoOnAChannel(frequency=frequency, **circuit(page, resistor=10.0))
    woofer, other = (2.83 * pressure for pressure in two.pressures)
    alone = by_hand.level(demo_drivers()[WOOFER], frequency, 2.83)
    for curve, pressure in (("woofer", woofer), ("other", other), ("sum", woofer + other), ("alone", alone)):
        exact = 20 * np.log10(abs(pressure) / 20e-6)
        assert page.scene.stack.values(curve, "level")[1] == pytest.approx(exact, abs=1e-6)
    assert page.scene.stack.values("sum", "impedance")[1] == pytest.approx(abs(two.load), rel=1e-9)
    assert page.scene.stack.values("limit", "impedance")[1] == pytest.approx(LOWEST[STORES])


def test_coils_that_may_burn_at_full_power_are_a_caution(page):
    """Far above its corner a tweeter of 40 W takes up to V^2/Re in parallel; in series the woofer's coil spares it."""
    put(page, wiring=PARALLEL)
    said = [text for text in cautions(page) if "A steady tone at full power may burn" in text]
    assert [re.search(r"burn the (\w+)'s coil", text)[1] for text in said] == ["woofer", "tweeter"]
    put(page, amplifier=UNIT)
    assert not any("burn" in text for text in cautions(page))


def test_no_resistor_is_said_without_its_watts():
    """CAUTION: it can pass 200 C, so what is not known is refused."""
    with pytest.raises(ValueError, match=r"lacks the resistor across: without its watts it may burn"):
        with_watts({"across": 4.7}, {})


def test_every_resistor_that_the_page_names_has_its_watts(page):
    for cure in (NO_CURE, ACROSS, BEHIND, PAD):
        for wiring in (SERIES, PARALLEL, PAIRS):
            put(page, cure=cure, wiring=wiring)
            texts = [
                headline(page),
                *(said.text("metric") for said in page.answer["buy"].values.values()),
            ]
            for text in texts:
                assert len(re.findall(r"[\d.]+ ohm(?!:)", text)) == len(re.findall(r"[\d.]+ ohm, [\d.]+ W", text)), text


def test_in_view_is_only_what_belongs(page):
    assert set(page.board.hidden) == {"meter", "reading", "resistor", "pad"}
    put(page, cure=PAD)
    assert set(page.board.hidden) == {"meter", "reading", "resistor"}
    put(page, wiring=NOT_KNOWN)
    assert set(page.board.hidden) == {"reading", "cure", "resistor", "pad"}
    put(page, meter=OHMS, second=WOOFER)
    assert set(page.board.hidden) == {"fitted", "capacitor", "cure", "resistor", "pad"}


def test_states_at_random_are_answered_alike_whatever_the_way(page):
    """Headline within 20 words, six facts at most, and what is remembered of the last move is what a new page says."""
    random = np.random.default_rng(17)
    fresh = shared_channel()
    for _ in range(25):
        state = {
            name: control.options[random.integers(len(control.options))]
            if hasattr(control, "options")
            else random.uniform(control.low, control.high)
            for name, control in page.controls.items()
        }
        put(page, **state)
        assert len(re.sub(r"([\d.]+) (dB|Hz|ohm|W)", r"\1", headline(page)).split()) <= 20, headline(page)
        assert len(page.answer.facts) <= 6
        assert conditions(page).endswith("V.")
        fresh.reset()
        assert put(fresh, **state).answer == page.answer


def test_what_is_typed_wrong_is_refused_by_name(page):
    for text, said in (("lots", "lots"), ("", "Type a number."), ("5 kg", "kg")):
        page._do("typed", ["capacitor", text])
        assert said in page.board.refused["capacitor"]
    page._do("typed", ["resistor", "100"])
    assert "outside 1.0 to 47.0 ohm: 47.0 is taken" in page.board.refused["resistor"]
    with pytest.raises(ValueError, match="Wiring: 'both' is not offered"):
        page.put(wiring="both")


def test_an_own_amplifier_is_offered_with_its_volts():
    from lumpedbox import Amplifier

    mine = Amplifier(power=20, rated_impedance=4, minimum_load=4)
    page = shared_channel(amplifiers={"mine": mine})
    assert page.values["amplifier"] == "mine"
    assert f"watts for a full sine of {np.sqrt(80):.1f} V" in conditions(page)
