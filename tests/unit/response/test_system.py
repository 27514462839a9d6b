"""Several loudspeakers heard together, each on a channel of its own or sharing one."""

import dataclasses

import numpy as np
import pytest
from scipy.special import j1

from lumpedbox import (
    Air,
    Amplifier,
    Cabin,
    Capacitor,
    Channel,
    Delay,
    Driver,
    Gain,
    HighPass,
    InfiniteBaffle,
    Inverted,
    Loudspeaker,
    SealedBox,
    System,
    VentedBox,
    frequencies,
    in_series,
    solve,
)
from tests.unit.conftest import TWEETER, WOOFER

GRID = frequencies(20, 5000, per_octave=6)
LOW = Loudspeaker(driver=WOOFER, box=SealedBox(volume=0.015, Ql=7))
HIGH = Loudspeaker(driver=TWEETER, box=InfiniteBaffle(), network=in_series(Capacitor(capacitance=10e-6)))
CABIN = Cabin(length=3, width=1.6, height=1.2, name="minibus")


def alone(loudspeaker, **given):
    return solve(loudspeaker, GRID, **given)


def test_channels_of_their_own_add_up_as_phasors():
    together = solve(System(channels=(LOW, HIGH)), GRID)
    assert together.pressure == pytest.approx(alone(LOW).pressure + alone(HIGH).pressure, rel=1e-12)
    assert together.level == pytest.approx(20 * np.log10(abs(together.pressure) / 20e-6), abs=1e-9)
    assert sum(together.shares) == pytest.approx(np.ones(len(GRID)), abs=1e-12)


def test_two_alike_are_six_decibels_more_and_a_reversed_one_cancels():
    twice = solve(System(channels=(LOW, LOW)), GRID)
    assert twice.level - alone(LOW).level == pytest.approx(np.full(len(GRID), 20 * np.log10(2)), abs=1e-9)
    assert twice.cancellation == pytest.approx(np.zeros(len(GRID)), abs=1e-9)
    against = solve(System(channels=(LOW, dataclasses.replace(LOW, polarity="reversed"))), GRID)
    assert np.max(abs(against.pressure)) < 1e-12
    assert np.all(against.cancellation > 200)


def test_a_reversed_polarity_is_an_inverting_filter():
    turned, inverted = dataclasses.replace(LOW, polarity="reversed"), dataclasses.replace(LOW, filters=Inverted())
    assert alone(turned).pressure == pytest.approx(alone(inverted).pressure, rel=1e-12)


def sharing(voltage, impedances, wiring):
    """Voltage across each of several impedances on one channel, by Ohm's law."""
    if wiring == "parallel":
        return [np.full(len(GRID), voltage) for _ in impedances]
    return [voltage * impedance / sum(impedances) for impedance in impedances]


@pytest.mark.parametrize("wiring", ["parallel", "series"])
@pytest.mark.parametrize("resistance", [0.0, 0.7])
def test_a_shared_channel_follows_ohms_law_with_the_real_impedances(wiring, resistance):
    channel = Channel(loudspeakers=(LOW, HIGH), wiring=wiring, source_resistance=resistance)
    together = solve(System(channels=(channel,)), GRID, 2.83)
    impedances = [alone(speaker).impedance for speaker in (LOW, HIGH)]
    load = sum(impedances) if wiring == "series" else 1 / sum(1 / impedance for impedance in impedances)
    assert together.channel_impedances[0] == pytest.approx(load, rel=1e-12)
    volts = sharing(2.83 * load / (load + resistance), impedances, wiring)
    for response, speaker, impedance, volt in zip(together.responses, (LOW, HIGH), impedances, volts, strict=True):
        assert response.impedance == pytest.approx(impedance, rel=1e-12)
        assert response.pressure == pytest.approx(alone(speaker, voltage=1.0).pressure * volt, rel=1e-9)
        assert response.input_power == pytest.approx(abs(volt / impedance) ** 2 * impedance.real, rel=1e-9)
        assert response.current == pytest.approx(volt / impedance, rel=1e-9)
    assert sum(together.powers) == pytest.approx(abs(2.83 / (load + resistance)) ** 2 * load.real, rel=1e-9)


def test_what_a_loudspeaker_takes_goes_into_its_own_resistances():
    channel = Channel(loudspeakers=(LOW, HIGH), source_resistance=0.5)
    for response in solve(System(channels=(channel,)), GRID).responses:
        assert sum(response.dissipation.values()) == pytest.approx(response.input_power, rel=1e-9)


def test_a_wire_of_its_own_takes_its_share():
    thin = dataclasses.replace(LOW, source_resistance=0.4)
    shared = solve(System(channels=(Channel(loudspeakers=(thin, HIGH)),)), GRID).responses[0]
    assert shared.pressure == pytest.approx(alone(thin).pressure, rel=1e-9)


