"""The tuned opening of a vented box."""

from __future__ import annotations

import dataclasses
from typing import NamedTuple

import numpy as np

from ..air import AIR, Air
from ..arguments import Single, takes
from ..quantity import OneOf, Part, Quantity, Whole, implied, part, quantity, ruled

NET_VOLUME = Quantity(
    unit="m3", meaning="net internal volume", low=1e-4, high=10.0, slips=("litre", "cubic_foot", "cm3")
)
ROUND_AREA = Quantity(unit="m2", meaning="area of a round port", low=1e-6, high=0.28, slips=("cm2", "mm2"))
PORT_AREA = Quantity(unit="m2", meaning="area of the port", low=1e-6, high=1.0, slips=("cm2", "mm2"))
SHARE = Quantity(unit="", meaning="largest room that the port may take up, over the net volume", low=1e-3, high=1e3)
CLEAR = 1.0  # of its diameter that a port leaves free behind it (common practice, no source)
BESIDE = 1 / 4  # of a net volume that a port may take up beside it, unsaid (ours)
NONE, LARGE, BENT, FITS = "none", "too large", "needs a bend", "fits"
TUNING = Quantity(unit="Hz", meaning="tuning of the box as built", low=1.0, high=1000.0)

FLANGED = 0.82167  # radii; exact plane-flange value (King 1936; Nomura et al. 1960; Norris & Sheng 1989, from memory)
FREE = 0.6127  # radii; Levine & Schwinger's integral (1948) evaluated; their printed 0.6133 is a quadrature error
# End correction of a pipe in a coaxial wall of finite size, over the plane-flange value and over (1 - ratio of
# radii), as a polynomial in that ratio: our least-squares fit to a mode-matching solution that the tests carry.
WALL = (1.0, -0.3391, -0.5017, 0.9098, -2.7566, 3.3256, -1.6045)


def end_correction(end, radius, wall):
    r"""Length that the air beyond one end adds to a port. [m]

    Parameters
    ----------
    end : {"flush", "free"}
        Flush with a flat wall, or standing free of it.
    radius : float or array
        Radius of the opening, or of a disc of its area. [m]
    wall : float or array
        Area of the wall around a flush end; `inf` for a large one. [m2]

    Returns
    -------
    float or array

    Notes
    -----
    0.8217 radii in a wide wall, 0.6127 radii free. A wall of equivalent radius b only a little larger than the
    opening's a lessens it; the factor depends on a / b alone. Valid for radius much below a wavelength.

    References
    ----------
    H. Levine, J. Schwinger, Phys. Rev. 73 (1948) 383-406; U. Ingard, JASA 25 (1953) 1037-1061 (from memory).
    """
    if end == "free":
        return FREE * radius
    ratio = radius * np.sqrt(np.pi / wall)
    return FLANGED * radius * (1 - ratio) * sum(c * np.power(ratio, n) for n, c in enumerate(WALL))


# Of a round port of area 1, free inside and flush outside, as a `Port` is without more said.
ENDS = (end_correction("free", 1.0, np.inf) + end_correction("flush", 1.0, np.inf)) / np.sqrt(np.pi)
DIAMETER = 2 / np.sqrt(np.pi)


def length_over_area(fb, volume, air=Air()):
    r"""Length with both end corrections, over the area, of every port that tunes a box. [1/m]

    .. math:: \frac{L'}{S} = \left(\frac{c}{2\pi f_b}\right)^2 / V

    Parameters
    ----------
    fb : float or array
        Tuning. [Hz]
    volume : float or array
        Net volume of the box. [m3]
    air : Air
    """
    return np.square(air.sound_speed / (2 * np.pi * fb)) / volume


def round_port_length(area, ratio):
    r"""Length of a round port, free inside and flush outside; negative where even a bare hole tunes lower. [m]

    .. math:: L = S\,(L'/S) - \Delta\sqrt{S}

    with the end corrections :math:`\Delta = (0.6127 + 0.8217) / \sqrt\pi` over the root of the area.

    Parameters
    ----------
    area : float or array
        [m2]
    ratio : float or array
        Of `length_over_area`. [1/m]
    """
    return ratio * area - ENDS * np.sqrt(area)


def bare_hole_area(ratio):
    r"""Area of a round hole without length: the smallest port of a `ratio` of length over area. [m2]

    .. math:: S = \left(\frac{\Delta}{L'/S}\right)^2
    """
    return np.square(ENDS / ratio)


def round_port_area(length, ratio, clear=0.0):
    r"""Area of a round port, from its length and the diameters left clear behind it together. [m2]

    The positive root :math:`\sqrt S` of

    .. math:: (L'/S)\,S - (\Delta - 2n/\sqrt\pi)\sqrt S = L

    Parameters
    ----------
    length : float or array
        What port and clearance take up together. [m]
    ratio : float or array
        Of `length_over_area`. [1/m]
    clear : float
        Diameters. [1]
    """
    edge = ENDS - clear * DIAMETER
    return np.square((edge + np.sqrt(edge**2 + 4 * ratio * length)) / (2 * ratio))


