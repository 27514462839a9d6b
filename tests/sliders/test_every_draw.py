"""Every draw of every exercise, in either system of units: marked by what the question prints, and never wrongly."""

import functools
import itertools
import re

import numpy as np
import pytest

from lumpedbox.sliders.exercises import LESSONS, sheet_of
from lumpedbox.sliders.kit.drawn import Follows
from lumpedbox.sliders.kit.exercises import generator, in_figures
from lumpedbox.sliders.kit.systems import SYSTEMS
from lumpedbox.sliders.kit.terms import TERMS, terms_in
from tests.sliders.conftest import db, reference_table

METRIC = SYSTEMS[0]
# SI of what is printed. An inch is 25.4 mm, a foot twelve of them (1959, from memory).
UNITS = {
    "litres": 1e-3,
    "cubic feet": 0.3048**3,
    "cm²": 1e-4,
    "square inches": 0.0254**2,
    "cm³": 1e-6,
    "cubic inches": 0.0254**3,
    "g": 1e-3,
    "mm": 1e-3,
    "inches": 0.0254,
    "feet": 0.3048,
    "feet/s": 0.3048,
    "mm/N": 1e-3,
    "kPa": 1e3,
    "µF": 1e-6,
    "ms": 1e-3,
    "mH": 1e-3,
    "mV": 1e-3,
    "mΩ": 1e-3,
    "Ω/km": 1e-3,
    "%": 1e-2,
    "kilohm": 1e3,
}
PLAIN = ("m/s", "V", "A", "m", "m³", "Hz", "dB/octave", "dB", "ohm", "W", "degrees", "times", "radii", "volts")
NAMES_OF_UNITS = "|".join(map(re.escape, sorted([*UNITS, *PLAIN], key=len, reverse=True)))
QUANTITY = rf"(\d+(?:\.\d+)?)(?: ({NAMES_OF_UNITS}))?(?![\w/³²])"


def between_boards(deep, top, high, wide, board):
    """A wedge inside: half way up less the back, and the front as the level cuts it. By similar triangles."""
    lean = np.arctan((deep - top) / high)
    middle = (deep + top) / 2 - board - board / np.cos(lean)
    return middle * (high - 2 * board) * (wide - 2 * board)


def a_weighted(f):
    """Source: IEC 61672-1, Annex E, the formula of the weighting A (from memory)."""
    f = np.square(f)
    gain = 12194**2 * f**2 / ((f + 20.6**2) * np.sqrt((f + 107.7**2) * (f + 737.9**2)) * (f + 12194**2))
    return db(gain) + 2.0


def peak(Q):
    """The highest value of |G| of a closed box, looked for on a fine grid (Small 1972, from memory)."""
    x = np.linspace(0.5, 5, 200001)
    return np.max(x**2 / np.sqrt((1 - x**2) ** 2 + (x / Q) ** 2))


def half_power(Q):
    """f3 over fc: the highest root of |G|^2 = 1/2, as a root of its polynomial in x^2 (Small 1972, from memory)."""
    return np.sqrt(max(np.roots([1, 2 - 1 / Q**2, -1]).real))


@functools.cache
def tabled():
    """QT and alpha of the reference's QB3, B4 and C4 without leaks (Thiele 1961, Small 1973)."""
    rows = reference_table("vented_alignments_lossless")
    return np.array(
        sorted((float(row["QT"]), float(row["alpha"])) for row in rows if row["type"] in ("QB3", "B4", "C4"))
    )


def tabled_alpha(Q):
    """Straight lines between the logarithms of the rows: good to half a per cent."""
    return float(np.exp(np.interp(np.log(Q), *np.log(tabled()).T)))


