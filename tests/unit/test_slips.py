"""A number in the wrong unit is refused with who, bound, unit, meaning, value and the likely slip, word for word."""

import dataclasses

import pytest

import lumpedbox
from lumpedbox import (
    Air,
    AllPass,
    Amplifier,
    Brief,
    Cabin,
    Capacitor,
    Delay,
    Door,
    Driver,
    HighPass,
    Inductor,
    Loudspeaker,
    LowPass,
    PassiveRadiator,
    PassiveRadiatorBox,
    Peak,
    Port,
    SealedBox,
    Shelf,
    VentedBox,
    solve,
)
from lumpedbox.quantity import Part, Quantity

REST = {
    Brief: {"volume": 0.03, "amplifier": Amplifier(power=40, rated_impedance=4, minimum_load=2)},
    Peak: {"level": 3},
    Shelf: {"level": 3},
    Driver: {"Re": 3.4, "Bl": 9.4, "Mms": 0.053, "Cms": 0.39e-3, "Rms": 2.3, "Sd": 0.033},
    Door: {"volume": 0.03, "hole_area": 0.03},
    SealedBox: {"volume": 0.03},
    VentedBox: {"volume": 0.05, "fb": 32},
    PassiveRadiator: {"Mms": 0.09, "Cms": 0.6e-3, "Sd": 0.033},
    PassiveRadiatorBox: {"volume": 0.03, "radiator": PassiveRadiator(Mms=0.09, Cms=0.6e-3, Sd=0.033)},
    Cabin: {"length": 2, "width": 1.4, "height": 1.1},
    Port: {"length": 0.2},
}

