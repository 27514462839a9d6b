"""Filters, and what is fitted in a driver's line, as people write them: "high-pass 80 Hz, 12 dB/octave", "6 dB pad"."""

from __future__ import annotations

import re

from ..parts.filters import FAMILIES, ORDERS, Delay, Gain, HighPass, Inverted, LevelTable, LowPass, Peak, Shelf
from ..parts.network import ATTENUATION, Capacitor, Inductor, Resistor, across, in_series, l_pad
from ..quantity import Quantity, shown
from ..tables.entries import CAPACITOR, value_of

FREQUENCY = Quantity(unit="Hz", meaning="frequency of a filter", low=1.0, high=2e4, slips=("kHz",))
LEVEL = Quantity(unit="dB", meaning="change of level", low=-60.0, high=60.0)
STEEPNESS = Quantity(unit="", meaning="Q of a filter", low=0.05, high=50.0)
TIME = Quantity(unit="s", meaning="delay", low=0.0, high=1.0, slips=("ms",))
RESISTANCE = Quantity(unit="ohm", meaning="resistance", low=0.01, high=1e4)
INDUCTANCE = Quantity(unit="H", meaning="inductance", low=1e-7, high=1.0, slips=("mH",))

NUMBER = r"(?P<{}>[-+]?[\d.,/ ]*\d\s*[^\s,\d]*)"
SLOPED = re.compile(
    rf"(?P<kind>high|low)[- ]?pass\s+(?:at\s+)?{NUMBER.format('frequency')}\s*,\s*(?P<slope>\d+)\s*dB\s*/\s*oct(?:ave)?"
    r"(?:\s*,\s*(?P<family>.+))?",
    re.IGNORECASE,
)
CHANGED = re.compile(rf"(?:level|gain)\s+{NUMBER.format('level')}", re.IGNORECASE)
LATER = re.compile(rf"delay\s+{NUMBER.format('time')}", re.IGNORECASE)
RAISED = re.compile(
    rf"peak\s+{NUMBER.format('level')}\s+at\s+{NUMBER.format('frequency')}(?:\s*,\s*Q\s*(?P<Q>[\d.]+))?", re.IGNORECASE
)
STEPPED = re.compile(
    rf"shelf\s+{NUMBER.format('level')}\s+(?P<side>below|above)\s+{NUMBER.format('frequency')}", re.IGNORECASE
)
POINT = re.compile(rf"{NUMBER.format('level')}\s+at\s+{NUMBER.format('frequency')}", re.IGNORECASE)
MEASURED = re.compile(r"measured\s+(?P<points>.+)", re.IGNORECASE)
FILTERS = (
    "write it as in high-pass 80 Hz, 12 dB/octave; low-pass 80 Hz, 24 dB/octave, Linkwitz-Riley; level 6 dB; delay 2 "
    "ms; reversed; peak -6 dB at 60 Hz, Q 2; shelf 3 dB below 100 Hz. Readings: measured -6 dB at 50 Hz, 0 dB at 315 Hz"
)
FITTED = re.compile(rf"{NUMBER.format('value')}\s+(?P<placed>in series|across)", re.IGNORECASE)
PADDED = re.compile(rf"{NUMBER.format('level')}\s+pad", re.IGNORECASE)
LINE = "write it as in 6.8 uF in series; 6 dB pad; 1.5 ohm in series; 6.8 ohm across; 0.3 mH across"


def filter_of(text):
    """Make a filter from what is written of it."""
    words = _text(text, FILTERS)
    if words.lower() in ("reversed", "inverted"):
        return Inverted()
    if match := SLOPED.fullmatch(words):
        return _sloped(match)
    if match := CHANGED.fullmatch(words):
        return Gain(level=_number(LEVEL, match["level"]))
    if match := LATER.fullmatch(words):
        return Delay(time=_number(TIME, match["time"]))
    if match := RAISED.fullmatch(words):
        steep = {"Q": _number(STEEPNESS, match["Q"])} if match["Q"] else {}
        return Peak(level=_number(LEVEL, match["level"]), frequency=_number(FREQUENCY, match["frequency"]), **steep)
    if match := STEPPED.fullmatch(words):
        level, frequency = _number(LEVEL, match["level"]), _number(FREQUENCY, match["frequency"])
        return Shelf(level=level, frequency=frequency, side=match["side"].lower())
    if match := MEASURED.fullmatch(words):
        return LevelTable(points=tuple(_point(text) for text in match["points"].split(", ")))
    raise ValueError(FILTERS)


def _point(text):
    """Read a level at a frequency. [Hz], [dB]"""
    match = POINT.fullmatch(text.strip())
    if match is None:
        raise ValueError(FILTERS)
    return _number(FREQUENCY, match["frequency"]), _number(LEVEL, match["level"])


def _sloped(match):
    order, rest = divmod(int(match["slope"]), 6)
    if rest or order not in ORDERS:
        raise ValueError(f"the slope must be 6, 12, 18 or 24 dB/octave, got {match['slope']}")
    family = {name.lower(): name for name in FAMILIES}.get((match["family"] or "Butterworth").lower())
    if family is None:
        raise ValueError(f"its kind must be one of {', '.join(FAMILIES)}, got {match['family']}")
    kind = HighPass if match["kind"].lower() == "high" else LowPass
    return kind(frequency=_number(FREQUENCY, match["frequency"]), order=order, family=family)


def fitted_of(text):
    """Return what makes a network of what is written: a function of the driver that it is fitted to."""
    words = _text(text, LINE)
    if match := PADDED.fullmatch(words):
        attenuation = _number(ATTENUATION, match["level"])
        return lambda driver: l_pad(attenuation=attenuation, impedance=driver.nominal_resistance)
    if match := FITTED.fullmatch(words):
        network = (in_series if match["placed"].lower() == "in series" else across)(_component(match["value"]))
        return lambda driver: network
    raise ValueError(LINE)


def _component(text):
    """Make a capacitor, a coil or a resistor, by its unit."""
    if re.search(r"f(d|arads?)?$", text, re.IGNORECASE):
        return Capacitor(capacitance=_number(CAPACITOR, text))
    if re.search(r"h(enry|enries)?$", text, re.IGNORECASE):
        return Inductor(inductance=_number(INDUCTANCE, text))
    return Resistor(resistance=_number(RESISTANCE, text))


def network_of(fitted, driver):
    """Return the network of what is fitted in a driver's line, from the amplifier to the driver; None without any."""
    networks = [make(driver) for make in fitted]
    return sum(networks[1:], networks[0]) if networks else None


def _number(rule, text):
    return value_of("driver", "", rule, text)


def _text(typed, otherwise):
    if not isinstance(typed, str):
        raise ValueError(f"{otherwise}, got {shown(typed)}")
    return " ".join(typed.split())
