"""A marked guess is told right or not; what each lesson holds for right is worked out anew."""

import importlib
import json
import re

import numpy as np
import pytest

from lumpedbox import InfiniteBaffle, Loudspeaker, SealedBox, VentedBox, frequencies, solve
from lumpedbox.parts.displacement import displacement
from lumpedbox.parts.small_signal import passband_level
from lumpedbox.parts.variants import scaled
from lumpedbox.plan import demo_plan, figures
from lumpedbox.sliders.kit.predict import Question
from lumpedbox.sliders.lessons.bass_meets_panels.page import bass_meets_panels
from lumpedbox.sliders.lessons.crossing_over import crossing_over
from lumpedbox.sliders.lessons.loud_tweeter import loud_tweeter
from lumpedbox.sliders.lessons.sealed_door import sealed_door
from lumpedbox.sliders.lessons.set_the_levels import set_the_levels
from lumpedbox.sliders.lessons.which_box.answering import NET
from lumpedbox.sliders.lessons.which_box.page import which_box
from lumpedbox.tables import demo_drivers, demo_sheets
from lumpedbox.tables.shipped import notebooks_folder
from lumpedbox.units import cm2, litre
from tests import two_on_a_channel
from tests.sliders.test_sealed_door import gained_by_modes

BASS = demo_drivers()["200 mm bass"]
LESSONS = sorted(path.stem for path in notebooks_folder().glob("*.ipynb") if "QUESTION" in path.read_text("utf-8"))


def level(driver, box, frequency):
    return float(solve(Loudspeaker(driver=driver, box=box), frequency).level[0])


def drawn(page, curve, frequency, panel="level"):
    return float(np.interp(frequency, *page.scene.stack.values(curve, panel)))


def nearest(value, options):
    """The option whose number is nearest; one that begins with "Nothing" is 0."""
    numbers = {option: float(re.search(r"\d+|$", option)[0] or 0) for option in options}
    return min(options, key=lambda option: abs(numbers[option] - value))


def of_closed_alignments(options, table):
    """How fast the poles of s^2 + s/Q + 1 + alpha die away, by numpy's roots; Q = Qts sqrt(1 + alpha) (Small 1972)."""
    alphas = [60 / litres for litres in (20, 5)]
    assert [round(0.4 * np.sqrt(1 + alpha), 1) for alpha in alphas] == [0.8, 1.4], "as the question says"
    before, after = (-1 / np.roots([1, 1 / 0.4, 1 + alpha]).real.max() for alpha in alphas)
    ratios = dict(zip(options, (2.0, 1.0, 0.5), strict=True))
    return min(options, key=lambda option: abs(np.log(after / before / ratios[option])))


def of_vented_alignments(options, table):
    """Volume and tuning by the tables of the reference (Thiele 1961, Small 1973)."""
    before, after = table(0.4), table(0.6)
    larger, lower = after.alpha < before.alpha, after.h < before.h
    return {(True, True): options[0], (False, False): options[1]}[larger, lower]


def of_bass_meets_panels(options, table):
    return nearest(drawn(bass_meets_panels(), "sum", 80.0), options)


def of_cabin_gain(options, table):
    """Far below the first resonance |G|^2 = 1 + (fc/f)^4 with fc = c/2pi sqrt(2 pi r/(1.5 V)), less what leaks."""
    gains = []
    for volume, leak in ((5.0 * 1.8 * 1.6, 12.0), (2.3 * 1.35 * 1.15, 15.0)):
        corner = 343.2 / (2 * np.pi) * np.sqrt(2 * np.pi / (1.5 * volume))
        gains.append(10 * np.log10((1 + (corner / 30) ** 4) / (1 + (leak / 30) ** 2)))
    return options[2] if abs(gains[0] - gains[1]) < 1 else options[int(np.argmax(gains))]


def of_closed_box(options, table):
    gain = level(BASS, SealedBox(volume=60 * litre), 40.0) - level(BASS, SealedBox(volume=20 * litre), 40.0)
    return nearest(max(gain, 0), options)


def of_crossing_over(options, table):
    """Against the pass-band: 0, +3, or far below; the page's own curve at the corner."""
    page = crossing_over()
    against = drawn(page, "sum", 3000.0) - (drawn(page, "woofer", 3000.0) + 3.01)
    return options[2] if against < -20 else options[int(against > 1.5)]


def of_data_sheet(options, table):
    before = demo_sheets()["165 mm panel"].driver
    after = scaled(before, coil=0.5)
    watt = [(driver.rated_impedance) ** 0.5 for driver in (before, after)]
    at_volts = passband_level(after, 2.83) - passband_level(before, 2.83)
    at_a_watt = passband_level(after, watt[1]) - passband_level(before, watt[0])
    assert before.rated_impedance == 4
    return {(3, 3): options[0], (3, 0): options[1], (0, 0): options[2]}[round(at_volts), round(abs(at_a_watt))]


def of_decibels(options, table):
    """IEC 61672-1 tables -34.6 dB for 40 Hz (from memory)."""
    return nearest(90 - 34.6, options)


def of_how_loud(options, table):
    """The volts at which each gives: of 75 W into 4 ohm, up to xmax, and the rated power in the cold coil."""
    box = VentedBox(volume=30 * litre, fb=33, port_area=50 * cm2, Ql=7)
    one = solve(Loudspeaker(driver=BASS, box=box), 20.0, 1.0)
    heat = (BASS.power / BASS.Re) ** 0.5 / abs(one.current[0])
    volts = dict(zip(options, ((75 * 4) ** 0.5, BASS.xmax / one.excursion[0], heat), strict=True))
    assert volts[options[1]] < volts[options[0]] / 2, "long before the amplifier clips"
    return min(volts, key=volts.get)


