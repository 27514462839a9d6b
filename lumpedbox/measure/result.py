"""A measured driver: its numbers, how sure they are, and what speaks against them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ..air import Air
from ..arguments import Single, takes
from ..errors import Refused
from ..parts.driver import Driver
from ..parts.spread import USUAL, Spread
from ..quantity import OneOf, Quantity, implied, missing
from .fitting import AT, COIL_TERMS, Solution, eddy_constant
from .model import FITTED, KNEE

SHARE = Quantity(unit="", meaning="share of the cases in which the true value lies inside", low=0.5, high=0.9999)
OF_A_DRIVER = ("Re", "fs", "Qes", "Qms", "Qts")
WITH_MASS = ("Mms", "Cms", "Rms", "Bl", "Vas")
COIL = ("semi_inductance", "semi_exponent", "Le", "L2", "R2")
NUMBER = OneOf((*OF_A_DRIVER, *WITH_MASS, *COIL))
NEEDS_MASS = "the moving mass follows from a second curve: give added_mass or known_box"


class Finding(NamedTuple):
    """Something that speaks against a measurement.

    Attributes
    ----------
    kind : str
        "misfit", "changed", "run again", "two masses", "ohmmeter", "resistor", "hum", "left out", "few points" or
        "unsure".
    curve : str
        The argument that it is about.
    sentence : str
    """

    kind: str
    curve: str
    sentence: str


@dataclass(frozen=True, slots=True, eq=False)
class MeasuredDriver:
    """A driver from its measured impedance.

    Attributes
    ----------
    solution : Solution
        The fit.
    Sd : float
        [m2]
    air : Air
    name : str
    findings : tuple of Finding
        What speaks against it, as data; `doubts` has the words.
    unseen : tuple of str
        What these curves could not show, and which further one would.
    """

    solution: Solution
    Sd: float
    air: Air
    name: str
    findings: tuple
    unseen: tuple

    @property
    def doubts(self):
        """What speaks against the measurement, as a tuple of sentences."""
        return tuple(finding.sentence for finding in self.findings)

    @property
    def residual(self):
        r"""Root mean square of what the fit leaves over, as a share of the impedance. [1]

        .. math:: \sqrt{\overline{|\ln Z_{model} - \ln Z|^2}}
        """
        return float(np.sqrt(np.mean(np.square(self.solution.fitted.misses))))

    @property
    def noise(self):
        """Standard deviation of a reading, outliers left out, as a share of the impedance. [1]"""
        return self.solution.fitted.noise

    @property
    def values(self):
        """Each number that the curves tell, by the name that it has in `Driver`: a dict, in SI units."""
        return {name: _value(row) for name, row in self._rows().items()}

    @property
    def standard_deviations(self):
        """Standard deviation of each of `values`, by name: a dict, in SI units."""
        return {name: _value(row) * self._deviation(row) for name, row in self._rows().items()}

    @takes(name=NUMBER, share=Single(SHARE))
    def interval(self, name, share=0.95):
        r"""Return the two ends between which a number lies, if the model is right, in SI units.

        Parameters
        ----------
        name : str
            One of `values`.
        share : float
            In how many of such cases it lies there. [1]

        Notes
        -----
        .. math:: q\, e^{\pm t \sigma}

        with the quantile t of Student's distribution, since the noise follows from the same data.
        """
        from scipy.special import stdtrit

        rows = self._rows()
        if name not in rows:
            raise Refused("MeasuredDriver.interval", "name", f"{name} is not known", f": {NEEDS_MASS}")
        value, deviation = _value(rows[name]), self._deviation(rows[name])
        reach = float(stdtrit(self.solution.fitted.freedom, 0.5 + share / 2)) * deviation
        return (value * np.exp(-reach), value * np.exp(reach))

    @property
    def driver(self):
        """The driver, with the spread that was measured in place of the usual one."""
        values = self.values
        if "Mms" not in values:
            raise missing("driver_from_impedance.added_mass", "the mass added to the cone", NEEDS_MASS)
        made_of = {name: implied(Driver, name, values[name], "the fit") for name in ("Re", "Bl", "Mms", "Cms", "Rms")}
        coil = {name: values[name] for name in COIL if name in values}
        return Driver(**made_of, **coil, Sd=self.Sd, spread=self._spread(), name=self.name)

    def _spread(self):
        rows = self._rows()
        measured = {name: min(self._deviation(rows[name]), 1.0) for name in ("Re", "Bl", "Mms", "Cms", "Rms")}
        return Spread(**measured, Sd=USUAL.Sd, xmax=USUAL.xmax)

    def _rows(self):
        r"""Return, for each number, its logarithm and the slopes of that by `FITTED`.

        .. math:: M_{ms} = M, \quad C_{ms} = \frac{1}{\omega_s^2 M}, \quad R_{ms} = \frac{\omega_s M}{Q_{ms}}, \quad
                  Bl = \sqrt{\frac{\omega_s M R_e}{Q_{es}}}, \quad V_{as} = \rho c^2 S_d^2 C_{ms}
        """
        unit = dict(zip(FITTED, np.eye(len(FITTED)), strict=True))
        known = dict.fromkeys(("Re", "fs", "Qes", "Qms"))
        rows = {name: (self.solution.x[AT[name]], unit[name]) for name in known}
        electrical = self.solution.value("Qms") / (self.solution.value("Qes") + self.solution.value("Qms"))
        rows["Qts"] = (
            rows["Qes"][0] + np.log(electrical),
            electrical * unit["Qes"] + (1 - electrical) * unit["Qms"],
        )
        rows |= self._coil_rows(unit)
        return rows | (self._mass_rows(unit) if self.solution.setup.loaded else {})

    def _coil_rows(self, unit):
        if self.solution.terms != "eddy":
            return {name: (self.solution.x[AT[name]], unit[name]) for name in COIL_TERMS[self.solution.terms]}
        reactance, exponent = (
            self.solution.value("reactance"),
            float(np.clip(self.solution.x[AT["exponent"]], 1e-6, 1.0)),
        )
        constant = eddy_constant(reactance, exponent)
        slope = unit["reactance"] - np.log(KNEE) * unit["exponent"]
        return {
            "semi_inductance": (np.log(constant), slope),
            "semi_exponent": (np.log(exponent), unit["exponent"] / exponent),
        }

    def _mass_rows(self, unit):
        x = dict(zip(FITTED, self.solution.x, strict=True))
        turns = np.log(2 * np.pi)
        resonance = (x["fs"] + turns, unit["fs"])
        mass = (x["Mms"], unit["Mms"])
        compliance = tuple(-2 * w - m for w, m in zip(resonance, mass, strict=True))
        loss = tuple(w + m - q for w, m, q in zip(resonance, mass, (x["Qms"], unit["Qms"]), strict=True))
        coil, motor = (x["Re"], unit["Re"]), (x["Qes"], unit["Qes"])
        force = tuple((w + m + r - q) / 2 for w, m, r, q in zip(resonance, mass, coil, motor, strict=True))
        volume = (compliance[0] + np.log(self.air.stiffness * self.Sd**2), compliance[1])
        return {"Mms": mass, "Cms": compliance, "Rms": loss, "Bl": force, "Vas": volume}

    def _deviation(self, row):
        return self.solution.deviation_along(row[1])


def _value(row):
    return float(np.exp(row[0]))
