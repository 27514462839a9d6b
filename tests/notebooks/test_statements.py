"""What the lessons say is so: their numbers are computed again, and what was said wrongly is not said any more."""

import dataclasses
import itertools
import json
import re

import numpy as np
import pytest

from lumpedbox import InfiniteBaffle, Loudspeaker, SealedBox, frequencies, maximum_level, poles_and_zeros, solve
from lumpedbox.design.alignments import named_alignment
from lumpedbox.design.ladders import fitted, ladder, zobel
from lumpedbox.parts.box import VentedBox
from lumpedbox.response.hearing import a_weighting, c_weighting
from lumpedbox.response.shape import droop, over_passband, peak
from lumpedbox.sliders.kit.answer import ONLY
from lumpedbox.sliders.kit.drawn import SPEED_OF_SOUND
from lumpedbox.sliders.lessons.a_million_boxes import a_million_boxes, maps
from lumpedbox.sliders.lessons.loud_tweeter import loud_tweeter
from lumpedbox.tables import demo_amplifiers, demo_drivers
from lumpedbox.tables.shipped import notebooks_folder
from lumpedbox.units import litre

FOLDER = notebooks_folder()
PACKAGE = FOLDER.parent / "lumpedbox"


def words(name):
    """The text of a notebook, on one line."""
    cells = json.loads((FOLDER / f"{name}.ipynb").read_text(encoding="utf-8"))["cells"]
    text = "\n\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")
    return re.sub(r"\s+", " ", text)


def told(name, pattern):
    """The numbers that a text tells, as in a pattern."""
    found = re.search(pattern, words(name))
    assert found, f"{name} does not say: {pattern}"
    return [float(number) for number in found.groups()]


def slowest(Q, frequency):
    """How long the slower pole of x'' + w/Q x' + w^2 x = 0 takes to fall to 1/e, by its roots. [s]"""
    w = 2 * np.pi * frequency
    return -1 / np.roots([1, w / Q, w**2]).real.max()


@pytest.mark.parametrize(("Q", "alone", "boxed"), [(0.61, 6.07, 6.07), (0.39, 10.4, 3.9)])
def test_a_stiffer_spring_does_not_make_a_cone_swing_on_longer(Q, alone, boxed):
    """At 32 Hz, and with alpha 1.5. Above a Q of a half the decay is 2 m / r, which knows no spring."""
    lift = np.sqrt(2.5)
    found = slowest(Q, 32), slowest(Q * lift, 32 * lift)
    assert [1e3 * one for one in found] == pytest.approx([alone, boxed], abs=0.06)


def test_how_fast_a_cone_comes_to_rest():
    """The text's milliseconds, by the roots above and by the library's poles; the coil without inductance."""
    driver = dataclasses.replace(demo_drivers()["200 mm bass"], Le=0.0)
    boxes = InfiniteBaffle(), SealedBox(volume=20 * litre)
    found = [-1 / poles_and_zeros(Loudspeaker(driver=driver, box=box)).poles.real.max() for box in boxes]
    lift = np.sqrt(1 + driver.Vas / (20 * litre))
    exact = [slowest(driver.Qts * k, driver.fs * k) for k in (1.0, lift)]
    assert found == pytest.approx(exact, rel=1e-3)
    text = told("closed_box", r"falls to 37 % in about (\d+) ms by itself. In 20 litres it takes about (\d+) ms")
    assert text == pytest.approx([1e3 * one for one in exact], abs=0.5)
    assert "swings on longer" not in words("closed_box")


@pytest.mark.parametrize("name", ["bass_meets_panels", "crossing_over"])
def test_the_speed_of_sound_is_the_one_that_exercises_print(name):
    """Cramer (1993) gives 343.99 m/s at 20 °C, 50 % humidity and 101325 Pa (tests/reference/data/air.csv)."""
    assert told(name, r"c = (\d+)\\ \\mathrm{m/s}") == [344.0]
    assert SPEED_OF_SOUND.text(SPEED_OF_SOUND.of({}), "metric") == "344 m/s"


