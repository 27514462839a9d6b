"""The passive radiator: a cone without a motor, in place of a port."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..air import AIR, Air
from ..arguments import takes
from ..quantity import Part, Quantity, Text, implied, part, quantity, ruled
from .port import NET_VOLUME, TUNING
from .small_signal import EQUIVALENT_VOLUME, LENGTH_SLIPS, MECHANICAL_Q, RESONANCE

LOSSES = dataclasses.replace(MECHANICAL_Q, high=np.inf)
AREA = Quantity(unit="m2", meaning="effective radiating area", low=1e-5, high=1.0, slips=("cm2", "mm2"))


@part
class PassiveRadiator(Part):
    r"""A cone that the air in the box moves.

    Parameters
    ----------
    Mms : float or array
        Moving mass with its air load and any added mass. [kg]
    Cms : float or array
        Compliance of the suspension. [m/N]
    Sd : float or array
        Effective area. [m2]
    Rms : float or array
        Mechanical resistance; 0 for none. [N s/m]
    xmax : float or array, optional
        Linear travel, *one way*. [m]
    name : str

    References
    ----------
    R. H. Small, "Passive-radiator loudspeaker systems", JAES 22(8) (1974) 592-601, 22(9) 683-689 (from memory).

    Examples
    --------
    >>> radiator = PassiveRadiator(Mms=0.09, Cms=0.6e-3, Sd=0.033)
    >>> print(f"{radiator.fp:.2f} Hz")
    21.66 Hz
    """

    Mms: float = quantity("kg", "moving mass with its air load", 1e-4, 10.0, slips=("gram",))
    Cms: float = quantity("m/N", "compliance of the suspension", 1e-7, 0.1, slips=("mm_per_newton", "um_per_newton"))
    Sd: float = ruled(AREA)
    Rms: float = quantity("N s/m", "mechanical resistance of the suspension", 0.0, 1e3, default=0.0)
    xmax: float = quantity("m", "linear travel, one way", 1e-6, 0.1, default=None, slips=LENGTH_SLIPS)
    name: str = ruled(Text(), "")

    @classmethod
    @takes(fp=RESONANCE, Vap=EQUIVALENT_VOLUME, Sd=AREA, Qmp=LOSSES, air=AIR)
    def from_resonance(cls, *, fp, Vap, Sd, Qmp=np.inf, xmax=None, name="", air=Air()):
        r"""Make a passive radiator from its resonance in free air and its equivalent volume.

        Parameters
        ----------
        fp : float or array
            Resonance in free air. [Hz]
        Vap : float or array
            Volume of air as compliant as its suspension. [m3]
        Sd : float or array
            Effective area. [m2]
        Qmp : float or array
            Mechanical Q at that resonance. [1]
        xmax : float or array, optional
            Linear travel, *one way*. [m]
        name : str
        air : Air
            The air that Vap refers to; only Cms depends on it.

        Returns
        -------
        PassiveRadiator

        Notes
        -----
        .. math:: C_{ms} = \frac{V_{ap}}{\rho c^2 S_d^2}, \quad M_{ms} = \frac{1}{(2\pi f_p)^2 C_{ms}}, \quad
                  R_{ms} = \frac{2\pi f_p M_{ms}}{Q_{mp}}

        Examples
        --------
        >>> radiator = PassiveRadiator.from_resonance(fp=20, Vap=0.1, Sd=0.033)
        >>> print(f"{radiator.fp:.1f} Hz, {1e3 * radiator.Mms:.0f} g")
        20.0 Hz, 98 g
        """
        Cms = implied(cls, "Cms", Vap / (air.stiffness * np.square(Sd)), "Vap and Sd")
        Mms = implied(cls, "Mms", 1 / (np.square(2 * np.pi * fp) * Cms), "fp, Vap and Sd")
        Rms = 2 * np.pi * fp * Mms / Qmp
        return cls(Mms=Mms, Cms=Cms, Sd=Sd, Rms=Rms, xmax=xmax, name=name)

    @property
    def fp(self):
        r"""Resonance in free air, where a box has its notch. [Hz]

        .. math:: f_p = 1 / (2\pi\sqrt{M_{ms} C_{ms}})
        """
        return 1 / (2 * np.pi * np.sqrt(self.Mms * self.Cms))

    @property
    def acoustic(self):
        r"""Acoustic mass, compliance and resistance. [kg/m4], [m3/Pa], [Pa s/m3]

        .. math:: M_{ms}/S_d^2, \quad C_{ms} S_d^2, \quad R_{ms}/S_d^2
        """
        square = np.square(self.Sd)
        return self.Mms / square, self.Cms * square, self.Rms / square

    @takes(fb=TUNING, volume=NET_VOLUME, air=AIR)
    def tuned(self, fb, volume, air=Air()):
        r"""Return this radiator with the added mass that tunes a box without filling.

        Parameters
        ----------
        fb : float or array
            Wanted resonance of the box. [Hz]
        volume : float or array
            Net volume of the box. [m3]
        air : Air

        Raises
        ------
        ValueError
            If it tunes the box lower even without added mass.

        Notes
        -----
        .. math:: M_{ms} = \frac{1}{(2\pi f_b)^2}\left(\frac{1}{C_{ms}} + \frac{\rho c^2 S_d^2}{V}\right)
        """
        stiffness = 1 / self.Cms + air.stiffness * np.square(self.Sd) / volume
        mass = stiffness / np.square(2 * np.pi * fb)
        if np.any(mass < self.Mms * (1 - 1e-12)):
            highest = np.min(np.sqrt(stiffness / self.Mms)) / (2 * np.pi)
            raise ValueError(
                f"this radiator tunes a volume of {np.max(volume) * 1e3:.4g} litres to at most {highest:.4g} Hz, "
                f"got fb = {np.max(fb):.4g} Hz. Mass can be added, not taken away: use a stiffer or lighter radiator"
            )
        return dataclasses.replace(self, Mms=implied(PassiveRadiator, "Mms", mass, "fb and volume"))
