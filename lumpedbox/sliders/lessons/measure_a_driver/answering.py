"""What the bench answers: a headline, the numbers beside the sheet's, the doubts in words, and the curves."""

from __future__ import annotations

import numpy as np

from ....measure.curves import FEWEST
from ....measure.doubts import SAME_RESISTOR
from ....measure.model import impedance_and_slopes
from ....parts.box import InfiniteBaffle
from ....parts.loudspeaker import Loudspeaker
from ....response import solve
from ...kit.answer import say
from ...kit.systems import COMPLIANCE, FORCE_FACTOR, FREQUENCY, MASS, QUALITY, RESISTANCE, VOLUME, same
from .bench import ENOUGH, TITLES
from .steps import AGAIN, BOX, FREE, RESISTOR
from .steps import MASS as LOADED

MECHANICAL = same("N s/m", decimals=2)
EXACT_HERTZ = same("Hz", decimals=1)
KINDS = {
    "fs": EXACT_HERTZ,
    "Qes": QUALITY,
    "Qms": QUALITY,
    "Qts": QUALITY,
    "Vas": VOLUME,
    "Mms": MASS,
    "Bl": FORCE_FACTOR,
    "Re": RESISTANCE,
    "Cms": COMPLIANCE,
    "Rms": MECHANICAL,
}
FACTS = ("fs", "Qes", "Qms", "Qts", "Vas", "Mms")
HEADS = ("number", "measured", "sure to", "its sheet", "off the sheet")
START = say("Wire it up. Type the ohms in step 1, then read two voltages, tone by tone.")
AGAIN_IN_LINE = "measure the resistor in line again"
STOPS = {
    "resistor": "Measure the resistor in line again: a resistor that you know reads wrong.",
    "run again": "The suspension changed on the way. Let the driver play, then measure all again.",
    "changed": "One curve does not go with the others. Read below what may have moved.",
    "misfit": "One curve is not that of a driver. Read below what to look for.",
    "two masses": "Mass and box disagree. Weigh the clay and count the litres again.",
    "ohmmeter": "The ohmmeter and the curves disagree. Take off the resistance of the leads.",
    "hum": "Hum spoils some readings. They are left out; keep mains wires away.",
    "few points": "Read more around the peak: too few readings lie on it.",
    "unsure": "These readings tell little yet. Take the ones that the page asks for.",
}
FAR = 0.10  # off the sheet: what is worth a headline: ours


def headline(bench):
    """Return what to do, or what came out."""
    found = bench.found
    if found is None:
        return _on_the_way(bench)
    kinds = [finding.kind for finding in found.findings]
    stop = next((STOPS[kind] for kind in STOPS if kind in kinds), None)
    if stop:
        return say(stop)
    told = {"fs": EXACT_HERTZ(found.values["fs"]), "Qts": QUALITY(found.values["Qts"])}
    if not found.solution.setup.loaded:
        return say("fs {fs}, Qts {Qts}. Now put a mass on the cone, for the rest.", **told)
    left = {AGAIN, RESISTOR, LOADED, BOX} - bench.curves.keys()
    if left:
        key = next(one for one in (AGAIN, RESISTOR, LOADED, BOX) if one in left)
        return say("fs {fs}, Qts {Qts}, Mms {Mms}. To be sure, measure: " + f"{TITLES[key]}.", Mms=_mass(found), **told)
    return say("Your driver: fs {fs}, Qts {Qts}, Mms {Mms}. All checks agree: keep it.", Mms=_mass(found), **told)


def of_the_resistor(bench):
    """Say what the known resistor reads, and whether that is its own."""
    known, read = bench.numbers["known"], float(np.median(bench.curves[RESISTOR].magnitude))
    off = read / known - 1
    if abs(off) < SAME_RESISTOR:
        return f"It reads {read:.2f} ohm, within 1 % of its own."
    return f"It reads {read:.2f} ohm, {100 * abs(off):.0f} % too {'high' if off > 0 else 'low'}: {AGAIN_IN_LINE}."


def _mass(found):
    return MASS(found.values["Mms"])


def _on_the_way(bench):
    if any(key in bench.wrong for key in TITLES):
        return say("Something in the readings cannot be used: it is named at its step.")
    if FREE not in bench.curves and not {"line", "Re"} <= bench.numbers.keys():
        return START
    if "Sd" in bench.wrong or "diameter" not in bench.numbers:
        return say("Type how wide the cone is, in step 1.")
    if not bench.curves.keys() & {FREE, RESISTOR}:
        return say(
            "Go on in step 2: measure a resistor that you know, at {at}.", at=FREQUENCY(bench.coming(RESISTOR)[0])
        )
    count = len(bench.curves[FREE].frequency) if FREE in bench.curves else 0
    at = FREQUENCY(bench.coming(FREE)[0])
    return say("Go on in free air: next {at}. " + f"{count} of {FEWEST} readings that a fit needs at least.", at=at)


