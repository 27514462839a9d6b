"""What a data sheet prints: each value with its rule, and how it is written."""

from __future__ import annotations

import dataclasses

from ...quantity import OneOf, Part, Quantity, Text, part, ruled
from ...units import cm2, gram, litre, mH, mm, mm_per_newton, uF
from ..small_signal import (
    ELECTRICAL_Q,
    EQUIVALENT_VOLUME,
    LENGTH_SLIPS,
    MECHANICAL_Q,
    OPTIONAL,
    RESONANCE,
    RULES,
    TOTAL_Q,
    level_of_a_watt,
)

OWNER = "Driver.from_data_sheet"
SENSITIVITY = Quantity(unit="dB", meaning="level at 1 m in half space", low=50.0, high=130.0)
DIAMETER = Quantity(unit="m", meaning="effective diameter of the cone", low=1e-3, high=1.2, slips=LENGTH_SLIPS)
BARE_MASS = Quantity(unit="kg", meaning="moving mass without its air load", low=1e-7, high=5.0, slips=("gram",))
SHOWN = {  # as data sheets print it
    "Vas": ("litres", litre),
    "Sd": ("cm²", cm2),
    "diameter": ("mm", mm),
    "Mms": ("g", gram),
    "Mmd": ("g", gram),
    "Cms": ("mm/N", mm_per_newton),
    "Le": ("mH", mH),
    "built_in_capacitance": ("µF", uF),
    "xmax": ("mm", mm),
    "depth": ("mm", mm),
    "cutout": ("mm", mm),
    "displacement": ("litres", litre),
}
IN_WORDS = {"sensitivity_2V83": "sensitivity at 2.83 V", "sensitivity_1W": "sensitivity at 1 W"}


@part
class PrintedSheet(Part):
    r"""What a data sheet prints about a driver; None where it is silent.

    Parameters
    ----------
    fs : float, optional
        Resonance frequency in free air. [Hz]
    Qts, Qes, Qms : float, optional
        Total, electrical and mechanical Q at that resonance. [1]
    Vas : float, optional
        Volume of air as compliant as the suspension. [m3]
    Sd, diameter : float, optional
        Effective area, effective diameter (mid-surround to mid-surround). [m2], [m]
    Re, Bl, Mms : float, optional
        As for `Driver`. [ohm], [N/A], [kg]
    Mmd : float, optional
        Moving mass without its air load, which in a large panel is :math:`\frac{16}{3}\rho a^3`. [kg]
    Cms, Rms : float, optional
        As for `Driver`. [m/N], [N s/m]
    sensitivity_2V83, sensitivity_1W : float, optional
        Level at 1 m in half space for 2.83 V, and for 1 W into the rated impedance (into Re without one). [dB]
    Le, L2, R2, built_in_capacitance : float, optional
        As for `Driver`. [H], [H], [ohm], [F]
    xmax : float, optional
        Linear travel, counted as `xmax_counted` says. [m]
    xmax_counted : {"one way", "peak to peak"}, optional
        Where the sheet does not say, it is taken as one way and asked about.
    rated_impedance : float, optional
        As for `Driver`. [ohm]
    power : float, optional
        Printed power, counted as `power_counted` says. [W]
    power_counted : {"r.m.s.", "maximum"}, optional
        Where the sheet does not say, it is taken as r.m.s. and asked about; a maximum is not used.
    depth, cutout, displacement : float, optional
        As for `Driver`. [m], [m], [m3]
    name : str
    """

    fs: float = ruled(RESONANCE, None)
    Qts: float = ruled(TOTAL_Q, None)
    Qes: float = ruled(ELECTRICAL_Q, None)
    Qms: float = ruled(MECHANICAL_Q, None)
    Vas: float = ruled(EQUIVALENT_VOLUME, None)
    Sd: float = ruled(RULES["Sd"], None)
    diameter: float = ruled(DIAMETER, None)
    Re: float = ruled(RULES["Re"], None)
    Bl: float = ruled(RULES["Bl"], None)
    Mms: float = ruled(RULES["Mms"], None)
    Mmd: float = ruled(BARE_MASS, None)
    Cms: float = ruled(RULES["Cms"], None)
    Rms: float = ruled(RULES["Rms"], None)
    sensitivity_2V83: float = ruled(SENSITIVITY, None)
    sensitivity_1W: float = ruled(SENSITIVITY, None)
    Le: float = ruled(RULES["Le"], None)
    L2: float = ruled(RULES["L2"], None)
    R2: float = ruled(RULES["R2"], None)
    built_in_capacitance: float = ruled(OPTIONAL["built_in_capacitance"], None)
    xmax: float = ruled(OPTIONAL["xmax"], None)
    xmax_counted: str = ruled(OneOf(words=("one way", "peak to peak")), None)
    rated_impedance: float = ruled(OPTIONAL["rated_impedance"], None)
    power: float = ruled(OPTIONAL["power"], None)
    power_counted: str = ruled(OneOf(words=("r.m.s.", "maximum")), None)
    depth: float = ruled(OPTIONAL["depth"], None)
    cutout: float = ruled(OPTIONAL["cutout"], None)
    displacement: float = ruled(OPTIONAL["displacement"], None)
    name: str = ruled(Text(), "")

    def __post_init__(self):
        for spec in dataclasses.fields(self):
            rule, value = spec.metadata["rule"], getattr(self, spec.name)
            if value is not None or spec.name == "name":
                value = getattr(rule, "single", rule.accept)(OWNER, spec.name, value)
            object.__setattr__(self, spec.name, value)

    @property
    def parameters(self):
        """Name: printed value, of what determines a driver."""
        return {name: value for name in PARAMETERS if (value := getattr(self, name)) is not None}

    @property
    def beside(self):
        """Name: printed value, of everything else."""
        return {name: value for name in BESIDE if (value := getattr(self, name)) is not None}

    def fields_of_a_driver(self):
        """Return what else it says, as fields of `Driver`: travel one way, continuous power."""
        told = {**self.beside, "name": self.name}
        if "xmax" in told and self.xmax_counted == "peak to peak":
            told["xmax"] /= 2
        if self.power_counted == "maximum":
            told.pop("power", None)
        return told

    def printed_at_2V83(self, believed, Re):
        r"""Return the printed sensitivity at 2.83 V, or None. [dB]

        .. math:: L_{2.83} = L_{1 W} - 20 \log_{10}(\sqrt{R} / 2.83)

        Parameters
        ----------
        believed : dict
            Name: printed value, or what the rest implies for one that contradicts it.
        Re : float
            Resistance in which one watt is taken as dissipated, without a rated impedance. [ohm]
        """
        if "sensitivity_2V83" in believed:
            return believed["sensitivity_2V83"]
        nominal = Re if self.rated_impedance is None else self.rated_impedance
        at_one_watt = believed.get("sensitivity_1W")
        return None if at_one_watt is None else at_one_watt - level_of_a_watt(nominal)


PRINTED = {spec.name: spec.metadata["rule"] for spec in dataclasses.fields(PrintedSheet)}
PARAMETERS = tuple(PRINTED)[: tuple(PRINTED).index("Le")]
BESIDE = tuple(name for name, rule in PRINTED.items() if isinstance(rule, Quantity) and name not in PARAMETERS)


def in_print(name, value):
    """Return a value as a data sheet prints it, with its unit."""
    unit, size = SHOWN.get(name) or (PRINTED[name].unit, 1.0)
    return f"{value / size:.4g} {unit}".rstrip()
