"""What is drawn of a loudspeaker: how it moves, against a mass-spring solution; its sizes, against plain geometry."""

import dataclasses
import json

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from lumpedbox import (
    Door,
    Driver,
    InfiniteBaffle,
    Loudspeaker,
    PassiveRadiator,
    PassiveRadiatorBox,
    Port,
    SealedBox,
    VentedBox,
    frequencies,
    solve,
)
from lumpedbox.parts.displacement import displacement
from lumpedbox.parts.port import port_fit
from lumpedbox.sliders.kit.thing import curves, motion, tape, things
from lumpedbox.tables import demo_drivers
from lumpedbox.units import cm2, inch, litre, mm

GRID = frequencies(10, 400, per_octave=24)
BASS = demo_drivers()["200 mm bass"]
RADIATOR = PassiveRadiator(Mms=0.2, Cms=0.6e-3, Sd=0.033, Rms=1.5, xmax=12 * mm)
BOXES = {
    "sealed": SealedBox(volume=20 * litre, Ql=7),
    "vented": VentedBox(volume=20 * litre, fb=36, port_area=50 * cm2, Ql=7),
    "radiator": PassiveRadiatorBox(volume=50 * litre, radiator=RADIATOR, Ql=7),
    "hole": VentedBox(volume=20 * litre, fb=150, port_area=100 * cm2),
    "slot": VentedBox(volume=60 * litre, port=Port(width=0.25, height=0.03, length=0.2)),
    "three": VentedBox(volume=60 * litre, port=Port(diameter=0.06, length=0.15, count=3)),
    "fits": VentedBox(volume=40 * litre, fb=45, port_area=50 * cm2),
    "long": VentedBox(volume=20 * litre, fb=20, port_area=150 * cm2),
    "filled": VentedBox(volume=20 * litre, fb=36, port_area=50 * cm2, filling=1.3),
    "area unknown": VentedBox(volume=20 * litre, fb=36),
    "panel": InfiniteBaffle(),
    "tiny": SealedBox(volume=3 * litre),
}


def response_of(box, driver=BASS, frequency=GRID, **more):
    return solve(Loudspeaker(driver=driver, box=box, **more), frequency, 10.0)


def thing_of(box, driver=BASS, system="metric"):
    (thing,) = things({"one": response_of(box, driver)}, system, {"one": ("first", "one")})
    return thing


def masses_and_springs(response):
    """Return peak displacements outwards of cone and opening, and the pressure, from Newton's law for each mass.

    Source: own derivation, nothing shared with the circuit. -w2 M x + j w R x + x / C = F + p Sd for the cone,
    the like without F for the opening, and p V = -rho c2 (Sd x + S y + q) with a leak q = p / (j w Rl).
    """
    driver, box, air = response.loudspeaker.driver, response.loudspeaker.box, response.air
    w, stiff = 2 * np.pi * response.frequency, air.density * air.sound_speed**2 / box.volume
    coil = driver.Re + 1j * w * driver.Le
    force, damping = driver.Bl * np.sqrt(2) * response.voltage / coil, driver.Rms + driver.Bl**2 / coil
    cone = -(w**2) * driver.Mms + 1j * w * damping + 1 / driver.Cms
    if isinstance(box, PassiveRadiatorBox):
        one = box.radiator
        area, second = one.Sd, -(w**2) * one.Mms + 1j * w * one.Rms + 1 / one.Cms
        tuned = np.sqrt((1 / one.Cms + stiff * area**2) / one.Mms)
    elif isinstance(box, VentedBox):
        tuned, area = 2 * np.pi * box.fb, box.port_area
        second = -(w**2) * stiff * area**2 / tuned**2
    else:
        tuned = np.sqrt((1 / driver.Cms + stiff * driver.Sd**2) / driver.Mms)
        area, second = 0.0, np.ones_like(w)
    leak = tuned / box.Ql / (1j * w)  # K / (j w Rl), as Rl = Ql K / w0
    rows = [
        [cone, 0 * w, -driver.Sd + 0 * w],
        [0 * w, second, -area + 0 * w],
        [stiff * driver.Sd + 0 * w, stiff * area + 0 * w, 1 + leak],
    ]
    matrix = np.moveaxis(np.array(rows), -1, 0)
    right = np.stack([force, 0 * w, 0 * w], axis=-1)[..., np.newaxis]
    return np.linalg.solve(matrix, right)[..., 0].T


@pytest.mark.parametrize("name", ["sealed", "vented", "radiator"])
def test_it_moves_as_masses_on_springs_do(name):
    response = response_of(BOXES[name])
    expected = masses_and_springs(response)
    for ours, exact in zip(motion(response), expected, strict=True):
        assert np.max(abs(ours - exact)) <= 1e-9 * np.max(abs(exact))


