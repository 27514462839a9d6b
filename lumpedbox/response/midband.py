"""The middle of the band in closed form: what a channel does with every reactance left out."""

from __future__ import annotations

import numpy as np

from ..parts.network import Capacitor, Resistor, SideBySide, opens


def coil_current(channel, index):
    r"""Current through one loudspeaker's coil per volt of the source, with every reactance left out. [A/V]

    Start with one ampere through the coil, and work back to the source. Every branch in series adds R I to the
    voltage; every branch across adds V / R to the current. Partners on the channel count by the voltage and current
    at their terminals.

    .. math:: V + R I_{parallel}, \quad I + V \sum_j I_j / V_j, \quad V + I \sum_j V_j / I_j
    """
    partners = [_terminals(speaker) for speaker in channel.loudspeakers]
    voltage, current = partners.pop(index)
    if channel.wiring == "series":
        voltage = voltage + current * sum(v / i for v, i in partners)
    else:
        current = current + voltage * sum(i / v for v, i in partners)
    return 1 / (voltage + channel.source_resistance * current)


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