@pytest.mark.parametrize("frequency", [31.5, 40.0, 1000.0, 8000.0])
def test_the_formula_that_an_exercise_asks_for_is_on_its_page(frequency):
    """Worked as it is printed, it gives what the library's own poles give to a twentieth of a decibel."""
    high, low, end, middle, upper, added = told(
        "decibels",
        r"\\frac\{(\d+)\^2 f\^4\}\{\(f\^2 \+ ([\d.]+)\^2\)\\,\(f\^2 \+ (\d+)\^2\)"
        r"\\sqrt\{\(f\^2 \+ ([\d.]+)\^2\)\\,\(f\^2 \+ ([\d.]+)\^2\)\}\} \+ ([\d.]+)",
    )
    f2 = frequency**2
    share = high**2 * f2**2 / ((f2 + low**2) * (f2 + end**2) * np.sqrt((f2 + middle**2) * (f2 + upper**2)))
    assert 20 * np.log10(share) + added == pytest.approx(float(a_weighting(frequency)), abs=0.05)


@pytest.mark.parametrize("name", ["how_loud", "small_woofers"])
def test_what_an_exercise_needs_of_the_air_stands_beside_the_equation(name):
    """CIPM-2007 gives 1.1993 kg/m3 at 20 °C, 50 % humidity and 101325 Pa (tests/reference/data/air.csv); 20 uPa is the
    reference of ISO 1683 (from memory)."""
    found = told(name, r"rho = ([\d.]+)\\ \\mathrm\{kg/m\^3\}.*p_0 = (\d+)\\ \\mathrm\{\\mu Pa\}")
    assert found == [1.2, 20.0]


def test_what_a_pole_tells():
    """s^2 + w/Q s + w^2: |s| = w and -Re s = w / 2Q. So Q is an angle, and one decay goes with many Q."""
    driver = dataclasses.replace(demo_drivers()["200 mm bass"], Le=0.0)
    boxes = (SealedBox(volume=volume * litre) for volume in (5, 10, 20))
    found = [poles_and_zeros(Loudspeaker(driver=driver, box=box)) for box in boxes]
    poles = np.array([one.poles[np.argmax(one.poles.imag)] for one in found])
    Q = [one.resonances[0][1] for one in found]
    assert pytest.approx(abs(poles) / (2 * -poles.real)) == Q
    assert poles.real == pytest.approx([poles.real[0]] * 3)
    assert Q[0] > 1.5 * Q[2], "as near to the axis, and another Q"
    assert "the distance from the origin over twice the distance from the axis" in words("closed_alignments")
    assert "Only mass and brakes say how fast a swing dies away" in words("closed_alignments")
    assert not [name for name in ("closed_alignments", "vented_alignments") if "axis, its Q" in words(name)]


def test_both_pairs_of_b4_on_one_circle_have_another_angle():
    """1 / (2 cos 22.5 degrees) and 1 / (2 cos 67.5 degrees): as the lesson's code prints them."""
    assert named_alignment("B4").Qts == pytest.approx(0.383, abs=5e-4)
    upper = np.exp(1j * np.radians([180 - 22.5, 180 - 67.5]))
    assert abs(upper) / (2 * -upper.real) == pytest.approx([0.541, 1.307], abs=5e-4)


# Source: ISO 226:2003, table 1 and formula (1): Hz, alpha_f, L_U, T_f, and the level at 60, 80 and 90 phon in dB,
# derived from the formula to two decimals (1000 Hz is 0.01 off its own phon: the standard rounds its constants).
ISO_226 = {
    20: (0.532, -31.6, 78.5, 109.51, 118.99, 123.71),
    40: (0.455, -19.1, 51.1, 94.18, 105.34, 110.87),
    1000: (0.250, 0.0, 2.4, 60.01, 80.01, 90.01),
}


