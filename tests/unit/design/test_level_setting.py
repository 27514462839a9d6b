"""Gains for wanted levels at the ear: held against solving the whole system anew, and against 20 log by hand."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import (
    Amplifier,
    Cabin,
    Capacitor,
    Channel,
    HeadUnit,
    HighPass,
    InfiniteBaffle,
    LevelTable,
    Loudspeaker,
    LowPass,
    SealedBox,
    System,
    frequencies,
    in_series,
    solve,
)
from lumpedbox.circuit.transfer import transfer
from lumpedbox.design.ceiling import ceiling
from lumpedbox.design.level_matching import band_level
from lumpedbox.design.level_setting import level_for_a_volt, reading_at, set_levels, tone_for
from lumpedbox.parts.line import Converter, Feed, LineInput
from lumpedbox.tables import demo_drivers, demo_levels, demo_readings
from lumpedbox.units import litre

DRIVERS = demo_drivers()
AMPLIFIER = Amplifier(power=75, rated_impedance=4, minimum_load=2, channels=2)
UNIT = HeadUnit(voltage=9.1, line_voltage=2)
FLAT = LevelTable(points=((50, 12), (315, 12)))
MIDDLE, LOW = (160.0, 800.0), (40.0, 80.0)


def channel(name, driver, place=(1, 0, 0), box=InfiniteBaffle(), filters=(), amplifier=AMPLIFIER, cabin=None):
    speaker = Loudspeaker(driver=DRIVERS[driver], box=box, position=place, cabin=cabin)
    return Channel(loudspeakers=(speaker,), filters=filters, amplifier=amplifier, name=name)


def three(random):
    """Front, rear and bass at random places in a random cabin, with random drivers and filters."""
    cabin = Cabin(length=random.uniform(2, 6), width=1.6, height=random.uniform(1, 2))
    front, rear = random.choice(["130 mm step well", "165 mm panel", "120 mm panel", "100 mm roof"], 2)
    corner = random.uniform(60, 120)
    high, low = HighPass(frequency=corner, order=2), LowPass(frequency=corner, order=4)

    def place():
        return tuple(random.uniform((0, 0, 0), (1.9, 1.5, 0.9)))

    return System(
        ear=(1.0, 0.5, 0.95),
        channels=(
            *(channel("front", front, place(), filters=(high,), cabin=cabin) for _ in range(2)),
            *(channel("rear", rear, place(), filters=(high,), cabin=cabin) for _ in range(2)),
            channel(
                "bass",
                random.choice(["200 mm bass", "250 mm bass"]),
                place(),
                SealedBox(volume=25 * litre, Ql=7),
                (low,),
                AMPLIFIER.bridged(),
                cabin,
            ),
        ),
    )


def way(random):
    """A source at a random volume, through a converter or not."""
    lines = random.random() < 0.5
    top = 20 * np.log10(random.uniform(0.2, 1.5 if lines else 8))
    reading = LevelTable(points=((50, top + random.uniform(-6, 3)), (160, top + random.uniform(-2, 1)), (315, top)))
    converter = Converter(ratio=random.uniform(0.05, 0.5), input_resistance=470, output_resistance=2e3, voltage=5)
    return Feed(
        source=UNIT,
        output="line" if lines else "loudspeaker",
        reading=reading,
        source_resistance=random.uniform(0, 50),
        converter=None if lines else converter,
        input=LineInput(lowest=0.002, highest=100),
        inputs=2,
    )


def by_itself(system, name, band):
    """Level of the channels of a name in a band: the whole system is solved, and the complex pressures summed."""
    grid = frequencies(*band, per_octave=24)
    solved = solve(system, grid, 1.0)
    names = [c.name for c in system.wired]
    own = [i for i, of in enumerate(names) if of == name]
    coherent = solve(dataclasses.replace(system, channels=tuple(system.wired[i] for i in own)), grid, 1.0)
    below = grid < coherent.modal_limit / np.sqrt(2)
    summed = 20 * np.log10(abs(sum(solved.treble_pressures[i] for i in own)) / 20e-6)
    assert summed[below] == pytest.approx(coherent.treble_level[below], abs=1e-9)
    return band_level(grid, coherent.treble_level, *band)


@pytest.mark.parametrize("seed", range(12))
def test_solved_anew_every_level_is_as_wanted_and_nothing_passes_its_end(seed):
    """The system that is handed back, solved with 1 V: levels as wanted, one output at its end, none above it."""
    random = np.random.default_rng(seed)
    system, feed = three(random), way(random)
    wanted = {"rear": random.uniform(-6, 3), "bass": random.uniform(-3, 9)}
    bands = {"front": MIDDLE, "rear": MIDDLE, "bass": LOW}
    levels = set_levels(system, feed=feed, bands=bands, wanted=wanted)
    heard = {name: by_itself(levels.system, name, band) for name, band in bands.items()}
    for name, difference in wanted.items():
        assert heard[name] - heard["front"] == pytest.approx(difference, abs=1e-6)
        assert levels.outputs[name].level == pytest.approx(heard[name], abs=1e-6)
    grid, shares = frequencies(20, 20000, per_octave=48), []
    for each in levels.system.wired:
        volts, output = np.abs(transfer(each.filters, grid)), levels.outputs[each.name]
        shares.append(volts.max() / ceiling(each)[0])
        assert output.loudest == pytest.approx(volts.max(), rel=3e-3), "the grid is coarser"
        at = np.abs(transfer(each.filters, [output.setting.frequency]))[0]
        assert output.setting.voltage == pytest.approx(at, rel=1e-9)
        full = float(each.amplifier.voltage)
        assert output.margin == pytest.approx(20 * np.log10(full / volts.max()), abs=0.03)
        assert output.gain == pytest.approx(20 * np.log10(full / output.knob), abs=1e-9)
    assert max(shares) == pytest.approx(1.0, rel=3e-3)
    assert levels.short == 0
    assert levels.beyond == {}


def test_the_same_loudspeaker_three_decibels_softer_reads_0_708_of_the_volts():
    """10 to the power -3/20 is 0.7079, by hand; 50 W of the coil into 4 ohm are 14.14 V."""
    system = System(channels=(channel("front", "165 mm panel"), channel("rear", "165 mm panel")))
    feed = Feed(source=UNIT, output="line", reading=FLAT)
    levels = set_levels(system, feed=feed, bands={"front": MIDDLE, "rear": MIDDLE}, wanted={"rear": -3})
    front, rear = (output.setting for output in levels.outputs.values())
    assert (front.voltage, front.frequency) == (pytest.approx(14.142, abs=1e-3), 315)
    assert rear.voltage / front.voltage == pytest.approx(0.7079, abs=1e-4)
    assert levels.outputs["front"].ceiling == "coil"
    # 12 dB re 1 V are 3.981 V; the knob stands where that makes 14.14 of the amplifier's 17.32 V
    assert levels.outputs["front"].knob == pytest.approx(3.981 * 17.3205 / 14.1421, abs=1e-3)


def test_drivers_in_series_share_the_volts():
    """Kirchhoff: I = V / sum R, and each coil takes I^2 R. 50 W at 4 ohm beside 40 W at 3 ohm: 3.54 A and 3.65 A."""
    strong = Amplifier(power=1000, rated_impedance=4, minimum_load=2)
    single = channel("front", "165 mm panel", amplifier=strong)
    (speaker,) = single.each
    three_ohm = dataclasses.replace(speaker.driver, power=40.0, rated_impedance=3.0)
    other = dataclasses.replace(speaker, driver=three_ohm)

    def of(loudspeakers, wiring="parallel"):
        return ceiling(dataclasses.replace(single, loudspeakers=loudspeakers, wiring=wiring))

    assert of((speaker,)) == (pytest.approx(14.142, abs=1e-3), "coil")
    assert of((speaker, other)) == (pytest.approx(np.sqrt(120)), "coil"), "in parallel the weaker one ends"
    assert of((speaker, other), "series") == (pytest.approx(np.sqrt(50 / 4) * 7), "coil")
    assert of(((speaker, speaker), (speaker, speaker))) == (pytest.approx(2 * np.sqrt(200)), "coil")
    # 2 ohm of two in parallel, in series with 3 ohm: two fifths for the pair
    assert of(((speaker, speaker), other), "series") == (
        pytest.approx(min(np.sqrt(200) * 2.5, np.sqrt(120) / 0.6)),
        "coil",
    )
    assert ceiling(dataclasses.replace(single, loudspeakers=((speaker, speaker),), amplifier=AMPLIFIER)) == (
        pytest.approx(17.3205, abs=1e-4),
        "amplifier",
    )


def test_in_series_no_coil_gets_more_volts_at_the_ceiling_than_alone():
    """Solved, at every frequency: two alike get half each, so at twice the volts what one alone has at its own end."""
    single = channel("front", "165 mm panel", amplifier=Amplifier(power=1000, rated_impedance=4, minimum_load=2))
    (speaker,) = single.each
    pair = dataclasses.replace(single, loudspeakers=(speaker, speaker), wiring="series")
    grid = frequencies(20, 20000, per_octave=12)
    for one in solve(System(channels=(pair,)), grid, ceiling(pair)[0]).responses:
        assert abs(one.driver_voltage) == pytest.approx(ceiling(single)[0], rel=1e-9)


def test_behind_a_network_each_counts_as_if_alone():
    single = channel("front", "165 mm panel", amplifier=Amplifier(power=1000, rated_impedance=4, minimum_load=2))
    (speaker,) = single.each
    behind = dataclasses.replace(speaker, network=in_series(Capacitor(capacitance=47e-6)))
    pair = dataclasses.replace(single, loudspeakers=(speaker, behind), wiring="series")
    assert ceiling(pair) == (pytest.approx(14.142, abs=1e-3), "coil")


def test_a_converter_clips_ahead_of_its_output_resistance():
    """Kirchhoff: behind 53 ohm, 470 ohm are left 3.981 * 470 / 523 V. A tenth of that stays 8.94 dB below 1 V inside,
    though 5 kilohm before 20 let a quarter less, 1.94 dB, reach the input."""
    system = System(channels=(channel("front", "165 mm panel"),))
    converter = Converter(ratio=0.1, input_resistance=470, output_resistance=5e3, voltage=1.0)
    feed = Feed(source=UNIT, output="loudspeaker", reading=FLAT, source_resistance=53, converter=converter)
    levels = set_levels(system, feed=feed, bands={"front": MIDDLE}, wanted={})
    assert levels.margins["converter"] == pytest.approx(20 * np.log10(1 / (0.39811 * 470 / 523)), abs=1e-3)
    arrives = 10 ** (levels.outputs["front"].gain / -20) * levels.outputs["front"].loudest
    assert 20 * np.log10(1 / arrives) - levels.margins["converter"] == pytest.approx(20 * np.log10(25 / 20), abs=1e-3)


def test_what_clips_first_and_how_much_is_left_by_hand():
    """3.981 V at an output that clips at 9.1: 7.18 dB. Through a tenth, 0.3981 of 1 V: 8.00 dB."""
    system = System(channels=(channel("front", "165 mm panel"),))
    converter = Converter(ratio=0.1, voltage=1.0)
    feed = Feed(source=UNIT, output="loudspeaker", reading=FLAT, converter=converter)
    levels = set_levels(system, feed=feed, bands={"front": MIDDLE}, wanted={}, reserve=6)
    assert levels.margins["source"] == pytest.approx(7.18, abs=0.005)
    assert levels.margins["converter"] == pytest.approx(8.00, abs=0.005)
    assert levels.margins["front"] == pytest.approx(6 + 20 * np.log10(17.3205 / 14.1421), abs=0.001)
    assert levels.first == "source"
    assert levels.left == pytest.approx(7.18, abs=0.005)


def test_a_knob_that_is_all_the_way_up_leaves_all_softer_and_one_all_the_way_down_is_told():
    """0.398 V at an input: 0.487 V on the knob would make 14.14 V of 17.32; at 1 V all stay 6.24 dB softer."""
    system = System(channels=(channel("front", "165 mm panel"), channel("rear", "165 mm panel")))
    bands, wanted = {"front": MIDDLE, "rear": MIDDLE}, {"rear": -9}
    quiet = Feed(
        source=UNIT, output="loudspeaker", reading=FLAT, converter=Converter(ratio=0.1), input=LineInput(lowest=1)
    )
    levels = set_levels(system, feed=quiet, bands=bands, wanted=wanted)
    assert levels.outputs["front"].knob == pytest.approx(1.0)
    assert levels.short == pytest.approx(20 * np.log10(1 / 0.4876), abs=0.001)
    loud = Feed(source=UNIT, output="loudspeaker", reading=FLAT, input=LineInput(highest=5))
    levels = set_levels(system, feed=loud, bands=bands, wanted=wanted)
    assert levels.outputs["rear"].knob == pytest.approx(4.8758 * 10 ** (9 / 20), abs=0.001)
    assert levels.beyond == {"rear": pytest.approx(20 * np.log10(4.8758 / 5) + 9, abs=0.001)}


def test_the_tone_lies_in_the_middle_of_the_band_where_a_meter_holds():
    assert tone_for((40, 80)) == 63
    assert tone_for((2000, 8000)) == 315, "no higher than a cheap meter holds"
    assert tone_for((20, 40)) == 50


def test_between_two_settings_of_the_volume_the_decibels_lie_between():
    """Half way between 1 V and 4 V lie 2 V."""
    one, four = (LevelTable(points=((50, level), (315, level))) for level in (0, 20 * np.log10(4)))
    assert dict(reading_at({10: one, 20: four}, 15).points)[50] == pytest.approx(20 * np.log10(2))
    assert reading_at({10: one, 20: four}, 20).points[1][1] == pytest.approx(12.0412, abs=1e-4)


def test_readings_agree_with_what_the_head_unit_does_to_the_level():
    """Two invented tables of one head unit: the volts against those at 315 Hz are its levels; read to 0.01 V."""
    for volume, table in demo_levels().items():
        tones = np.array([50.0, 63.0, 80.0, 100.0, 160.0, 315.0])
        read = np.array([level for _, level in demo_readings()[float(volume.split()[1])].points])
        shape = 20 * np.log10(abs(transfer((table,), tones)))
        assert read - read[-1] == pytest.approx(shape - shape[-1], abs=0.25)


TWO = System(channels=(channel("front", "165 mm panel"), channel("rear", "165 mm panel")))
FEED = Feed(source=UNIT, output="line", reading=FLAT)
BANDS = {"front": MIDDLE, "rear": MIDDLE}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"bands": {}}, r"set_levels\.bands is empty"),
        ({"bands": {"front": MIDDLE}}, r"a band for every channel: 'rear' is missing"),
        ({"bands": BANDS | {"raer": MIDDLE}}, r"set_levels\.bands must be .* got 'raer'"),
        ({"wanted": {"front": 3}}, r"set_levels\.wanted must be"),
        ({"wanted": {"rear": -300}}, r"set_levels\.wanted\['rear'\] must be between -120 and 60 dB"),
        ({"reserve": -1}, r"set_levels\.reserve must be between"),
        ({"feed": FLAT}, r"set_levels\.feed must be"),
        (
            {"system": System(channels=(channel("front", "165 mm panel", amplifier=None), TWO.channels[1]))},
            r"amplifier is missing \(front\)",
        ),
    ],
)
def test_what_does_not_fit_is_refused_by_name(change, said):
    asked = {"system": TWO, "feed": FEED, "bands": BANDS, "wanted": {"rear": -3}} | change
    with pytest.raises((ValueError, TypeError), match=said):
        set_levels(asked.pop("system"), **asked)


def test_a_volume_that_was_not_read_is_refused():
    with pytest.raises(ValueError, match=r"must be between 10 and 30, where it was read, got 35: read it there too"):
        reading_at(demo_readings(), 35)
    with pytest.raises(ValueError, match=r"level_for_a_volt\.name must be"):
        level_for_a_volt(TWO, "bass", [50, 100])