# What each question prints, # for a quantity, and the textbook's formula for it. Sources, all from memory:
# closed box R. H. Small, JAES 20 (1972); vented box and passive radiator Small, JAES 21 (1973), 22 (1974); a port
# L. L. Beranek, "Acoustics" (1954); a piston in a wall Kinsler & Frey; crossovers S. Linkwitz, JAES 24 (1976);
# the power law D. B. Keele, 1970s. Air of 20 °C: 1.20 kg/m3.
TEXTBOOK = {
    "closed_alignments": (
        (r"lies # to the left .* and # above", lambda left, up: np.hypot(left, up) / (2 * left)),
        (r"Qtc = #\. How many dB", lambda Q: db(peak(Q))),
        (r"fc = # and Qtc = #\.", lambda fc, Q: fc * half_power(Q)),
        (r"fs = # and Qts = #\.", lambda fs, Q: fs * 0.7071 / Q),
    ),
    "vented_alignments": (
        (r"Qts = # and Vas = #\. Look", lambda Q, Vas: Vas / tabled_alpha(Q)),
        (r"Qts = # and Vas = #\. .* exactly #\.", lambda Q, Vas, exact: abs(20 * Vas * Q**3.3 - exact)),
        (r"a1 is #\. .* QL = #\?", lambda a1, Ql: 1 / (a1 - 1 / Ql)),
        (r"tuned to #; Vap is # the volume", lambda fb, delta: fb / np.sqrt(1 + delta)),
        (r"plays down to #\. .* play down to #\.", lambda high, low: 30 * np.log10(high / low)),
    ),
    "bass_meets_panels": (
        (r"bass box is # from the ear, the panels are # from it\. .* at # in", lambda far, near, c: (far - near) / c),
        (r"arrives # late\. .* at #\?", lambda late, f: late * f * 360),
        (r"play # each, # apart", lambda level, angle: level + db(2 * np.cos(np.radians(angle / 2)))),
        (r"at the corner of #\?", lambda corner: 1 / (2 * corner)),
    ),
    "cabin_gain": (
        (r"travels at #\. .* is # long", lambda c, length: c / (2 * length)),
        (r"holds # of air, .* at #\. Below", lambda V, c: c / (2 * np.pi) * np.sqrt(2 * np.pi / (1.5 * V))),
        (r"adds below #\. .* add at #\?", lambda corner, f: 10 * np.log10(1 + (corner / f) ** 4)),
        (r"is # long\. .* is it at # than", lambda length, x: -db(np.cos(np.pi * x / length))),
        (r"cabin of # has a reverberation time of #\.", lambda V, T: 2000 * np.sqrt(T / V)),
    ),
    "closed_box": (
        (r"Qts = # and Vas = #\. .* box of #\?", lambda Qts, Vas, volume: Qts * np.sqrt(1 + Vas / volume)),
        (
            r"fs = # and Vas = #\. .* box of # filling .* seem # as large",
            lambda fs, Vas, volume, more: fs * np.sqrt(1 + Vas / (more * volume)),
        ),
        (r"peaks at # in free air, and at # on .* box of #\.", lambda fs, fc, volume: volume * ((fc / fs) ** 2 - 1)),
        (r"Qts = # and Vas = #\. .* Qtc = #\?", lambda Qts, Vas, Qtc: Vas / ((Qtc / Qts) ** 2 - 1)),
    ),
    "crossing_over": (
        (r"Butterworth, #, have .* play # each", lambda slope, level: level + db(abs(1 + 1j ** (slope / 6)))),
        (r"for # into a resistance of #\?", lambda corner, load: 1 / (4 * np.pi * corner * load)),
        (r"woofer of # has Re = # and a coil of #\.", lambda _, Re, Le: Le / Re**2),
        (r"is # further .* at # in", lambda further, c: c / (2 * further)),
    ),
    "data_sheet": (
        (r"Qes = # and Qms = #\.", lambda Qes, Qms: Qes * Qms / (Qes + Qms)),
        (r"gives way by #, its cone has #\. .* is #\.\)", lambda Cms, Sd, stiffness: stiffness * Sd**2 * Cms),
        (r"prints # at 1 m .* impedance of #\.", lambda level, load: level - 10 * np.log10(2.83**2 / load)),
        (
            r", of #, plays # for .* coil space for #\.",
            lambda before, level, after: level + 10 * np.log10(before / after),
        ),
    ),
    "decibels": (
        (r"one of # the power", lambda times: 10 * np.log10(times)),
        (r"plays # louder", lambda more: 10 ** (more / 20)),
        (r"tone of # has a level of #\.", lambda frequency, level: level + a_weighted(frequency)),
        (
            r"reads # of a tone of #\. .* itself at #\.",
            lambda reading, frequency, wanted: reading - a_weighted(frequency) - wanted,
        ),
    ),
    "how_loud": (
        (r"gives # into #\.", lambda power, load: np.sqrt(power * load)),
        (r"reaches # at #\. .* at #\?", lambda level, high, low: level - db((high / low) ** 2)),
        (
            r"# at #, at 1 m",
            lambda level, f: 2 * np.pi * np.sqrt(2) * 20e-6 * 10 ** (level / 20) / (1.2 * (2 * np.pi * f) ** 2),
        ),
        (
            r"At # r\.m\.s\. a cone moves #; # is its .* into #",
            lambda volts, moved, xmax, load: volts**2 / load * (xmax / moved) ** 2,
        ),
    ),
    "loud_tweeter": (
        (r"tweeter of # is printed with # at", lambda load, level: level - 10 * np.log10(2.83**2 / load)),
        (
            r"woofer is printed with # for .* tweeter of # with # for 1 W",
            lambda woofer, load, tweeter: tweeter + db(2.83 / np.sqrt(load)) - woofer,
        ),
        (r"resistance of # is 3 dB down at #\?", lambda load, corner: 1 / (2 * np.pi * corner * load)),
        (r"tweeter of # is # too loud", lambda load, much: load * 10 ** (-much / 20) / (1 - 10 ** (-much / 20))),
    ),
    "shared_channel": (
        (r"coils of # and # share", lambda one, other: one * other / (one + other)),
        (r"woofer of # and one of # are .* channel of #\.", lambda one, other, volts: volts / (1 + other / one)),
        (
            r"capacitor of # is .* woofer as #, .* at #\?",
            lambda C, load, f: db(abs(1 + 1 / (2j * np.pi * f * C * load))),
        ),
        (
            r"coil has # is .* resistor of # across .* gives # into #\.",
            lambda coil, R, power, load: power * load / (coil + R) ** 2 * R,
        ),
    ),
    "sealed_or_vented": (
        (r"fs = # and Vas = #\. .* box of #\?", lambda fs, Vas, volume: fs * np.sqrt(1 + Vas / volume)),
        (r"alike at #\. .* at #\?", lambda high, low: 12 * np.log2(high / low)),
        (r"box of # to #\. .* box of #\?", lambda volume, fb, other: fb * np.sqrt(volume / other)),
        (
            r"port, # wide, that tunes # to #\? .* travels at #\. .* by # at the flush end, and by # at",
            lambda d, volume, fb, c, flush, free: (
                (c / (2 * np.pi * fb)) ** 2 * np.pi * d**2 / 4 / volume - (flush + free) * d / 2
            ),
        ),
    ),
    "set_the_levels": (
        (r"reads # at the front .* for # less\?", lambda front, less: front * 10 ** (-less / 20)),
        (r"wires carry # .* knob stands at #:", lambda wires, knob: db(wires / knob)),
        (r"gives # into # before .* reads #\.", lambda power, load, reads: db((power * load) ** 0.5 / reads)),
        (r"pick up # of hum\. .* tone is # there\. .* takes # more", lambda hum, tone, more: db(tone / hum) - more),
        (r"resistance of #\. .* feeds # inputs of # each", lambda own, count, each: db(1 + own * count / each)),
    ),
    "sealed_door": (
        # the hole by Rayleigh 1896, the doublet by Beranek 1954, the crack by Landau & Lifshitz 1959
        (
            r"holds # of air and has a round hole, # across, .* travels at #\. .* seem # times",
            lambda V, d, c, ends: c / (2 * np.pi) * np.sqrt(np.pi * d / (2 * V * ends)),
        ),
        (
            r"lies # further .* travels at #\. How much softer is #",
            lambda path, c, f: -db(2 * np.sin(np.pi * f * path / c)),
        ),
        (r"hole of # a soft .* at #\. .* hole of # instead", lambda large, slow, small: slow * large / small),
        (r"crack is # thick and # long\. .* crack of # by #,", lambda h, w, h2, w2: (h2 / h) ** 3 * w2 / w),
        (r"side of a door is # inside\. .* travels at #\.", lambda side, c: c / (6 * side)),
    ),
    "small_woofers": (
        (r"cone of # has # of linear travel", lambda area, travel: area * travel),
        (r"moves # at #\. .* to play # just as loud", lambda travel, high, low: travel * (high / low) ** 2),
        (
            r"cone of # has # of linear travel, .* a steady # in",
            lambda area, travel, f: db(1.2 * (2 * np.pi * f) ** 2 * travel * area / (2 * np.pi * 2**0.5) / 20e-6),
        ),
        (r"woofer of # has # of .* replaces it has #\.", lambda area, travel, small: travel * area / small),
    ),
    "thin_wire": (
        (r"gives # of sine\. Its efficiency there is #, .* has #\.", lambda power, share, volts: power / share / volts),
        (r"wire of # is # long, .* carries #\.", lambda each, length, current: each * length * current),
        (r"battery has #, and # are lost", lambda volts, lost: db(volts / (volts - lost))),
        (r"tone draws #\. A meter reads # from", lambda current, volts: volts / current),
        (r"draws # with a steady sine\. A fuse carries # of", lambda current, share: current / share),
    ),
    "free_steps": (
        (r"is # as found, then #, # and #\.", lambda found, one, two, three: (one + two + three) / 3),
        (
            r"clean bass is # then\. .* makes it #, .* alone #, both #\. By",
            lambda found, one, before, both: abs((both - before) - (one - found)),
        ),
        (r"At # from the source the bass is #\. .* gives at #\.", lambda volts, level, most: level + db(most / volts)),
        (
            r"clean bass is # then\. .* makes it #, .* alone #, both #\. What",
            lambda found, one, before, both: (one - found) / 2 + (both - before) / 2,
        ),
    ),
    "wedge": (
        (
            r"# deep at the floor, # at the top and # high, all .* # wide\.",
            lambda d, top, h, w: (d + top) / 2 * h * w,
        ),
        (r"# deep at the floor, # at the top and # high and # wide, .* boards are #", between_boards),
        (
            r"box has # × # × # inside\. .* up #, .* hole is # in a board of #\. A tube, # over its wall, reaches #",
            lambda w, h, d, driver, hole, t, tube, long: (
                w * h * d - driver + np.pi / 4 * (hole**2 * t - tube**2 * long)
            ),
        ),
        (
            r"# deep at the floor, # at the top and # high, outside\. .* boards are #\. .* up #\. .* outside for # of",
            lambda d, top, h, t, taken, net: (net + taken) / (between_boards(d, top, h, 1 + 2 * t, t)) + 2 * t,
        ),
        (
            r"takes # of space, and # of .* Qts = # and Vas = #\.",
            lambda space, share, Qts, Vas: Qts * np.sqrt(1 + Vas / (space * share)),
        ),
    ),
    "measure_a_driver": (
        (
            r"At # the meter reads # across the driver, and # across the resistor of #",
            lambda f, driver, resistor, line: line * driver / resistor,
        ),
        (
            r"in line for #\. With a known resistor of # .* works out #\.",
            lambda line, known, shown: line * known / shown,
        ),
        (
            r"A coil of # peaks with # at #\. At # and at # the",
            lambda Re, top, fs, low, high: fs * np.sqrt(top / Re) / (high - low),
        ),
        (r"peaks at #, with # of clay on its cone at #\.", lambda fs, mass, low: mass / ((fs / low) ** 2 - 1)),
        (r"peaks at #, on a sealed box of # at #\.", lambda fs, volume, high: volume * ((high / fs) ** 2 - 1)),
    ),
    "which_box": (
        (r"With # the cone moves #, and # is", lambda power, moved, xmax: power * (xmax / moved) ** 2),
        (r"port of # the air reaches #\. .* be for #\?", lambda area, speed, slow: area * speed / slow),
        (r"deviation of #, the force factor alone by #\.", lambda one, other: np.hypot(one, other)),
        (r"reaches # with a driver\. .* is # more efficient", lambda f3, more: f3 * 10 ** (more / 30)),
        (r"box of # reaches down to #\. You want #,", lambda volume, high, low: volume * (high / low) ** 3),
    ),
}


