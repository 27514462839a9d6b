"""How loud several loudspeakers play at one common drive before something gives, whose limit it is, and by what."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import (
    Amplifier,
    Cabin,
    Channel,
    Driver,
    Gain,
    HeadUnit,
    HighPass,
    InfiniteBaffle,
    Loudspeaker,
    LowPass,
    PassiveRadiator,
    PassiveRadiatorBox,
    Resistor,
    SealedBox,
    System,
    VentedBox,
    frequencies,
    in_series,
    l_pad,
    maximum_level,
    solve,
)
from lumpedbox.response.heat import heated
from lumpedbox.response.limits import in_words

GRID = frequencies(15, 2000, 4)
AMPLIFIER = Amplifier(power=75, rated_impedance=4, minimum_load=2, channels=4)
DRIVER = Driver(Re=3.4, Bl=9.4, Mms=0.053, Cms=0.39e-3, Rms=2.3, Sd=0.033, Le=0.4e-3, xmax=8e-3, power=100.0)
VENTED = Loudspeaker(driver=DRIVER, box=VentedBox(volume=0.03, fb=36, port_area=50e-4, Ql=7), name="vented")
SEALED = Loudspeaker(driver=DRIVER, box=SealedBox(volume=0.02), name="sealed")


def random_driver(random):
    return Driver.from_thiele_small(
        fs=random.uniform(30, 70),
        Qes=random.uniform(0.35, 0.9),
        Qms=random.uniform(3, 8),
        Vas=random.uniform(0.004, 0.03),
        Sd=random.uniform(0.008, 0.03),
        Re=random.uniform(2.5, 7),
        Le=random.uniform(0, 1e-3),
        xmax=random.uniform(2e-3, 9e-3),
        power=random.uniform(3, 60),
    )


def random_box(random):
    volume = random.uniform(0.006, 0.04)
    radiator = PassiveRadiator(Mms=0.09, Cms=0.6e-3, Sd=0.04, Rms=0.5, xmax=random.uniform(3e-3, 9e-3))
    return [
        SealedBox(volume=volume, Ql=7),
        VentedBox(volume=volume, fb=random.uniform(30, 60), port_area=random.uniform(3e-4, 2e-3), Ql=7, Qa=40),
        PassiveRadiatorBox(volume=volume, radiator=radiator),
        InfiniteBaffle(),
    ][random.integers(4)]


def random_speaker(random, cabin, name):
    networks = None, l_pad(attenuation=random.uniform(1, 9), impedance=4.0), in_series(Resistor(resistance=1.5))
    return Loudspeaker(
        driver=random_driver(random),
        box=random_box(random),
        network=networks[random.integers(3)],
        cabin=cabin,
        source_resistance=random.uniform(0, 0.3),
        position=tuple(random.uniform(0, 2, 3)),
        polarity=("as marked", "reversed")[random.integers(2)],
        name=name,
    )


def random_system(seed):
    """Two or three channels of one to four loudspeakers, alone, in rows, and mixed, with pads, filters and gains."""
    random = np.random.default_rng(seed)
    cabin = (None, Cabin(length=3.0, width=1.6, height=1.2))[random.integers(2)]
    channels = []
    for place in range(random.integers(2, 4)):
        speakers = [random_speaker(random, cabin, f"{place}.{n}") for n in range(random.integers(1, 5))]
        filters = [(), (Gain(level=-5.0),), (HighPass(frequency=60.0, order=2),), (LowPass(frequency=90.0, order=4),)]
        resistance = random.uniform(0, 0.2)
        sources = (
            Amplifier(
                power=random.uniform(10, 90),
                rated_impedance=4,
                minimum_load=2,
                output_resistance=resistance,
                channels=4,
            ),
            HeadUnit(voltage=random.uniform(8, 10), minimum_load=4.0),
        )
        channels.append(
            Channel(
                loudspeakers=(tuple(speakers[:2]), *speakers[2:]) if random.integers(2) else tuple(speakers),
                wiring=("parallel", "series")[random.integers(2)],
                filters=filters[random.integers(4)],
                source_resistance=random.uniform(0, 0.2),
                amplifier=sources[random.integers(2)],
                name=f"channel {'abc'[place]}",
            )
        )
    return System(channels=tuple(channels), ear=(3.0, 0.5, 1.0))


def used(system, frequency, voltage):
    """Return how much of each limit is used at each frequency's own voltage, from the parts' own numbers. [1]"""
    shares, heard = {}, solve(system, frequency, voltage)
    for speaker, response in zip(system.loudspeakers, heard.responses, strict=True):
        driver, box = speaker.driver, speaker.box
        shares[speaker.name, "travel"] = response.excursion / driver.xmax
        shares[speaker.name, "heat of the coil"] = abs(coil_current(response)) / np.sqrt(driver.power / driver.Re)
        if isinstance(box, VentedBox):
            shares[speaker.name, "port speed"] = response.port_velocity / 17.0
        if isinstance(box, PassiveRadiatorBox):
            shares[speaker.name, "travel of the radiator"] = response.radiator_excursion / box.radiator.xmax
    gains = filter_gains(system, frequency)
    for channel, load, gain in zip(system.wired, heard.channel_impedances, gains, strict=True):
        volts, most = abs(gain) * voltage[:, np.newaxis], channel.amplifier.voltage
        shares[channel.name, "amplifier voltage"] = volts / most
        current = volts / abs(load + channel.source_resistance)
        shares[channel.name, "amplifier current"] = current / (most / channel.amplifier.minimum_load)
    return {key: np.diagonal(share) for key, share in shares.items()}, np.diagonal(heard.level)


def coil_current(response):
    """Current in the coil, from V = (Re + s Le) i + Bl v."""
    driver, s = response.loudspeaker.driver, 2j * np.pi * response.frequency
    return (response.driver_voltage - driver.Bl * response.cone_velocity) / (driver.Re + s * driver.Le)


def filter_gains(system, frequency):
    """What the filters of each channel do, from the formulas of the Butterworth filters."""
    S = 1j * frequency
    for channel in system.wired:
        gain = np.ones(len(frequency))
        for one in channel.filters:
            if isinstance(one, Gain):
                gain *= 10 ** (one.level / 20)
            elif isinstance(one, HighPass):
                x = S / one.frequency
                gain = gain * x**2 / (x**2 + np.sqrt(2) * x + 1)
            else:
                x = S / one.frequency
                gain = gain / ((x**2 + 0.7653668647 * x + 1) * (x**2 + 1.8477590650 * x + 1))
        yield gain


def with_output_resistance(system):
    """The amplifiers' own resistance put into the channels', as `solve` counts only that."""
    channels = [
        dataclasses.replace(c, source_resistance=c.source_resistance + getattr(c.amplifier, "output_resistance", 0.0))
        for c in system.wired
    ]
    return dataclasses.replace(system, channels=tuple(channels))


@pytest.mark.parametrize("seed", range(30))
def test_at_every_frequency_one_limit_is_reached_and_none_is_passed(seed):
    """Solved again, each frequency with the common drive that is returned for it; own derivation, to 1e-9."""
    system = random_system(seed)
    found = maximum_level(system, GRID)
    shares, level = used(with_output_resistance(system), GRID, found.voltage)
    assert shares.keys() == found.voltages.keys()
    keys, share = list(shares), np.array(list(shares.values()))
    assert share.max(axis=0) == pytest.approx(np.ones(len(GRID)), rel=1e-9)
    assert np.all(np.sum(share > 1 - 1e-9, axis=0) == 1)
    assert [keys[i] for i in share.argmax(axis=0)] == list(zip(found.who, found.gives, strict=True))
    assert level == pytest.approx(found.level, abs=1e-9)
    assert found.unknown == ()


def test_the_random_systems_meet_every_limit():
    met = {str(name) for seed in range(30) for name in maximum_level(random_system(seed), GRID).gives}
    assert met >= {"travel", "heat of the coil", "amplifier voltage", "port speed", "travel of the radiator"}


@pytest.mark.parametrize("source", [None, AMPLIFIER, HeadUnit(voltage=9.1)])
def test_a_system_of_one_is_the_loudspeaker(source):
    alone = maximum_level(VENTED, GRID, amplifier=source, thermal_resistance=1.2)
    channel = Channel(loudspeakers=(VENTED,), amplifier=source, name="front")
    for system in (System(channels=(channel,)), System(channels=(VENTED,))):
        found = maximum_level(system, GRID, amplifier=source, thermal_resistance=1.2)
        assert found.voltage == pytest.approx(alone.voltage, rel=1e-12)
        assert found.level == pytest.approx(alone.level, abs=1e-9)
        assert found.gives.tolist() == alone.gives.tolist()
        assert {name for _, name in found.voltages} == set(alone.voltages)
    whose = {"travel": "vented", "heat of the coil": "vented", "port speed": "vented"}
    assert found.who.tolist() == [whose.get(name, "vented") for name in found.gives]
    assert set(alone.who.tolist()) <= {"vented", "The amplifier"}


def test_filters_count_in_a_system():
    """A gain of -6.0206 dB ahead of the channel: twice the drive, at the same level; alone they do not matter."""
    quiet = dataclasses.replace(SEALED, filters=(Gain(level=-20 * np.log10(2)),))
    one, other = (maximum_level(System(channels=(s,)), GRID, amplifier=AMPLIFIER) for s in (SEALED, quiet))
    assert other.voltage == pytest.approx(2 * one.voltage, rel=1e-12)
    assert other.level == pytest.approx(one.level, abs=1e-9)
    assert maximum_level(quiet, GRID).voltage == pytest.approx(maximum_level(SEALED, GRID).voltage, rel=1e-12)


def test_each_amplifier_clips_at_its_own_voltage_and_the_least_counts():
    """At 1 kHz, far from travel and heat: 10 W and 40 W into 4 ohm are 6.32 and 12.65 V; a gain of -12.04 dB takes the
    smaller one's channel out of the way, and the other gives first."""
    tough = dataclasses.replace(SEALED, driver=dataclasses.replace(DRIVER, power=1e4, xmax=0.05))
    small, large = (Amplifier(power=p, rated_impedance=4, minimum_load=0.1) for p in (10.0, 40.0))
    below = Channel(loudspeakers=(tough,), amplifier=large, name="large")
    for gain, volts, who in ((0.0, np.sqrt(40.0), "small"), (-20 * np.log10(4), np.sqrt(160.0), "large")):
        above = Channel(loudspeakers=(tough,), amplifier=small, filters=(Gain(level=gain),), name="small")
        found = maximum_level(System(channels=(above, below)), 1000.0)
        assert found.voltage == pytest.approx([volts], rel=1e-12)
        assert (found.who[0], found.gives[0]) == (who, "amplifier voltage")