def loudness_level(frequency, phon):
    """Lp = (10 / af) lg Af - LU + 94, Af = 4.47e-3 (10^(0.025 LN) - 1.15) + (0.4 * 10^((Tf + LU) / 10 - 9))^af. [dB]"""
    a, U, T, *_ = ISO_226[frequency]
    A = 4.47e-3 * (10 ** (0.025 * phon) - 1.15) + (0.4 * 10 ** ((T + U) / 10 - 9)) ** a
    return 10 / a * np.log10(A) - U + 94


@pytest.mark.parametrize("frequency", ISO_226)
def test_rows_of_equal_loudness_follow_the_formula(frequency):
    found = [loudness_level(frequency, phon) for phon in (60, 80, 90)]
    assert found == pytest.approx(ISO_226[frequency][3:], abs=0.01)


def test_the_ear_needs_more_of_a_loud_bass_too():
    more = [low - middle for low, middle in zip(ISO_226[40][3:], ISO_226[1000][3:], strict=True)]
    text = told(
        "decibels",
        r"It needs (\d+) dB more beside 60 dB, (\d+) dB more beside 80, and (\d+) dB more beside 90 \(ISO 226:2003\)",
    )
    assert text == pytest.approx(more, abs=0.5)
    assert "nothing of the kind" not in words("decibels")


def test_how_many_decibels_sound_twice_as_loud():
    """Ten phon are twice as loud (S. S. Stevens 1955, from memory), here between 60 and 80."""
    text = told("decibels", r"At 40 Hz about (\d+) dB already sounds twice as loud, at 20 Hz about (\d+)")
    assert text == pytest.approx([(ISO_226[f][4] - ISO_226[f][3]) / 2 for f in (40, 20)], abs=0.5)


def test_what_gives_first_at_the_tuning():
    """The lesson's box: at 33 Hz travel is left over where the port gives; so its text no longer calls it used up."""
    box = VentedBox(volume=0.03, fb=33, port_area=50e-4, Ql=7)
    speaker = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=box)
    at = maximum_level(speaker, [33.0], amplifier=demo_amplifiers()["four channels from the stores"])
    assert at.gives[0] == "port speed"
    assert at.levels["travel"][0] > at.level[0] + 3
    assert "travel is left over, and the *port* gives first" in words("how_loud")


@pytest.mark.parametrize("claim", ["hurt all the same", "ear is still hurt", "hurts hearing, at", "has been published"])
def test_nothing_is_claimed_without_a_source(claim):
    files = [*FOLDER.glob("*.ipynb"), *PACKAGE.rglob("*.py")]
    said = [path.name for path in files if claim in re.sub(r'(?:\\n|[\s",])+', " ", path.read_text(encoding="utf-8"))]
    assert len(files) > 60
    assert said == []


def test_what_else_a_driver_is_made_of():
    """Same six numbers, other inductance and travel: the same bass for a volt, other treble, another highest level."""
    driver = dataclasses.replace(demo_drivers()["165 mm panel"], Le=0.0)
    other = dataclasses.replace(driver, Le=1e-3, xmax=2 * driver.xmax)
    one, two = (solve(Loudspeaker(driver=d, box=InfiniteBaffle()), [30.0, 5000.0]) for d in (driver, other))
    assert (driver.fs, driver.Qts, driver.Vas) == (other.fs, other.Qts, other.Vas)
    assert two.level[0] == pytest.approx(one.level[0], abs=0.25), "of the 20 dB in the treble next to nothing"
    # R / |R + jwL| at 5 kHz; the cone's own impedance is next to nothing there
    assert two.level[1] - one.level[1] == pytest.approx(20 * np.log10(3.4 / abs(3.4 + 2j * np.pi * 5)), abs=0.2)
    assert two.level_within_travel[0] - one.level_within_travel[0] == pytest.approx(20 * np.log10(2), abs=1e-9)
    text = words("data_sheet")
    assert "Nothing else is in it" not in text
    assert "Two more numbers follow from none of the six. One is the inductance $L_e$ of the coil" in text
    assert "the linear travel $x_{max}$" in text


