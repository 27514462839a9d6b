"""Wire: its size, its resistance, and the current that it may carry."""

from __future__ import annotations

import re

import numpy as np

from ...arguments import one, takes
from ...errors import Refused, RefusedType
from ...quantity import OneOf, Part, Text, part, ruled, shown
from ...units import mm2

CLAD_10, CLAD_15 = "copper-clad aluminium 10 %", "copper-clad aluminium 15 %"
# Resistivity at 20 degrees, ohm m. Copper: 1/58 ohm mm2/m, the international annealed copper standard (IEC 60028).
# Clad: 10 or 15 % copper by volume (ASTM B566, from memory).
RESISTIVITY = {"copper": 1e-6 / 58, CLAD_10: 0.0274e-6, CLAD_15: 0.0268e-6}
# Relative change a kelvin at 20 degrees: copper NBS Handbook 100; clad as aluminium, from memory.
COEFFICIENT = {"copper": 0.00393, CLAD_10: 0.00403, CLAD_15: 0.00403}
# Highest resistance of class 5 strands of plain copper at 20 degrees, ohm/km by mm2: IEC 60228, from memory.
CLASS_5 = {
    **{0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95, 6.0: 3.30, 10.0: 1.91, 16.0: 1.21},
    **{25.0: 0.780, 35.0: 0.554, 50.0: 0.386, 70.0: 0.272, 95.0: 0.206, 120.0: 0.161},
}
SAME_SIZE = 1e-6  # share by which an area may miss a row and still be that size
ROOM = 293.15  # K
CARRIED_AWAY = 15.0  # W/m2/K, from a wire to still air by air and radiation: generous, ours
HOTTEST_RISE = 180.0  # K above the air: no insulation of common wire takes more (ours)
USUAL_HOTTEST = 378.15  # K: insulation for 105 degrees (common practice, no source)
USUAL_RISE = 65.0  # K: the same in a vehicle at 40 degrees
WITH_INSULATION = 1.6  # diameter over the root of the copper's area; 1.13 would be bare and solid (ours)

# What the source of a rating says: whose it is, and what does not hold for clad wire (from memory).
OF_CLAD = re.compile(r"copper[- ]clad|clad|alumin\w*|\bCCA\b", re.IGNORECASE)
OWN_SHEET = re.compile(r"sheet|maker|manufacturer|supplier|print|reel|label|measure|example|invented", re.IGNORECASE)
TABLE = re.compile(r"\b(tables?|charts?)\b", re.IGNORECASE)
OF_COPPER = re.compile(r"copper|\bCu\b|60228|19642|J1128|class 5|\b(not|guess)\b", re.IGNORECASE)


