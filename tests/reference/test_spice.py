"""Every kind of circuit against ngspice, a general circuit simulator (its netlists are lumpedbox.circuit.spice's).

The netlist is written from the same circuit that lumpedbox solves, so this holds the solving, not the physics: that is
what the other files here are for.
"""

import dataclasses
import re
import subprocess

import numpy as np
import pytest

from lumpedbox import (
    Air,
    AllPass,
    Cabin,
    Capacitor,
    Channel,
    Delay,
    Door,
    Driver,
    Gain,
    HighPass,
    Inductor,
    InfiniteBaffle,
    Inverted,
    Loudspeaker,
    LowPass,
    PassiveRadiator,
    PassiveRadiatorBox,
    Peak,
    Port,
    Resistor,
    SealedBox,
    Shelf,
    SideBySide,
    System,
    VentedBox,
    across,
    frequencies,
    in_series,
    l_pad,
    solve,
)
from lumpedbox.circuit import listening
from lumpedbox.circuit.build import circuit
from lumpedbox.circuit.solver import compute
from lumpedbox.circuit.spice import Writer, netlist, write
from lumpedbox.tables import demo_drivers

pytestmark = pytest.mark.spice

FREQUENCY = frequencies(5, 2000, 2)
VOLTAGE, DISTANCE, AIR = 2.83, 1.5, Air(temperature=303.15, humidity=0.2)
WHAT, SOURCE = "pressure, impedance and every flow of any circuit", "ngspice"

PLAIN = {"fs": 35.0, "Qes": 0.45, "Qms": 5.0, "Vas": 0.06, "Sd": 0.033, "Re": 3.4}
COILS = {
    "no coil": {},
    "Le": {"Le": 0.5e-3},
    "L2 and R2": {"L2": 1e-3, "R2": 5.0},
    "L2 alone": {"L2": 1e-3},
    "K s^n": {"semi_inductance": 0.02, "semi_exponent": 0.6},
    "every coil term": {"Le": 0.5e-3, "L2": 1e-3, "R2": 5.0, "semi_inductance": 0.02, "semi_exponent": 0.6},
}
LOSSES = [{}, {"Ql": 7.0}, {"Qa": 30.0}, {"Ql": 7.0, "Qa": 30.0}, {"leak_resistance": 2e4, "Qa": 30.0}]
PORT = Port(length=0.15, diameter=0.075)
LADDER = (
    in_series(Capacitor(capacitance=2e-4, resistance=0.1), Resistor(resistance=0.2))
    + across(Inductor(inductance=5e-3, resistance=0.3), Resistor(resistance=1.0))
    + in_series(Inductor(inductance=1e-3, resistance=0.2))
    + across(Capacitor(capacitance=1e-4))
    + in_series(Capacitor(capacitance=1e-3))
    + across(Inductor(inductance=2e-2), Capacitor(capacitance=5e-5), Resistor(resistance=4.0))
)
SIDE_BY_SIDE = in_series(
    SideBySide(
        components=(Resistor(resistance=8.0), Inductor(inductance=3e-3, resistance=0.2), Capacitor(capacitance=1e-4))
    )
) + across(
    SideBySide(components=(Resistor(resistance=20.0), Inductor(inductance=5e-3))),
    SideBySide(components=(Capacitor(capacitance=2e-4, resistance=0.1), Capacitor(capacitance=4e-4))),
)
FILTERS = {
    "high-pass of order 1": (HighPass(frequency=40.0, order=1),),
    "high-pass of order 2": (HighPass(frequency=40.0, order=2),),
    "high-pass of order 4": (HighPass(frequency=40.0, order=4),),
    "low-pass of order 1": (LowPass(frequency=200.0, order=1),),
    "low-pass of order 4": (LowPass(frequency=200.0, order=4),),
    "Linkwitz-Riley band": tuple(
        kind(frequency=f, order=4, family="Linkwitz-Riley") for kind, f in ((HighPass, 30.0), (LowPass, 300.0))
    ),
    "Bessel of order 3": (HighPass(frequency=40.0, order=3, family="Bessel"),),
    "shelf, peak, all-pass": (
        Shelf(frequency=60.0, level=5.0),
        Shelf(frequency=200.0, level=-4.0, side="above", Q=1.2),
        Peak(frequency=90.0, level=-6.0, Q=3.0),
        AllPass(frequency=50.0),
        AllPass(frequency=150.0, order=2, Q=0.9),
    ),
    "gain, polarity, delay": (Gain(level=-3.0), Inverted(), Delay(time=1.7e-3)),
}
DOORS = {
    "hole": {"hole_area": 0.03},
    "hole of no loss": {"hole_area": 0.03, "hole_Q": np.inf, "path": 0.0},
    "hole to the outside": {"hole_area": 0.01, "opens_to": "outside"},
    "crack": {"crack": (0.5e-3, 0.6), "hole_depth": 0.02},
    "sealed": {"hole_area": 0.0},
}
CABINS = {
    "cabin with leak": Cabin(length=2.5, width=1.4, height=1.15),
    "cabin without leak": Cabin(length=2.5, width=1.4, height=1.15, leak=0.0, flex=1.0),
    "cabin by its length": Cabin(length=5.0, width=1.8, height=1.7, law="length"),
}


