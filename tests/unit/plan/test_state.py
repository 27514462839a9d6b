"""What there is once some stages are done, against a system built by hand from parts; and what does not fit."""

import copy
import dataclasses
import itertools

import numpy as np
import pytest

from lumpedbox import (
    Capacitor,
    Channel,
    Door,
    Gain,
    HighPass,
    InfiniteBaffle,
    Loudspeaker,
    LowPass,
    Resistor,
    SealedBox,
    System,
    across,
    in_series,
    maximum_level,
    solve,
)
from lumpedbox.design.level_matching import GRID, band_level, band_levels, thinness
from lumpedbox.design.ratings import PROGRAMME
from lumpedbox.plan import causes, figures
from lumpedbox.plan.figures import band_of_ears
from lumpedbox.plan.reading import plan_of
from lumpedbox.response.system_limits import driven
from lumpedbox.tables import demo_amplifiers, demo_cabins, demo_drivers, demo_head_units

TWEETERS, SEAL, SMALL = "tweeters at the middle row", "seal the step wells", "small drivers in the step wells"
FILTER, AMPLIFIER, BOX = "keep bass from the roof", "amplifier", "bass box"
STAGES = (TWEETERS, SEAL, SMALL, FILTER, AMPLIFIER, BOX)
SETS = [
    done for size in range(7) for done in itertools.combinations(STAGES, size) if BOX not in done or AMPLIFIER in done
]


@pytest.fixture(scope="module")
def read(library):
    return lambda text: plan_of(text, "plan.toml", library)


SEALED_BOX, SEALED_DOOR = SealedBox(volume=0.032), Door(volume=0.032, hole_area=0)


def by_hand(done, levels, sealed):
    """Build the minibus as it is written in the plan, without reading it."""
    drivers = demo_drivers()
    unit = demo_head_units()["head unit of the minibus"]
    stores = demo_amplifiers()["four channels from the stores"]
    cabin = dataclasses.replace(demo_cabins()["sixteen-seat minibus"], law="modes")

    def speaker(driver, place, box, name, network=None, angle=0.0):
        return Loudspeaker(
            driver=drivers[driver], box=box, cabin=cabin, position=place, name=name, network=network, angle=angle
        )

    def channel(name, speakers, source, *filters):
        gain = (Gain(level=levels[name]),) if levels.get(name) else ()
        return Channel(loudspeakers=speakers, amplifier=source, filters=(*filters, *gain), name=name)

    channels = []
    well = sealed if SEAL in done else Door(volume=0.032, hole_area=0.012)
    bass_off = (HighPass(frequency=80, order=2),) if BOX in done else ()
    for side, y in (("left", 0.1), ("right", 1.7)):
        driver = "130 mm step well" if SMALL in done else "200 mm step well, tired"
        one = speaker(driver, (0.6, y, 0.35), well, f"step well {side}")
        channels.append(channel(f"front {side}", (one,), stores if AMPLIFIER in done else unit, *bass_off))
    pad = in_series(Resistor(resistance=4 * (1 - 10**-0.3))) + across(
        Resistor(resistance=4 * 10**-0.3 / (1 - 10**-0.3))
    )
    for side, y, wall in (("left", 0.45, 0.08), ("right", 1.35, 1.72)):
        speakers = [speaker("100 mm roof", (2.2, y, 1.58), InfiniteBaffle(), f"roof {side}")]
        if TWEETERS in done:
            line = in_series(Capacitor(capacitance=6.8e-6)) + pad
            at = (2.4, wall, 1.05)
            speakers.append(speaker("19 mm dash tweeter", at, InfiniteBaffle(), f"middle row {side}", line, 45.0))
        roof_off = (HighPass(frequency=150, order=2),) if FILTER in done else ()
        channels.append(channel(f"roof and middle {side}", tuple(speakers), unit, *roof_off))
    if BOX in done:
        bass = speaker("250 mm bass", (4.6, 1.55, 0.3), SealedBox(volume=0.04, Ql=7), "wheel arch")
        channels.append(channel("bass", (bass,), stores, LowPass(frequency=80, order=4)))
    return System(channels=tuple(channels), ear=(2.6, 0.5, 1.15))


