"""What the components of a network must withstand, and how steep a single capacitor really is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..air import AIR, Air
from ..arguments import FREQUENCIES, FREQUENCY, VOLTAGE, Single, takes
from ..circuit.build import flat, named_components
from ..parts.loudspeaker import LOUDSPEAKER
from ..parts.network import Capacitor, Resistor
from ..quantity import Holds, Quantity
from ..response import Response, SystemResponse, solve
from ..response.grid import check_within

MARGIN = 2.0  # common practice, no source
PROGRAMME = 0.25  # mean power of music over that of a steady tone of the same peak: common practice, no source
SHARE = Quantity(unit="", meaning="mean power of the programme over a steady tone's", low=0.001, high=1.0)
MOUNT = "Mount resistors away from insulation, wood and cable: at that power they are hot enough to burn."
TWICE = {"voltage": "its peak, doubled as a margin", "current": "doubled as a margin"}
HOT = 5.0  # W; from here up a resistor needs air around it (common practice, no source)


@dataclass(frozen=True, slots=True)
class Rating:
    """The most that one component meets, and at which frequency.

    Attributes
    ----------
    name : str
        Such as "capacitor in series".
    quantity : str
        "power", "voltage" or "current".
    most : float
        Largest value with a steady tone: mean power, or r.m.s. [W], [V], [A]
    frequency : float
        Where that is. [Hz]
    rated : float
        What to buy, with `MARGIN`: a resistor's power (times `PROGRAMME`), a capacitor's peak voltage, a coil's r.m.s.
        current. [W], [V], [A]
    why : str
        How `rated` follows from `most`.
    """

    name: str
    quantity: str
    most: float
    frequency: float
    rated: float
    why: str

    def __str__(self):
        unit = {"power": "W", "voltage": "V r.m.s.", "current": "A r.m.s."}[self.quantity]
        of_what = {"power": "W", "voltage": "V", "current": "A"}[self.quantity]
        hot = f" {MOUNT}" if self.quantity == "power" and self.rated > HOT else ""
        if self.quantity == "power" and self.rated < self.most:
            hot = f" For a steady tone, as in a test, buy {self.most:.3g} W, or it overheats.{hot}"
        return (
            f"{self.name}: {self.most:.3g} {unit} at {self.frequency:.0f} Hz with a steady tone; {self.why}: buy "
            f"{self.rated:.3g} {of_what}.{hot}"
        )


@takes(
    loudspeaker=Single(LOUDSPEAKER),
    frequency=FREQUENCIES,
    voltage=Single(VOLTAGE),
    programme=Single(SHARE),
    air=Single(AIR),
)
def ratings(loudspeaker, frequency, voltage, programme=PROGRAMME, air=Air()):
    r"""Return what each component of a loudspeaker's network must withstand.

    Parameters
    ----------
    loudspeaker : Loudspeaker
        With a network, of single values.
    frequency : array, shape (nf,)
        Frequencies to drive the loudspeaker over. [Hz]
    voltage : float
        r.m.s. EMF at the rated level. [V]
    programme : float
        Mean power of what is played over that of a steady tone; 1 for a steady tone. [1]
    air : Air

    Returns
    -------
    tuple of Rating
        In order, from the amplifier to the driver.

    Notes
    -----
    .. math:: P = |I|^2 R, \quad V_C = |I| \, |R + 1/(j\omega C)|

    Taken at the frequency where it is largest.
    """
    return ratings_of(solve(loudspeaker, frequency, voltage, air=air), programme)


@takes(response=Single(Holds((Response,))), programme=Single(SHARE))
def ratings_of(response, programme=PROGRAMME):
    """Return what each component of a network must withstand, of a loudspeaker that is solved at its rated level.

    Parameters
    ----------
    response : Response
        With a network, of single values; among others on its channel, too.
    programme : float
        Mean power of what is played over that of a steady tone; 1 for a steady tone. [1]

    Returns
    -------
    tuple of Rating
        See `ratings`.
    """
    flows = response.component_currents
    network = response.loudspeaker.network
    parts = [named for _, components in named_components(network) for named in flat(components)]
    return tuple(_rating(name, part, response, np.abs(flows[name]), programme) for name, part in parts if name in flows)


def _rating(name, part, response, current, programme):
    w = response.angular_frequency
    if isinstance(part, Resistor):
        kind, met, factor = "power", current**2 * part.resistance, programme * MARGIN
    elif isinstance(part, Capacitor):
        kind, met = "voltage", current * np.abs(part.resistance + 1 / (1j * w * part.capacitance))
        factor = np.sqrt(2) * MARGIN
    else:
        kind, met, factor = "current", current, MARGIN
    most = int(np.argmax(met))
    why = f"the programme has {programme:g} of that, doubled as a margin" if kind == "power" else TWICE[kind]
    return Rating(name, kind, float(met[most]), float(response.frequency[most]), float(met[most] * factor), why)


@takes(response=Single(Holds((Response, SystemResponse))), low=Single(FREQUENCY), high=Single(FREQUENCY))
def slope(response, low, high):
    """Mean slope of a level between two frequencies. [dB]

    Parameters
    ----------
    response : Response or SystemResponse
        Of a single loudspeaker or system, over frequencies that hold both.
    low, high : float
        [Hz]

    Returns
    -------
    float
        Per octave; the textbook gives a single capacitor 6. [dB]

    Raises
    ------
    ValueError
        If the two are out of order, or outside the frequencies of the response.
    """
    check_within("slope", response.frequency, low, high)
    order = np.argsort(response.frequency)
    levels = np.interp(np.log([low, high]), np.log(response.frequency[order]), response.level[order])
    return float((levels[1] - levels[0]) / np.log2(high / low))