def test_a_pad_takes_its_share_by_hand():
    """A driver whose motor gives nothing back is its Re. Behind Rs and Rp the coil has V Rp'/(Rs + Rp'), with
    Rp' = Rp || Re: by Ohm's law alone."""
    still = Driver(Re=4.0, Bl=0.1, Mms=5.0, Cms=0.1, Rms=1e-6, Sd=0.03, xmax=0.1, power=10.0)
    bare = Loudspeaker(driver=still, box=InfiniteBaffle(), name="bare")
    pad = l_pad(attenuation=6.0, impedance=4.0)
    Rs, Rp = (branch.components[0].resistance for branch in pad.branches)
    behind = dataclasses.replace(bare, network=pad, name="behind a pad")
    found = maximum_level(System(channels=(Channel(loudspeakers=(behind, bare)),)), 1000.0)
    both = Rp * 4.0 / (Rp + 4.0)
    share = both / (Rs + both)
    assert found.voltages["bare", "heat of the coil"] == pytest.approx([np.sqrt(10.0 * 4.0)], rel=1e-6)
    assert found.voltages["behind a pad", "heat of the coil"] == pytest.approx([np.sqrt(40.0) / share], rel=1e-6)
    series = maximum_level(System(channels=(Channel(loudspeakers=((behind, bare),)),)), 1000.0)
    total = Rs + both + 4.0
    assert series.voltages["bare", "heat of the coil"] == pytest.approx([np.sqrt(10 / 4) * total], rel=1e-6)
    coil = np.sqrt(40.0) / (both / total)
    assert series.voltages["behind a pad", "heat of the coil"] == pytest.approx([coil], rel=1e-6)