def check_by_hand(plan, done):
    state = plan.after(*done)
    found, system = figures(state), by_hand(done, state.levels, SEALED_BOX)
    loudest = maximum_level(system, GRID)
    first = np.argmin(loudest.voltage)
    at_drive = loudest.level - 20 * np.log10(loudest.voltage / loudest.voltage[first])
    assert found.drive == pytest.approx(loudest.voltage[first], rel=1e-9)
    assert found.clean == pytest.approx(band_level(GRID, at_drive, 40, 80), abs=1e-6)
    assert found.gives == loudest.gives[first]
    assert found.at == pytest.approx(GRID[first])
    # A box hands over to the printed sensitivity where its side is a sixth of a wavelength; a door of unknown sides
    # does not. solve() leaves the amplifier's 0.02 ohm out, which the figures count.
    with_outputs = driven(by_hand(done, state.levels, SEALED_DOOR), None)
    assert found.thinness == pytest.approx(thinness(with_outputs), abs=1e-6)
    assert found.bands == pytest.approx(band_levels(with_outputs, plan.voltage), abs=1e-6)
    response = solve(with_outputs, np.geomspace(10, 400, 128))
    assert found.f3 == pytest.approx(response.cutoff(3.0103), rel=0.01, nan_ok=True)
    assert found.loads == pytest.approx(dict(zip(system.channel_names, _lowest(response), strict=True)), rel=1e-6)


def _lowest(response):
    return [float(first.lowest_channel_impedance) for first in response.firsts]


@pytest.mark.parametrize("done", [SETS[9], SETS[30], SETS[-1]], ids=", ".join)
def test_figures_are_those_of_a_system_built_by_hand(plan, done):
    check_by_hand(plan, done)


@pytest.mark.long
@pytest.mark.parametrize("done", SETS, ids=", ".join)
def test_figures_of_every_set_are_those_of_a_system_built_by_hand(plan, done):
    check_by_hand(plan, done)


def test_the_clean_level_by_hand_from_the_travel_of_a_cone(read):
    # a sealed 165 mm panel, nothing else known: the drive at which x = xmax at its worst frequency from 40 Hz up
    plan = read('[opening.door]\nvolume = "20 L"\n[channel.front]\nsource = { voltage = "100 V" }\nfeeds = ["door"]\n'
                '[have]\ndoor = { fs = "58 Hz", Qes = 0.6, Qms = 4.5, Vas = "15 L", Sd = "137 cm2", Re = "3.4 ohm", '
                'xmax = "4 mm" }\n')  # fmt: skip
    found = figures(plan.after())
    speaker = plan.after().system.loudspeakers[0]
    response = solve(speaker, GRID, 1.0)
    drive = 4e-3 / response.excursion.max()
    assert found.drive == pytest.approx(drive, rel=1e-9)
    inside = (GRID >= 40 - 1e-9) & (GRID <= 80 + 1e-9)
    square = np.mean((np.abs(response.pressure[inside]) * drive / 20e-6) ** 2)
    assert found.clean == pytest.approx(10 * np.log10(square), abs=1e-9)
    assert found.gives == "travel"
    assert any("power" in said for said in found.unknown)


def test_figures_of_the_demo_beside_those_of_an_earlier_drawing(plan):
    # Earlier numbers of ours with an amplifier that fixes all levels but the bass: as found 91.8, then with the wells
    # sealed 94.5 and 130 mm drivers 85.4 dB. The 130 mm drivers changed 40 to 80 Hz by +0.5 dB in leaky and -9.2 dB in
    # sealed wells; ours by +1.1 and -9.0: both sides of the middle row and the hole's Q of 3 are in it.
    clean = {done: figures(plan.after(*done)).clean for done in ((), (SEAL,), (SMALL,), (SEAL, SMALL), (SEAL, FILTER))}
    assert clean[()] == pytest.approx(91.8, abs=1)
    assert clean[SEAL,] == pytest.approx(94.5, abs=0.5)
    assert clean[SEAL, SMALL] == pytest.approx(85.4, abs=0.5)
    assert clean[SEAL, FILTER] == pytest.approx(104.8, abs=0.5)
    assert clean[SMALL,] - clean[()] == pytest.approx(0.5, abs=1)
    assert clean[SEAL, SMALL] - clean[SEAL,] == pytest.approx(-9.2, abs=0.5)


