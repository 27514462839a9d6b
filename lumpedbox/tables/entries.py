"""What may be kept of a part, value by value, as typed and in SI units."""

from __future__ import annotations

import dataclasses
import difflib
import itertools
import math
import re

from .. import units
from ..arguments import Named, Several, TextOrNumber, takes
from ..errors import Incomplete, Refused, RefusedType
from ..parts.amplifier import Amplifier, HeadUnit
from ..parts.box import SEAM, Door, SealedBox, VentedBox
from ..parts.box.door import Crack
from ..parts.cabin import Cabin, NamedPlaces
from ..parts.data_sheet.printed import SHOWN
from ..parts.line import Converter
from ..parts.stand_in import AXIS, NominalSize
from ..parts.system import WIRINGS
from ..quantity import Holds, LevelPoints, OneOf, Position, Quantity, Text, Whole, shown
from ..units import cm, cm2, litre, mm
from .as_measured import MEASURED, as_measured
from .drivers import sheet_or_stand_in
from .feeds import NOT_KNOWN, Called, Feeds, Line, Names, fed, one_capacitor
from .quantity_text import NUMBER, axes_of, number_in, size_in
from .read import DRIVER_RULES, rules_of
from .readings import AT_LINES, AT_WIRES, AtVolumes, KeptReadings, readings_in
from .sizes import meant_size
from .written import AXES, WAYS, as_written


def _without_name(kind):
    return {key: rule for key, rule in rules_of(kind).items() if key != "name"}


OPEN, CLOSED = "open", "closed"  # of the boot's air, to that at the ear
CLOSED_BOOT = (
    "a closed boot behind seat and shelf is a space of its own, and nothing here holds for two spaces. "
    "Fold the seat down and write boot open, or measure the cabin"
)
STRUCTURED = (Position, NamedPlaces, LevelPoints, Names)  # what a file holds in lists, or by the names of other parts

_BOX = {"tuning" if key == "fb" else key: rule for key, rule in rules_of(VentedBox).items()}

BOX_RULES = {key: _BOX[key] for key in ("volume", "tuning", "port_area", "Ql", "filling")}
_DOOR, CRACK = rules_of(Door), ("crack_thickness", "crack_length")

DOOR_RULES = {key: _DOOR[key] for key in ("hole_area", "path", "longest_side")} | dict(
    zip(CRACK, Crack.sides, strict=True)
)

CAPACITOR = Quantity(unit="F", meaning="capacitor in series with a driver", low=1e-8, high=0.01, slips=("uF",))
VOLTAGE = Quantity(unit="V", meaning="r.m.s. voltage of the amplifier", low=0.0, high=1e4)
# Of a converter: what one reads on a meter, and how far its trim is turned down.
RATIO = Quantity(unit="V", meaning="volts out for 1 V in, trim turned up", low=1e-4, high=10.0)
TRIM = Quantity(unit="dB", meaning="trim of a converter, from turned up", low=-40.0, high=0.0)

# What may stand in the table of a part of each kind.
KINDS = {
    "driver": {key: rule for key, rule in DRIVER_RULES.items() if key != "name"} | MEASURED,
    "box": BOX_RULES | DOOR_RULES | {"opens_to": _DOOR["opens_to"]},
    "amplifier": _without_name(Amplifier),
    "head_unit": _without_name(HeadUnit),
    "cabin": _without_name(Cabin) | {"table": LevelPoints(), "boot": OneOf((OPEN, CLOSED))},
    "channel": {"feeds": Feeds(), "wiring": OneOf((*WIRINGS, NOT_KNOWN)), "line": Line(), "source": Called()},
    "readings": {"at_volumes": AtVolumes(), "read_at": OneOf((AT_WIRES, AT_LINES))},
    "converter": _without_name(Converter) | {"ratio": RATIO, "trim": TRIM},
}

KIND, TABLE = OneOf(tuple(KINDS)), OneOf((*KINDS, "choices"))
ALONE = OneOf(tuple(kind for kind in KINDS if kind != "channel"))  # made without any other part

NAME, ENTRIES = Text(), Named(None, "text or a number")

_NAMED = dict.fromkeys(("driver", "woofer", "tweeter", "cabin", "place", "door_opening"), Text())
CHOICES = _NAMED | {"voltage": VOLTAGE} | BOX_RULES | DOOR_RULES  # by role