def test_distances_follow_from_places_and_each_keeps_its_travel():
    near = dataclasses.replace(LOW, position=(0.0, 0.0, 0.0))
    far = dataclasses.replace(HIGH, position=(3.0, 4.0, 0.0))
    together = solve(System(channels=(near, far), ear=(0.0, 0.0, 1.0)), GRID)
    r = np.array([1.0, np.sqrt(26)])
    assert together.distances == pytest.approx(r)
    late = np.exp(-2j * np.pi * GRID * (r[1] - r[0]) / Air().sound_speed)
    expected = alone(LOW).pressure + alone(HIGH).pressure * late / r[1]
    assert together.pressure == pytest.approx(expected, rel=1e-9)


def test_group_delay_of_the_sum_is_the_slope_of_its_phase():
    """Central differences over 1e-4 of the frequency, good to about 1e-6 of the delay."""
    channels = (
        dataclasses.replace(LOW, position=(0.0, 0.0, 0.0)),
        Channel(loudspeakers=(dataclasses.replace(HIGH, position=(0.5, 0, 0)), LOW_AT), wiring="series"),
    )
    system = System(channels=channels, ear=(0.0, 1.0, 0.3))
    f = np.array([55.0, 300.0, 1800.0])
    below, above = (solve(system, f * (1 + step)).pressure for step in (-1e-4, 1e-4))
    slope = np.angle(above / below) / (2 * np.pi * f * 2e-4)
    assert solve(system, f).group_delay == pytest.approx(-slope, rel=1e-4, abs=1e-9)


LOW_AT = dataclasses.replace(LOW, position=(0.2, 0, 0))


@pytest.mark.parametrize("degrees", [30.0, 60.0])
def test_off_axis_a_cone_is_a_rigid_piston(degrees):
    """2 J1(x)/x, x = k a sin(angle): L. L. Beranek, "Acoustics" (1954), from memory."""
    x = 2 * np.pi * GRID / Air().sound_speed * WOOFER.radius * np.sin(np.radians(degrees))
    off = solve(dataclasses.replace(LOW, angle=degrees), GRID)
    assert off.pressure / alone(LOW).pressure == pytest.approx(2 * j1(x) / x, rel=1e-9)
    assert off.group_delay == pytest.approx(alone(LOW).group_delay, rel=1e-9)


def test_a_family_of_angles_may_hold_zero():
    off = solve(dataclasses.replace(LOW, angle=np.array([0.0, 45.0])), GRID)
    assert off.pressure[0] == pytest.approx(alone(LOW).pressure, rel=1e-12)
    assert np.all(off.level[1] <= off.level[0])


def test_in_a_cabin_powers_add_above_its_modal_region():
    """Schroeder's limit 2000 sqrt(T60/V): two alike are 6 dB more far below, 3 dB far above."""
    cabin = Cabin(length=2.3, width=1.35, height=1.15)
    limit = 2000 * np.sqrt(0.08 / (2.3 * 1.35 * 1.15))
    assert cabin.modal_limit == pytest.approx(limit)
    speaker = dataclasses.replace(LOW, cabin=cabin)
    more = solve(System(channels=(speaker, speaker)), GRID).level - alone(speaker).level
    assert more[GRID < limit / 1.5] == pytest.approx(20 * np.log10(2), abs=1e-9)
    assert more[GRID > limit * 1.5] == pytest.approx(10 * np.log10(2), abs=1e-9)
    assert np.all(np.diff(more) <= 1e-9)


def test_a_family_in_a_system():
    system = System(channels=(dataclasses.replace(LOW, box=SealedBox(volume=np.array([0.01, 0.03]))), HIGH))
    together = solve(system, GRID)
    assert together.level.shape == (2, len(GRID))
    single = dataclasses.replace(LOW, box=SealedBox(volume=0.03))
    assert together.pressure[1] == pytest.approx(solve(System(channels=(single, HIGH)), GRID).pressure, rel=1e-12)


def test_filters_and_gains_of_a_channel():
    filters = (HighPass(frequency=80), Gain(level=-6), Delay(time=1e-3))
    channel = Channel(loudspeakers=LOW, filters=filters)
    own = dataclasses.replace(LOW, filters=filters)
    for one in (channel, own):
        assert solve(System(channels=(one,)), GRID).pressure == pytest.approx(alone(own).pressure, rel=1e-12)


def test_a_load_under_the_amplifiers_minimum_is_told():
    amplifier = Amplifier(power=75, rated_impedance=4, minimum_load=2, channels=4, name="the four channels")
    channel = Channel(loudspeakers=(LOW, LOW, HIGH), amplifier=amplifier, name="panels")
    (said,) = solve(System(channels=(channel,)), GRID).warnings
    assert said.startswith("panels sees a load as low as 1.")
    assert "the four channels asks for at least 2 ohm" in said
    assert said.endswith("usual for a load rated 2 ohm.")
    four = dataclasses.replace(channel, loudspeakers=(LOW, LOW, LOW, HIGH))
    assert solve(System(channels=(four,)), GRID).warnings[0].endswith("at least 2 ohm: too little.")
    bridged = Channel(loudspeakers=(LOW,), amplifier=amplifier.bridged())
    (usual,) = solve(System(channels=(bridged,)), GRID).warnings
    # Re is 3.4 ohm; IEC 60268-5 lets the impedance fall to 0.8 of what it is rated by (from memory)
    assert usual.endswith("asks for at least 4 ohm: usual for a load rated 4 ohm.")
    assert solve(System(channels=(Channel(loudspeakers=(LOW,), amplifier=amplifier),)), GRID).warnings == ()