def test_the_order_of_the_names_changes_nothing(plan):
    one, other = plan.after(SEAL, AMPLIFIER, BOX), plan.after(BOX, SEAL, AMPLIFIER)
    assert one.system == other.system
    assert figures(one).clean == figures(other).clean


def test_filters_of_several_stages_add_up(read):
    plan = read('[opening.door]\nvolume = "20 L"\n[channel.front]\nfeeds = ["door"]\nsource = { voltage = "9 V" }\n'
                'filter = "level -3 dB"\n[have]\ndoor = "165 mm panel"\n'
                '[stage.one]\nfilter = { front = "high-pass 80 Hz, 12 dB/octave" }\n'
                '[stage.two]\nfilter = { front = ["low-pass 4 kHz, 6 dB/octave"] }\n')  # fmt: skip
    both = plan.after("two", "one").system.channels[0].filters
    assert set(both) == {Gain(level=-3), HighPass(frequency=80, order=2), LowPass(frequency=4000, order=1)}
    assert plan.after("two").system.channels[0].filters == (Gain(level=-3), LowPass(frequency=4000, order=1))


def test_costs_add_up_and_a_part_is_bought_once(plan, read):
    assert plan.after().cost == 0
    assert plan.after(*STAGES).cost == 78 + 44 + 6 + 8 + 95 + 30 + 0 + 28
    for done in SETS:
        assert plan.after(*done).cost == sum(plan.after(name).cost for name in done)
    shared = read('[part.wire]\ncost = 28\n[stage.one]\nuses = ["wire"]\ncost = 5\n[stage.two]\nuses = ["wire"]\n')
    assert (shared.after("one").cost, shared.after("two").cost, shared.after("one", "two").cost) == (33, 28, 33)


@pytest.mark.parametrize("name", ["openings", "channels", "have", "items", "stages", "orders"])
def test_nothing_changes_a_plan(plan, name):
    with pytest.raises(TypeError, match="does not support item assignment"):
        getattr(plan, name)["roof left"] = None


def test_nothing_changes_what_a_plan_tells_of_an_opening_or_a_channel(plan):
    for told in (plan.openings["roof left"], next(iter(plan.channels.values()))):
        with pytest.raises(TypeError, match="does not support item assignment"):
            told["volume"] = 1.0


def test_nothing_changes_a_state_that_others_get_too(plan):
    """Two pages that ask for the same stages share what is worked out."""
    state = plan.after(SEAL)
    assert plan.after(SEAL) is state
    line = state.lines[0]
    shared = (state.drivers, state.openings, state.openings["roof left"], line.drivers, line.openings, line.last)
    for each in shared:
        with pytest.raises(TypeError, match="does not support item assignment"):
            each["roof left"] = None
    with pytest.raises(ValueError, match="read-only"):
        state.gains[0] = 99


def test_a_plan_can_be_copied(plan):
    """A page that holds one could not be printed while its mappings could not be copied."""
    other = copy.deepcopy(plan)
    assert figures(other.after(SEAL)).clean == figures(plan.after(SEAL)).clean
    with pytest.raises(TypeError, match="does not support item assignment"):
        other.openings["roof left"]["volume"] = 1.0


def test_a_stage_that_is_not_there_is_named(plan):
    with pytest.raises(ValueError, match=r"Plan\.after\.stages .*did you mean 'bass box'\?"):
        plan.after("bas box")
    with pytest.raises(TypeError, match=r"Plan\.after\.stages"):
        plan.after(3)


