"""How loud before something gives: every limit against what the part allows, and against closed forms."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import (
    Amplifier,
    HeadUnit,
    HighPass,
    InfiniteBaffle,
    Loudspeaker,
    SealedBox,
    VentedBox,
    frequencies,
    maximum_level,
    solve,
)
from lumpedbox.response.heat import heated
from lumpedbox.response.limits import in_words, level_at_port_speed, protective_high_pass, voltage_within_travel
from lumpedbox.tables import demo_drivers

GRID = frequencies(15, 300, 24)
AMPLIFIER = Amplifier(power=75, rated_impedance=4, minimum_load=2, channels=4)


@pytest.fixture
def vented():
    box = VentedBox(volume=0.03, fb=36, port_area=50e-4, Ql=7)
    return Loudspeaker(driver=demo_drivers()["200 mm bass"], box=box)


def test_at_every_frequency_one_limit_is_reached_and_none_is_passed(vented):
    """Solved again with the voltage that is returned, frequency by frequency."""
    found = maximum_level(vented, GRID, amplifier=AMPLIFIER)
    driver, met = vented.driver, set()
    for frequency, voltage, level, gives in zip(GRID, found.voltage, found.level, found.gives, strict=True):
        at = solve(vented, frequency, voltage)
        used = {
            "travel": at.excursion[0] / driver.xmax,
            "heat of the coil": abs(at.current[0]) ** 2 * driver.Re / driver.power,
            "amplifier voltage": voltage / np.sqrt(75 * 4),
            "amplifier current": abs(at.current[0]) / (np.sqrt(75 * 4) / 2),
            "port speed": at.port_velocity[0] / 17.0,
        }
        assert max(used.values()) == pytest.approx(1.0, rel=1e-9)
        assert max(used, key=used.get) == gives
        assert at.level[0] == pytest.approx(level, abs=1e-9)
        met.add(str(gives))
    assert met == {"travel", "port speed", "amplifier voltage"}
    assert found.unknown == ()


def test_voltage_within_travel(vented):
    """Solved again with that voltage, the cone moves by xmax: with one voltage, with two, and with two drivers."""
    driver = dataclasses.replace(vented.driver, xmax=np.array([0.004, 0.006]))
    for speaker, voltage in ((vented, 5.0), (vented, [1.0, 20.0]), (dataclasses.replace(vented, driver=driver), 5.0)):
        highest = voltage_within_travel(solve(speaker, 50.0, voltage=voltage))
        again = solve(speaker, 50.0, voltage=highest[..., 0])
        assert again.excursion[..., 0] == pytest.approx(np.broadcast_to(speaker.driver.xmax, again.shape), rel=1e-9)
    unknown = dataclasses.replace(vented, driver=dataclasses.replace(vented.driver, xmax=None))
    with pytest.raises(ValueError, match=r"^Driver\.xmax is missing .* the voltage within the linear travel needs it"):
        voltage_within_travel(solve(unknown, 50))


def test_travel_in_a_sealed_box_by_the_textbook():
    """A volume Sd xmax moved at f: peak pressure rho (2 pi f)^2 Vd / (2 pi r), over root 2 (Kinsler & Frey, memory)."""
    driver = demo_drivers()["200 mm bass"]
    found = maximum_level(Loudspeaker(driver=driver, box=SealedBox(volume=0.03)), GRID)
    peak = 1.2 * (2 * np.pi * GRID) ** 2 * driver.Sd * driver.xmax / (2 * np.pi)
    assert found.levels["travel"] == pytest.approx(20 * np.log10(peak / np.sqrt(2) / 20e-6), abs=0.05)


def test_what_is_not_known_is_listed_and_not_applied(vented):
    dull = dataclasses.replace(vented.driver, xmax=None, power=None)
    box = VentedBox(volume=0.03, fb=36)
    found = maximum_level(dataclasses.replace(vented, driver=dull, box=box), GRID, amplifier=AMPLIFIER)
    assert set(found.voltages) == {"amplifier voltage", "amplifier current"}
    assert [line.split(":")[0] for line in found.unknown] == ["travel", "heat of the coil", "port speed"]
    with pytest.raises(ValueError, match="no limit is known"):
        maximum_level(Loudspeaker(driver=dull, box=InfiniteBaffle()), GRID)


def test_filters_do_not_matter_and_a_bridged_amplifier_has_twice_the_voltage(vented):
    filtered = dataclasses.replace(vented, filters=(HighPass(frequency=40.0, order=2),))
    one, other = (maximum_level(speaker, GRID, amplifier=AMPLIFIER) for speaker in (vented, filtered))
    assert one.level == pytest.approx(other.level, abs=1e-12)
    bridged = maximum_level(vented, GRID, amplifier=AMPLIFIER.bridged())
    assert bridged.voltages["amplifier voltage"] == pytest.approx(2 * one.voltages["amplifier voltage"])
    # twice the volts into twice the lowest load are the same current
    assert bridged.voltages["amplifier current"] == pytest.approx(one.voltages["amplifier current"])


def test_a_head_unit_drives_it_too(vented):
    """14.4 V bridged are some 9.1 V r.m.s. (common practice, no source)."""
    found = maximum_level(vented, GRID, amplifier=HeadUnit(voltage=9.1, minimum_load=4.0))
    assert np.all(found.voltage <= 9.1)
    assert found.voltages["amplifier current"] == pytest.approx(9.1 / 4 / abs(solve(vented, GRID, 1.0).current))
    with pytest.raises(TypeError, match=r"maximum_level\.amplifier must be Amplifier or HeadUnit, got float 20"):
        maximum_level(vented, GRID, amplifier=20.0)


def test_a_warm_coil_plays_softer_by_what_its_resistance_grew(vented):
    """Far above resonance, without inductance, I = V/Re: at one power the level falls by 10 log of the ratio of the
    resistances. Copper: 0.393 % a kelvin (NBS Handbook 100, 1966)."""
    plain = dataclasses.replace(vented, driver=dataclasses.replace(vented.driver, Le=0.0), box=InfiniteBaffle())
    high = [2000.0, 4000.0]
    cold, warm = (maximum_level(plain, high, thermal_resistance=R).levels["heat of the coil"] for R in (None, 1.5))
    ratio = 1 + 0.00393 * 1.5 * plain.driver.power
    assert cold - warm == pytest.approx([10 * np.log10(ratio)] * 2, abs=1e-3)
    hot = heated(plain.driver, plain.driver.power, 1.5)
    assert hot.Qes / plain.driver.Qes == pytest.approx(ratio)
    assert hot.fs == plain.driver.fs


def test_port_speed_in_a_family(vented):
    areas = np.array([25e-4, 50e-4, 100e-4])
    box = VentedBox(volume=0.03, fb=36, port_area=areas, Ql=7)
    family = maximum_level(dataclasses.replace(vented, box=box), GRID, amplifier=AMPLIFIER, port_speed=10.0)
    assert family.level.shape == family.gives.shape == (3, len(GRID))
    lone = maximum_level(vented, GRID, amplifier=AMPLIFIER, port_speed=10.0)
    assert family.level[1] == pytest.approx(lone.level, abs=1e-12)
    assert family.voltages["port speed"][2] == pytest.approx(4 * family.voltages["port speed"][0])
    with pytest.raises(ValueError, match="in_words needs a single loudspeaker"):
        in_words(family)


def test_words_follow_the_frequencies(vented):
    words = in_words(maximum_level(vented, GRID[::-1], amplifier=AMPLIFIER))
    assert words.startswith("below ")
    assert words.endswith("above that the amplifier clips")
    assert words == in_words(maximum_level(vented, GRID, amplifier=AMPLIFIER))
    only = maximum_level(Loudspeaker(driver=vented.driver, box=InfiniteBaffle()), [5.0, 6.0])
    assert in_words(only) == "the cone runs out of travel first at every frequency"


@pytest.mark.parametrize("order", [1, 2, 4])
def test_a_protective_high_pass_keeps_the_travel_and_a_lower_one_does_not(vented, order):
    found = protective_high_pass(vented, 20.0, order=order)
    grid = frequencies(10, 400, 200)

    def travel(corner):
        speaker = dataclasses.replace(vented, filters=(HighPass(frequency=corner, order=order),))
        return solve(speaker, grid, 20.0).excursion.max()

    xmax = vented.driver.xmax
    assert travel(found.corner) == pytest.approx(xmax, rel=2e-4)
    assert travel(0.97 * found.corner) > 1.005 * xmax
    assert found.travel_without == pytest.approx(solve(vented, grid, 20.0).excursion.max(), rel=1e-3)
    assert found.f3 > found.f3_without
    assert found.delay > found.delay_without


def test_a_protective_high_pass_that_is_not_needed_or_cannot_help(vented):
    assert protective_high_pass(vented, 1.0, order=2) is None
    with pytest.raises(ValueError, match="at 900 V the cone passes its 8 mm with any corner up to 200 Hz"):
        protective_high_pass(vented, 900.0, order=1)
    blind = dataclasses.replace(vented, driver=dataclasses.replace(vented.driver, xmax=None))
    with pytest.raises(ValueError, match="xmax"):
        protective_high_pass(blind, 20.0, order=2)


def test_the_amplifiers_own_resistance_counts_as_cable_does(vented):
    soft = dataclasses.replace(AMPLIFIER, output_resistance=0.4)
    behind = dataclasses.replace(vented, source_resistance=0.3)
    found = maximum_level(behind, GRID, amplifier=soft)
    same = maximum_level(dataclasses.replace(vented, source_resistance=0.7), GRID, amplifier=AMPLIFIER)
    assert found.level == pytest.approx(same.level, abs=1e-9)
    clipping = solve(dataclasses.replace(vented, source_resistance=0.7), GRID, soft.voltage).level
    assert found.levels["amplifier voltage"] == pytest.approx(clipping, abs=1e-9)


def test_what_to_keep_in_mind_of_a_loudest_level(vented):
    plain = maximum_level(vented, GRID, amplifier=AMPLIFIER, thermal_resistance=1.0)
    assert len(plain.remarks) == 1
    assert plain.remarks[0].startswith("The model holds up to about ")
    burning = dataclasses.replace(vented, driver=dataclasses.replace(vented.driver, power=100.0))
    hot = maximum_level(burning, GRID, amplifier=AMPLIFIER, thermal_resistance=10.0)
    assert hot.remarks[0].startswith("The coil would reach 1020 degrees Celsius; coils survive some 200 to 250 ")
    # whatever frequencies are asked for, the least of the impedance is near Re
    strained = dataclasses.replace(AMPLIFIER, minimum_load=8)
    for grid in (GRID, [40.0, 300.0]):
        said = maximum_level(vented, grid, amplifier=strained).remarks[0]
        assert said.startswith(f"The amplifier sees a load as low as {vented.driver.Re:.2g} ohm; ")
        assert said.endswith("asks for at least 8 ohm: too little.")


def test_a_family_of_amplifiers(vented):
    powers = np.array([40.0, 75.0])
    family = dataclasses.replace(AMPLIFIER, power=powers, output_resistance=np.array([[0.0], [0.3], [0.6]]))
    found = maximum_level(vented, GRID, amplifier=family)
    assert found.level.shape == found.gives.shape == (3, 2, len(GRID))
    lone = maximum_level(vented, GRID, amplifier=family.member((2, 1)))
    assert found.level[2, 1] == pytest.approx(lone.level, abs=1e-9)
    three = dataclasses.replace(vented, source_resistance=[0.1, 0.2, 0.3])
    with pytest.raises(ValueError, match=r"^Loudspeaker\.source_resistance has shape \(3,\) and Amplifier\.power "):
        maximum_level(three, GRID, amplifier=dataclasses.replace(AMPLIFIER, power=powers))


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda s: maximum_level(s, GRID, thermal_resistance="2"), r"^maximum_level\.thermal_resistance must be "),
        (lambda s: protective_high_pass("s", 20.0, order=2), r"^protective_high_pass\.loudspeaker must be Loudspeaker"),
        (lambda s: protective_high_pass(s, 20.0, order=2, low=500), r"^protective_high_pass\.low must be between"),
        (lambda s: in_words("loud"), r"^in_words\.loudest must be MaximumLevel, got str"),
    ],
)
def test_wrong_arguments_are_named(vented, call, said):
    with pytest.raises((ValueError, TypeError), match=said):
        call(dataclasses.replace(vented, driver=dataclasses.replace(vented.driver, power=None)))


def test_the_level_at_a_speed_in_the_port_is_that_speed(vented):
    """Turned up to that level, solved anew, the air moves just so fast; and it is the limit of `maximum_level`."""
    frequency = np.array([20.0, 32.0, 60.0])
    response = solve(vented, frequency, 5.0)
    level = level_at_port_speed(response, 10.0)
    louder = 5.0 * 10 ** ((level - response.level) / 20)
    speeds = [solve(vented, f, volts).port_velocity[0] for f, volts in zip(frequency, louder, strict=True)]
    assert speeds == pytest.approx([10.0] * 3, rel=1e-12)
    limits = maximum_level(vented, frequency, amplifier=AMPLIFIER).levels
    assert limits["port speed"] == pytest.approx(level_at_port_speed(response), abs=1e-9)