def test_how_the_loud_tweeter_sounds():
    """The case is told as its own index reads, and not as thin."""
    page = loud_tweeter()
    above, below = told("loud_tweeter", r"above (\d+) Hz the tweeter plays (\d+) dB louder than the woofer")
    (edge,) = re.search(r"Compared are the tweeter from (\d+) Hz", " ".join(page.board.answer["details"])).groups()
    assert above == pytest.approx(float(edge), rel=0.1)
    louder = page.answer["against the woofer"][ONLY]
    assert louder.text("metric").endswith("louder")
    assert below == pytest.approx(louder["off"], abs=0.5)
    index = page.answer["treble against bass"][ONLY]
    assert index.text("metric").startswith("+")
    assert index["level"] == pytest.approx(0.5, abs=0.05)
    assert "treble (800 to 8000 Hz) against bass (100 to 315 Hz) is only half a decibel up" in words("loud_tweeter")
    frequency, both = page.scene.stack.values("sum", "level")
    lost = np.asarray(page.scene.stack.values("woofer", "level")[1]) - both
    assert 1000 < frequency[np.argmax(lost)] < 1200, "the two cancel around 1100 Hz"
    assert "thin and sharp" not in words("loud_tweeter")


def test_what_making_up_for_a_coil_does():
    """It lets the volts follow the book, and the sound less than before: as the lesson tells, and the volts by hand."""
    driver = demo_drivers()["130 mm step well"]
    asked = {"arm": "low-pass", "family": "Linkwitz-Riley", "order": 2, "frequency": 3000}
    plain = Loudspeaker(driver=driver, box=InfiniteBaffle())
    evened = dataclasses.replace(plain, network=zobel(driver))
    as_it_is, made_up = fitted(plain, **asked), fitted(evened, **asked, load=driver.Re)
    text = told(
        "crossing_over", r"strays ([\d.]+) dB from the filter as it is, and ([\d.]+) dB with its coil compensated"
    )
    assert text == pytest.approx([as_it_is.textbook_error, made_up.textbook_error], abs=0.05)

    grid = frequencies(750, 12000, per_octave=12)
    w, s = 2 * np.pi * 3000, 2j * np.pi * grid
    book = abs(w**2 / (s + w) ** 2)  # two Butterworth filters of first order, one after another (Linkwitz 1976)
    bare = solve(plain, grid).driver_voltage

    def off(network):
        ratio = solve(dataclasses.replace(plain, network=network), grid).driver_voltage / bare
        return np.sqrt(np.mean((20 * np.log10(abs(ratio) / book)) ** 2))

    assert off(ladder(**asked, load=4)) > 5
    assert off(ladder(**asked, load=float(driver.Re)) + zobel(driver)) < 0.3
    assert "cures the first" not in words("crossing_over")


def test_above_the_bass_the_small_driver_plays_nearly_as_loud():
    names = ("200 mm step well, tired", "130 mm step well")
    one, two = (solve(Loudspeaker(driver=demo_drivers()[name], box=InfiniteBaffle()), 300.0).level[0] for name in names)
    assert 0.5 < one - two < 2
    assert "Everything above sounds nearly as loud as before" in words("small_woofers")


def test_how_close_a_meter_set_to_c_stays():
    """Source: IEC 61672-1:2013, table 3 (from memory): C reads -2.0 dB at 40 Hz, -6.2 dB at 20 Hz."""
    within, at, under = told(
        "decibels", r"within (\d) dB of the pressure down to (\d+) Hz, and is (\d) dB under it at 20"
    )
    assert (within, at, under) == (2, 40, 6)
    assert c_weighting(np.array([20.0, 40.0, 63.0, 1000.0])) == pytest.approx([-6.2, -2.0, -0.8, 0.0], abs=0.05)


