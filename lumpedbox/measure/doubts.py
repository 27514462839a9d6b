"""What speaks against a measurement, and what it could not have shown. The thresholds are ours."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..errors import Refused
from ..units import gram
from .fitting import LEAST_SHIFT, SMOOTH, WHO, of_one_curve, solution
from .result import Finding

MAINS, NEAR_MAINS = (50.0, 60.0), 0.06  # Hz, and how far beside it hum is felt
SAME_RESONANCE, SAME_MASS, SAME_RESISTANCE, SAME_RESISTOR = 0.01, 0.03, 0.02, 0.01
SURELY = 3.0  # standard deviations
UNSURE = 0.10
PEAK_POINTS = 4  # between the half heights of a peak
METER_RANGE = (45.0, 400.0)  # Hz, of a cheap multimeter: common practice, no source
RUN = 4  # neighbours left out together: no chance
IN_WORDS = {
    "free_air": "free air",
    "added_mass": "the added mass",
    "known_box": "the box",
    "free_air_again": "free air again",
}
LIKELY = {
    "free_air": "did the driver lie on something soft, was its rear blocked, or does its cone rub?",
    "added_mass": "was the mass loose, or did it touch something?",
    "known_box": "does the box leak, or do its walls give?",
    "free_air_again": "did the driver lie on something soft, or does its cone rub?",
}


def findings(setup, fitted, resistor):
    """Return what speaks against a fit, the gravest first."""
    _refuse_no_shift(setup, fitted)
    ohmmeter = _ohmmeter(setup)
    judged = dataclasses.replace(setup, Re=None) if ohmmeter else setup
    free = solution(judged) if ohmmeter else fitted
    between = [*_misfits(judged, free), *_run_again(judged), *_two_masses(judged)]
    between = between or _changed(free)
    strays = [finding for finding in _left_out(setup, fitted) if finding.kind == "hum" or not between]
    readings = [*ohmmeter, *strays, *_few_points(setup, fitted), *_unsure(fitted)]
    return tuple([*_resistor(resistor, fitted.fitted.noise), *between, *readings])


def _refuse_no_shift(setup, fitted):
    """Refuse a mass or a box that changes nothing, by its name."""
    for name in setup.loaded:
        before = fitted.value("fs")
        mass, stiffness = setup.mass.get(name, 0.0), setup.stiffness.get(name, 0.0)
        shift = mass / fitted.value("Mms") + stiffness / ((2 * np.pi * before) ** 2 * fitted.value("Mms"))
        if shift < LEAST_SHIFT:
            slip = "is it on the cone, and is its mass right?" if mass else "is it closed, and is its volume right?"
            wanted = "take more" if mass else "take a smaller box"
            moved = 100 * (np.sqrt(1 + shift) - 1)
            raise Refused(WHO, name, f"moves the peak by {moved:.1f} % only, too little to tell", f": {slip} {wanted}")


def _misfits(setup, fitted):
    """Return the curves that are no driver's, even each by itself; the worst first."""
    alone = {name: of_one_curve(setup, name).smoothness(0) for name in fitted.rough}
    worst = sorted((name for name in alone if alone[name] > SMOOTH), key=alone.get, reverse=True)
    said = "The curve of {} is not that of a driver: {}"
    return [Finding("misfit", name, said.format(IN_WORDS[name], LIKELY[name])) for name in worst]


def _changed(fitted):
    """Return the curves that do not go with the others, though each is a driver's."""
    said = (
        "The curve of {} does not go with the others: did the suspension warm up or soften between two runs, or was "
        "something moved?"
    )
    return [Finding("changed", name, said.format(IN_WORDS[name])) for name in fitted.rough]


def _left_out(setup, fitted):
    found = []
    for name, mine in fitted.left_out.items():
        if not mine.any():
            continue
        at = setup.curves[name].frequency[mine]
        hertz = f"{at[0]:.0f} Hz" if len(at) == 1 else f"{len(at)} readings from {at[0]:.0f} to {at[-1]:.0f} Hz"
        kind, likely = _likely_outliers(at, np.diff(np.flatnonzero(mine)))
        found.append(Finding(kind, name, f"Left out of {IN_WORDS[name]}: {hertz}, far off the rest.{likely}"))
    return found


def _likely_outliers(at, steps):
    off = min(np.mean(np.abs(at / mains - np.maximum(np.round(at / mains), 1)) > NEAR_MAINS) for mains in MAINS)
    if len(at) > 1 and off < 0.5:
        return "hum", " They lie at the mains frequency: hum."
    if np.sum(steps == 1) >= RUN - 1:
        return "left out", " Such a bump is a second resonance: did the driver lie on something soft?"
    return "left out", ""