def test_an_amplifier_may_be_turned_up_and_a_head_unit_not(plan):
    assert set(figures(plan.after(SEAL)).levels.values()) == {0.0}
    state = plan.after(SEAL, AMPLIFIER, BOX)
    levels = figures(state).levels
    assert levels["bass"] == 12.0
    assert levels["front left"] == levels["front right"] > 0
    assert levels["roof and middle left"] == 0
    # no level in steps of a decibel does better without more than 6 dB of thickness
    together, best = state.together, figures(state).clean
    for front in range(13):
        for bass in range(13):
            gains = 10 ** (np.array([front, front, 0, 0, bass]) / 20)
            if together.thinness(gains) >= -6:
                assert together.clean(gains) <= best + 1e-9


def test_levels_may_be_kept_from_being_free(plan):
    fixed = dataclasses.replace(plan, levels=(0.0, 0.0))
    assert set(figures(fixed.after(*STAGES)).levels.values()) == {0.0}
    free, tied = (figures(p.after(SEAL, AMPLIFIER, BOX)).clean for p in (plan, fixed))
    assert free > tied + 3


def test_a_level_that_a_stage_fixes_stays(read, plan):
    text = plan.text.replace(
        'bass = ["low-pass 80 Hz, 24 dB/octave"]', 'bass = ["low-pass 80 Hz, 24 dB/octave", "level 3 dB"]'
    )
    state = read(text).after(AMPLIFIER, BOX)
    assert figures(state).levels["bass"] == 0
    assert Gain(level=3) in state.system.channels[-1].filters


def test_what_does_not_fit_as_found(plan):
    (depth,) = plan.after().unfit
    assert (depth.what, depth.where) == ("depth", "step well right")
    assert depth == "depth: step well right is 58 mm deep, and the 200 mm step well, tired needs 78 mm."
    assert "depth" not in [one.what for one in plan.after(SMALL).unfit]


def test_an_unfed_driver_and_a_stage_too_early_are_told(plan):
    state = plan.after(BOX)
    found = {one.what: one for one in state.unfit}
    assert found["order"] == "order: bass box comes after amplifier, which is not done."
    assert found["no source"] == (
        "no source: Nothing drives the 250 mm bass at wheel arch yet: say there what drives it."
    )
    assert "wheel arch" not in state.system.names


@pytest.mark.parametrize(("old", "new", "done", "what", "told"), [
    ('cutout = "185 mm"\ndepth = "58', 'cutout = "170 mm"\ndepth = "98', (), "cutout", "170 mm wide"),
    ('space = "60 litres"', 'space = "50 litres"', (AMPLIFIER, BOX), "litres", "at least 57 outside"),
    ('feeds = ["roof left", "middle row left"]', 'feeds = ["roof left"]', (TWEETERS,), "no source", "say there"),
    ('driver = "250 mm bass"', 'driver = "250 mm bass"\n[stage.one]\nmove = { "roof and middle left" = '
     '{ power = "75 W", rated_impedance = "4 ohm", minimum_load = "8 ohm" } }', ("one",), "load", "falls to 3.3 ohm"),
])  # fmt: skip
def test_what_else_does_not_fit(plan, read, old, new, done, what, told):
    assert old in plan.text
    found = [one for one in read(plan.text.replace(old, new, 1)).after(*done).unfit if one.what == what]
    assert told in " ".join(found)


def test_more_outputs_than_there_are_and_a_lack_of_current(read, plan):
    weak = '{ power = "75 W", rated_impedance = "4 ohm", minimum_load = "8 ohm", channels = 1 }'
    places = "".join(f'[opening.{n}]\nvolume = "20 L"\n[channel.{n}]\nsource = {weak}\nfeeds = ["{n}"]\n' for n in "ab")
    state = read(f'{places}[have]\na = "250 mm bass"\nb = "250 mm bass"\n').after()
    found = {one.what: one for one in state.unfit}
    assert "1 outputs, and 2 are used: a, b" in found["outputs"]
    assert found["amplifier current"].startswith("amplifier current: The amplifier of a runs out of current first")


