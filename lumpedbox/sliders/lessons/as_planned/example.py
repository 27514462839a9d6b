"""Invented measurements, to see what the page does: of the box that is planned, with something wrong in it."""

from __future__ import annotations

import dataclasses

import numpy as np

from ....parts.filters import Gain
from ....response import solve
from .readings import HEADINGS, IMPEDANCE, INVENTED, LEVEL

TONES = {IMPEDANCE: np.geomspace(15, 300, 28), LEVEL: np.geomspace(20, 200, 24)}  # Hz
NOISE_OF_A_METER, NOISE_OF_A_PHONE = 0.007, 0.4  # share of a voltage; dB
LEAKS, SMALLER, SOFTER = 4.0, 0.5, 6.0  # times as much; of the planned air; dB of the last channel
VOLTS, PHONE = 0.5, -40.0  # V at the amplifier; dB, since a phone knows no level


def measured(page):
    """Return the lines of a measurement that say what is wrong in it."""
    system, kind = page.scene.system, page.values["measured"]
    draw, tones = np.random.default_rng(7), TONES[kind]
    if kind == IMPEDANCE:
        built, what = _leaky(system.loudspeakers[0])
        load = np.abs(solve(built, tones).impedance)
        noisy = VOLTS / (load + page.values["line"]) * np.exp(NOISE_OF_A_METER * draw.standard_normal((2, len(tones))))
        columns = (noisy[0] * load, noisy[1] * page.values["line"])
        rows = zip(tones, *columns, strict=True)
        return _lines(kind, what, (f"{f:.1f}, {a:.4f}, {b:.4f}" for f, a, b in rows))
    built, what = _other(system)
    level = solve(built, tones).level + PHONE + NOISE_OF_A_PHONE * draw.standard_normal(len(tones))
    return _lines(kind, what, (f"{f:.1f}, {x:.1f}" for f, x in zip(tones, level, strict=True)))


def _lines(kind, what, rows):
    return "\n".join([f"{INVENTED}{what}", HEADINGS[kind], *rows])


def _leaky(speaker):
    """Return a loudspeaker whose box leaks; where it stands in none, as planned."""
    if getattr(speaker.box, "Ql", None) is None or getattr(speaker.box, "leak_resistance", None) is not None:
        return speaker, "as planned."
    leaky = dataclasses.replace(speaker.box, Ql=speaker.box.Ql / LEAKS)
    return dataclasses.replace(speaker, box=leaky), f"the box leaks {LEAKS:.0f} times as much as planned."


def _other(system):
    """Return a system with its last channel too soft; with less air in its box where there is one channel."""
    *others, last = system.channels
    if others:
        softer = dataclasses.replace(last, filters=(*last.filters, Gain(level=-SOFTER)))
        name = system.channel_names[-1]
        return dataclasses.replace(system, channels=(*others, softer)), f"{name} plays {SOFTER:.0f} dB too softly."
    (speaker,) = system.loudspeakers
    box = speaker.box.varied({"volume": np.array([SMALLER])}).member(0)  # its port stays as it is
    changed = system.with_each((dataclasses.replace(speaker, box=box),))
    return changed, f"the box holds only {100 * SMALLER:.0f} % of the planned litres."
