"""What goes wrong when a driver is measured: what can be seen is reported, the rest is caught by what is asked for."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import InfiniteBaffle, Loudspeaker, SealedBox
from lumpedbox.measure import driver_from_impedance
from tests.measured_drivers import CURVES, driver_of, grid, impedance, on_a_frame, read_with, setups, with_hum

CASES, MANY = 3, 60
FRAME_IN_FREE_AIR = ("free_air", "added_mass", "free_air_again")
RESISTOR = np.array([50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0])


class Bench:
    """A driver with everything that is asked for, measured right; a test spoils something."""

    def __init__(self, draw, noise=0.01):
        self.draw, self.noise = draw, noise
        self.driver = driver_of(draw)
        self.frequency = grid(self.driver)
        self.mass, self.volume, self.speakers = setups(self.driver)
        self.exact = {name: impedance(self.speakers[name], self.frequency) for name in CURVES}
        self.exact["free_air_again"] = self.exact["free_air"]
        self.given_mass, self.given_volume, self.scale, self.hum = self.mass, self.volume, 1.0, False

    def of(self, driver, box=InfiniteBaffle()):
        return impedance(Loudspeaker(driver=driver, box=box), self.frequency)

    def read(self, name):
        values = self.scale * read_with(self.draw, self.exact[name], self.noise)
        return with_hum(self.draw, self.frequency, values) if self.hum else values

    def measured(self, *names):
        """Return what is found from some of the curves, all by default."""
        before = {"added_mass": (self.given_mass,), "known_box": (self.given_volume,)}
        curves = {n: (*before.get(n, ()), self.frequency, self.read(n)) for n in names or self.exact}
        resistor = {} if names else {"resistor": (10.0, RESISTOR, self.scale * self.read_resistor())}
        return driver_from_impedance(Sd=self.driver.Sd, **curves, **resistor)

    def read_resistor(self):
        return 10.0 * np.exp(self.noise * self.draw.standard_normal(len(RESISTOR)))


def leaking_box(bench):
    leaky = SealedBox(volume=bench.volume, Ql=bench.draw.uniform(2, 8))
    bench.exact["known_box"] = bench.of(bench.driver, leaky)


def lying_on_foam(bench):
    """A frame of 1.5 kg on foam: its resonance lies near that of the driver (common practice, no source)."""
    w, frame = 2 * np.pi * bench.driver.fs * bench.draw.uniform(0.4, 0.9), 1.5
    for name in FRAME_IN_FREE_AIR:
        mass = bench.mass if name == "added_mass" else 0.0
        bench.exact[name] = on_a_frame(bench.driver, bench.frequency, mass, frame * w**2, frame * w / 4, frame)


def hum(bench):
    bench.hum = True


def wrong_mass(bench):
    bench.given_mass *= 1.1


def wrong_volume(bench):
    bench.given_volume *= 1.1


def softer_from_the_second_run_on(bench):
    softer = dataclasses.replace(bench.driver, Cms=1.06 * bench.driver.Cms)
    _, _, speakers = setups(softer, bench.mass, bench.volume)
    bench.exact = {"free_air": bench.exact["free_air"]} | {
        n: impedance(speakers[n], bench.frequency) for n in CURVES[1:]
    }
    bench.exact["free_air_again"] = bench.of(softer)


def frame_that_moves(bench):
    for name in FRAME_IN_FREE_AIR:
        mass = bench.mass if name == "added_mass" else 0.0
        bench.exact[name] = on_a_frame(bench.driver, bench.frequency, mass, frame=10 * bench.driver.Mms)


def wrong_resistor(bench):
    bench.scale = 1.05


SEEN = {
    leaking_box: {"misfit", "changed", "two masses", "left out"},
    lying_on_foam: {"misfit", "changed", "left out"},
    hum: {"hum"},
}
CAUGHT = {
    wrong_mass: "two masses",
    wrong_volume: "two masses",
    softer_from_the_second_run_on: "run again",
    frame_that_moves: "two masses",
    wrong_resistor: "resistor",
}


def kinds(found):
    return {finding.kind for finding in found.findings}


def benches(spoil, count):
    for seed in range(count):
        bench = Bench(np.random.default_rng((17, seed)))
        spoil(bench)
        yield bench


def right(bench):
    pass


@pytest.mark.parametrize("count", [CASES, pytest.param(MANY, marks=pytest.mark.long)])
def test_where_all_is_right_nothing_is_said(count):
    """A lone reading far off happens by chance: one in 150,000, of about 1,600."""
    found = [kinds(bench.measured()) for bench in benches(right, count)]
    assert set().union(*found) <= {"left out"}
    assert sum(map(bool, found)) <= 0.05 * count


@pytest.mark.parametrize("count", [CASES, pytest.param(MANY, marks=pytest.mark.long)])
@pytest.mark.parametrize("spoil", SEEN, ids=lambda spoil: spoil.__name__)
def test_what_can_be_seen_is_reported(spoil, count):
    found = [kinds(bench.measured()) for bench in benches(spoil, count)]
    assert sum(bool(one & SEEN[spoil]) for one in found) >= 0.9 * count


def test_a_leaking_box_is_blamed_by_name():
    bench = Bench(np.random.default_rng(5))
    bench.exact["known_box"] = bench.of(bench.driver, SealedBox(volume=bench.volume, Ql=3))
    first = bench.measured().findings[0]
    assert (first.kind, first.curve) == ("misfit", "known_box")
    assert "does the box leak" in first.sentence


def test_hum_does_not_spoil_the_numbers():
    for bench in benches(hum, CASES):
        found = bench.measured()
        for name in ("fs", "Qes", "Mms"):
            low, high = found.interval(name, share=0.999)
            assert low < getattr(bench.driver, name) < high


@pytest.mark.parametrize("spoil", [wrong_mass, wrong_resistor, frame_that_moves], ids=lambda spoil: spoil.__name__)
def test_some_mistakes_leave_no_trace_in_two_curves(spoil):
    """So the redundancy is needed: the misfit says nothing, and Mms or all is off by 4 % or more."""
    for bench in benches(spoil, CASES):
        found = bench.measured("free_air", "added_mass")
        assert kinds(found) <= {"left out"}
        off = {name: abs(found.values[name] / getattr(bench.driver, name) - 1) for name in ("Mms", "Re")}
        assert max(off.values()) > 0.04
        assert found.unseen


@pytest.mark.parametrize("count", [CASES, pytest.param(MANY, marks=pytest.mark.long)])
@pytest.mark.parametrize("spoil", CAUGHT, ids=lambda spoil: spoil.__name__)
def test_what_cannot_be_seen_is_caught_by_what_is_asked_for(spoil, count):
    found = [kinds(bench.measured()) for bench in benches(spoil, count)]
    assert sum(CAUGHT[spoil] in one for one in found) >= 0.95 * count


def test_re_by_the_ohmmeter_with_its_leads():
    bench = Bench(np.random.default_rng(6))
    curves = {"free_air": (bench.frequency, bench.read("free_air")), "Sd": bench.driver.Sd}
    assert kinds(driver_from_impedance(**curves, Re=bench.driver.Re)) == set()
    for off in (0.6, 0.95):
        assert kinds(driver_from_impedance(**curves, Re=off * bench.driver.Re)) == {"ohmmeter"}, "the curve is right"


def test_few_readings_on_the_peak_are_told():
    bench = Bench(np.random.default_rng(6))
    off = np.abs(np.log(bench.frequency / bench.driver.fs)) > 0.2
    off[np.argmin(np.abs(bench.frequency - bench.driver.fs))] = True
    found = driver_from_impedance(free_air=(bench.frequency[off], bench.read("free_air")[off]), Sd=bench.driver.Sd)
    assert "few points" in kinds(found)
    assert "take more between" in " ".join(found.doubts)


def test_doubts_are_the_sentences_of_the_findings():
    bench = next(benches(wrong_mass, 1))
    found = bench.measured()
    assert found.doubts == tuple(finding.sentence for finding in found.findings)
    assert "by the added mass, but" in found.doubts[0]