def test_two_amplifiers_have_twice_the_outputs(read):
    one = '{ power = "75 W", rated_impedance = "4 ohm", channels = 1 }'
    places = "".join(f'[opening.{n}]\nvolume = "20 L"\n[channel.{n}]\nsource = {one}\nfeeds = ["{n}"]\n' for n in "ab")
    text = f'{places}[have]\na = "165 mm panel"\nb = "165 mm panel"\n[part.monoblock]\namplifier = {one}\n'
    assert "outputs" in [one.what for one in read(text).after().unfit]
    assert "outputs" not in [one.what for one in read(f"{text}count = 2\n").after().unfit]
    another = f"{text}[part.another]\namplifier = {one}\n"
    assert "outputs" not in [one.what for one in read(another).after().unfit]


def test_what_stays_is_rated_anew_at_each_stage(read, plan):
    # A pad of 2 and 4 ohm in front of 4 ohm rated, behind a capacitor: by Kirchhoff's laws, at 8 kHz and above nearly
    # the full voltage is on it. With a quarter of a steady tone's power and twice that bought (common practice), the
    # resistor in the line needs 10 W at 75 W into 4 ohm, and less than 4 W on the head unit's 9.1 V.
    text = plan.text.replace('power = "10 W"', 'power = "4 W"') + (
        '\n[stage."power for the roof"]\nmove = { "roof and middle left" = "four channels from the stores" }\n'
    )
    changed = read(text)
    quiet = changed.after(TWEETERS)
    assert "power" not in [one.what for one in quiet.unfit if "middle row" in one.where]
    loud = changed.after(TWEETERS, "power for the roof")
    (pad,) = [one for one in loud.unfit if one.where == "middle row left" and "resistor in series" in one]
    assert "pads at middle row left" in pad
    assert "rated 4 W" in pad
    system = System(channels=(next(c for c in loud.system.channels if "middle left" in c.name),), ear=(2.6, 0.5, 1.15))
    tweeter = solve(system, GRID, np.sqrt(75 * 4)).responses[1]
    most = np.max(np.abs(tweeter.component_currents["resistor in series"]) ** 2) * 4 * (1 - 10**-0.3)
    assert f"needs {most * PROGRAMME * 2:.0f} W" in pad
    assert f"({most:.0f} W in a steady tone)" in pad


@pytest.mark.parametrize(("power", "told"), [("1 W", "unfit"), ("5 W", "open"), ("10 W", "")])
def test_a_resistor_that_stands_music_alone_is_told(read, plan, power, told):
    # By hand: 9.1 V r.m.s. of the head unit, less what the capacitor takes, on 2 ohm before 3.9 ohm across some 4: the
    # one in the line takes 7.3 W of a steady tone at most, and half of that is bought for music (common practice).
    state = read(plan.text.replace('power = "10 W"', f'power = "{power}"')).after(TWEETERS)
    said = [one for one in state.open if "steady tone" in one]
    assert bool(said) == (told == "open")
    assert any(one.what == "power" and "middle row" in one.where for one in state.unfit) == (told == "unfit")
    if said:
        unit = next(one for one in state.playing if one.name == "roof and middle left").source
        system = System(channels=(next(c for c in state.system.channels if "middle left" in c.name),), ear=plan.ear)
        tweeter = solve(system, GRID, float(unit.voltage)).responses[1]
        most = np.max(np.abs(tweeter.component_currents["resistor in series"]) ** 2) * 4 * (1 - 10**-0.3)
        assert said == [
            "pads at middle row left and middle row right: 5 W stand music. A steady tone at full power of "
            f"{unit.name} brings the resistor in series {most:.0f} W, and can burn it."
        ]


def test_a_driver_that_its_source_can_overheat_is_told(plan):
    said = [one for one in plan.after(SEAL, SMALL, AMPLIFIER).unfit if one.what == "power"]
    assert said[0].startswith("power: The 130 mm step well at step well left takes 40 W")