def cases():
    driver = {name: Driver.from_thiele_small(**PLAIN, **coil) for name, coil in COILS.items()}
    plain, coil = driver["no coil"], driver["every coil term"]
    closed = SealedBox(volume=0.03)
    yield from ((f"infinite baffle, {n}", Loudspeaker(driver=d, box=InfiniteBaffle())) for n, d in driver.items())
    for losses in LOSSES:
        said = ", ".join(losses) or "no losses"
        yield f"sealed, {said}", Loudspeaker(driver=plain, box=SealedBox(volume=0.03, filling=1.2, **losses))
        yield f"vented, {said}", Loudspeaker(driver=coil, box=VentedBox(volume=0.04, fb=31.0, **losses))
    yield "vented, Qp", Loudspeaker(driver=plain, box=VentedBox(volume=0.04, fb=31.0, Qp=40.0))
    yield "vented by a port, all", Loudspeaker(driver=coil, box=VentedBox(volume=0.04, port=PORT, Ql=7, Qa=30, Qp=40))
    for losses in LOSSES:
        radiator = PassiveRadiator(Mms=0.09, Cms=0.6e-3, Sd=0.04, Rms=0.5 if losses else 0.0)
        said = ", ".join(losses) or "no losses"
        yield (
            f"passive radiator, {said}",
            Loudspeaker(driver=coil, box=PassiveRadiatorBox(volume=0.04, radiator=radiator, **losses)),
        )
    for said, hole in DOORS.items():
        yield f"door, {said}", Loudspeaker(driver=coil, box=Door(volume=0.03, **hole), source_resistance=0.1)
    for said, cabin in CABINS.items():
        yield f"door, {said}", Loudspeaker(driver=coil, box=Door(volume=0.03, hole_area=0.03), cabin=cabin)
    yield "source resistance", Loudspeaker(driver=coil, box=closed, source_resistance=0.5)
    yield "full space", Loudspeaker(driver=plain, box=closed, solid_angle=4 * np.pi)
    for n, network in {"ladder": LADDER, "traps": SIDE_BY_SIDE, "L-pad": l_pad(attenuation=6, impedance=4.0)}.items():
        yield n, Loudspeaker(driver=coil, box=closed, network=network, source_resistance=0.2)
        yield f"{n}, vented", Loudspeaker(driver=coil, box=VentedBox(volume=0.04, port=PORT, Ql=7), network=network)
    tweeter = dataclasses.replace(coil, built_in_capacitance=2e-4)
    yield "built-in capacitor", Loudspeaker(driver=tweeter, box=closed, network=SIDE_BY_SIDE, source_resistance=0.2)
    yield from ((n, Loudspeaker(driver=plain, box=closed, filters=f)) for n, f in FILTERS.items())
    yield from ((n, Loudspeaker(driver=plain, box=closed, cabin=c)) for n, c in CABINS.items())
    everything = tuple(filter_ for chain in FILTERS.values() for filter_ in chain)
    box = VentedBox(volume=0.04, port=PORT, Ql=7.0, Qa=30.0, Qp=40.0)
    whole = {
        "driver": coil,
        "box": box,
        "network": LADDER,
        "cabin": CABINS["cabin with leak"],
        "source_resistance": 0.2,
    }
    yield "everything", Loudspeaker(**whole, filters=everything)
    yield "everything but filters", Loudspeaker(**whole)


CASES = dict(cases())


