"""A driver from its measured impedance."""

from __future__ import annotations

import numpy as np

from ..air import AIR, Air
from ..arguments import Single, takes
from ..errors import Refused
from ..parts.small_signal import RULES
from ..quantity import OneOf, Quantity, Text
from .curves import ADDED_MASS, KNOWN_VOLUME, RESISTANCE, Curve
from .doubts import findings, unseen
from .fitting import COILS, WHO, Setup, solution
from .result import MeasuredDriver

DOUBT = Quantity(unit="", meaning="standard deviation of a reading, as a share of it", low=0.0, high=0.5)
LEAST, MOST = 0.2, 1500.0  # ohm, of any driver's impedance in the middle
HIGHER = 1.05  # Re over the least |Z|, beyond what noise does


@takes(
    free_air=Curve(),
    Sd=Single(RULES["Sd"]),
    added_mass=Curve((ADDED_MASS,)),
    known_box=Curve((KNOWN_VOLUME,)),
    free_air_again=Curve(),
    resistor=Curve((RESISTANCE,), fewest=1),
    Re=Single(RULES["Re"]),
    Re_deviation=Single(DOUBT),
    coil=OneOf(COILS),
    air=Single(AIR),
    name=Text(),
)
def driver_from_impedance(
    *,
    free_air,
    Sd,
    added_mass=None,
    known_box=None,
    free_air_again=None,
    resistor=None,
    Re=None,
    Re_deviation=0.0,
    coil="typical",
    air=Air(),
    name="",
):
    r"""Work out a driver's numbers from its measured impedance, all curves together.

    Parameters
    ----------
    free_air : tuple (frequency, impedance)
        Hung up or clamped, far from walls. A complex impedance brings its phase; a real one is a magnitude.
        [Hz], [ohm]
    Sd : float
        Effective radiating area: from the middle of the surround to that opposite. [m2]
    added_mass : tuple (mass, frequency, impedance), optional
        With a mass on the cone, such as clay beside the dust cap. [kg], [Hz], [ohm]
    known_box : tuple (volume, frequency, impedance), optional
        On a sealed box without filling; of net volume, the driver's own taken off. [m3], [Hz], [ohm]
    free_air_again : tuple (frequency, impedance), optional
        In free air once more at the end: shows whether the suspension changed meanwhile. [Hz], [ohm]
    resistor : tuple (resistance, frequency, impedance), optional
        A resistor known by the ohmmeter, measured in place of the driver. [ohm], [Hz], [ohm]
    Re : float, optional
        By the ohmmeter, without its leads. Without it, Re follows from the curves. [ohm]
    Re_deviation : float
        Standard deviation of that reading, as a share of it; 0 takes it as exact. [1]
    coil : {"typical", "free", "none"}
        Eddy currents of the coil: fitted around usual values, fitted freely, or left out. The usual values are common
        practice, no source. They are K s^n; where that does not follow the curves, Le with L2 beside R2.
    air : Air
        In which it was measured.
    name : str
        What to call the driver.

    Returns
    -------
    MeasuredDriver
        With `driver`, `values`, `standard_deviations`, `interval`, `residual`, `doubts` and `unseen`, in SI units.

    Raises
    ------
    ValueError, TypeError
        If a curve holds no peak or too few points, or if a mass or a box changes nothing. If Re is above the least
        impedance. The message names the argument.

    Notes
    -----
    The logarithm of the impedance is fitted, so that each reading counts by its share. Readings far off, as from hum,
    are left out and told in `doubts`. Standard deviations follow from the slopes of the model and from the noise
    that is left over. Where both forms of a coil fit, they count by how much the two differ. They hold if the model is
    right: one resonance, no leak, the same Mms in free air and on a box.

    References
    ----------
    R. H. Small, "Direct-radiator loudspeaker system analysis", JAES 20(5) (1972) 383-395 (from memory).

    Examples
    --------
    >>> import dataclasses
    >>> from lumpedbox import Driver, InfiniteBaffle, Loudspeaker, frequencies, solve
    >>> f = frequencies(15, 500, per_octave=12)
    >>> true = Driver(Re=3.4, Bl=5.6, Mms=0.018, Cms=0.5e-3, Rms=1.4, Sd=0.0137, semi_inductance=0.01)
    >>> heavier = dataclasses.replace(true, Mms=true.Mms + 0.010)
    >>> each = [solve(Loudspeaker(driver=one, box=InfiniteBaffle()), f).impedance for one in (true, heavier)]
    >>> found = driver_from_impedance(free_air=(f, each[0]), added_mass=(0.010, f, each[1]), Sd=0.0137, coil="free")
    >>> print(f"{found.driver.fs:.2f} Hz, {1e3 * found.driver.Mms:.2f} g, {found.driver.Bl:.2f} N/A")
    53.05 Hz, 18.00 g, 5.60 N/A
    """
    curves = {"free_air": free_air, "added_mass": added_mass, "known_box": known_box, "free_air_again": free_air_again}
    setup = Setup(
        curves={name: one[-1] if len(one) == 2 and name in LOADS else one for name, one in curves.items() if one},
        mass={} if added_mass is None else {"added_mass": added_mass[0]},
        stiffness={} if known_box is None else {"known_box": air.stiffness * Sd**2 / known_box[0]},
        Re=Re,
        coil=coil,
        Re_deviation=Re_deviation,
    )
    _check_units(setup)
    if Re is not None:
        _check_resistance(setup)
    fitted = solution(setup)
    _check_range(setup, fitted)
    return MeasuredDriver(fitted, Sd, air, name, findings(setup, fitted, resistor), unseen(setup, resistor))


LOADS = ("added_mass", "known_box")


def _check_units(setup):
    """Refuse impedances that no driver has."""
    for name, measured in setup.curves.items():
        middle = float(np.median(measured.magnitude))
        if not LEAST < middle < MOST:
            slip = "kilo-ohm" if middle < LEAST else "milliohm"
            raise Refused(WHO, name, f"is {middle:.5g} ohm in the middle, like no driver", f": is it in {slip}?")


def _check_resistance(setup):
    """Refuse a Re above the least impedance that was measured."""
    for name, measured in setup.curves.items():
        least = float(np.median(np.sort(measured.magnitude)[:5]))
        if setup.Re > HIGHER * least:
            problem = f"is {setup.Re:.3g} ohm, above the least impedance in {name}, {least:.3g} ohm"
            raise Refused(WHO, "Re", problem, ": take off the resistance of the leads")


def _check_range(setup, fitted):
    measured = setup.curves["free_air"]
    low, high = measured.frequency[[0, -1]]
    if not low < fitted.value("fs") < high:
        problem = f"has its peak at {fitted.value('fs'):.3g} Hz, outside what was measured ({low:.3g} to {high:.3g} Hz)"
        raise Refused(WHO, "free_air", problem, ": measure on both sides of the peak")