@part
class Cable(Part):
    """A cable from one place to another: one conductor, one way.

    Parameters
    ----------
    area : float
        Of the conductor; `awg(4)` gives that of a gauge number. [m2]
    length : float
        One way. [m]
    metal : {"copper", "copper-clad aluminium 10 %", "copper-clad aluminium 15 %"}
        With the share of copper by volume.
    current_rating : float, optional
        Continuous current that its maker allows as it is laid here; if None, it is not known. [A]
    source : str
        Who says so: a data sheet or a standard. Clad wire needs one of its own.
    temperature : float
        Of the conductor. [K]

    Examples
    --------
    >>> from lumpedbox.units import mm2
    >>> cable = Cable(area=25 * mm2, length=5)
    >>> print(f"{cable.resistance * 1e3:.2f} milliohm")
    3.90 milliohm
    """

    area: float = ruled(one("m2", "area of the conductor; that of gauge 4 is awg(4)", 0.05e-6, 500e-6, slips=("mm2",)))
    length: float = ruled(one("m", "length one way", 0.01, 1e3, slips=("mm", "cm")))
    metal: str = ruled(OneOf(tuple(RESISTIVITY)), "copper")
    current_rating: float = ruled(
        one("A", "continuous current that the cable's maker allows", 0.1, 2e3, optional=True), None
    )
    source: str = ruled(Text(), "")
    temperature: float = ruled(one("K", "temperature of the conductor", 223.15, 423.15, slips=("zero_celsius",)), ROOM)

    @property
    def strands_per_metre(self):
        """Resistance of a metre by IEC 60228, class 5, at 20 degrees; None where the standard has no such size. [ohm]

        The vehicle's own kind of wire (ISO 19642) has a little less: this is the careful side.
        """
        rows = CLASS_5.items() if self.metal == "copper" else ()
        return next((row * 1e-3 for size, row in rows if abs(self.area / (size * mm2) - 1) < SAME_SIZE), None)

    @property
    def resistance(self):
        r"""Resistance of one way at `temperature`. [ohm]

        .. math:: R = r\,l\,(1 + \alpha (T - T_{20})), \quad r = \rho / A

        The strands of IEC 60228 come first; other sizes go by the metal's resistivity.
        """
        per_metre = self.strands_per_metre or RESISTIVITY[self.metal] / self.area
        return per_metre * self.length * (1 + COEFFICIENT[self.metal] * (self.temperature - ROOM))

    @property
    def clad(self):
        """Whether the metal is aluminium under a skin of copper. [1]"""
        return self.metal != "copper"

    @property
    def ceiling(self):
        r"""Current that no insulated wire of this size carries for long in air: more is a slip. [A]

        .. math:: I^2 \rho / A = h \pi k \sqrt{A}\,\Delta T

        with what air and radiation carry away from a wire 180 K above the air. It is no rating: a rating is the
        maker's.
        """
        through_the_surface = CARRIED_AWAY * np.pi * WITH_INSULATION * HOTTEST_RISE
        return float(np.sqrt(through_the_surface / RESISTIVITY[self.metal]) * self.area**0.75)

    @property
    def usual_ceiling(self):
        r"""Current that usual insulation carries at most in air at 40 degrees, by the same balance: no rating. [A]

        .. math:: I_{ceiling} \sqrt{65 / 180}
        """
        return self.ceiling * float(np.sqrt(USUAL_RISE / HOTTEST_RISE))

    @property
    def doubtful(self):
        """Whether the rating is more than `usual_ceiling`. [1]"""
        return self.current_rating is not None and self.current_rating > self.usual_ceiling

    @property
    def by_table(self):
        """Whether the rating comes from a table or a chart, and not from this cable's own maker. [1]"""
        return self.current_rating is not None and bool(TABLE.search(self.source))

    @property
    def rating_that_holds(self):
        """`current_rating` where a fuse may be chosen by it; None elsewhere. [A]"""
        try:
            return self.rating_for_a_fuse()
        except Refused:
            return None

    @takes(owner=Text())
    def rating_for_a_fuse(self, owner="Cable"):
        """Return `current_rating`, or refuse what no fuse can be chosen by. [A]

        Parameters
        ----------
        owner : str
            What the refusal begins with.

        Raises
        ------
        ValueError
            If there is none, if it is that of another metal, or if no wire of this size carries so much.
        """
        if self.current_rating is None:
            why = "is missing: a fuse protects the cable, so it is chosen by what the cable's maker allows"
            raise Refused(owner, "current_rating", why, ". Read it in the cable's data sheet")
        if self.clad and not _names_clad(self.source):
            why = f"of {self.current_rating:g} A says not whose it is, and clad wire carries less than copper"
            hint = ". Name the data sheet of this clad wire as the source; no copper table stands for it"
            raise Refused(owner, "source", why, hint)
        if self.current_rating > self.ceiling:
            why = f"of {self.current_rating:g} A is more than {self.area / mm2:.3g} mm2 can carry in air"
            raise Refused(owner, "current_rating", why, ". Read the data sheet again: area and current go together")
        return self.current_rating


def _names_clad(source):
    """Tell whether a rating's source names clad wire or the wire's own sheet, and nothing of copper."""
    rest = OF_CLAD.sub("", source)
    if OF_COPPER.search(rest):
        return False
    return rest != source or bool(OWN_SHEET.search(source) and not TABLE.search(source))


class _Gauge:
    """A gauge number: a whole one from 0 to 40, or "1/0" to "4/0"."""

    def accept(self, owner, name, value):
        """Return the number in the formula: 0 for 1/0, -1 for 2/0 and so on."""
        if isinstance(value, str) and value in ("1/0", "2/0", "3/0", "4/0"):
            return 1 - int(value[0])
        whole = isinstance(value, (int, np.integer)) and not isinstance(value, (bool, np.bool_))
        problem = f'must be a whole number from 0 to 40, or "1/0" to "4/0" (wire gauge), got {shown(value)}'
        if not whole:
            raise RefusedType(owner, name, problem)
        if not 0 <= value <= 40:
            raise Refused(owner, name, problem)
        return int(value)


@takes(number=_Gauge())
def awg(number):
    r"""Area of a wire by its American gauge number. [m2]

    .. math:: d = 0.127\,\mathrm{mm} \cdot 92^{(36 - n)/39}

    Parameters
    ----------
    number : int or str
        0 to 40, or "1/0" to "4/0". Wire sold by the vehicle trade's own numbers may be up to 12 % smaller (SAE J1128).

    References
    ----------
    ASTM B258 (from memory).

    Examples
    --------
    >>> print(f"{awg(4) * 1e6:.2f} mm2")
    21.15 mm2
    """
    return float(np.pi / 4 * (0.127e-3 * 92 ** ((36 - number) / 39)) ** 2)
