"""The channel as it is drawn: who gets how many volts, what the amplifier sees, what a resistor takes."""

from __future__ import annotations

import numpy as np

from ....design.shared_channel import BASS, CROSSING, full_voltage
from ....parts.small_signal import PRINTED_VOLTAGE
from ...kit.answer import say
from ...kit.pads import size_sold
from ...kit.systems import POWER, RESISTANCE, VOLTAGE
from ...kit.wired import wired
from ...kit.wirings import PARALLEL


def drawn_channel(response, now, guessed):
    """Return the `Wired` of a channel.

    Parameters
    ----------
    response : SystemResponse
        Of the channel alone, at 2.83 V.
    now : Sharing
        What each gets of it.
    guessed : bool
        Whether nobody knows yet how it is wired.
    """
    (channel,) = response.system.wired
    volts = float(full_voltage(channel))
    source = say("Amplifier {volts}, load {least} at least", volts=VOLTAGE(volts), least=RESISTANCE(now.least))
    likely = "in parallel" if channel.wiring == PARALLEL else "in series"
    told = {one.loudspeaker.name: tuple(_volts(one, volts)) for one in response.responses}
    watts = {
        name.removeprefix("resistor "): say("{watts}", watts=POWER(size_sold(most))) for name, most in now.watts.items()
    }
    return wired(channel, (source, *[say(f"Not known: drawn {likely}")] * guessed), told, watts)


def _volts(response, volts):
    """Say what reaches a loudspeaker at the channel's full sine, in the bass and in the treble."""
    for at, called in ((BASS, f"{BASS:.0f} Hz"), (CROSSING, f"{CROSSING / 1000:.0f} kHz")):
        got = float(np.interp(at, response.frequency, abs(response.driver_voltage))) * volts / PRINTED_VOLTAGE
        yield say(f"{called}: {{got}}", got=VOLTAGE(got))