def _run_again(setup):
    if "free_air_again" not in setup.curves:
        return []
    first, again = (of_one_curve(setup, name) for name in ("free_air", "free_air_again"))
    apart = np.log(again.value("fs") / first.value("fs"))
    if abs(apart) < max(SAME_RESONANCE, SURELY * np.hypot(first.deviation("fs"), again.deviation("fs"))):
        return []
    said = (
        f"In free air again fs is {again.value('fs'):.1f} Hz, not {first.value('fs'):.1f}: the suspension changed "
        "meanwhile. Let the driver play for some minutes, then measure all curves in one go."
    )
    return [Finding("run again", "free_air_again", said)]


def _two_masses(setup):
    if len({*setup.loaded}) < 2:
        return []
    others = [name for name in setup.curves if name not in setup.loaded]
    by_mass, by_box = (solution(setup.only([*others, name])) for name in ("added_mass", "known_box"))
    apart = np.log(by_mass.value("Mms") / by_box.value("Mms"))
    if abs(apart) < max(SAME_MASS, SURELY * np.hypot(by_mass.deviation("Mms"), by_box.deviation("Mms"))):
        return []
    masses = f"{by_mass.value('Mms') / gram:.3g} g by the added mass, but {by_box.value('Mms') / gram:.3g} g by the box"
    given = f"{setup.mass['added_mass'] / gram:.3g} g"
    said = (
        f"Mms is {masses}. Weigh the mass of {given} again, measure the box again, count the driver's own volume in "
        "it, and hold the frame fast."
    )
    return [Finding("two masses", "added_mass", said)]


def _ohmmeter(setup):
    if setup.Re is None:
        return []
    free = solution(dataclasses.replace(setup, Re=None))
    apart = np.log(free.value("Re") / setup.Re)
    if abs(apart) < max(SAME_RESISTANCE, SURELY * free.deviation("Re")):
        return []
    said = (
        f"The ohmmeter says {setup.Re:.3g} ohm, the curves {free.value('Re'):.3g}: take off the resistance of the "
        "leads, and check the resistor in line."
    )
    return [Finding("ohmmeter", "Re", said)]


def _resistor(resistor, noise):
    if resistor is None:
        return []
    known, measured = resistor
    ratio = measured.magnitude / known
    apart, doubt = np.median(ratio) - 1, 1.25 * max(np.std(ratio), noise) / np.sqrt(len(ratio))
    if abs(apart) < max(SAME_RESISTOR, SURELY * doubt):
        return []
    said = (
        f"The known resistor of {known:.3g} ohm reads {known * np.median(ratio):.3g}: every impedance is "
        f"{100 * abs(apart):.0f} % too {'high' if apart > 0 else 'low'}. Measure the resistor in line again."
    )
    return [Finding("resistor", "resistor", said)]


def _few_points(setup, fitted):
    measured = setup.curves["free_air"]
    total = fitted.value("Qes") * fitted.value("Qms") / (fitted.value("Qes") + fitted.value("Qms"))
    half = fitted.value("fs") / np.sqrt(fitted.value("Qms") * total) / 2
    inside = np.abs(measured.frequency - fitted.value("fs")) < half
    if inside.sum() >= PEAK_POINTS:
        return []
    low, high = fitted.value("fs") - half, fitted.value("fs") + half
    said = f"Only {inside.sum()} readings lie on the peak: take more between {low:.0f} and {high:.0f} Hz."
    return [Finding("few points", "free_air", said)]


def _unsure(fitted):
    wide = [name for name in ("fs", "Qes", "Qms", "Mms") if fitted.deviation(name) > UNSURE]
    if not wide:
        return []
    each = ", ".join(f"{name} to {100 * fitted.deviation(name):.0f} %" for name in wide)
    return [Finding("unsure", "free_air", f"These readings tell {each} only: take more, or quieter ones.")]


def unseen(setup, resistor):
    """Return what these curves could not show, and which further one would."""
    said = []
    if "free_air_again" not in setup.curves and setup.loaded:
        said.append("A suspension that warms up: measure free air again at the end. fs should be the same within 1 %.")
    if setup.loaded == ["added_mass"]:
        said.append(
            "A wrong mass, or a frame that moves: measure with the driver on a sealed box too. Mms should be the same "
            "within 3 %."
        )
    if setup.loaded == ["known_box"]:
        said.append("A wrong volume: measure with an added mass too. Mms should be the same within 3 %.")
    if resistor is None:
        said.append("A resistor 5 % off moves all by 5 %: measure one that you know in place of the driver first.")
    magnitude = next((one for one in setup.curves.values() if not np.iscomplexobj(one.impedance)), None)
    if magnitude is not None and setup.Re is None:
        said.append("Re from magnitudes alone is unsure: measure it with the ohmmeter, and take off the leads.")
    if (
        magnitude is not None
        and not METER_RANGE[0] <= magnitude.frequency[0] <= magnitude.frequency[-1] <= METER_RANGE[1]
    ):
        said.append(
            "A cheap meter is specified from about 45 to 400 Hz only: take both voltages with the same one, so that "
            "its error cancels."
        )
    return tuple(said)
