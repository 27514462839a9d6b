"""Exercises mark themselves: right in both systems; twice, half, inverse and the wrong unit are not."""

import re

import numpy as np
import pytest

from lumpedbox.sliders.exercises import TRIES, Exercise, Misconception, Sheet, generator
from lumpedbox.sliders.sheets import (
    alignments_sheet,
    bass_meets_panels_sheet,
    closed_box_sheet,
    crossing_over_sheet,
    data_sheet_sheet,
    decibel_sheet,
    how_loud_sheet,
    loud_tweeter_sheet,
    sealed_or_vented_sheet,
    small_woofer_sheet,
    which_box_sheet,
)
from lumpedbox.sliders.systems import SYSTEMS, VOLUME
from lumpedbox.units import litre

SHEETS = (
    decibel_sheet,
    small_woofer_sheet,
    sealed_or_vented_sheet,
    closed_box_sheet,
    data_sheet_sheet,
    loud_tweeter_sheet,
    bass_meets_panels_sheet,
    crossing_over_sheet,
    which_box_sheet,
    how_loud_sheet,
    alignments_sheet,
)
NAMES = ("Ada", "Björn", "Chi", "Dana", "Esi", "Femi", "Gül", "Hana", "Ilse", "Jun")


def rows():
    return [pytest.param(make, i, id=f"{make.__name__}-{i}") for make in SHEETS for i in range(len(make().rows))]


def toy():
    return Sheet(
        [
            Exercise(
                draw=lambda random: {"volume": float(random.integers(10, 40)) * litre},
                ask=lambda given, system: f"Half of {VOLUME.shown(system).text(given['volume'])}?",
                answer=lambda given: given["volume"] / 2,
                kind=VOLUME,
                misconceptions=(
                    Misconception("it was doubled", lambda given: 2 * given["volume"], "Halve it."),
                    Misconception("nothing was done", lambda given: given["volume"], "Do something."),
                ),
            )
        ]
    ).rows[0]


@pytest.fixture
def row():
    return toy()


def attempt(row, text):
    row.typed.value = text
    row.check.click()
    return row.said.value


def test_the_same_name_gives_the_same_numbers():
    draws = {name: generator(name, 1).random() for name in NAMES}
    assert len(set(draws.values())) == len(NAMES)
    assert generator("  ada  ", 1).random() == draws["Ada"]
    assert generator("Ada", 2).random() != draws["Ada"]


def test_right_in_either_system(row):
    half = row.given["volume"] / 2
    assert attempt(row, f"{half / litre:.3f} L") == "Right."
    assert attempt(row, f"{half / 0.028316846592:.5f} ft^3") == "Right."
    assert attempt(row, f"{half / 16.387064e-6:.1f} cubic_inch") == "Right."


def test_named_misconceptions_have_their_own_hints(row):
    volume = row.given["volume"] / litre
    assert "it was doubled. Halve it." in attempt(row, f"{2 * volume} L")
    assert "nothing was done. Do something." in attempt(row, f"{volume} L")


def test_the_answer_is_not_shown_before_three_tries(row):
    answer = row.exercise.solution(row.given, SYSTEMS[0])
    for tries in range(1, TRIES + 1):
        assert row.show.disabled
        row.tell()
        assert answer not in row.said.value
        said = attempt(row, "999 L")
        assert answer not in said
        assert row.tries == tries
    assert not row.show.disabled
    row.show.click()
    assert answer in row.said.value


@pytest.mark.parametrize("text", ["", "many", "7", "7 Hz", "7,5 L", "7 wishes"])
def test_what_cannot_be_read_is_no_try(row, text):
    said = attempt(row, text)
    assert said
    assert not said.startswith(("Right", "Not yet"))
    assert row.tries == 0


def test_a_new_name_gives_new_numbers_and_new_tries():
    sheet = sealed_or_vented_sheet()
    sheet.name.value = "Ada"
    attempt(sheet.rows[0], "1 Hz")
    asked = sheet.rows[0].question.value
    sheet.units.value = SYSTEMS[1]
    assert sheet.rows[0].tries == 1
    assert "cubic feet" in sheet.rows[0].question.value
    sheet.name.value = "Björn"
    assert sheet.rows[0].tries == 0
    assert sheet.rows[0].question.value != asked


