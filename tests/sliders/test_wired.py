"""The channel as it is drawn: every symbol at its place, every value against Kirchhoff's laws by hand."""

import re

import numpy as np
import pytest

from lumpedbox import Driver, InfiniteBaffle, Loudspeaker
from lumpedbox.parts.network import Capacitor, Resistor, across, in_series
from lumpedbox.parts.system import Channel
from lumpedbox.sliders.kit.wired import wired
from lumpedbox.sliders.kit.wirings import NOT_KNOWN, PAIRS, PARALLEL, SERIES
from lumpedbox.sliders.lessons.shared_channel import shared_channel
from lumpedbox.sliders.lessons.shared_channel.answering import ACROSS, BEHIND, NO_CURE, PAD
from lumpedbox.sliders.lessons.shared_channel.page import WITHOUT
from lumpedbox.tables import demo_drivers
from lumpedbox.units import uF
from tests import two_on_a_channel as by_hand
from tests.sliders.conftest import put

FULL = np.sqrt(75 * 4)  # V, of the amplifier that the page starts with: data/amplifiers.csv
PADDED = {
    "pad": (1.5, 6.8)
}  # ohm: 4 dB before 4 ohm, 4 (1 - k) and 4 k / (1 - k), next of E12 (IEC 60063, from memory)


@pytest.fixture(scope="module")
def made():
    return shared_channel()


def shape(one):
    """What is drawn, by kinds alone."""
    if "chain" in one:
        return (one["across"]["kind"], [shape(part) for part in one["chain"]])
    return one["kind"]


C, R, SPEAKER = "capacitor", "resistor", "loudspeaker"
DRAWN = {
    (SERIES, NO_CURE): [[SPEAKER, C, SPEAKER]],
    (PARALLEL, NO_CURE): [[SPEAKER], [C, SPEAKER]],
    (SERIES, ACROSS): [[SPEAKER, (R, [C, SPEAKER])]],
    (PARALLEL, ACROSS): [[SPEAKER], [(R, [C, SPEAKER])]],
    (SERIES, BEHIND): [[SPEAKER, C, (R, [SPEAKER])]],
    (SERIES, PAD): [[SPEAKER, R, (R, [C, SPEAKER])]],
    (PARALLEL, PAD): [[SPEAKER], [R, (R, [C, SPEAKER])]],
    (PAIRS, ACROSS): [[SPEAKER, (R, [C, SPEAKER])]] * 2,
}
CURES = {NO_CURE: {}, ACROSS: {"resistor": 4.7}, BEHIND: {"behind": 4.7}, PAD: PADDED}


def lines(chain):
    """What stands beside the symbols of a chain, in their order from + on."""
    for one in chain:
        if "chain" in one:
            yield (one["across"]["kind"], one["across"]["lines"])
            yield from lines(one["chain"])
        else:
            yield (one["kind"], one["lines"])