RULES = KINDS | {"choices": CHOICES}

RULE = Holds((Quantity, Whole, OneOf, Text, *STRUCTURED))

# As they are shown; only the volume of a cabin has a unit of its own.
UNITS = SHOWN | {
    "size": ("mm", mm),
    "volume": ("litres", litre),
    "port_area": ("cm²", cm2),
    "hole_area": ("cm²", cm2),
    "crack_thickness": ("mm", mm),
}

CABIN_UNITS = {"volume": ("m3", 1.0)}

# What to write of an oval where a round one is asked for.
OF_AN_OVAL = {
    "cutout": "the hole of an oval is not round: write its longer axis alone",
    "diameter": "an oval has no diameter: write its cone area, Sd",
}
ALIKE, WORD = (0.5, 0.65), 12  # share of letters that two spellings have in common, of a word, of a longer name: ours


@takes(kind=TABLE, key=NAME, rule=RULE)
def unit_of(kind, key, rule):
    """Return the unit in which a quantity is shown, and its size in SI units."""
    known = UNITS | CABIN_UNITS if kind == "cabin" else UNITS
    return known.get(key, (rule.unit, 1.0)) if isinstance(rule, Quantity) else ("", 1.0)


@takes(kind=TABLE, key=NAME, value=TextOrNumber(), digits=Whole("digits that are shown", range(1, 18)))
def in_words(kind, key, value, digits=10):
    """Return an SI value as text with the unit in which it is shown."""
    if isinstance(value, str):
        return value
    rules = RULES[kind]
    unit, size = unit_of(kind, key, rules[OneOf(tuple(rules)).accept("in_words", "key", key)])
    return f"{value / size:.{digits}g} {unit}".rstrip()


@takes(kind=TABLE, key=NAME, rule=RULE)
def value_of(kind, key, rule, typed):
    """Read one value as typed.

    Parameters
    ----------
    kind, key : str
    rule : Quantity, Whole, OneOf, Text, Position, NamedPlaces or LevelPoints
    typed : str, number, or lists of texts
        A plain number will do where the quantity has no unit. Lists, or text, where there are places or levels.

    Returns
    -------
    float, int or str; of an oval the pair of its axes; of places and levels tuples, of named ones a dict of them
        [SI]

    Raises
    ------
    ValueError
        In words for the person who typed it, without the key: whoever shows it names that.
    """
    if isinstance(rule, STRUCTURED):
        return _several(kind, key, rule, as_written(rule, typed))
    if not isinstance(typed, (str, int, float)) or isinstance(typed, bool):
        raise ValueError("write it as text, with its unit")
    unit, size = unit_of(kind, key, rule)
    try:
        if isinstance(rule, (Quantity, Whole)):
            return _number(kind, key, rule, typed, unit, size)
        return rule.accept(kind, key, typed)
    except (Refused, RefusedType) as error:
        raise ValueError(error.sentence) from None


def _several(kind, key, rule, written):
    """Read a place, places by name, or levels, number by number; or names of other parts. [SI]"""
    if isinstance(rule, Line):
        return {name: _capacitance(name, one_capacitor(fitted)) for name, fitted in written.items()}
    if isinstance(rule, AtVolumes):
        return readings_in("\n".join(written))
    if isinstance(rule, Feeds):
        return tuple(tuple(member) if isinstance(member, list) else member for member in written)
    if isinstance(rule, Called):
        return written
    if isinstance(rule, NamedPlaces):
        return {name: _at(name, kind, key, place) for name, place in written.items()}
    if isinstance(rule, Position):
        return tuple(value_of(kind, "length", axis, text) for axis, text in zip(AXES, written, strict=True))
    numbers = (LevelPoints.frequency, LevelPoints.level)
    points = tuple(
        tuple(value_of(kind, "", one, text) for one, text in zip(numbers, pair, strict=True)) for pair in written
    )
    try:
        return rule.accept(kind, key, points)
    except (Refused, RefusedType) as error:
        raise ValueError(error.sentence) from None


def _at(name, kind, key, place):
    try:
        return _several(kind, key, Position(), place)
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None


def _capacitance(name, text):
    """Read the capacitor in series with a driver of some name. [F]"""
    try:
        return value_of("driver", "built_in_capacitance", CAPACITOR, text)
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None