@pytest.mark.parametrize(("make", "index"), rows())
def test_every_exercise(make, index):
    """Right in both systems; factor two, inverse and wrong unit are not; the hints are told apart."""
    for name in NAMES:
        sheet = make()
        sheet.name.value = name
        row = sheet.rows[index]
        exercise, given = row.exercise, row.given
        answer, unit = exercise.answer(given), exercise.kind.metric.unit
        size = exercise.kind.metric.size
        for system in SYSTEMS:
            shown = exercise.kind.shown(system)
            assert exercise.mark(given, f"{shown.number(answer):.6g} {shown.unit}")[0] is True
        for wrong in (2 * answer, answer / 2, size**2 / answer):
            assert exercise.mark(given, f"{wrong / size:.6g} {unit}")[0] is False
        assert exercise.mark(given, f"{answer / size:.6g} kg")[0] is None
        hints = [exercise.mark(given, f"{m.wrong(given) / size:.6g} {unit}")[1] for m in exercise.misconceptions]
        assert len(exercise.misconceptions) == 2
        assert all(m.hint in hint for m, hint in zip(exercise.misconceptions, hints, strict=True))
        assert f"{exercise.kind.metric.number(answer):.3g}" not in " ".join(m.hint for m in exercise.misconceptions)


def test_answers_by_formulas_of_their_own():
    """The library's answers against the textbook, for the numbers of one name."""
    power, meter = (row for row in named(decibel_sheet, "Ada"))
    assert power.exercise.answer(power.given) == pytest.approx(10 * np.log10(power.given["times"]))
    assert meter.exercise.answer(meter.given) < meter.given["level"]
    reach, octave = named(small_woofer_sheet, "Ada")
    # Source: p = rho (2 pi f)^2 Sd x / (sqrt2 2 pi r), L. L. Beranek, "Acoustics" (1954), from memory.
    from lumpedbox import Air

    given = reach.given
    acceleration = (2 * np.pi * given["frequency"]) ** 2 * given["travel"] / np.sqrt(2)
    pressure = Air().density * given["area"] * acceleration / (2 * np.pi)
    assert reach.exercise.answer(given) == pytest.approx(20 * np.log10(pressure / 20e-6), abs=1e-6)
    assert octave.exercise.answer(octave.given) == pytest.approx(4 * octave.given["travel"])
    resonance, port = named(sealed_or_vented_sheet, "Ada")
    given = resonance.given
    assert resonance.exercise.answer(given) == pytest.approx(given["fs"] * np.sqrt(1 + given["Vas"] / given["volume"]))
    given, radius = port.given, port.given["diameter"] / 2
    wanted = (Air().sound_speed / (2 * np.pi * given["fb"])) ** 2 * np.pi * radius**2 / given["volume"]
    assert port.exercise.answer(given) == pytest.approx(wanted - (0.8217 + 0.6127) * radius, rel=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_answers_on_closed_boxes(name):
    """The answers put back into a box that is solved."""
    from lumpedbox import Driver, Loudspeaker, SealedBox, solve

    def phase_lead(fs, Qes, Vas, at, **box):
        """Phase of the pressure where it should lead by 90 degrees: at fc, whatever the Q."""
        driver = Driver.from_thiele_small(fs=fs, Qes=Qes, Qms=1e3, Vas=Vas, Sd=0.02, Re=3.4)
        response = solve(Loudspeaker(driver=driver, box=SealedBox(**box)), at)
        return response.phase[0], response.level[0] - response.reference_level

    volume, filled, vas = (row for row in named(closed_box_sheet, name))
    given, V = volume.given, volume.exercise.answer(volume.given)
    fc, Qes = 40 * np.sqrt(1 + given["Vas"] / V), 1 / (1 / given["Qts"] - 1e-3)
    phase, level = phase_lead(40, Qes, given["Vas"], fc, volume=V)
    assert phase == pytest.approx(90, abs=1e-6)
    assert level == pytest.approx(20 * np.log10(given["Qtc"]), abs=1e-6)  # at fc, |G| is Qtc (Small 1972, from memory)
    given = filled.given
    box = {"volume": given["volume"], "filling": given["filling"]}
    at_fc = phase_lead(given["fs"], 0.5, given["Vas"], filled.exercise.answer(given), **box)
    assert at_fc[0] == pytest.approx(90, abs=1e-6)
    given = vas.given
    at_fc = phase_lead(given["fs"], 0.5, vas.exercise.answer(given), given["fc"], volume=given["volume"])
    assert at_fc[0] == pytest.approx(90, abs=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_answers_on_data_sheets(name):
    """By hand from what the questions print."""
    from lumpedbox import Air

    total_q, one_watt, rewound, vas = named(data_sheet_sheet, name)
    Qes, Qms = numbers(total_q, r"Qes = ([\d.]+) and Qms = ([\d.]+)\.")
    assert total_q.exercise.answer(total_q.given) == pytest.approx(1 / (1 / Qes + 1 / Qms), rel=0.002)
    level, ohms = numbers(one_watt, r"prints ([\d.]+) dB at 1 m for 2.83 V, and a rated impedance of ([\d.]+) ohm")
    assert one_watt.exercise.answer(one_watt.given) == pytest.approx(level - 10 * np.log10(8.0089 / ohms), abs=1e-4)
    before, level, after = numbers(rewound, r"of ([\d.]+) ohm, is said to play ([\d.]+) dB .* for ([\d.]+) ohm\. What")
    assert rewound.exercise.answer(rewound.given) == pytest.approx(level + 10 * np.log10(before / after), abs=1e-6)
    Cms, Sd = numbers(vas, r"by ([\d.]+) mm/N, its cone has ([\d.]+) cm")
    exact = Air().density * Air().sound_speed ** 2 * (Sd * 1e-4) ** 2 * Cms * 1e-3
    assert vas.exercise.answer(vas.given) == pytest.approx(exact, rel=0.005)


@pytest.mark.parametrize("name", NAMES)
def test_answers_on_a_loud_tweeter(name):
    """By hand from what the questions print."""
    across, corner, one_watt = named(loud_tweeter_sheet, name)
    load, attenuation = numbers(across, r"of ([\d.]+) ohm is ([\d.]+) dB too loud")
    Rp = across.exercise.answer(across.given)
    both = Rp * load / (Rp + load)
    assert both / load == pytest.approx(10 ** (-attenuation / 20))  # the rest, in series, makes up the whole load
    (frequency,) = numbers(corner, r"3 dB down at ([\d.]+) Hz")
    reactance = 1 / (2 * np.pi * frequency * corner.exercise.answer(corner.given))
    assert reactance == pytest.approx(4.0)  # at the corner it equals the resistance
    (level,) = numbers(one_watt, r"printed with ([\d.]+) dB")
    assert one_watt.exercise.answer(one_watt.given) == pytest.approx(level - 10 * np.log10(2.83**2 / 4), abs=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_answers_on_a_bass_box_and_panels(name):
    """By hand from what the questions print."""
    from lumpedbox import Air

    later, both, half = named(bass_meets_panels_sheet, name)
    far, near = numbers(later, r"bass box is ([\d.]+) m from the ear, the panels are ([\d.]+) m from it")
    assert later.exercise.answer(later.given) == pytest.approx((far - near) / Air().sound_speed)
    level, apart = numbers(both, r"play ([\d.]+) dB each, ([\d.]+) degrees apart")
    two = 20 * np.log10(2 * np.cos(np.radians(apart / 2)))
    assert both.exercise.answer(both.given) == pytest.approx(level + two, abs=1e-6)
    (corner,) = numbers(half, r"corner of ([\d.]+) Hz")
    assert half.exercise.answer(half.given) == pytest.approx(1 / (2 * corner))


@pytest.mark.parametrize("name", NAMES)
def test_answers_on_crossing_over(name):
    """By hand: arrows that are 90 degrees apart for each order; C = 1/(2 R w) (Linkwitz 1976, from memory)."""
    from lumpedbox import Air

    both, capacitor, way = named(crossing_over_sheet, name)
    slope, level = numbers(both, r"Butterworth, (\d+) dB/octave.* play (\d+) dB each")
    two = 20 * np.log10(abs(1 + 1j ** (slope / 6)))
    assert both.exercise.answer(both.given) == pytest.approx(level + two, abs=1e-6)
    corner, load = numbers(capacitor, r"for (\d+) Hz into a resistance of (\d+) ohm")
    assert capacitor.exercise.answer(capacitor.given) == pytest.approx(1 / (2 * load * 2 * np.pi * corner))
    (further,) = numbers(way, r"is (\d+) mm further")
    assert way.exercise.answer(way.given) == pytest.approx(Air().sound_speed / (2 * further * 1e-3))


@pytest.mark.parametrize("name", NAMES)
def test_answers_on_which_box(name):
    """By hand: k = efficiency / (f3^3 V) stays (Small 1972, from memory); squares of independent deviations add up."""
    lower, louder, port, power, doubts = named(which_box_sheet, name)
    volume, high, low = numbers(lower, r"([\d.]+) litres reach down to (\d+) Hz.* shall reach (\d+) Hz")
    assert lower.exercise.answer(lower.given) == pytest.approx(volume * litre * (high / low) ** 3)
    f3, more = numbers(louder, r"reaches (\d+) Hz with a driver.* is (\d+) dB more efficient")
    assert louder.exercise.answer(louder.given) == pytest.approx(f3 * 10 ** (more / 30))
    area, speed = numbers(port, r"port of ([\d.]+) cm² the air reaches (\d+) m/s")
    assert port.exercise.answer(port.given) == pytest.approx(area * 1e-4 * speed / 17)
    watts, moved, xmax = numbers(power, r"With (\d+) W the cone moves (\d+) mm, and (\d+) mm")
    assert power.exercise.answer(power.given) == pytest.approx(watts * (xmax / moved) ** 2)
    one, other = numbers(doubts, r"deviation of ([\d.]+) dB, the force factor alone by ([\d.]+) dB")
    assert doubts.exercise.answer(doubts.given) == pytest.approx((one**2 + other**2) ** 0.5)


@pytest.mark.parametrize("name", NAMES)
def test_answers_on_how_loud(name):
    """By hand: 12.04 dB an octave, root of P R, and p = rho w^2 Vd / (2 pi) at the peak (Kinsler & Frey, memory)."""
    octave, volts, volume = named(how_loud_sheet, name)
    (level,) = numbers(octave, r"reaches (\d+) dB at 60 Hz")
    assert octave.exercise.answer(octave.given) == pytest.approx(level - 12.0412, abs=1e-3)
    power, load = numbers(volts, r"gives (\d+) W into (\d+) ohm")
    assert volts.exercise.answer(volts.given) == pytest.approx((power * load) ** 0.5)
    level, frequency = numbers(volume, r"(\d+) dB at (\d+) Hz")
    peak = 2**0.5 * 20e-6 * 10 ** (level / 20)
    by_hand = peak / (2 * np.pi * 1.2 * frequency**2)
    assert volume.exercise.answer(volume.given) == pytest.approx(by_hand, rel=5e-3)


@pytest.mark.parametrize("name", NAMES)
def test_answers_on_alignments(name, table_of_alignments):
    """By hand: Small 1972 and 1973, Thiele 1961 and Small 1974 (from memory), from what the questions print; the exact
    volume comes with its question, printed to a tenth of a litre."""
    f3, pole, leaky, law, notch, price = named(alignments_sheet, name)
    fs, Qts = numbers(f3, r"fs = (\d+) Hz and Qts = ([\d.]+)\.")
    assert f3.exercise.answer(f3.given) == pytest.approx(fs * 0.70710678 / Qts, rel=1e-7)
    left, up = numbers(pole, r"lies (\d+) Hz to the left .* and (\d+) Hz above")
    assert pole.exercise.answer(pole.given) == pytest.approx((left**2 + up**2) ** 0.5 / (2 * left))
    (Ql,) = numbers(leaky, r"of QL = (\d+)\?")
    assert leaky.exercise.answer(leaky.given) == pytest.approx(1 / (2.613126 - 1 / Ql), rel=1e-6)
    Qts, Vas, exact = numbers(law, r"Qts = ([\d.]+) and Vas = ([\d.]+) litres.* exactly ([\d.]+) litres")
    missed = abs(20 * Vas * Qts**3.3 - exact) * litre
    assert law.exercise.answer(law.given) == pytest.approx(missed, abs=0.051 * litre)
    assert exact == pytest.approx(Vas / table_of_alignments(Qts).alpha, abs=0.051)
    fb, delta = numbers(notch, r"tuned to (\d+) Hz; Vap is ([\d.]+) times")
    assert notch.exercise.answer(notch.given) == pytest.approx(fb / (1 + delta) ** 0.5)
    high, low = numbers(price, r"down to (\d+) Hz\. .* down to (\d+) Hz")
    assert price.exercise.answer(price.given) == pytest.approx(10 * np.log10((high / low) ** 3))


def numbers(row, pattern):
    """The numbers that a question prints."""
    return [float(number) for number in re.search(pattern, row.question.value).groups()]


def named(make, name):
    sheet = make()
    sheet.name.value = name
    return sheet.rows