def test_a_stand_in_on_a_shared_channel_has_its_band():
    typical = dataclasses.replace(HIGH, driver=Driver.typical(size=0.025, kind="tweeter"))
    response = solve(System(channels=(Channel(loudspeakers=(LOW, typical)),)), GRID).responses[1]
    low, high = response.band("level")
    assert np.all((low < response.level) & (response.level < high))


def test_vented_boxes_keep_their_port_on_a_shared_channel():
    vented = Loudspeaker(driver=WOOFER, box=VentedBox(volume=0.02, fb=50, port_area=30e-4))
    shared = solve(System(channels=(Channel(loudspeakers=(HIGH, vented)),)), GRID).responses[1]
    assert shared.port_velocity == pytest.approx(alone(vented).port_velocity, rel=1e-9)


@pytest.mark.parametrize(
    ("build", "said"),
    [
        (lambda: System(channels=()), r"System\.channels is empty"),
        (lambda: Channel(loudspeakers=()), r"Channel\.loudspeakers is empty"),
        (lambda: System(channels=(WOOFER,)), r"System\.channels must be Channel or Loudspeaker, got Driver"),
        (lambda: Channel(loudspeakers=(LOW, HIGH), wiring="paralel"), "did you mean 'parallel'"),
        (lambda: System(channels=(LOW,), ear=(0, 0, 0)), r"Loudspeaker\.position is missing"),
        (
            lambda: System(channels=(dataclasses.replace(LOW, position=(1, 2, 0), name="left"),), ear=(1, 2, 0)),
            r"^System\.ear is at the cone of left ",
        ),
        (
            lambda: System(channels=(LOW, dataclasses.replace(HIGH, cabin=CABIN, name="dome"))),
            r"^System\.channels must be in one cabin, or all outside: loudspeaker 1 is outside, dome is in minibus$",
        ),
        (
            lambda: System(
                channels=(
                    dataclasses.replace(LOW, cabin=CABIN),
                    dataclasses.replace(HIGH, cabin=dataclasses.replace(CABIN, flex=1.0, name="other")),
                )
            ),
            r"^System\.channels must be in one cabin, or all outside: loudspeaker 1 is in minibus, loudspeaker 2 is in",
        ),
        (
            lambda: Channel(loudspeakers=(dataclasses.replace(LOW, filters=Gain(level=1)), HIGH)),
            r"cannot have filters of their own",
        ),
    ],
)
def test_refusals(build, said):
    with pytest.raises((ValueError, TypeError), match=said):
        build()


def test_a_load_is_told_whatever_frequencies_were_asked_for():
    """The lowest impedance lies at low and high frequency; a grid around the resonance does not see it."""
    amplifier = Amplifier(power=75, rated_impedance=4, minimum_load=4, name="the amplifier")
    channel = Channel(loudspeakers=(LOW,), amplifier=amplifier, name="bass")
    system = System(channels=(channel,))
    narrow, wide = solve(system, [70.0, 80.0]), solve(system, frequencies(5, 20_000, 96))
    assert np.abs(narrow.channel_impedances[0]).min() > 4
    assert narrow.warnings == wide.warnings
    (said,) = narrow.warnings
    assert said.startswith("bass sees a load as low as 3.4 ohm")


def test_the_remarks_of_a_system_say_whom_they_are_about():
    amplifier = Amplifier(power=75, rated_impedance=4, minimum_load=4)
    low = dataclasses.replace(LOW, cabin=CABIN, name="bass")
    high = dataclasses.replace(HIGH, cabin=CABIN)
    response = solve(System(channels=(Channel(loudspeakers=(low,), amplifier=amplifier), high)), GRID)
    assert response.remarks[: len(response.warnings)] == response.warnings
    assert "bass: " + response.responses[0].remarks[0] in response.remarks
    assert "Loudspeaker 2: " + response.responses[1].remarks[0] in response.remarks
    both = [sentence for sentence in response.remarks if sentence.startswith("bass, Loudspeaker 2: ")]
    assert any("first resonance" in sentence for sentence in both)


def test_places_may_be_families():
    ways = [1.0, 2.0]
    near = dataclasses.replace(LOW, position=(ways, 0, 0))
    family = solve(System(channels=(near,), ear=(0, 0, 0)), GRID)
    for member, way in enumerate(ways):
        assert family.level[member] == pytest.approx(alone(LOW, distance=way).level, abs=1e-9)