def run(ngspice, loudspeaker, folder, channel=None):
    """Run the netlist of a loudspeaker; return what it prints, a dict of vector name to complex array."""
    file = folder / "loudspeaker.cir"
    file.write_text(netlist(loudspeaker, FREQUENCY, VOLTAGE, DISTANCE, AIR, channel), encoding="utf-8")
    # -n: no start-up file of the user's
    done = subprocess.run([ngspice, "-n", "-b", str(file)], capture_output=True, text=True, timeout=60, check=False)
    found = {}
    for name, real, imaginary in re.findall(r"^(\S+) = (\S+),(\S+)\s*$", done.stdout, re.MULTILINE):
        found.setdefault(name, []).append(complex(float(real), float(imaginary)))
    assert found, done.stdout + done.stderr
    return {name: np.array(values) for name, values in found.items()}


def flows(loudspeaker):
    """Return what lumpedbox finds to pass through every piece of the circuit, by the netlist's names."""
    built, writer = circuit(loudspeaker, VOLTAGE, DISTANCE, AIR), Writer()
    write(built.terminals, "terminals", "0", (), writer)
    wanted = {
        f"i({meter.lower()})": lambda solution, address=address: solution.through(address)
        for address, meter in writer.meters.items()
    }
    return compute(built, 2j * np.pi * FREQUENCY, wanted)


def decibels(ours, theirs):
    """Return the largest difference in dB of two complex curves, phase included: 1e-6 dB is 1.2e-7."""
    return np.max(20 * np.log10(1 + abs(ours / theirs - 1)))


@pytest.mark.parametrize("name", CASES)
def test_circuit(name, ngspice, tmp_path, agreement):
    # Tolerance: 1e-6 dB in level and phase. ngspice solves in double precision and prints 16 digits; rounding is some
    # 1e-10 dB, more where large flows cancel.
    loudspeaker = CASES[name]
    printed = run(ngspice, loudspeaker, tmp_path)
    response = solve(loudspeaker, FREQUENCY, VOLTAGE, DISTANCE, AIR)
    assert np.max(abs(printed.pop("frequency") / FREQUENCY - 1)) < 1e-12
    agreement(WHAT, SOURCE, decibels(response.pressure, printed["v(pressure)"]), 1e-6, "dB")

    through = flows(loudspeaker)
    assert set(printed) == {*through, "v(pressure)", "v(terminals)"}
    for vector, ours in through.items():
        agreement(WHAT, SOURCE, decibels(ours, printed[vector]), 1e-6, "dB")

    impedance = printed["v(terminals)"] / terminal_current(printed)
    agreement(WHAT, SOURCE, decibels(response.impedance, impedance), 1e-6, "dB")
    for ours, theirs in named_flows(response, printed):
        agreement(WHAT, SOURCE, decibels(ours, theirs), 1e-6, "dB")


@pytest.fixture
def agrees(ngspice, tmp_path, agreement):
    """Function that compares a channel, solved whole, with the netlist of each loudspeaker on it."""

    def agrees(channel, tolerance=1e-6):
        together = solve(System(channels=(channel,)), FREQUENCY, VOLTAGE, DISTANCE, AIR)
        for speaker, response in zip(channel.each, together.responses, strict=True):
            printed = run(ngspice, speaker, tmp_path, channel)
            agreement(WHAT, SOURCE, decibels(response.pressure, printed["v(pressure)"]), tolerance, "dB")
            load = printed["v(terminals)"] / terminal_current(printed)
            agreement(WHAT, SOURCE, decibels(together.channel_impedances[0], load), tolerance, "dB")

    return agrees


@pytest.mark.parametrize("wiring", ["parallel", "series"])
def test_shared_channel(wiring, agrees):
    """Three loudspeakers with networks and wires of their own on one channel, whole, and each one's pressure."""
    everything = CASES["everything but filters"]
    speakers = (
        everything,
        dataclasses.replace(everything, network=None, box=InfiniteBaffle(), polarity="reversed"),
        Loudspeaker(
            driver=Driver.from_thiele_small(**{**PLAIN, "Re": 7.0}),
            box=SealedBox(volume=0.02, Ql=7),
            network=LADDER,
            cabin=everything.cabin,
            source_resistance=0.1,
        ),
    )
    filters = FILTERS["Linkwitz-Riley band"]
    agrees(Channel(loudspeakers=speakers, wiring=wiring, filters=filters, source_resistance=0.3))


