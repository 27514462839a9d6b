"""The middle of the band in closed form: what a channel does with every reactance left out."""

from __future__ import annotations

import numpy as np

from ..parts.network import Capacitor, Resistor, SideBySide, opens


def coil_current(channel, index):
    r"""Current through one loudspeaker's coil per volt of the source, with every reactance left out. [A/V]

    Start with one ampere through the coil, and work back to the source. Every branch in series adds R I to the
    voltage; every branch across adds V / R to the current. Partners on the channel count by the voltage and current
    at their terminals: first those of its own group, then the other groups.

    .. math:: V + R I_{parallel}, \quad I + V \sum_j I_j / V_j, \quad V + I \sum_j V_j / I_j
    """
    groups = [[_terminals(speaker) for speaker in group] for group in channel.groups]
    own, place = [(number, at) for number, group in enumerate(groups) for at in range(len(group))][index]
    mates, others = groups[own], groups[:own] + groups[own + 1 :]
    beside = [_with_partners(channel.wiring_in_groups, group[0], group[1:]) for group in others]
    whole = _with_partners(channel.wiring_in_groups, mates[place], mates[:place] + mates[place + 1 :])
    voltage, current = _with_partners(channel.wiring, whole, beside)
    return 1 / (voltage + channel.source_resistance * current)


def _with_partners(wiring, own, partners):
    """Voltage and current at the ends of several, of which the first has its own pair. [V/A], [A/A]"""
    voltage, current = own
    if wiring == "series":
        return voltage + current * sum(v / i for v, i in partners), current
    return voltage, current + voltage * sum(i / v for v, i in partners)


def _terminals(speaker):
    """Voltage and current at the end of a loudspeaker's own wire, for one ampere through its coil. [V/A], [A/A]"""
    voltage, current = speaker.driver.Re, 1.0
    for branch in reversed(speaker.network.branches if speaker.network else ()):
        without = 0.0 if branch.placed == "in series" else np.inf
        resistance = sum(_resistance(component, without) for component in branch.components)
        if branch.placed == "in series":
            voltage = voltage + resistance * current
        else:
            current = current + voltage / resistance
    return voltage + speaker.source_resistance * current, current


def _resistance(component, without):
    """Resistance of a component whose reactance counts as `without`: 0 in the line, infinite across it. [ohm]"""
    if isinstance(component, SideBySide):
        with np.errstate(divide="ignore"):
            return 1 / sum(np.divide(1.0, _resistance(leg, without)) for leg in component.components)
    if isinstance(component, Resistor):
        return component.resistance
    capacitor = isinstance(component, Capacitor)
    plain = np.isinf(component.capacitance) if capacitor else component.inductance == 0
    reactance = np.where(opens(component), np.inf, np.where(plain, 0.0, without))
    return component.resistance + reactance