def test_what_less_air_does():
    """Below the resonance a smaller closed box is softer, by the stiffness; half power need not move up with it."""
    driver = demo_drivers()["200 mm bass"]
    boxes = [SealedBox(volume=volume * litre) for volume in (60, 20)]
    large, small = (solve(Loudspeaker(driver=driver, box=box), frequencies(5, 400)) for box in boxes)
    stiffness = [1 + driver.Vas / box.volume for box in boxes]
    assert large.level[0] - small.level[0] == pytest.approx(20 * np.log10(stiffness[1] / stiffness[0]), abs=0.3)
    assert small.f3 < large.f3, "so the bass does not end sooner in less air"
    text = words("sealed_or_vented")
    assert "the resonance of the whole rises, and what lies below it gets softer" in text
    assert "the bass ends sooner" not in text


def test_what_the_lesson_on_thin_wire_tells():
    """20 log of seven eighths; 4 times 75 W at 0.65 and 13.8 V, 6 m of 7.98 ohm/km (IEC 60228) and 3 milliohm."""
    assert told("thin_wire", r"by 20 log of what is left: ([\d.]+) dB") == [
        pytest.approx(-20 * np.log10(7 / 8), abs=0.05)
    ]
    current = 300 / 0.65 / 13.8
    lost = current * (6 * 7.98e-3 + 3e-3)
    assert 1 / 9 < lost / 13.8 < 1 / 7, "an eighth, as the guess is explained"
    plan = json.loads((FOLDER / "teaching" / "thin_wire.ipynb").read_text(encoding="utf-8"))["cells"]
    text = " ".join("".join(cell["source"]) for cell in plan)
    amperes, volts = re.search(
        r"300 W at 0\.65 and 13\.8 V\. \(([\d.]+) A\.\) Through 50 milliohm\? \(([\d.]+) V\.\)", text
    ).groups()
    assert (float(amperes), float(volts)) == pytest.approx((current, current * 0.05), abs=0.05)


def test_what_heat_does_to_a_wire():
    """Copper's 0.00393 a kelvin (NBS Handbook 100): a tenth more is 25 K above the 20 degrees of the tables."""
    for name in ("thin_wire", "wire_and_fuse"):
        assert re.search(r"in a hot vehicle has a tenth more", words(name))
    assert 0.00393 * 25 == pytest.approx(0.1, abs=0.005)


def test_what_the_lesson_on_the_wedge_tells():
    """400 less 2 x 18 mm are 364; 203.2 x 364 x 364 mm are 26.9 litres, and half the width loses a larger share."""
    assert told("wedge", r"(\d+) mm at the floor and (\d+) mm at the top make (\d+)") == [300, 180, 240]
    assert told("wedge", r"(\d+) mm of width are (\d+) mm of air with (\d+) mm of board") == [400, 364, 18]
    middle = 240 - 18 - 18 * (1 + (120 / 400) ** 2) ** 0.5
    assert told("wedge", r"the wedge of (\d+) litres has (\d+) inside") == [
        pytest.approx(240 * 400 * 400e-6, abs=0.5),
        pytest.approx(middle * 364 * 364e-6, abs=0.5),
    ]
    assert middle * 364 * (200 - 36) / (240 * 400 * 200) < middle * 364 * 364 / (240 * 400 * 400)
    plan = json.loads((FOLDER / "teaching" / "wedge.ipynb").read_text(encoding="utf-8"))["cells"]
    text = " ".join("".join(cell["source"]) for cell in plan)
    outside, deep, inside = re.search(
        r"outside\. \(([\d.]+) litres\.\) .* by (\d+) inside\? \(([\d.]+) l", text
    ).groups()
    assert (float(outside), float(deep)) == (38.4, round(middle))
    assert float(inside) == pytest.approx(middle * 364 * 364e-6, abs=0.05)