@functools.cache
def rows_of(lesson):
    return sheet_of(lesson).rows


EXERCISES = [(lesson, i) for lesson in LESSONS for i in range(len(rows_of(lesson)))]


@pytest.fixture(params=EXERCISES, ids=lambda param: f"{param[0]}-{param[1] + 1}", scope="module")
def exercise(request):
    lesson, i = request.param
    return rows_of(lesson)[i].exercise


@pytest.fixture(scope="module")
def draws(exercise):
    """All that may be drawn: the numbers as printed, in either system: (given, system)."""
    names = [name for name, number in exercise.numbers.items() if not isinstance(number, Follows)]
    every = itertools.product(*(exercise.numbers[name].choices for name in names))
    sizes = [getattr(exercise.numbers[name], "kind", None) for name in names]
    every = ([v if k is None else v * k.metric.size for v, k in zip(one, sizes, strict=True)] for one in every)
    drawn = [one for one in (dict(zip(names, values, strict=True)) for values in every) if exercise.fits(one)]
    return [(exercise.given(one, system), system) for one in drawn for system in SYSTEMS]


def read(pattern, question):
    """Read what a question prints. [SI]"""
    found = re.search(pattern.replace("#", QUANTITY), question)
    assert found, (pattern, question)
    pairs = zip(found.groups()[::2], found.groups()[1::2], strict=True)
    return [float(number) * UNITS.get(unit, 1.0) for number, unit in pairs]