# Part, field, what was given, what is said after "Part.field must be between ".
SLIPS = [
    (Brief, "volume", 30, "0.0001 and 10 m3 (net internal volume), got 30: did you mean 30 * litre?"),
    (Brief, "port_area", 80, "1e-05 and 0.25 m2 (largest area of a port), got 80: did you mean 80 * cm2?"),
    (Brief, "port_length", 400, "0.005 and 3 m (longest port), got 400: did you mean 400 * mm?"),
    (Brief, "delay", 15, "0.0001 and 1 s (longest group delay allowed), got 15: did you mean 15 * ms?"),
    (Air, "temperature", 20, "223.15 and 353.15 K (absolute temperature), got 20: did you mean 20 + zero_celsius?"),
    (Air, "temperature", -10, "223.15 and 353.15 K (absolute temperature), got -10: did you mean -10 + zero_celsius?"),
    (Air, "pressure", 1013, "30000 and 120000 Pa (static pressure), got 1013: did you mean 1013 * hPa?"),
    (Air, "pressure", 101.325, "30000 and 120000 Pa (static pressure), got 101.325: did you mean 101.325 * kPa?"),
    (Air, "humidity", 50, "0 and 1 (relative humidity, 0 to 1), got 50: did you mean 50 * percent?"),
    (Cabin, "length", 5000, "0.3 and 30 m (inner length), got 5000: did you mean 5000 * mm?"),
    (Cabin, "length", 190, "0.3 and 30 m (inner length), got 190: did you mean 190 * cm?"),
    (Cabin, "width", 1400, "0.3 and 30 m (inner width), got 1400: did you mean 1400 * mm?"),
    (Cabin, "height", 110, "0.3 and 30 m (inner height), got 110: did you mean 110 * cm?"),
    (Cabin, "volume", 3000, "0.3 and 200 m3 (volume of air in the cabin), got 3000: did you mean 3000 * litre?"),
    (Cabin, "volume", 250, "0.3 and 200 m3 (volume of air in the cabin), got 250: did you mean 250 * cubic_foot?"),
    (Cabin, "ear_box", 150, "0 and 1 m (edge of the cube around the ear), got 150: did you mean 150 * mm?"),
    (Cabin, "ear_box", 15, "0 and 1 m (edge of the cube around the ear), got 15: did you mean 15 * cm?"),
    (
        Cabin,
        "reference_distance",
        5000,
        "0.01 and 1000 m (distance to the listener), got 5000: did you mean 5000 * cm?",
    ),
    (Cabin, "reverberation_time", 80, "0.01 and 5 s (reverberation time), got 80: did you mean 80 * ms?"),
    (PassiveRadiator, "Mms", 90, "0.0001 and 10 kg (moving mass with its air load), got 90: did you mean 90 * gram?"),
    (
        PassiveRadiator,
        "Cms",
        0.6,
        "1e-07 and 0.1 m/N (compliance of the suspension), got 0.6: did you mean 0.6 * mm_per_newton?",
    ),
    (PassiveRadiator, "Sd", 330, "1e-05 and 1 m2 (effective radiating area), got 330: did you mean 330 * cm2?"),
    (PassiveRadiator, "xmax", 12, "1e-06 and 0.1 m (linear travel, one way), got 12: did you mean 12 * mm?"),
    (PassiveRadiatorBox, "volume", 30, "0.0001 and 10 m3 (net internal volume), got 30: did you mean 30 * litre?"),
    (
        PassiveRadiatorBox,
        "longest_side",
        400,
        "0.01 and 5 m (longest inner side), got 400: did you mean 400 * mm?",
    ),
    (Capacitor, "capacitance", 47, "0 and 0.1 F (capacitance), got 47: did you mean 47 * uF?"),
    (Delay, "time", 5, "0 and 1 s (delay), got 5: did you mean 5 * ms?"),
    (Driver, "Mms", 53, "1e-07 and 5 kg (moving mass with its air load), got 53: did you mean 53 * gram?"),
    (
        Driver,
        "Cms",
        0.39,
        "1e-07 and 0.1 m/N (compliance of the suspension), got 0.39: did you mean 0.39 * mm_per_newton?",
    ),
    (
        Driver,
        "Cms",
        390,
        "1e-07 and 0.1 m/N (compliance of the suspension), got 390: did you mean 390 * um_per_newton?",
    ),
    (Driver, "Sd", 330, "1e-06 and 1 m2 (effective radiating area), got 330: did you mean 330 * cm2?"),
    (Driver, "Sd", 33000, "1e-06 and 1 m2 (effective radiating area), got 33000: did you mean 33000 * mm2?"),
    (Driver, "Le", 0.5, "0 and 0.1 H (voice-coil inductance), got 0.5: did you mean 0.5 * mH?"),
    (Driver, "Le", 500, "0 and 0.1 H (voice-coil inductance), got 500: did you mean 500 * uH?"),
    (Driver, "L2", 0.7, "0 and 0.1 H (inductance of the eddy-current branch), got 0.7: did you mean 0.7 * mH?"),
    (
        Driver,
        "built_in_capacitance",
        4.7,
        "1e-08 and 0.01 F (capacitance of a built-in capacitor), got 4.7: did you mean 4.7 * uF?",
    ),
    (Driver, "xmax", 6, "1e-06 and 0.1 m (linear travel, one way), got 6: did you mean 6 * mm?"),
    (Driver, "depth", 66, "0.001 and 1 m (depth behind the panel), got 66: did you mean 66 * mm?"),
    (Driver, "cutout", 143, "0.005 and 1 m (diameter of the hole in the panel), got 143: did you mean 143 * mm?"),
    (
        Driver,
        "displacement",
        1.4,
        "0 and 0.1 m3 (volume that it takes up in a box), got 1.4: did you mean 1.4 * litre?",
    ),
    (HighPass, "frequency", 0.08, "0.1 and 100000 Hz (corner frequency), got 0.08: did you mean 0.08 * kHz?"),
    (AllPass, "frequency", 0.08, "0.1 and 100000 Hz (corner frequency), got 0.08: did you mean 0.08 * kHz?"),
    (Peak, "frequency", 0.08, "0.1 and 100000 Hz (corner frequency), got 0.08: did you mean 0.08 * kHz?"),
    (Shelf, "frequency", 0.08, "0.1 and 100000 Hz (corner frequency), got 0.08: did you mean 0.08 * kHz?"),
    (LowPass, "frequency", 0.08, "0.1 and 100000 Hz (corner frequency), got 0.08: did you mean 0.08 * kHz?"),
    (Inductor, "inductance", 1.5, "0 and 1 H (inductance), got 1.5: did you mean 1.5 * mH?"),
    (Port, "length", 200, "0 and 3 m (length of the port itself), got 200: did you mean 200 * mm?"),
    (Port, "diameter", 75, "0.001 and 0.6 m (inner diameter), got 75: did you mean 75 * mm?"),
    (Port, "width", 300, "0.001 and 2 m (inner width of a slot), got 300: did you mean 300 * mm?"),
    (Port, "height", 30, "0.001 and 2 m (inner height of a slot), got 30: did you mean 30 * mm?"),
    (Door, "volume", 30, "0.0001 and 10 m3 (net internal volume), got 30: did you mean 30 * litre?"),
    (Door, "hole_area", 300, "0 and 10 m2 (area of the hole), got 300: did you mean 300 * cm2?"),
    (Door, "hole_depth", 2, "0 and 0.3 m (depth of the hole), got 2: did you mean 2 * mm?"),
    (Door, "path", 350, "0 and 10 m (how much further away the hole is), got 350: did you mean 350 * mm?"),
    (Door, "longest_side", 900, "0.01 and 5 m (longest inner side), got 900: did you mean 900 * mm?"),
    (SealedBox, "volume", 14, "0.0001 and 10 m3 (net internal volume), got 14: did you mean 14 * litre?"),
    (SealedBox, "volume", 14000, "0.0001 and 10 m3 (net internal volume), got 14000: did you mean 14000 * cm3?"),
    (SealedBox, "longest_side", 450, "0.01 and 5 m (longest inner side), got 450: did you mean 450 * mm?"),
    (VentedBox, "volume", 38.5, "0.0001 and 10 m3 (net internal volume), got 38.5: did you mean 38.5 * litre?"),
    (VentedBox, "port_area", 80, "1e-06 and 1 m2 (area of the port), got 80: did you mean 80 * cm2?"),
    (VentedBox, "port_area", 20000, "1e-06 and 1 m2 (area of the port), got 20000: did you mean 20000 * mm2?"),
    (VentedBox, "longest_side", 45, "0.01 and 5 m (longest inner side), got 45: did you mean 45 * mm?"),
]