def facts(bench, sheet, system):
    """Return rows of at most six numbers: measured, how sure, on the sheet, and how far off that."""
    return (
        [] if bench.found is None else [_row(bench.found, name, sheet, system) for name in FACTS if _told(bench, name)]
    )


def further(bench, sheet, system):
    """Return the rows of the other numbers."""
    if bench.found is None:
        return []
    return [_row(bench.found, name, sheet, system) for name in KINDS if name not in FACTS and _told(bench, name)]


def _told(bench, name):
    return name in bench.found.values


def _row(found, name, sheet, system):
    value = found.values[name]
    low, high = found.interval(name)
    sure = 100 * (high / low - 1) / 2
    printed = None if sheet is None else float(getattr(sheet, name))
    cells = [name, KINDS[name](value).text(system), give_or_take(sure)]
    if printed is None:
        return [*cells, "", ""]
    off = 100 * (value / printed - 1)
    return [*cells, KINDS[name](printed).text(system), f"{off:+.0f} %".replace("-", "−")]


def give_or_take(sure):
    """Say how far a value may be off, to one digit below ten. [%]"""
    if sure == 0:
        return "as typed"
    return f"±{sure:.0f} %" if sure >= 9.5 else f"±{max(sure, 0.01):.1g} %"


def beside_the_sheet(bench, sheet):
    """Say where the measurement lies off the sheet by more than its own doubt and a usual spread."""
    if bench.found is None or sheet is None:
        return []
    off = {}
    for name in FACTS:
        if name in bench.found.values:
            low, high = bench.found.interval(name)
            ratio = bench.found.values[name] / float(getattr(sheet, name))
            if abs(ratio - 1) > FAR and not low <= float(getattr(sheet, name)) <= high:
                off[name] = ratio
    if not off:
        return ["It is what its sheet says: nothing is more than 10 % off."]
    words = ", ".join(f"{name} {100 * (ratio - 1):+.0f} %".replace("-", "−") for name, ratio in off.items())
    return [f"Off its sheet: {words}. Drivers of one type differ, and a new suspension softens with use."]


def doubts(bench):
    """Return what speaks against it, as sentences."""
    return [] if bench.found is None else list(bench.found.doubts)


def wins(bench, key, shrinks):
    """Say what the next reading would win."""
    if not shrinks:
        return ""
    name, share = min(shrinks.items(), key=lambda item: item[1])
    if share > ENOUGH:
        return "More readings here would win little."
    return f"It makes {name} surer by {100 * (1 - share):.0f} %."


def picture(bench, sheet):
    """Return the curves as data: points, those that were left out, and the fit."""
    curves, left_out = [], _left_out(bench)
    for key, measured in bench.curves.items():
        if key == RESISTOR:
            continue
        told = {"points": _points(measured), "left_out": left_out.get(key, []), "fit": _fit(bench, key)}
        curves.append({"name": TITLES[key], "key": key, **told})
    if sheet is not None and FREE in bench.curves:
        f = _grid(bench.curves[FREE].frequency)
        predicted = np.abs(solve(Loudspeaker(driver=sheet, box=InfiniteBaffle()), f).impedance)
        line = np.column_stack([f, predicted]).round(3).tolist()
        curves.append({"name": "its sheet", "key": "sheet", "points": [], "left_out": [], "fit": line})
    return curves


def _points(measured):
    return np.column_stack([measured.frequency, measured.magnitude]).round(3).tolist()


def _left_out(bench):
    """Return the readings of each curve that the fit left out, as points by key."""
    if bench.found is None:
        return {}
    solved = bench.found.solution
    return {key: np.array(_points(solved.setup.curves[key]))[mine].tolist() for key, mine in solved.left_out.items()}


def _grid(frequency):
    return np.geomspace(frequency.min() / 1.1, frequency.max() * 1.1, 240)


def _fit(bench, key):
    found = bench.found
    if found is None or key not in found.solution.setup.curves:
        return []
    setup, f = found.solution.setup, _grid(bench.curves[key].frequency)
    mass = np.full(len(f), setup.mass.get(key, 0.0))
    fitted, _ = impedance_and_slopes(found.solution.x, f, mass, setup.stiffness.get(key, 0.0))
    return np.column_stack([f, np.abs(fitted)]).round(3).tolist()


def seen(bench):
    """Say what the picture shows, for anyone who cannot see it."""
    shown = [f"{TITLES[key]}, {len(one.frequency)} readings" for key, one in bench.curves.items() if key != RESISTOR]
    if not shown:
        return "Impedance over frequency: no readings yet."
    peak = "" if bench.found is None else f" The peak in free air lies at {bench.found.values['fs']:.1f} Hz."
    count = sum(map(len, _left_out(bench).values()))
    left = "" if not count else f" Left out of the fit, in a ring: {count}."
    return f"Impedance over frequency: {'; '.join(shown)}.{peak}{left}"