def typed(exercise, value, figures, system=METRIC):
    """An answer as somebody types it, to some figures; levels to a tenth."""
    shown = exercise.kind.shown(system)
    number = shown.number(value)
    return f"{number:.1f} dB" if shown.unit == "dB" else f"{number:.{figures}g} {shown.unit}"


def said(exercise, given, text):
    right, words = exercise.mark(given, text)
    return f"{right}: {words}"


def test_the_textbook_is_right_by_what_is_printed(request, exercise, draws):
    lesson, i = request.node.callspec.params["exercise"]
    pattern, formula = TEXTBOOK[lesson][i]
    for given, system in draws:
        question = exercise.ask(given, system)
        value = formula(*read(pattern, question))
        answer = exercise.answer(given)
        allowed = exercise.tolerance * (1 if exercise.kind.metric.unit == "dB" else answer)
        assert value == pytest.approx(answer, abs=allowed / 2), question
        assert said(exercise, given, typed(exercise, value, 3, system)) == "True: Right.", question


def test_the_shown_answer_is_right(exercise, draws):
    for given, system in draws:
        shown = exercise.solution(given, system)
        assert said(exercise, given, shown) == "True: Right.", (exercise.ask(given, system), shown)
        number = float(shown.split(" ")[0])
        exact = exercise.kind.shown(system).number(exercise.answer(given))
        allowed = exercise.tolerance * (1 if exercise.kind.metric.unit == "dB" else exact)
        assert abs(number - exact) <= allowed / 3, "a little beside what is shown must be right too"


