"""Setting gains, guessing a wiring, and handing over from a bass box to the panels."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import (
    Amplifier,
    Channel,
    Delay,
    Driver,
    Gain,
    HeadUnit,
    HighPass,
    InfiniteBaffle,
    Loudspeaker,
    LowPass,
    System,
    frequencies,
    solve,
)
from lumpedbox.design.gains import gain_needed, input_voltage, setting, setting_sheet
from lumpedbox.design.meeting import meetings, transfer
from lumpedbox.design.wiring import likely_wirings, meter_reading
from lumpedbox.parts.network import Capacitor, Inductor, Resistor, SideBySide, across, in_series
from lumpedbox.tables import demo_drivers


def test_a_setting_is_the_root_of_power_times_impedance():
    """50 W into 4 ohm is the square root of 200 volts."""
    one = setting(output="panels", power=50, impedance=4, frequency=100)
    assert one.voltage == pytest.approx(np.sqrt(200))
    sheet = setting_sheet([one, setting(output="bass", power=150, impedance=2, frequency=40)])
    assert sheet.splitlines()[1:] == ["1. panels: 14.14 V a.c. at 100 Hz", "2. bass: 17.32 V a.c. at 40 Hz"]
    assert "disconnect the drivers" in sheet


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"power": -1}, r"setting\.power must be between"),
        ({"impedance": [4, 8]}, r"setting\.impedance must be a single number"),
        ({"frequency": 0.04}, r"did you mean 0\.04 \* kHz"),
        ({"output": 3}, r"setting\.output must be text"),
    ],
)
def test_a_setting_refuses(change, said):
    with pytest.raises((ValueError, TypeError), match=said):
        setting(**{"output": "panels", "power": 50, "impedance": 4, "frequency": 100} | change)


def test_gain_structure():
    """2 V at the input of an amplifier of 17.32 V: 18.75 dB; from the loudspeaker outputs through a tenth, 0.91 V."""
    unit, amplifier = HeadUnit(voltage=9.1, line_voltage=2.0), Amplifier(power=75, rated_impedance=4, minimum_load=2)
    assert gain_needed(amplifier, input_voltage(unit, output="line")) == pytest.approx(20 * np.log10(np.sqrt(300) / 2))
    assert input_voltage(unit, output="loudspeaker", converter=0.1) == pytest.approx(0.91)
    with pytest.raises(ValueError, match="has no line output"):
        input_voltage(HeadUnit(voltage=9.1), output="line")
    with pytest.raises(ValueError, match="did you mean 'loudspeaker'"):
        input_voltage(unit, output="loudspeakers")


ROOF = {"left roof": 3.3, "right roof": 3.3}


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        (6.7, "left roof in series with right roof"),
        (1.7, "left roof in parallel with right roof"),
        (3.4, "left roof alone"),
    ],
)
def test_a_reading_names_the_wiring(reading, words):
    likely = likely_wirings(reading, ROOF)
    assert likely[0].words == words
    assert abs(likely[0].off) < 0.05


def test_a_capacitor_hides_what_stands_behind_it():
    likely = likely_wirings(3.3, {"woofer": 3.4, "tweeter": np.inf})
    assert {guess.words for guess in likely} == {"woofer alone", "woofer in parallel with tweeter"}


def test_four_in_pairs_read_as_one():
    four = {f"driver {i}": 4.0 for i in range(4)}
    assert any(guess.words.startswith("(driver 0 in series with driver 1)") for guess in likely_wirings(4.0, four))


def test_ol_fits_only_what_lets_no_direct_current_through():
    coils = {"woofer": 3.4, "tweeter": np.inf}
    assert [(guess.words, guess.how, guess.off) for guess in likely_wirings(np.inf, coils)] == [
        ("tweeter alone", "alone", 0.0),
        ("woofer in series with tweeter", "series", 0.0),
    ]
    assert likely_wirings(np.inf, {"woofer": 3.4, "other": 3.3}) == (), "a broken wire"
    assert likely_wirings(1e5, coils) == ()


def coil(resistance, network=None, **changed):
    driver = dataclasses.replace(demo_drivers()["165 mm panel"], Re=resistance, **changed)
    return Loudspeaker(driver=driver, box=InfiniteBaffle(), network=network)


@pytest.mark.parametrize(
    ("loudspeakers", "wiring", "reads"),
    [
        ((coil(3.4), coil(6.8)), "parallel", 3.4 * 6.8 / 10.2),
        ((coil(3.4), coil(6.8)), "series", 10.2),
        (((coil(3.4), coil(3.3)), (coil(3.4), coil(3.3))), "parallel", 3.35),
        (((coil(4.0), coil(4.0)), coil(6.0)), "series", 8.0),
        ((coil(3.4), coil(3.3, in_series(Capacitor(capacitance=6.8e-6)))), "parallel", 3.4),
        ((coil(3.4), coil(3.3, built_in_capacitance=4.7e-6)), "series", np.inf),
        ((coil(3.4, in_series(Capacitor(capacitance=np.inf, resistance=0.1))),), "parallel", 3.5),
        (
            (coil(4.0, in_series(Inductor(inductance=1e-3, resistance=0.3)) + across(Resistor(resistance=12.0))),),
            "parallel",
            3.3,
        ),
        ((coil(4.0, across(Inductor(inductance=np.inf))),), "parallel", 4.0),
        ((coil(4.0, across(Resistor(resistance=4.7)) + in_series(Capacitor(capacitance=6.8e-6))),), "series", 4.7),
        (
            (coil(4.0, in_series(SideBySide(components=(Resistor(resistance=2.0), Inductor(inductance=1e-3))))),),
            "parallel",
            4.0,
        ),
    ],
)
def test_what_an_ohmmeter_reads_of_a_channel(loudspeakers, wiring, reads):
    """By Kirchhoff at no frequency at all: a capacitor is open, a coil its wire."""
    assert meter_reading(Channel(loudspeakers=loudspeakers, wiring=wiring)) == pytest.approx(reads)


def test_a_reading_that_fits_nothing():
    assert likely_wirings(50.0, ROOF) == ()
    with pytest.raises(ValueError, match=r"likely_wirings\.reading must be between"):
        likely_wirings(-1, ROOF)


def ideal(name, level=0.0):
    """A channel that is flat from 5 Hz up: a driver of 0.2 Hz."""
    driver = Driver(Re=4.0, Bl=0.01, Mms=5.0, Cms=0.1, Rms=1e-6, Sd=0.02)
    speaker = Loudspeaker(driver=driver, box=InfiniteBaffle())
    return Channel(loudspeakers=(speaker,), filters=(Gain(level=level),), name=name)


@pytest.mark.parametrize("late", [0.0, 2e-3, -3e-3])
def test_the_search_finds_what_undoes_a_delay(late):
    """Two flat sources sum to flat through Linkwitz-Riley filters of any corner once their delays agree (1976)."""
    bass, panels = ideal("bass"), ideal("panels")
    side = bass if late > 0 else panels
    moved = dataclasses.replace(side, filters=(Delay(time=abs(late)),)) if late else side
    system = System(channels=(moved, panels) if late > 0 else (bass, moved))
    first = meetings(system, bass="bass", panels="panels")[0]
    assert first.error == pytest.approx(0, abs=1e-4)  # (0.22 Hz / 40 Hz)^2 of 8.7 dB is left at the edge
    assert first.panel_delay - first.bass_delay == pytest.approx(late, abs=1e-12)


def test_a_reversed_bass_box_is_turned_round():
    bass = ideal("bass")
    turned = dataclasses.replace(bass.loudspeakers[0], polarity="reversed")
    system = System(channels=(dataclasses.replace(bass, loudspeakers=(turned,)), ideal("panels")))
    found = meetings(system, bass="bass", panels="panels", slopes=((4, "Linkwitz-Riley"),), delays=(0.0,))[0]
    assert found.reversed
    assert "the bass box reversed" in str(found)


def test_what_is_promised_is_what_the_system_does():
    """Of every way returned, the error recomputed through `solve` from the finished system."""
    drivers = demo_drivers()
    bass = Loudspeaker(driver=drivers["250 mm bass"], box=InfiniteBaffle(), position=(4.0, 0.5, 0.3))
    panel = Loudspeaker(driver=drivers["130 mm step well"], box=InfiniteBaffle(), position=(0.5, 0.3, 0.3))
    system = System(
        channels=(Channel(loudspeakers=(bass,), name="bass"), Channel(loudspeakers=(panel,), name="panels")),
        ear=(1.5, 0.5, 1.0),
    )
    grid = frequencies(40, 200, per_octave=24)
    found = meetings(system, bass="bass", panels="panels")
    assert [way.error for way in found] == sorted(way.error for way in found)
    for way in found:
        level = 20 * np.log10(abs(solve(way.system, grid).pressure))
        octaves = np.log2(grid)
        off = level - np.polyval(np.polyfit(octaves, level, 1), octaves)
        assert way.error == pytest.approx(np.sqrt(np.mean(off**2)), abs=1e-9)
    with pytest.raises(ValueError, match=r"meetings\.bass must be one of bass, panels, got 'boot'"):
        meetings(system, bass="boot", panels="panels")


def test_a_transfer_is_what_the_filters_do_in_a_loudspeaker():
    speaker = Loudspeaker(driver=demo_drivers()["165 mm panel"], box=InfiniteBaffle())
    filters = (HighPass(frequency=80, order=3), LowPass(frequency=300, family="Bessel"), Delay(time=1e-3))
    grid = frequencies(20, 500, per_octave=6)
    filtered = solve(dataclasses.replace(speaker, filters=filters), grid).pressure / solve(speaker, grid).pressure
    assert transfer(filters, grid) == pytest.approx(filtered, rel=1e-12)


def test_what_cannot_be_a_coil_is_refused():
    with pytest.raises(ValueError, match=r"likely_wirings\.resistances\['roof'\] must be between 0\.01 and inf ohm"):
        likely_wirings(4.0, {"roof": 0.0})


def test_a_tone_that_no_plain_meter_reads_is_marked():
    lines = [str(setting(output="x", power=50, impedance=4, frequency=f)) for f in (100, 5000)]
    assert lines == [
        "x: 14.14 V a.c. at 100 Hz",
        "x: 14.14 V a.c. at 5000 Hz (use a meter that is good for that frequency)",
    ]


def test_a_meter_is_named_for_tones_above_400_hz():
    """A multimeter is good for some 400 Hz (common practice, no source)."""
    said = [str(setting(output="tweeters", power=50, impedance=4, frequency=f)) for f in (400.0, 500.0)]
    assert said[0] == "tweeters: 14.14 V a.c. at 400 Hz"
    assert said[1] == "tweeters: 14.14 V a.c. at 500 Hz (use a meter that is good for that frequency)"


def test_a_converter_behind_a_line_output_counts():
    assert input_voltage(HeadUnit(voltage=9.1, line_voltage=4.0), output="line", converter=0.5) == pytest.approx(2.0)