@pytest.mark.parametrize("wiring", ["parallel", "series"])
def test_mixed_wiring(wiring, agrees):
    """Groups wired the other way, each driver with a network of its own: a ladder, a capacitor, a pad."""
    everything = CASES["everything but filters"]
    plain = Loudspeaker(driver=everything.driver, box=SealedBox(volume=0.02), cabin=everything.cabin)
    speakers = (
        (everything, dataclasses.replace(plain, network=in_series(Capacitor(capacitance=1e-4)), name="high")),
        (dataclasses.replace(plain, network=l_pad(attenuation=5.0, impedance=4.0), source_resistance=0.1), plain),
    )
    # Tolerance: 1e-9 dB. Both solve in double precision, and no large flows cancel here.
    agrees(Channel(loudspeakers=speakers, wiring=wiring, source_resistance=0.3), 1e-9)


def test_a_resistor_across_a_tweeter_and_its_capacitor_in_series_with_a_woofer(agrees):
    """The state that the page on two speakers of one channel puts forward: 6.8 ohm, 6.8 uF, the demonstration's own."""
    woofer, tweeter = (demo_drivers()[name] for name in ("165 mm panel", "25 mm pillar tweeter"))
    behind = across(Resistor(resistance=6.8)) + in_series(Capacitor(capacitance=6.8e-6))
    speakers = (
        Loudspeaker(driver=woofer, box=InfiniteBaffle()),
        Loudspeaker(driver=tweeter, box=InfiniteBaffle(), network=behind),
    )
    agrees(Channel(loudspeakers=speakers, wiring="series"))


def test_f3_of_one_of_two_in_series_behind_a_source(ngspice, tmp_path, monkeypatch):
    """Half the power of what is left where the reactances of cone and box no longer matter: at 1 MHz to 1e-8."""
    speaker = Loudspeaker(driver=Driver.from_thiele_small(**PLAIN), box=SealedBox(volume=0.03))
    partner = Loudspeaker(driver=Driver.from_thiele_small(**{**PLAIN, "Re": 7.0}), box=SealedBox(volume=0.02, Ql=7))
    channel = Channel(loudspeakers=(speaker, partner), wiring="series", source_resistance=0.5)
    response = solve(System(channels=(channel,)), frequencies(5, 1000), VOLTAGE, DISTANCE, AIR).responses[0]
    monkeypatch.setattr(f"{__name__}.FREQUENCY", np.array([response.f3, 1e6]))
    at_f3, far = abs(run(ngspice, speaker, tmp_path, channel)["v(pressure)"])
    assert at_f3 / far == pytest.approx(np.sqrt(0.5), rel=1e-6)


def terminal_current(printed):
    """Return the current through the outermost piece: the first flow that is printed."""
    return printed[next(name for name in printed if name.startswith("i("))]


def named_flows(response, printed):
    """Yield what `Response` names beside what ngspice measures."""
    yield response.current, terminal_current(printed)
    yield response.cone_velocity, printed["i(v_cone)"]
    outward = {aperture.name: aperture.flow for aperture in response.apertures}
    yield outward["cone"], printed["i(v_cone)"] * PLAIN["Sd"]
    assert ("port" in outward) == ("i(v_port)" in printed)
    assert ("leak" in outward) == ("i(v_leak)" in printed)
    assert ("hole" in outward) == ("i(v_hole)" in printed)
    if "hole" in outward:
        yield outward["hole"], -printed["i(v_hole)"]
    if "port" in outward:
        yield response.port_flow, printed["i(v_port)"]
        yield outward["port"], -printed["i(v_port)"]
    if "leak" in outward:
        yield outward["leak"], -printed["i(v_leak)"]


def test_openings_heard_over_paths_of_their_own(ngspice, tmp_path, agreement, monkeypatch):
    # A box may know that its port is 0.35 m further from the ear than the cone: a delay line in the netlist.
    monkeypatch.setattr(listening, "path_of", lambda box, opening: 0.35 if opening == "port" else 0.0)
    box = VentedBox(volume=0.05, fb=32, Ql=7, Qp=40)
    for cabin in (None, Cabin(length=2.5, width=1.4, height=1.15)):
        driver = Driver.from_thiele_small(**PLAIN)
        loudspeaker = Loudspeaker(driver=driver, box=box, cabin=cabin, polarity="reversed")
        printed = run(ngspice, loudspeaker, tmp_path)["v(pressure)"]
        response = solve(loudspeaker, FREQUENCY, VOLTAGE, DISTANCE, AIR)
        agreement(WHAT, SOURCE, decibels(response.pressure, printed), 1e-6, "dB")