def test_a_warm_coil_in_a_system():
    """Solved again with that coil as warm as its power makes it: I^2 Re(T) is that power, and the level that of it."""
    system = System(channels=(Channel(loudspeakers=(SEALED, VENTED), wiring="series"),))
    found = maximum_level(system, GRID, thermal_resistance=1.5)
    warm = dataclasses.replace(SEALED, driver=heated(DRIVER, DRIVER.power, 1.5))
    for frequency, voltage, level in zip(
        GRID, *(kind["sealed", "heat of the coil"] for kind in (found.voltages, found.levels)), strict=True
    ):
        heard = solve(system.with_each((warm, VENTED)), frequency, voltage)
        assert heard.responses[0].dissipation["coil resistance"] == pytest.approx([DRIVER.power], rel=1e-9)
        assert heard.level == pytest.approx([level], abs=1e-9)
    assert found.remarks[-1].startswith("sealed, vented: The model holds") or "sealed: The model" in str(found.remarks)
    assert any("The coil would reach" in said for said in maximum_level(system, GRID, thermal_resistance=9.0).remarks)


def test_what_is_not_known_is_listed_by_loudspeaker():
    dull = dataclasses.replace(SEALED, driver=dataclasses.replace(DRIVER, xmax=None, power=None), name="dull")
    bare = dataclasses.replace(VENTED, box=VentedBox(volume=0.03, fb=36))
    found = maximum_level(
        System(channels=(dull, Channel(loudspeakers=(bare,), amplifier=AMPLIFIER, name="rear"))), GRID
    )
    assert found.unknown == (
        "dull: travel: xmax is not known",
        "dull: heat of the coil: the driver's power is not known",
        "vented: port speed: the area of the port is not known",
        "dull: amplifier voltage: no amplifier is given",
        "dull: amplifier current: no amplifier is given",
    )
    assert ("rear", "amplifier voltage") in found.voltages
    with pytest.raises(ValueError, match=r"^maximum_level: no limit is known \(dull \(1\): travel: xmax"):
        maximum_level(System(channels=(dull, dull)), GRID)