def room_of_port(area, ratio):
    r"""Room that a round port takes up in a box, with a wall of no thickness. [m3]

    .. math:: V_p = S \max(L, 0)

    Parameters
    ----------
    area : float or array
        [m2]
    ratio : float or array
        Of `length_over_area`. [1/m]
    """
    return area * np.maximum(round_port_length(area, ratio), 0.0)


def cube_side(volume):
    r"""Side of a cube of a volume. [m]

    .. math:: a = \sqrt[3]{V}

    Parameters
    ----------
    volume : float or array
        [m3]
    """
    return np.cbrt(volume)


class PortFit(NamedTuple):
    """How a round port fits a box.

    Attributes
    ----------
    length : float
        Negative where even a bare hole tunes the box lower. [m]
    taken : float
        Room that it takes up, on top of the net volume. [m3]
    verdict : {"none", "too large", "needs a bend", "fits"}
        "none" if no port of that area tunes the box so high.
    """

    length: float
    taken: float
    verdict: str


@takes(area=Single(PORT_AREA), fb=Single(TUNING), volume=Single(NET_VOLUME), share=Single(SHARE), air=Single(AIR))
def port_fit(area, fb, volume, *, share=BESIDE, air=Air()):
    r"""Return how long a round port must be, the room that it takes up, and whether the box has that room.

    Parameters
    ----------
    area : float
        [m2]
    fb : float
        Wanted tuning. [Hz]
    volume : float
        Net volume of the box. [m3]
    share : float
        The most that it may take up, over the volume. A quarter by default: a net volume alone does not show how
        much larger the port makes the box. Whoever works out that room, as the search does, needs no such share.
        [1]
    air : Air

    Returns
    -------
    PortFit

    Notes
    -----
    A straight port fits a cube of that volume if :math:`n` of its diameters stay clear behind it:

    .. math:: L + n d \le \sqrt[3]{V}, \quad V_p = S L \le q V

    with n = 1 (common practice, no source) and the share q.

    Examples
    --------
    >>> fit = port_fit(100e-4, 30, 0.020)
    >>> print(f"{1e3 * fit.length:.0f} mm, {1e3 * fit.taken:.1f} litres: {fit.verdict}")
    1584 mm, 15.8 litres: too large
    """
    ratio = length_over_area(fb, volume, air)
    length, taken = float(round_port_length(area, ratio)), float(room_of_port(area, ratio))
    straight = area <= round_port_area(cube_side(volume), ratio, CLEAR)
    verdict = NONE if length < 0 else LARGE if taken > share * volume else FITS if straight else BENT
    return PortFit(length, taken, verdict)