def test_it_turns_the_way_that_time_runs():
    """Source: the same masses and springs, followed in time by scipy's solver until they swing steadily."""
    driver, box, f = dataclasses.replace(BASS, Le=0.0), dataclasses.replace(BOXES["vented"], Ql=np.inf, Qp=8), 25.0
    response = response_of(box, driver, [f])
    air, w, area = response.air, 2 * np.pi * f, box.port_area
    stiff = air.density * air.sound_speed**2 / box.volume
    mass = stiff * area**2 / (2 * np.pi * box.fb) ** 2
    loss = 2 * np.pi * box.fb * mass / box.Qp
    damping = driver.Rms + driver.Bl**2 / driver.Re

    def law(t, state):
        x, v, y, u = state
        pressure = -stiff * (driver.Sd * x + area * y)
        force = driver.Bl / driver.Re * np.sqrt(2) * response.voltage * np.cos(w * t)
        cone = (force - damping * v - x / driver.Cms + pressure * driver.Sd) / driver.Mms
        return [v, cone, u, (pressure * area - loss * u) / mass]

    times = 2 + np.linspace(0, 1 / f, 9)
    swung = solve_ivp(law, (0, times[-1]), np.zeros(4), t_eval=times, rtol=1e-8, atol=1e-12).y
    cone, port, _ = motion(response)
    assert (cone * np.exp(1j * w * times)).real == pytest.approx(swung[0], abs=1e-4 * abs(cone[0]))
    assert (port * np.exp(1j * w * times)).real == pytest.approx(swung[2], abs=1e-4 * abs(port[0]))


def test_at_the_tuning_the_cone_stands_still_below_they_work_against_each_other_above_together():
    """Source: textbook of the undamped vented box, y / x = -Sd / S / (1 - (f / fb)**2)."""
    f = np.array([12.0, 24.0, 36.0, 54.0, 144.0])
    cone, port, _ = motion(response_of(dataclasses.replace(BOXES["vented"], Ql=np.inf), frequency=f))
    assert abs(cone[2]) < 1e-9 * abs(port[2])
    others = [0, 1, 3, 4]
    expected = -BASS.Sd / (50 * cm2) / (1 - (f[others] / 36) ** 2)
    assert port[others] / cone[others] == pytest.approx(expected, rel=1e-9)
    assert list(np.sign(expected)) == [-1, -1, 1, 1]


def test_a_sealed_box_is_stretched_while_the_cone_is_out():
    cone, none, pressure = motion(response_of(SealedBox(volume=20 * litre)))
    air = response_of(SealedBox(volume=20 * litre)).air
    assert pressure == pytest.approx(-air.density * air.sound_speed**2 * BASS.Sd * cone / (20 * litre), rel=1e-9)
    assert not none.any()


def test_reversed_it_moves_the_other_way():
    box = BOXES["vented"]
    assert motion(response_of(box, polarity="reversed")) == pytest.approx(-motion(response_of(box)), rel=1e-12)


def test_the_bytes_are_what_moves_one_loudspeaker_after_another():
    responses = {name: response_of(BOXES[name]) for name in ("sealed", "vented")}
    read = np.frombuffer(curves(responses), "<f4").reshape(2, 3, len(GRID), 2)
    for index, response in enumerate(responses.values()):
        moved = motion(response)
        assert read[index, ..., 0] == pytest.approx(moved.real, rel=1e-6)
        assert read[index, ..., 1] == pytest.approx(moved.imag, rel=1e-6)
    assert np.hypot(*np.moveaxis(read[0, 0], -1, 0)) == pytest.approx(responses["sealed"].excursion, rel=1e-6)
    speed = responses["vented"].port_velocity / (2 * np.pi * GRID)
    assert np.hypot(*np.moveaxis(read[1, 1], -1, 0)) == pytest.approx(speed, rel=1e-6)


def turned(radii, length):
    """Volume of a straight piece turned about its axis, by a sum of slices."""
    radius = np.linspace(*radii, 20001)
    return np.pi * np.trapezoid(radius**2, dx=length / 20000)


@pytest.mark.parametrize("name", [name for name in BOXES if name != "panel"])
@pytest.mark.parametrize("driver", ["130 mm step well", "300 mm bass", "165 mm rear panel, stand-in"])
def test_a_box_holds_its_litres_beside_what_stands_in_it(name, driver):
    box, driver = BOXES[name], demo_drivers()[driver]
    thing = thing_of(box, driver)
    height, width, depth = (thing["box"][side] for side in ("height", "width", "depth"))
    opening = thing["opening"] or {"kind": None}
    beside = {"port": 0.0, "radiator": 0.0, None: 0.0}
    if opening["kind"] == "port":
        beside["port"] = opening["area"] * np.clip(opening["length"] - thing["board"], 0, depth)
    if opening["kind"] == "radiator":
        beside["radiator"] = turned((opening["cone"], opening["coil"]), opening["depth"])
    litres = height * width * depth - float(displacement(driver)) - sum(beside.values())
    assert litres == pytest.approx(box.volume, rel=1e-8)
    assert height >= 1.1 * np.cbrt(box.volume) * (1 - 1e-12)
    assert depth > 0


