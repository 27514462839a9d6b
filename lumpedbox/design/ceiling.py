"""The highest volts of a channel, and what ends there."""

from __future__ import annotations

import numpy as np

from ..arguments import takes
from ..parts.system import CHANNEL

AMPLIFIER, COIL = "amplifier", "coil"


@takes(channel=CHANNEL)
def ceiling(channel):
    r"""Highest volts of a channel, and what ends there.

    .. math:: V = \min\left(\sqrt{P_a R_a}, \sqrt{P_d R_d} / a_d\right)

    of the amplifier, and of the driver that ends first. Drivers in series share the volts by their rated ohms,
    :math:`a_d = R_d / \sum R_i`; in parallel each gets all of them. With a network among them each counts as if it had
    the channel to itself, which is careful.

    Parameters
    ----------
    channel : Channel
        With its amplifier.

    Returns
    -------
    (float, str)
        [V], and "amplifier" or "coil".

    Raises
    ------
    ValueError
        If its amplifier is missing.
    """
    if channel.amplifier is None:
        raise ValueError(f"ceiling.channel.amplifier is missing ({channel.name or 'a channel'}): give its Amplifier")
    drivers = [speaker.driver for speaker in channel.each]
    volts = [
        float(np.sqrt(driver.power * driver.nominal_resistance)) / share
        for driver, share in zip(drivers, _shares(channel), strict=True)
        if driver.power is not None
    ]
    most = float(channel.amplifier.voltage)
    return (min(volts), COIL) if volts and min(volts) < most else (most, AMPLIFIER)


def _shares(channel):
    """Return the share of the channel's volts that each driver gets, by the rated ohms; behind a network all. [1]"""
    if any(speaker.network or speaker.driver.built_in_capacitance is not None for speaker in channel.each):
        return [1.0] * len(channel.each)
    groups = [[float(speaker.driver.nominal_resistance) for speaker in group] for group in channel.groups]
    ohms = [_together(channel.wiring_in_groups, group) for group in groups]
    return [
        share * part
        for share, group in zip(_of_each(channel.wiring, ohms), groups, strict=True)
        for part in _of_each(channel.wiring_in_groups, group)
    ]


def _of_each(wiring, ohms):
    """Return the share of the volts that each of some resistances gets. [1]"""
    return [ohm / sum(ohms) if wiring == "series" else 1.0 for ohm in ohms]


def _together(wiring, ohms):
    """Return what resistances are in series or in parallel. [ohm]"""
    return sum(ohms) if wiring == "series" else 1 / sum(1 / ohm for ohm in ohms)