@part
class Port(Part):
    r"""One or several equal openings, round or slot-shaped.

    Parameters
    ----------
    length : float or array
        Length of the tube itself, or thickness of the panel for a bare hole. [m]
    diameter : float or array, optional
        Inner diameter of a round port. [m]
    width, height : float or array, optional
        Inner width and height of a slot. [m]
    count : int
        Number of equal ports side by side.
    inner_end, outer_end : {"flush", "free"}
        Whether that end is flush with a wall or stands free.
    inner_wall, outer_wall : float or array
        Area of the wall around a flush end, for one port; the default is a wide wall. [m2]

    Notes
    -----
    .. math:: M_{ap} = \rho L' / S, \quad L' = L + \Delta_{in} + \Delta_{out}

    with the end corrections of `end_correction`. A slot is taken as a round port of equal area, and ports side
    by side as independent. Valid while the port is short compared with the wavelength: see `first_pipe_resonance`.

    References
    ----------
    H. Levine, J. Schwinger, Phys. Rev. 73 (1948) 383-406; U. Ingard, JASA 25 (1953) 1037-1061, for the ends; R. H.
    Small, "Vented-box loudspeaker systems", Part I, JAES 21(5) (1973) 363-372, for the tuning (from memory).

    Examples
    --------
    >>> from lumpedbox.units import litre, mm
    >>> port = Port(diameter=100 * mm, length=200 * mm)
    >>> print(f"{port.tuning(50 * litre):.1f} Hz, {1e3 * port.tuned(35, 50 * litre).length:.0f} mm for 35 Hz")
    41.6 Hz, 313 mm for 35 Hz
    """

    length: float = quantity("m", "length of the port itself", 0.0, 3.0, slips=("mm", "cm", "inch"))
    diameter: float = quantity("m", "inner diameter", 1e-3, 0.6, default=None, slips=("mm", "cm", "inch"))
    width: float = quantity("m", "inner width of a slot", 1e-3, 2.0, default=None, slips=("mm", "cm", "inch"))
    height: float = quantity("m", "inner height of a slot", 1e-3, 2.0, default=None, slips=("mm", "cm", "inch"))
    count: int = ruled(Whole("number of equal ports", tuple(range(1, 33))), 1)
    inner_end: str = ruled(OneOf(("free", "flush")), "free")
    outer_end: str = ruled(OneOf(("flush", "free")), "flush")
    inner_wall: float = quantity("m2", "area of the wall around the inner end", 1e-6, np.inf, default=np.inf)
    outer_wall: float = quantity("m2", "area of the wall around the outer end", 1e-6, np.inf, default=np.inf)

    def _check_together(self):
        slot = (self.width is not None, self.height is not None)
        if (self.diameter is not None) == any(slot) or any(slot) != all(slot):
            raise ValueError(
                "Port needs either a diameter (round) or both width and height (slot), got "
                f"diameter={self.diameter}, width={self.width}, height={self.height}"
            )
        for end in ("inner_wall", "outer_wall"):
            wall = getattr(self, end)
            if np.any(wall <= self._single_area):
                raise ValueError(
                    f"Port.{end} must be larger than the opening of {np.max(self._single_area):.4g} m2, "
                    f"got {np.min(wall):.4g} m2"
                )

    @classmethod
    @takes(area=ROUND_AREA)
    def of_area(cls, area):
        r"""Return a round hole of an area, without length; `tuned` gives it one.

        .. math:: d = 2\sqrt{S / \pi}

        Parameters
        ----------
        area : float or array
            [m2]

        Returns
        -------
        Port
        """
        return cls(length=0.0, diameter=2 * np.sqrt(area / np.pi))

    @property
    def _single_area(self):
        return self.width * self.height if self.diameter is None else np.pi * np.square(self.diameter) / 4

    @property
    def area(self):
        r"""Area of all openings together. [m2]

        .. math:: S = n \pi d^2 / 4 \quad\text{or}\quad n\,w\,h
        """
        return self.count * self._single_area

    @property
    def displacement(self):
        """Volume that it takes up in a box, without its own wall. [m3]"""
        return self.area * self.length

    @property
    def effective_length(self):
        r"""Length with both end corrections. [m]

        .. math:: L' = L + \Delta_{in} + \Delta_{out}
        """
        return self.length + self._end_corrections

    @property
    def _end_corrections(self):
        radius = np.sqrt(self._single_area / np.pi)
        inner = end_correction(self.inner_end, radius, self.inner_wall)
        return inner + end_correction(self.outer_end, radius, self.outer_wall)

    @takes(air=AIR)
    def mass(self, air=Air()):
        r"""Acoustic mass of the air that moves. [kg/m4]

        .. math:: M_{ap} = \rho L' / S
        """
        return air.density * self.effective_length / self.area

    @takes(air=AIR)
    def first_pipe_resonance(self, air=Air()):
        r"""Lowest frequency at which the port rings like an organ pipe open at both ends. [Hz]

        .. math:: f = c / (2 L')
        """
        return air.sound_speed / (2 * self.effective_length)

    @takes(volume=NET_VOLUME, air=AIR)
    def tuning(self, volume, air=Air()):
        r"""Resonance frequency of this port on a box. [Hz]

        .. math:: f_b = \frac{c}{2\pi}\sqrt{\frac{S}{V L'}}

        Parameters
        ----------
        volume : float or array
            Net volume of the box. [m3]
        """
        return air.sound_speed / (2 * np.pi) * np.sqrt(self.area / (volume * self.effective_length))

    @takes(fb=TUNING, volume=NET_VOLUME, air=AIR)
    def length_for(self, fb, volume, air=Air()):
        r"""Length that this port must have to tune a box; negative where even a bare hole tunes it lower. [m]

        .. math:: L = S\,(L'/S) - \Delta_{in} - \Delta_{out}

        with the length over area of `length_over_area`.

        Parameters
        ----------
        fb : float or array
            Wanted resonance frequency of the box. [Hz]
        volume : float or array
            Net volume of the box. [m3]
        """
        return length_over_area(fb, volume, air) * self.area - self._end_corrections

    @takes(fb=TUNING, volume=NET_VOLUME, air=AIR)
    def tuned(self, fb, volume, air=Air()):
        """Return this port with the length that tunes `volume` to `fb`.

        Parameters
        ----------
        fb : float or array
            Wanted resonance frequency of the box. [Hz]
        volume : float or array
            Net volume of the box. [m3]

        Raises
        ------
        ValueError
            If even a bare hole of this area tunes lower than `fb`, or if the port would be too long for a `Port`.
        """
        length = self.length_for(fb, volume, air)
        if np.any(length < 0):
            highest = np.min(dataclasses.replace(self, length=0.0).tuning(volume, air))
            raise ValueError(
                f"no port of {np.min(self.area) * 1e4:.4g} cm2 tunes a volume of {np.max(volume) * 1e3:.4g} litres to "
                f"fb = {np.max(fb):.4g} Hz: even a hole without length gives {highest:.4g} Hz; enlarge the port"
            )
        return dataclasses.replace(self, length=implied(Port, "length", length, "fb and volume"))