def test_a_driver_of_unknown_room_takes_up_what_is_drawn_of_it():
    stand_in = Driver.typical(size=0.165, kind="woofer")
    one = thing_of(SealedBox(volume=20 * litre), stand_in)["driver"]
    drawn = turned((one["cone"], one["coil"]), one["depth"] / 2) + np.pi * one["motor"] ** 2 * one["depth"] / 2
    assert drawn == pytest.approx(float(displacement(stand_in)), rel=1e-8)


@pytest.mark.parametrize("name", BOXES)
def test_driver_and_opening_have_room_one_above_the_other(name):
    thing = thing_of(BOXES[name])
    driver, opening = thing["driver"], thing["opening"]
    assert driver["rim"] == pytest.approx(1.12 * np.sqrt(BASS.Sd / np.pi))
    top = thing["box"]["height"] if thing["box"] else 2 * driver["y"]
    assert driver["y"] - driver["rim"] > 0
    if opening:
        half = opening["size"] / 2 if opening["kind"] == "port" else opening["rim"]
        assert opening["y"] - half > driver["y"] + driver["rim"]
        assert opening["y"] + half < top
    else:
        assert driver["y"] + driver["rim"] < top


def test_a_port_is_drawn_as_long_as_it_is():
    """Source: Helmholtz's resonator, with 0.6127 radii at the free end (Levine, Schwinger), 0.8217 at the other."""
    response = response_of(BOXES["vented"])
    radius = np.sqrt(50 * cm2 / np.pi)
    length = 50 * cm2 * (response.air.sound_speed / (2 * np.pi * 36)) ** 2 / (20 * litre) - (0.6127 + 0.8217) * radius
    thing = thing_of(BOXES["vented"])
    assert thing["opening"]["length"] == pytest.approx(length, rel=1e-4)
    assert thing["opening"]["size"] == pytest.approx(2 * radius)
    assert thing["texts"]["length"] == f"{length / mm:.0f} mm"
    assert "port 80 mm across, 521 mm long" in thing["texts"]["lines"]
    shorter = thing_of(BOXES["filled"])["opening"]["length"]
    assert shorter == pytest.approx((length + 1.4344 * radius) / 1.3 - 1.4344 * radius, rel=1e-4)


@pytest.mark.parametrize("volume", [10, 20, 40, 80])
@pytest.mark.parametrize("fb", [25, 35, 45, 60])
@pytest.mark.parametrize("area", [15, 30, 60])
def test_a_port_fits_where_the_words_of_the_page_say_so(volume, fb, area):
    box = VentedBox(volume=volume * litre, fb=fb, port_area=area * cm2)
    thing = thing_of(box, demo_drivers()["130 mm step well"])
    verdict = port_fit(area * cm2, fb, volume * litre).verdict
    if verdict == "none":
        assert not thing["opening"]["possible"]
    else:
        assert thing["opening"]["fits"] == (verdict == "fits")
        assert ("The port does not fit straight." in thing["texts"]["notes"]) == (verdict != "fits")


def test_there_are_ports_of_every_verdict():
    verdicts = {
        port_fit(a * cm2, f, v * litre).verdict
        for v in (10, 20, 40, 80)
        for f in (25, 35, 45, 60)
        for a in (15, 30, 60)
    }
    assert {"fits", "needs a bend"} <= verdicts


def test_what_cannot_be_is_said():
    assert (
        "No port of that area tunes this box so high: enlarge it or tune lower."
        in thing_of(BOXES["hole"])["texts"]["notes"]
    )
    assert thing_of(BOXES["hole"])["opening"]["length"] == 0
    assert thing_of(BOXES["area unknown"])["opening"] is None
    assert "The port is not drawn, as its area is not known." in thing_of(BOXES["area unknown"])["texts"]["notes"]
    deep = thing_of(BOXES["tiny"], demo_drivers()["300 mm bass"])["texts"]["notes"]
    assert deep == ["The driver is 145 mm deep and does not fit."]


def test_several_ports_and_slots_are_named():
    assert "3 ports, each 60 mm across, 150 mm long" in thing_of(BOXES["three"])["texts"]["lines"]
    assert "slot 250 mm by 30 mm, 200 mm long" in thing_of(BOXES["slot"])["texts"]["lines"]
    assert thing_of(BOXES["slot"])["opening"]["size"] == pytest.approx(0.03)
    assert thing_of(BOXES["three"])["opening"]["size"] == pytest.approx(0.06)