def test_music_at_the_clean_level_has_its_minutes(plan):
    soft, loud = (figures(plan.after(*done)).exposure for done in ((), (SEAL, FILTER)))
    assert 0 < loud.minutes < soft.minutes
    assert figures(plan.after(SEAL)).remarks


def test_the_causes_between_two_stages(plan):
    found = causes(plan.after().system, plan.after(SEAL).system, [40, 60, 80])
    assert sum(found.parts.values()) == pytest.approx(found.difference, abs=1e-9)
    before, after = (solve(plan.after(*done).system, [40, 60, 80]).level for done in ((), (SEAL,)))
    assert found.difference == pytest.approx(after - before, abs=1e-9)


@pytest.mark.parametrize("resistance", ["0 ohm", "1 ohm"])
def test_the_frequency_limits_in_open_air_count_the_output_resistance_as_the_levels_do(read, resistance):
    # a sealed box of 20 L; to the driver an output resistance is as good as a wire's
    source = '{{ power = "40 W", rated_impedance = "4 ohm", output_resistance = "{}" }}'
    text = ('[opening.door]\nvolume = "20 L"\n[channel.front]\nfeeds = ["door"]\nsource = {}\nwire = "{}"\n'
            '[have]\ndoor = "165 mm panel"\n')  # fmt: skip
    own, wire = (
        read(text.format(source.format(r), w)).after() for r, w in ((resistance, "0 ohm"), ("0 ohm", resistance))
    )
    assert figures(own).f3 == pytest.approx(figures(wire).f3, rel=1e-9)
    assert figures(own).f10 == pytest.approx(figures(wire).f10, rel=1e-9)
    response = solve(wire.system, np.geomspace(10, 400, 128))
    assert figures(own).f10 == pytest.approx(response.cutoff(10), rel=0.01)


@pytest.mark.parametrize("uses", ['"weak", "strong"', '"strong", "weak"'])
def test_of_two_ratings_in_one_line_the_lower_counts(read, uses):
    state = read(
        '[opening.dash]\nbaffle = "infinite"\n[channel.front]\nfeeds = ["dash"]\n'
        'source = "four channels from the stores"\n[have]\ndash = "19 mm dash tweeter"\n'
        '[part.weak]\npower = "1 W"\n[part.strong]\npower = "100 W"\n'
        f'[stage.line]\nuses = [{uses}]\nline = {{ dash = ["6.8 uF in series", "6 dB pad"] }}\n'
    ).after("line")
    assert any("weak at dash" in one and "rated 1 W" in one for one in state.unfit)


@pytest.mark.long
def test_the_band_of_ears_is_that_of_heads_put_at_64_places(plan):
    found = figures(plan.after())
    low, high = band_of_ears(found)
    cabin, at = plan.cabin, np.flatnonzero((found.frequency > 30) & (found.frequency < 120))[::6]
    steps = cabin.ear_box * (np.arange(4) - 1.5) / 4
    levels = []
    for moved in itertools.product(steps, repeat=3):
        ear = tuple(float(x + by) for x, by in zip(cabin.ear, moved, strict=True))
        there = dataclasses.replace(plan, cabin=dataclasses.replace(cabin, ear=ear, ear_box=0.0))
        levels.append(there.after().together.level(np.ones(4))[at] + 20 * np.log10(found.drive))
    edges = np.quantile(levels, (0.1, 0.9), axis=0)  # four of five lie between
    assert np.array([low, high])[:, at] == pytest.approx(edges, abs=0.15)  # worked out at eight frequencies an octave
    assert np.max(high - low) > 2  # near a dip a head that moves hears it


def test_without_a_place_there_is_no_band(read):
    channel = '[channel.one]\nsource = "head unit of the minibus"\nfeeds = ["door"]\n'
    text = channel + '[opening.door]\n[have]\ndoor = "165 mm panel"\n'
    assert band_of_ears(figures(read(text).after())) is None