@pytest.mark.parametrize(("wiring", "cure"), DRAWN, ids=str)
def test_every_symbol_stands_at_its_place_with_its_value(page, wiring, cure):
    put(page, wiring=wiring, cure=cure)
    drawn = page.board.wired
    assert [[shape(one) for one in chain] for chain in drawn["chains"]] == DRAWN[wiring, cure]
    told = [beside for chain in drawn["chains"][: 2 if wiring == PARALLEL else 1] for beside in lines(chain)]
    drivers = {"woofer": demo_drivers()["165 mm panel"], "other": demo_drivers()["25 mm pillar tweeter"]}
    how = PARALLEL if wiring == PARALLEL else SERIES
    held = by_hand.TwoOnAChannel(**drivers, wiring=how, frequency=[50.0, 3000.0], capacitor=6.8 * uF, **CURES[cure])
    for name, at in (("woofer", held.at_woofer), ("tweeter", held.at_other)):
        (values,) = (rest for kind, (first, *rest) in told if kind == SPEAKER and first == name)
        assert [re.sub(r" [\d.]+ V$", "", text) for text in values] == ["50 Hz:", "3 kHz:"]
        volts = [float(re.search(r": ([\d.]+) V", text)[1]) for text in values]
        assert volts == pytest.approx(FULL * abs(at), abs=0.051 + 3e-3 * FULL)  # as printed; between two of the grid
    assert [text for kind, text in told if kind == C] == [["6.8 µF"]]
    ohms = [float(re.match(r"([\d.]+) ohm", first)[1]) for kind, (first, _) in filter(is_resistor, told)]
    assert ohms == ([1.5, 6.8] if cure == PAD else [4.7] if CURES[cure] else [])
    most = by_hand.watts(FULL, **drivers, wiring=how, capacitor=6.8 * uF, **CURES[cure])
    sold = [min(size for size in (1, 2, 5, 10, 15, 20, 25, 50, 100, 200) if size >= one) for one in most.values()]
    assert [text for kind, (_, text) in filter(is_resistor, told)] == [f"{size} W" for size in sold]
    least = float(re.fullmatch(r"Amplifier 17\.3 V, load ([\d.]+) ohm at least", *drawn["source"])[1])
    by = by_hand.least(**drivers, wiring=how, capacitor=6.8 * uF, **CURES[cure]) / (2 if wiring == PAIRS else 1)
    assert least == pytest.approx(by, abs=0.051, rel=3e-3)


def is_resistor(beside):
    return beside[0] == R


def test_it_follows_the_controls_and_is_told_in_words(page):
    assert page.board.wired["words"] == (
        "Amplifier 17.3 V, load 6.8 ohm at least. From + to −: the woofer (50 Hz: 0.7 V, 3 kHz: 15.2 V); then a "
        "capacitor of 6.8 µF; then the tweeter (50 Hz: 0.1 V, 3 kHz: 8.2 V)."
    )
    put(page, wiring=PARALLEL, capacitor=10 * uF, cure=ACROSS, resistor=10.0)
    words = page.board.wired["words"]
    assert "Side by side from + to −: the woofer (" in words
    assert re.search(r"Beside it: a capacitor of 10 µF and the tweeter \(.*\), with a resistor of 10 ohm, \d+ W", words)
    put(page, fitted=WITHOUT, cure=NO_CURE)
    assert "capacitor" not in page.board.wired["words"]
    put(page, second="165 mm panel", wiring=PAIRS)
    assert page.board.wired["words"].endswith("Beside it: the third woofer; then the fourth woofer.")


def test_what_nobody_knows_is_drawn_as_likely_and_says_so(page):
    put(page, wiring=NOT_KNOWN)
    assert page.board.wired["source"][1] == "Not known: drawn in parallel"
    put(page, meter="OL")
    assert page.board.wired["source"][1] == "Not known: drawn in series"
    assert [[shape(one) for one in chain] for chain in page.board.wired["chains"]] == [[SPEAKER, C, SPEAKER]]
    put(page, wiring=SERIES)
    assert len(page.board.wired["source"]) == 1


def test_a_capacitor_that_is_built_in_is_drawn_and_says_so():
    driver = Driver.from_thiele_small(
        fs=1000, Qms=2, Qes=1, Vas=1e-5, Re=3.2, Sd=6e-4, Le=2e-5, built_in_capacitance=4.7 * uF, name="it"
    )
    network = across(Resistor(resistance=10.0)) + in_series(Capacitor(capacitance=10 * uF))
    channel = Channel(loudspeakers=(Loudspeaker(driver=driver, box=InfiniteBaffle(), network=network, name="mine"),))
    drawn = wired(channel, (), {}, {}).said("metric")
    assert list(lines(drawn["chains"][0])) == [
        (R, ["10 ohm"]),
        (C, ["10 µF"]),
        (C, ["4.7 µF", "built in"]),
        (SPEAKER, ["mine"]),
    ]
