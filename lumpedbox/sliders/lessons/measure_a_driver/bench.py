"""What is typed on the bench, read; and the fit of it, curve by curve as far as they go."""

from __future__ import annotations

import re
import tempfile
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

import numpy as np

from ....errors import Refused, RefusedType
from ....measure import Measured, driver_from_impedance, next_in_search, next_reading, read_impedance
from ....measure.curves import FEWEST
from ....plan.checks import Reading, read
from ...kit.readings_file import with_commas
from .steps import AGAIN, BOX, COILS, FREE, MASS, RESISTOR

CURVES = (RESISTOR, FREE, MASS, BOX, AGAIN)
LOADS = {MASS: "mass", BOX: "volume", RESISTOR: "known"}
HEADING = "frequency [Hz], driver [V], resistor [V]"
TITLES = {
    RESISTOR: "known resistor",
    FREE: "free air",
    MASS: "mass on the cone",
    BOX: "sealed box",
    AGAIN: "free air again",
}
FIRST_OF_RESISTOR = (50.0, 100.0, 200.0)
ENOUGH = 0.98  # a reading that leaves each deviation above this share of it wins little: ours
OHMMETER = 0.005  # standard deviation of a cheap ohmmeter, beside its last digit: common practice, no source
LOWEST, HIGHEST = 15.0, 500.0  # Hz that are asked for: below and above, cheap meters and small amplifiers err
VOLTS = Reading(unit="V", low=1e-4, high=100.0)
LABELS = {"frequency": "Frequency", "driver": "Across the driver", "resistor": "Across the resistor"}
READ = {"frequency": Reading(unit="Hz", low=1.0, high=30e3), "driver": VOLTS, "resistor": VOLTS}
LOAD_FIRST = {
    MASS: "Type the mass on the cone.",
    BOX: "Type the net volume.",
    RESISTOR: "Type the ohms of the known resistor.",
}


@dataclass
class Bench:
    """What is read of all that is typed.

    Attributes
    ----------
    numbers : dict
        Key of a field: value. [SI]
    curves : dict
        Key: Measured.
    wrong : dict
        Key of a field or of a curve: what is wrong with it, for the person who typed it.
    found : MeasuredDriver or None
    ohmmeter : float
        Standard deviation of the ohms of the coil, as a share of them. [1]
    """

    numbers: dict = field(default_factory=dict)
    curves: dict = field(default_factory=dict)
    wrong: dict = field(default_factory=dict)
    found: object = None
    ohmmeter: float = 0.0

    def read(self, key, text):
        """Read the lines of a curve; what is wrong with them is kept by its name."""
        if len(text.strip().splitlines()) < 2 and text.strip() in ("", HEADING):
            return
        try:
            self.curves[key] = as_measured(TITLES[key], text, self.numbers.get("line"))
        except ValueError as error:
            self.wrong[key] = str(error)

    def fit(self):
        """Work out the driver from what there is; a curve that cannot be used is named, and left out."""
        given = self._given()
        while FREE in given and "Sd" in given:
            try:
                self.found = driver_from_impedance(**given)
                return
            except (Refused, RefusedType) as error:
                name = error.name.partition("[")[0]
                title = TITLES.get(name, "this")
                self.wrong[name] = f"{title[0].upper()}{title[1:]} {error.sentence}"
                if name not in given or name == FREE:
                    return
                del given[name]

    def _given(self):
        numbers, given = self.numbers, {"coil": COILS.get(self.numbers.get("coil"), "typical")}
        if "diameter" in numbers:
            given["Sd"] = float(np.pi * numbers["diameter"] ** 2 / 4)
        if "Re" in numbers:
            given |= {"Re": numbers["Re"], "Re_deviation": self.ohmmeter}
        for key, measured in self.curves.items():
            enough = len(measured.frequency) >= (1 if key == RESISTOR else FEWEST)
            if enough and (key not in LOADS or LOADS[key] in numbers):
                given[key] = (numbers[LOADS[key]], *measured) if key in LOADS else measured
        return given

    def coming(self, key):
        """Return the frequency to read next on a curve, and what it would win: {name: share of a deviation}. [Hz]"""
        measured = self.curves.get(key, Measured(np.empty(0), np.empty(0)))
        if key == RESISTOR:
            left = [one for one in FIRST_OF_RESISTOR if not np.any(np.isclose(measured.frequency, one, rtol=0.02))]
            return (left[0] if left else None), {}
        if self.found is not None and key in self.found.solution.setup.curves:
            wins = next_reading(self.found, key, LOWEST, HIGHEST)
            return wins.frequency, wins.shrinks
        return float(np.clip(next_in_search(measured.frequency, measured.magnitude), 5.0, 2000.0)), {}


def doubt_of_ohms(text, value):
    r"""Return the standard deviation of ohms as an ohmmeter shows them, as a share: by the last digit typed. [1]

    .. math:: \sigma = \sqrt{\sigma_{meter}^2 + \frac{d^2}{12 R^2}}
    """
    decimals = re.search(r"\d[.,](\d+)", text)
    last_digit = 10.0 ** -len(decimals[1]) if decimals else 1.0
    return float(np.hypot(OHMMETER, last_digit / np.sqrt(12) / value))


@lru_cache(maxsize=64)
def as_measured(title, text, line):
    """Return the lines of a curve as `Measured`; curves that did not change are not read again.

    Raises
    ------
    ValueError
        That names the row, the column and the likely slip.
    """
    if line is None and "driver" in text.strip().partition("\n")[0]:
        raise ValueError("Type the ohms of the resistor in line, in step 1.")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{title}.csv"
        path.write_text(with_commas(text), encoding="utf-8")
        return read_impedance(path, resistor=line or 1.0)


def with_a_reading(text, typed):
    """Return the lines of a curve with one more reading.

    Parameters
    ----------
    text : str
    typed : dict
        "frequency", "driver" and "resistor", as typed.

    Raises
    ------
    ValueError
        That names the field and what is wrong with it.
    """
    numbers = []
    for name, reading in READ.items():
        if not typed.get(name, "").strip():
            raise ValueError(f"{LABELS[name]}: nothing is typed yet.")
        try:
            numbers.append(f"{read(reading, typed.get(name, '')):.6g}")
        except ValueError as error:
            raise ValueError(f"{LABELS[name]}: {error}") from None
    lines = text.strip().splitlines() or [HEADING]
    if lines[0].strip() != HEADING:
        raise ValueError("These readings came from a file: type a line of the same kind below them, or take them out.")
    return "\n".join([*lines, ", ".join(numbers)])