@pytest.mark.parametrize("system", ["metric", "US customary"])
@pytest.mark.parametrize("name", BOXES)
def test_it_goes_to_the_page_as_plain_numbers(name, system):
    for driver in demo_drivers().values():
        json.dumps(thing_of(BOXES[name], driver, system), allow_nan=False)
    moved = np.frombuffer(curves({name: response_of(BOXES[name])}), "<f4")
    assert moved.size == 2 * 3 * len(GRID)
    assert np.isfinite(moved).all()


@pytest.mark.parametrize("system", ["metric", "US customary"])
def test_the_words_for_who_cannot_see_it_have_the_sizes(system):
    texts = thing_of(BOXES["vented"], system=system)["texts"]
    for size in (texts["height"], texts["depth"], texts["length"], *texts["lines"], *texts["notes"]):
        assert size in texts["alternative"]
    litres = {"metric": "20.0 litres of air", "US customary": "0.706 cubic feet of air"}
    assert texts["lines"][0] == litres[system]


@pytest.mark.parametrize(
    ("sixteenths", "words"),
    [(0, "0 inch"), (3, "3/16 inch"), (8, "1/2 inch"), (16, "1 inch"), (17, "1 1/16 inches"), (198, "12 3/8 inches")],
)
def test_a_tape_measure_is_read_in_sixteenths(sixteenths, words):
    for off in (-0.4, 0, 0.4):
        assert tape(max(0.0, (sixteenths + off) * inch / 16), "US customary") == words
    assert tape(0.3148, "metric") == "315 mm"


def test_a_curve_gives_its_pen():
    vented, called = things(
        {"vented": response_of(BOXES["vented"]), "a": response_of(BOXES["sealed"])}, "metric", {"a": ("third", "boot")}
    )
    assert (vented["name"], vented["pen"]) == ("vented", {"color": "#D55E00", "dash": [6, 2]})
    assert (called["name"], called["pen"]["color"]) == ("boot", "#009E73")


def test_a_family_is_refused():
    family = response_of(SealedBox(volume=np.array([10, 20]) * litre))
    with pytest.raises(ValueError, match=r"responses must hold one loudspeaker each, got a family of shape \(2,\)"):
        curves({"sealed": family})
    with pytest.raises(ValueError, match="family"):
        things({"sealed": family}, "metric")


DOORS = {
    "hole": Door(volume=0.03, hole_area=300 * cm2, longest_side=1.0),
    "crack": Door(volume=0.03, crack=(1 * mm, 0.6), hole_depth=20 * mm, longest_side=1.0),
    "sealed": Door(volume=0.03, hole_area=0, longest_side=1.0),
}


def test_a_door_is_drawn_with_its_hole():
    """A round hole of the same area; as wide as its longest side, which the tape shows too."""
    panel = demo_drivers()["165 mm panel"]
    hole, crack, sealed = (thing_of(door, panel) for door in DOORS.values())
    diameter = 2 * np.sqrt(0.03 / np.pi)
    assert hole["opening"]["size"] == pytest.approx(diameter)
    assert f"hole {1000 * diameter:.0f} mm across" in hole["texts"]["lines"]
    assert "crack 600 mm by 1 mm" in crack["texts"]["lines"]
    assert [one["opening"]["called"] for one in (hole, crack)] == ["hole", "crack"]
    assert sealed["opening"] is None
    assert {one["box"]["width"] for one in (hole, crack, sealed)} == {1.0}
    assert all("1000 mm" in " ".join(one["texts"]["lines"]) for one in (hole, crack, sealed))
    for one in (hole, crack, sealed):
        box = one["box"]
        assert box["height"] * box["width"] * box["depth"] >= 0.03 + displacement(panel) - 1e-9, "the litres are in it"
        assert box["depth"] >= one["driver"]["depth"]
        assert one["texts"]["length"] == ""
        assert one["texts"]["notes"] == []


def test_the_air_in_a_hole_moves_against_the_cone_far_below_its_resonance():
    """What comes in through the hole went out with the cone, less what the spring takes up: U_h = -U_c / (1 - x2) with
    x = f / f_h, without losses (mass on a spring, derived)."""
    door = dataclasses.replace(DOORS["hole"], hole_Q=np.inf)
    grid = np.array([10.0, 20.0])
    cone, hole, _ = motion(response_of(door, frequency=grid))
    ratio = hole * 0.03 / (cone * BASS.Sd)
    assert ratio.real == pytest.approx(-1 / (1 - (grid / door.hole_resonance()) ** 2), rel=1e-3)
    assert abs(ratio.imag) == pytest.approx(0, abs=0.01)