def test_words_say_whose_limit_it_is():
    tweeter = dataclasses.replace(SEALED, name="panel", filters=(HighPass(frequency=300.0, order=2),))
    system = System(channels=(Channel(loudspeakers=(VENTED,), amplifier=AMPLIFIER, name="rear"), tweeter))
    said = in_words(maximum_level(system, GRID))
    assert said.startswith("below ")
    assert "the cone runs out of travel (vented)" in said
    assert said.endswith("above that the amplifier clips (rear)")


def test_a_family_of_systems():
    boxes = SealedBox(volume=[0.01, 0.02, 0.04])
    amplifiers = dataclasses.replace(AMPLIFIER, power=np.array([[20.0], [75.0]]))
    channel = Channel(loudspeakers=(dataclasses.replace(SEALED, box=boxes), VENTED), amplifier=amplifiers, name="front")
    system = System(channels=(channel, VENTED))
    found = maximum_level(system, GRID)
    assert found.level.shape == found.gives.shape == found.who.shape == (2, 3, len(GRID))
    for index in np.ndindex(2, 3):
        lone = maximum_level(system.member(index), GRID)
        assert found.level[index] == pytest.approx(lone.level, abs=1e-9)
        assert found.who[index].tolist() == lone.who.tolist()


def test_a_head_unit_drives_a_channel():
    unit = HeadUnit(voltage=9.1, minimum_load=4.0)
    channel = Channel(loudspeakers=(SEALED, SEALED), amplifier=unit, name="front")
    heard = solve(System(channels=(channel,)), GRID)
    (said,) = heard.warnings
    assert said.startswith("front sees a load as low as 1.7 ohm; ")
    assert said.endswith("at least 4 ohm: too little.")
    found = maximum_level(System(channels=(channel,)), GRID)
    assert np.all(found.voltages["front", "amplifier voltage"] == pytest.approx(9.1))
    current = 9.1 / 4.0 * abs(heard.channel_impedances[0])
    assert found.voltages["front", "amplifier current"] == pytest.approx(current, rel=1e-9)
    with pytest.raises(TypeError, match=r"^Channel\.amplifier must be Amplifier or HeadUnit, got float 20"):
        Channel(loudspeakers=(SEALED,), amplifier=20.0)
