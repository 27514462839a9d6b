"""What a meter reads at a head unit's outputs, as people write it: "20 = 50 Hz, 2.27 V; 315 Hz, 1.80 V"."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..arguments import takes
from ..parts.filters import LevelTable
from ..quantity import Text, shown
from .feeds import Names
from .quantity_text import number_in, with_point, with_unit

AT_WIRES, AT_LINES = "loudspeaker wires", "line outputs"  # where they are read
A_LINE = "write a line for each setting: its volume, =, and pairs, as in 20 = 50 Hz, 2.27 V; 315 Hz, 1.80 V"
TWO = "read at two settings of the volume or more, so that those between follow"
VOLTS = (0.001, 100.0)  # V, that an output may carry


@dataclass(frozen=True, slots=True)
class KeptReadings:
    """What a meter read at a head unit.

    Attributes
    ----------
    name : str
    at_lines : bool
        Whether at its line outputs, not at its loudspeaker wires.
    at_volumes : dict
        Volume: LevelTable. [dB re 1 V]
    """

    name: str
    at_lines: bool
    at_volumes: dict


class AtVolumes(Names):
    """Readings at several settings of the volume: a line for each in a file, and in a form."""

    def as_written(self, typed, unit):
        lines = typed.splitlines() if isinstance(typed, str) else typed
        if not isinstance(lines, (list, tuple)) or not all(isinstance(line, str) for line in lines):
            raise ValueError(f"{A_LINE}, got {shown(typed)}")
        return [" ".join(line.split()) for line in lines if line.strip()]

    def as_text(self, written):
        return written if isinstance(written, str) else "\n".join(written)


@takes(text=Text())
def readings_in(text):
    """Read what a meter showed at settings of the volume, a line for each.

    Parameters
    ----------
    text : str
        Such as "20 = 50 Hz, 2.27 V; 315 Hz, 1.80 V".

    Returns
    -------
    dict
        Volume: LevelTable. [dB re 1 V]

    Raises
    ------
    ValueError
        In words for the person who typed it.
    """
    found = {}
    for line in filter(None, map(str.strip, text.splitlines())):
        volume, sign, pairs = line.partition("=")
        if not sign:
            raise ValueError(f"{A_LINE}, got {line!r}")
        setting = number_in(with_point(volume), "", 1.0)
        if setting in found:
            raise ValueError(f"volume {setting:g} stands there twice")
        found[setting] = _table(setting, pairs)
    if len(found) < 2:
        raise ValueError(TWO)
    return found


def _table(setting, pairs):
    try:
        points = sorted(_pair(pair) for pair in filter(None, map(str.strip, pairs.split(";"))))
        if len(points) < 2:
            raise ValueError("read two tones or more, 63 and 315 Hz among them")
        return LevelTable(points=tuple(points))
    except ValueError as error:
        raise ValueError(f"volume {setting:g}: {error}") from None


def _pair(text):
    """Read a tone and its volts. [Hz], [dB re 1 V]"""
    tone, comma, volts = text.partition(",")
    if not comma:
        raise ValueError(f"write a tone and its volts, as in 50 Hz, 0.86 V, got {text!r}")
    frequency = number_in(with_unit(with_point(tone.strip()), "Hz"), "Hz", 1.0)
    reads = number_in(with_unit(with_point(volts.strip()), "V"), "V", 1.0)
    if not VOLTS[0] <= reads <= VOLTS[1]:
        raise ValueError(f"volts must be between {VOLTS[0]:g} and {VOLTS[1]:g} V, got {volts.strip()}")
    return frequency, float(20 * np.log10(reads))