def test_the_worked_solution_ends_at_the_answer(exercise, draws):
    """By hand, from what the question prints: it need not be the library's way, and each line tells what it finds."""
    for given, system in draws:
        found = exercise.found(given)
        last = exercise.steps[-1]
        assert exercise.mark(given, exercise.text_of(found[last.name], system)) == (True, "Right.")
        answer = exercise.answer(given)
        allowed = exercise.tolerance * (1 if exercise.kind.metric.unit == "dB" else answer)
        assert found[last.name] == pytest.approx(answer, abs=allowed / 3)
        lines = exercise.worked(given, system)
        assert not any(re.search(r"[{}]|\bnan\b", line) for line in lines)
        assert in_figures(last.kind.shown(system), found[last.name]) in lines[-1]


def test_a_worked_solution_can_be_followed_with_a_calculator(exercise, draws):
    """The last line, as printed, is right too: figures carried along are enough."""
    for given, system in draws[::3]:
        line = exercise.worked(given, system)[-1].replace("−", "-")
        number, unit = re.findall(QUANTITY, line.partition(". (")[0].removesuffix("."))[-1]
        assert exercise.mark(given, f"{number} {unit or exercise.kind.shown(system).unit}".strip())[0] is True, line


def test_every_lesson_has_four():
    assert {lesson: len(rows_of(lesson)) for lesson in LESSONS if len(rows_of(lesson)) < 4} == {}


def test_every_symbol_is_explained_where_it_first_stands():
    """Symbols of the literature: a capital or small letter with what would be its index."""
    symbol = r"\b(?:f[sbc3]|Q(?:[tem][sc]|L|T)|V(?:as|ap|d)|Re|Le|Sd|Cms|a1|h|xmax|alpha|delta)\b"
    for lesson in LESSONS:
        known = set()
        for row in rows_of(lesson):
            words = re.sub(r"\{\w+\}", "#", row.exercise.question)
            known |= set(re.findall(r"<b>([^<]+)</b>", row.terms.value))
            assert set(re.findall(symbol, words)) <= known, words
            assert known >= set(terms_in(row.exercise.question))