def _number(kind, key, rule, typed, unit, size):
    typed = typed if isinstance(typed, str) else _as_float(typed)
    if unit not in ("", "dB") and not isinstance(typed, str):
        raise ValueError(f'write the unit too, as in {key} = "{typed:g} {unit}"')
    if isinstance(rule, NominalSize):
        return _size(rule, typed, unit, size)
    if key in OF_AN_OVAL and len(axes_of(typed)) > 1:
        raise ValueError(OF_AN_OVAL[key])
    number = number_in(typed, unit, size) if isinstance(typed, str) else typed
    if isinstance(rule, Whole):
        return rule.accept(kind, key, int(number) if number.is_integer() else number)
    if not rule.low <= number <= rule.high:
        raise ValueError(f"{_bounds(rule, unit, size)}, got {typed}{_meant(rule, typed, unit, size)}")
    return number


def _bounds(rule, unit, size):
    bounds = f"between {rule.low / size:.5g} and {rule.high / size:.5g} {unit}".rstrip()
    return f"must be {bounds} ({rule.meaning})"


def _size(rule, typed, unit, size):
    """Read a nominal size: one number, or two of an oval."""
    found = size_in(typed, unit, size)
    axes, each = (found, AXIS) if isinstance(found, tuple) else ((found,), rule)
    if not all(each.low <= axis <= each.high for axis in axes):
        raise ValueError(f"{_bounds(each, unit, size)}, got {typed}{meant_size(each, typed)}")
    return rule.single("driver", "size", found)


def _as_float(number):
    try:
        return float(number)
    except OverflowError:
        raise ValueError("this is too large a number") from None


def _meant(rule, typed, unit, size):
    """Return what was likely meant: the same number in the usual unit, or in one that is often taken for it."""
    digits = re.match(NUMBER, str(typed).strip())
    often = {name: getattr(units, name) for name in rule.slips if "_" not in name}
    for name, factor in ({unit: size} | often).items() if digits and unit else ():
        if rule.low <= float(digits[0]) * factor <= rule.high:
            return f": did you mean {digits[0]} {name}?"
    return ""


@takes(kind=TABLE, typed=ENTRIES)
def known_of(kind, typed):
    """Return key: value of the filled entries of a part. [SI]

    Raises
    ------
    ValueError
        The message names the key, the value and the likely slip.
    """
    rules, known = RULES[kind], {}
    for key, value in typed.items():
        if key not in rules:
            raise ValueError(f"{key!r} is not known{near(key, tuple(rules))}")
        if value != "":
            try:
                known[key] = value_of(kind, key, rules[key], value)
            except ValueError as error:
                raise ValueError(f"{key} = {shown(value)}: {error}") from None
    if kind == "cabin":
        check_places(known)
    if kind == "channel":
        check_line(known)
    return known


@takes(known=ENTRIES)
def check_line(known):
    """Refuse a capacitor of a driver that a channel does not feed, as far as that is known."""
    members = known.get("feeds", known.get("line", {}))
    names = tuple(dict.fromkeys(fed(members)))
    for name in known.get("line", {}):
        if name not in names:
            raise ValueError(f"line: {name!r} is not a driver of this channel{near(name, names)}")


@takes(known=ENTRIES)
def check_places(known):
    """Refuse a place outside the cabin, as far as its sizes are known. [m]"""
    ear = {"ear": known["ear"]} if "ear" in known else {}
    sizes = [known.get(side, math.inf) for side in ("length", "width", "height")]
    for name, place in (ear | known.get("places", {})).items():
        for way, length, size in zip(WAYS, place, sizes, strict=True):
            if length > size * (1 + 1e-9):
                beyond = f"{length:.4g} m {way} is outside, since this cabin has {size:.4g} m there"
                raise ValueError(f"{name} = {_lengths(place)}: {beyond}{_likely_place(place, sizes)}")


def _likely_place(place, sizes):
    """Return what was likely meant: the same lengths in another order; or in cm, if they are 10 cm at least."""
    ordered = (tuple(place[i] for i in order) for order in itertools.permutations(range(3)))
    in_cm = tuple(
        length * cm if length > size and length >= 10 else length for length, size in zip(place, sizes, strict=True)
    )
    for likely in (*ordered, in_cm):
        if all(length <= size for length, size in zip(likely, sizes, strict=True)):
            return f". Did you mean {_lengths(likely)} ({', '.join(WAYS)})?"
    return ""