def of_loud_tweeter(options, table):
    page = loud_tweeter()
    before = drawn(page, "tweeter", 1000.0)
    page.put(pad=4.0)
    return nearest(before - drawn(page, "tweeter", 1000.0), options)


def of_set_the_levels(options, table):
    """As the page starts the bass shall be 6 dB up; the volts are read off the picture, each at its tone."""
    page = set_the_levels()
    assert page.values["bass_level"] == 6
    excess = 20 * np.log10(drawn(page, "bass", 63.0, "volts") / drawn(page, "front", 315.0, "volts"))
    return options[0] if abs(excess - 6) < 1 else options[1 + int(excess > 6)]


def of_shared_channel(options, table):
    """By Kirchhoff's laws at 50 Hz: nothing, two equal halves, or far more (tests/two_on_a_channel.py)."""
    drivers = [demo_drivers()[name] for name in ("165 mm panel", "25 mm pillar tweeter")]
    lost = float(two_on_a_channel.lost(50.0, woofer=drivers[0], other=drivers[1], wiring="series", capacitor=6.8e-6))
    return options[2] if lost > 20 else nearest(lost, options[:2])


def of_thin_wire(options, table):
    """Four times 75 W at 0.65 and 13.8 V through 6 m of 2.5 mm2, 7.98 ohm/km by IEC 60228, and 3 milliohm back."""
    current = 300 / 0.65 / 13.8
    return nearest(-20 * np.log10(1 - current * (7.98e-3 * 6 + 3e-3) / 13.8), options)


def of_free_steps(options, table):
    """Each team's steps in its file, done as far as 100 credits go, by the figures of what is there then."""
    clean = {}
    for name, order in (plan := demo_plan()).orders.items():
        done = [order[:count] for count in range(len(order) + 1) if plan.cost_of(order[:count]) <= 100]
        clean[name] = figures(plan.after(*done[-1])).clean
    return nearest(clean["team two"] - clean["team one"], options)


def of_sealed_or_vented(options, table):
    sealed = level(BASS, SealedBox(volume=20 * litre), 20.0)
    vented = level(BASS, VentedBox(volume=20 * litre, fb=36), 20.0)
    return options[2] if abs(sealed - vented) < 0.5 else options[int(vented > sealed)]


def of_sealed_door(options, table):
    """The hatchback's modes summed by hand, with the flows of the circuit; as the page starts."""
    page = sealed_door()
    assert page.values["cabin"].startswith("small hatchback, by its places")
    assert (page.values["hole_area"], page.values["volume"]) == pytest.approx((300 * cm2, 30 * litre))
    return nearest(float(gained_by_modes(page, np.array([40.0]))[0]), options)


def of_small_woofers(options, table):
    drivers = demo_drivers()
    large, small = drivers["200 mm step well, tired"], drivers["130 mm step well"]
    return nearest(level(large, InfiniteBaffle(), 40.0) - level(small, InfiniteBaffle(), 40.0), options)


def of_wedge(options, table):
    """240 x 400 x 400 mm outside; 203.2 x 364 x 364 inside, the front cut level; 1.4 litres less the hole's 0.46."""
    inside = (240 - 18 - 18 * (1 + 0.3**2) ** 0.5) * 364 * 364
    return nearest(inside / 1e6 + 0.463 - 1.4, options)


def of_which_box(options, table):
    """The page's best sealed box, and f3 of one that takes all 30 litres beside the driver."""
    net, driver = which_box().answer[NET]["sealed"]["net"], displacement(BASS)
    best, larger = (
        float(solve(Loudspeaker(driver=BASS, box=SealedBox(volume=volume, Ql=7)), frequencies(20, 300)).f3)
        for volume in (net, 30 * litre - driver)
    )
    return options[1] if net + driver < 29 * litre and larger > best else options[0]


@pytest.mark.parametrize("lesson", LESSONS)
def test_what_is_right_is_right(lesson, table_of_alignments):
    question = importlib.import_module(f"lumpedbox.sliders.lessons.{lesson}").QUESTION
    assert globals()[f"of_{lesson}"](question.options, table_of_alignments) == question.right
    assert len(question.why) > 20
    assert question.look


def test_every_lesson_asks():
    asking = {path.stem for path in notebooks_folder().glob("*.ipynb") if "_sheet()" in path.read_text("utf-8")}
    assert asking - {"measure_a_driver"} == set(LESSONS)  # where the readings, one by one, are the answer


def test_no_cell_gives_the_answer_away():
    for lesson in LESSONS:
        right = importlib.import_module(f"lumpedbox.sliders.lessons.{lesson}").QUESTION.right
        cells = json.loads((notebooks_folder() / f"{lesson}.ipynb").read_text("utf-8"))["cells"]
        assert not any(right in "".join(cell["source"]) for cell in cells if cell["cell_type"] == "code")


@pytest.mark.parametrize(
    ("guess", "told"), [("this", "Right. It is <so>. There."), ("That", "Not so: this. It is <so>. There.")]
)
def test_a_guess_is_told_right_or_not(guess, told):
    question = Question("Which?", ("this", "That"), right="this", why="It is <so>.", look="There.")
    assert question.verdict(guess) == told
    assert question.marked(guess) == f"You guessed: {guess.lower()}. {told.partition(' It')[0]}"
    with pytest.raises(ValueError, match="'neither' is none of the answers: this, That"):
        question.verdict("neither")


def test_what_is_right_must_be_an_option():
    with pytest.raises(ValueError, match=r"^Question\.right must be one of this, that, got both"):
        Question("Which?", ("this", "that"), right="both", why="", look="")