def test_a_term_is_explained_once_in_half_a_line():
    assert all(len(words) <= 66 and not words.endswith(".") for words in TERMS.values())
    told = {term for lesson in LESSONS for row in rows_of(lesson) for term in terms_in(row.exercise.question)}
    assert set(TERMS) - told == set(), "explained, and in no question"
    for lesson in LESSONS:
        explained = [t for row in rows_of(lesson) for t in re.findall(r"<b>([^<]+)</b>", row.terms.value)]
        assert len(explained) == len(set(explained))


def test_a_difference_of_volumes_is_asked_for_in_their_unit():
    """Else a share in percent, as the tables of that lesson give it, is a fair answer."""
    exercise = rows_of("vented_alignments")[1].exercise
    given = exercise.given_to("Ada", 2, METRIC)
    assert "By how many litres does the power law" in exercise.ask(given, METRIC)
    assert "By how many cubic feet does the power law" in exercise.ask(given, SYSTEMS[1])


def test_a_mistake_is_named_and_never_right(exercise, draws):
    assert len(exercise.misconceptions) == 2
    for given, system in draws:
        assert exercise.answer(given) > 0
        for mistake in exercise.misconceptions:
            text = typed(exercise, mistake.wrong(given), 4, system)
            words = f"False: Not yet. It looks as if {mistake.name}. {mistake.hint}"
            assert said(exercise, given, text) == words, (exercise.ask(given, system), text)


def test_twice_half_inverse_and_another_unit_are_not_right(exercise, draws):
    unit, size = exercise.kind.metric.unit, exercise.kind.metric.size
    for given, _ in draws[::2]:
        answer = exercise.answer(given) / size
        for wrong in (2 * answer, answer / 2, 1 / answer):
            assert exercise.mark(given, f"{wrong:.6g} {unit}")[0] is False or wrong == pytest.approx(answer, rel=0.1)
    another = "m" if unit == "g" else "kg"
    assert exercise.mark(given, f"{answer:.6g} {another}")[0] is None


def test_the_right_size_with_a_minus_gets_a_hint(exercise, draws):
    given, system = draws[0]
    right, words = exercise.mark(given, "-" + exercise.solution(given, system))
    assert right is False
    assert "leave out the minus" in words


def test_no_hint_holds_the_answer(exercise, draws):
    hints = " ".join(mistake.hint for mistake in exercise.misconceptions)
    assert not any(exercise.solution(given, system) in hints for given, system in draws)


@pytest.mark.parametrize(
    "text",
    [
        *("", "  ", "= 55 Hz", "=", "55", "55,3", "55,3 Hz", "1,500", "ccm", "80 ccm", "1e999", "1e999 Hz", "-1e999"),
        *(
            "😀",
            "55 😀",
            "nan",
            "nan Hz",
            "inf",
            "-5.3 dB",
            "−5.3 dB",
            "9" * 5000,
            "9" * 400 + "/1 Hz",
            "55 " + "z" * 999,
        ),
        *(
            "5 10**10**10",
            "5 Hz^9^9^9",
            "5 (9)**(9)**(9) Hz",
            "<b>55</b>",
            "55 {fs}",
            "5\x00",
            "1/0",
            "0",
            "0 Hz",
            "-",
            "٥٥ Hz",
        ),
    ],
)
def test_nothing_typed_is_too_much(text):
    for lesson, i in EXERCISES:
        row = rows_of(lesson)[i]
        row.begin("Ada", METRIC)
        row.typed.value = text
        row.check.click()
        assert row.said.value, (lesson, i)
        row.begin("", METRIC)


def test_a_class_draws_at_least_twelve_questions(exercise, draws):
    """What is drawn is among all that may be, and sixty pupils get twelve questions and more."""
    may_be = {exercise.ask(given, METRIC) for given, system in draws if system == METRIC}
    asked = {exercise.ask(exercise.given(exercise.draw(generator(f"pupil {i}", 1)), METRIC), METRIC) for i in range(60)}
    assert asked <= may_be
    assert len(may_be) >= 12
    assert len(asked) >= 12