def _lengths(place):
    return ", ".join(f"{length:.4g}" for length in place) + " m"


@takes(word=NAME, known=Several(NAME, "words that are known"))
def near(word, known):
    """Return a question for the nearest spelling, or what is known."""
    alike = {name.lower(): name for name in known}
    found = difflib.get_close_matches(word.lower(), alike, n=1, cutoff=ALIKE[len(word) > WORD])
    return f": did you mean {alike[found[0]]!r}?" if found else f"; choose from {', '.join(known)}"


@takes(kind=ALONE, name=NAME, known=ENTRIES)
def part_of(kind, name, known):
    """Make a part from what is known of it.

    Returns
    -------
    DataSheet, SealedBox, VentedBox, Door, Amplifier, HeadUnit, Cabin, KeptReadings or Converter

    Raises
    ------
    Incomplete
        If that is not enough yet: it says what to add.
    ValueError
        If one value is not allowed, or they do not go together.
    """
    try:
        if kind == "driver":
            printed = {key: value for key, value in known.items() if key not in MEASURED}
            return as_measured(sheet_or_stand_in({**printed, "name": name}), known)
        if kind == "readings":
            return _readings(name, known)
        return _box(known) if kind == "box" else _plain(kind, name, known)
    except RefusedType as error:
        raise Refused(*error.args) from None
    except Incomplete as error:
        raise Incomplete(error.message, error.ways, otherwise=error.otherwise) from None
    except Refused as error:
        raise (error if error.name else ValueError(error.sentence)) from None


def _box(known):
    _demand(("volume",), known)
    if set(known) & {*DOOR_RULES, "opens_to"}:
        return _door(known)
    same = {key: known[key] for key in ("volume", "Ql", "filling") if key in known}
    if "tuning" in known:
        return VentedBox(fb=known["tuning"], port_area=known.get("port_area"), **same)
    if "port_area" in known:
        raise Incomplete("a port needs a tuning: add tuning", [("tuning",)])
    return SealedBox(**same)


def _door(known):
    """Make a door of a box that has a hole or a crack that nobody meant."""
    if foreign := [key for key in ("tuning", "port_area", "Ql", "filling") if key in known]:
        raise ValueError(f"a door has no {foreign[0]}: leave that out, or leave out what is known of its hole")
    same = {key: known[key] for key in ("volume", "path", "longest_side", "opens_to") if key in known}
    if not any(key in known for key in CRACK):
        if "hole_area" not in known:
            raise Incomplete("add hole_area, or crack_thickness and crack_length", [("hole_area",), CRACK])
        return Door(hole_area=known["hole_area"], **same)
    _demand(CRACK, known)
    if "hole_area" in known:
        raise ValueError("a door has hole_area or a crack: leave one of them out")
    return Door(crack=tuple(known[key] for key in CRACK), hole_depth=SEAM, **same)


def _readings(name, known):
    _demand(("at_volumes",), known)
    return KeptReadings(name, known.get("read_at") == AT_LINES, known["at_volumes"])


def _plain(kind, name, known):
    part = {"amplifier": Amplifier, "head_unit": HeadUnit, "cabin": Cabin, "converter": Converter}[kind]
    needed = [spec.name for spec in dataclasses.fields(part) if spec.default is dataclasses.MISSING]
    _demand([key for key in needed if key != "minimum_load"], known)
    if kind == "amplifier":  # it can surely take the load that its power is given at
        known = {"minimum_load": known["rated_impedance"]} | known
    if kind == "cabin":
        return _cabin(name, known)
    return part(name=name, **{key: value for key, value in known.items() if key != "trim"})


def _cabin(name, known):
    check_places(known)
    measured = known.get("law") == "measured"
    if measured:
        _demand(("table",), known)
    known = dict(known)
    if known.pop("boot", OPEN) == CLOSED and not measured:
        raise ValueError(CLOSED_BOOT)
    made = Cabin(name=name, **known)
    made.check_as_measured()
    return made


def _demand(keys, known):
    absent = [key for key in keys if key not in known]
    if absent:
        raise Incomplete(f"add {' and '.join(absent)}", [absent])