def refusal(call):
    with pytest.raises(ValueError) as found:  # noqa: PT011
        call()
    return str(found.value)


@pytest.mark.parametrize(("kind", "field", "given", "said"), SLIPS, ids=lambda value: getattr(value, "__name__", value))
def test_a_slip_of_the_unit_is_guessed(kind, field, given, said):
    found = refusal(lambda: kind(**{**REST.get(kind, {}), field: given}))
    assert found == f"{kind.__name__}.{field} must be between {said}"


def test_every_field_with_a_likely_slip_is_in_the_list():
    listed = {(kind, field) for kind, field, _, _ in SLIPS}
    parts = [item for item in vars(lumpedbox).values() if isinstance(item, type) and issubclass(item, Part)]
    slipping = {
        (kind, spec.name)
        for kind in parts
        for spec in dataclasses.fields(kind)
        if isinstance(spec.metadata["rule"], Quantity) and spec.metadata["rule"].slips
    }
    assert slipping <= listed


@pytest.mark.parametrize(
    ("field", "given", "said"),
    [
        ("fs", 0.035, "1 and 20000 Hz (resonance frequency in free air), got 0.035: did you mean 0.035 * kHz?"),
        (
            "Vas",
            60,
            "1e-07 and 10 m3 (volume of air as compliant as the suspension), got 60: did you mean 60 * litre?",
        ),
        ("Qes", 0, "0.01 and 100 (electrical Q at the free-air resonance), got 0"),
        ("Qms", -5, "0.01 and 1000 (mechanical Q at the free-air resonance), got -5"),
        ("Sd", 330, "1e-06 and 1 m2 (effective radiating area), got 330: did you mean 330 * cm2?"),
    ],
)
def test_the_data_sheet_door_guesses_too(field, given, said):
    sheet = {"fs": 35, "Qes": 0.45, "Qms": 5, "Vas": 0.06, "Sd": 0.033, "Re": 3.4, field: given}
    assert refusal(lambda: Driver.from_thiele_small(**sheet)) == f"Driver.{field} must be between {said}"


def test_arguments_of_solve_and_of_a_step_guess_too(sealed):
    assert refusal(lambda: solve(sealed, 50, distance=2000)) == (
        "solve.distance must be between 0.01 and 1000 m (distance to the listener), got 2000: did you mean 2000 * cm?"
    )
    assert refusal(lambda: solve(sealed, 50).step_response(100)) == (
        "Response.step_response.duration must be between 0.0001 and 10 s (time to follow a step), got 100: "
        "did you mean 100 * ms?"
    )


def test_a_coordinate_is_named(driver):
    def placed():
        Loudspeaker(driver=driver, box=SealedBox(volume=0.03), position=(0, 1500, 0))

    assert refusal(placed) == (
        "Loudspeaker.position[1] must be between -100 and 100 m (coordinate), got 1500: did you mean 1500 * mm?"
    )


def test_no_slip_is_guessed_where_none_is_likely():
    assert refusal(lambda: SealedBox(volume=1e9)).endswith("got 1e+09")
    assert refusal(lambda: SealedBox(volume=-14)).endswith("got -14")