def test_what_the_lesson_on_measuring_tells():
    """Half of the moving mass more: 1 - 1/sqrt(1.5) is a fifth. 10 g from 58 to 44 Hz: Small 1972 (from memory)."""
    plan = json.loads((FOLDER / "teaching" / "measure_a_driver.ipynb").read_text(encoding="utf-8"))["cells"]
    text = " ".join("".join(cell["source"]) for cell in plan)
    high, mass, low, found = re.search(r"at (\d+) Hz, with (\d+) g at (\d+): Mms\? \(([\d.]+) g", text).groups()
    assert float(found) == pytest.approx(float(mass) / ((float(high) / float(low)) ** 2 - 1), abs=0.06)
    assert "Half of it moves the peak by a fifth" in text
    assert 1 - 1.5**-0.5 == pytest.approx(0.2, abs=0.03)
    assert told("measure_a_driver", r"If it is (\d+) % off, everything is (\d+) % off") == [5, 5]


def test_the_equation_of_a_million_boxes():
    """It is the level over the pass-band, for a coil without inductance."""
    told("a_million_boxes", re.escape(r"(s^2 + s\,\omega_s/Q_{ts} + \omega_s^2)(s^2 + s\,\omega_b/Q_l + \omega_b^2)"))
    told("a_million_boxes", re.escape(r"+ \omega_s^2 s^2\,V_{as}/V"))
    (Ql,) = told("a_million_boxes", r"Ql = (\d+)\.")
    driver = dataclasses.replace(demo_drivers()["200 mm bass"], Le=0.0)
    volume, fb, f = 25 * litre, 33.0, frequencies(10, 400)
    s, ws, wb = 2j * np.pi * f, 2 * np.pi * driver.fs, 2 * np.pi * fb
    cone, box = s**2 + s * ws / driver.Qts + ws**2, s**2 + s * wb / Ql + wb**2
    level = 20 * np.log10(np.abs(s**4 / (cone * box + ws**2 * s**2 * driver.Vas / volume)))
    box = VentedBox(volume=volume, fb=fb, Ql=maps.USUAL_LEAKAGE)
    assert over_passband(solve(Loudspeaker(driver=driver, box=box), f)) == pytest.approx(level, abs=1e-9)


def test_what_the_page_of_a_million_boxes_tells():
    """By solved families of three volumes to four, over every half hertz of tuning; even as its text says."""
    tunings, grid = np.arange(20.0, 80.25, 0.5), frequencies(14, 250, per_octave=24)

    def best(driver, volume, most=2.0):
        box = VentedBox(volume=volume, fb=tunings, port_area=0.1 * driver.Sd, Ql=7)
        family = solve(Loudspeaker(driver=driver, box=box), grid)
        over = over_passband(family)
        even = (peak(over) <= most) & (droop(over, grid, family.f3) <= 0.5)
        f3 = np.where(even, family.f3, np.inf)
        return np.min(f3), tunings[np.argmin(f3)]

    drivers = {name: demo_drivers()[name] for name in ("200 mm bass", "250 mm shallow bass", "300 mm bass")}
    bass = drivers["200 mm bass"]
    told("a_million_boxes", "the best tuning of a small box moves down as it grows")
    found = [best(bass, volume * litre) for volume in (10, 20, 40)]
    assert all(a[1] > b[1] and a[0] > b[0] for a, b in itertools.pairwise(found))
    told("a_million_boxes", "no driver is the best one everywhere")
    lowest = [min(drivers, key=lambda name: best(drivers[name], volume * litre)[0]) for volume in (20, 80, 160)]
    assert lowest == ["200 mm bass", "250 mm shallow bass", "300 mm bass"]
    told("a_million_boxes", "Does the best box of your volume change at all?")
    assert best(bass, 40 * litre, 1.0) == best(bass, 40 * litre, 6.0)
    told("a_million_boxes", "f3 jumps to where the droop begins")
    boxes = (VentedBox(volume=40 * litre, fb=fb, port_area=0.002, Ql=7) for fb in (28.0, 24.0))
    low, high = (solve(Loudspeaker(driver=bass, box=box), grid) for box in boxes)
    assert high.f3 > 1.4 * low.f3
    told("a_million_boxes", "a few hundred boxes for your driver")
    assert 200 < a_million_boxes().scene.maps.boxes[0] < 400
