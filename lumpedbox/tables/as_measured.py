"""What a measurement tells of a driver beyond its data sheet: its coil as K s^n, and how sure each number is."""

from __future__ import annotations

import dataclasses
import re

from ..parts.small_signal import RULES
from ..parts.spread import Spread
from ..quantity import Text, rule, shown
from .quantity_text import NUMBER

EACH = re.compile(rf"\s*(?P<name>[A-Za-z]+)\s+(?P<percent>{NUMBER})\s*%\s*(?:[,;]|$)")
NAMES = tuple(spec.name for spec in dataclasses.fields(Spread))
LIKE_THIS = "write it as in Re 0.3 %, Bl 0.5 %"


@rule
class Sureness(Text):
    """How far each number of a driver may be off, in words: "Re 0.3 %, Bl 0.5 %"."""

    def accept(self, owner, name, value):
        """Return the words, once they can be read."""
        spread_in(Text.accept(self, owner, name, value))
        return value


def spread_in(words):
    """Return the `Spread` that words tell."""
    found, at = {}, 0
    while match := EACH.match(words, at):
        found[match["name"]], at = float(match["percent"]) / 100, match.end()
    if at < len(words.rstrip()) or not found:
        raise ValueError(f"{LIKE_THIS}, got {shown(words)}")
    unknown = next((one for one in found if one not in NAMES), None)
    if unknown:
        raise ValueError(f"{unknown!r} has no spread; choose from {', '.join(NAMES)}")
    return Spread(**found)


MEASURED = {
    "semi_inductance": RULES["semi_inductance"],
    "semi_exponent": RULES["semi_exponent"],
    "spread": Sureness(),
}


def in_percent(spread):
    """Return a spread in words, as it is kept; what has none is left out."""
    each = ((name, getattr(spread, name)) for name in NAMES)
    return ", ".join(f"{name} {100 * value:.3g} %" for name, value in each if value > 0)


def as_measured(sheet, known):
    """Return a data sheet whose driver has what a measurement told of it beyond the sheet."""
    told = {name: known[name] for name in MEASURED if name in known}
    if "spread" in told:
        told["spread"] = spread_in(told["spread"])
    return sheet._replace(driver=dataclasses.replace(sheet.driver, **told)) if told else sheet
