"""Fields that know what they hold, and the base class of every part.

A part is a frozen, keyword-only dataclass. Each of its fields carries a rule. The rule turns what the user gave into
what is stored, or refuses it in words.
"""

from __future__ import annotations

import dataclasses
import itertools
import numbers
from dataclasses import MISSING, dataclass, field, fields

import numpy as np

from . import units
from .errors import Refused, RefusedType, shown
from .families import common_shape
from .remembered import frozen, once


def rule(cls):
    """Turn a class into a rule, with nothing that would make it slow: every field has a rule."""
    return dataclass(slots=True, eq=False, repr=False)(cls)


PLAIN = (float, np.float64)


@rule
class Quantity:
    """A number, or an array of numbers (a family), with a unit, a meaning and a permitted range.

    `slips` names the units (of `lumpedbox.units`) in which people give this quantity by mistake.
    """

    unit: str
    meaning: str
    low: float
    high: float
    slips: tuple = ()
    optional: bool = False

    def accept(self, owner, name, value):
        """Return `value` as a float or as a read-only float array of its own."""
        if value is None and self.optional:
            return None
        if type(value) in PLAIN and self.low <= value <= self.high:  # without numpy: pages make thousands of parts
            return float(value)
        array = self._numbers(owner, name, value)
        self._check_range(owner, name, array)
        return float(array) if array.ndim == 0 else frozen(array)

    def single(self, owner, name, value):
        """Return `value` as a float; refuse a family."""
        accepted = self.accept(owner, name, value)
        if np.ndim(accepted):
            several = f"must be a single number ({self.meaning}), got {np.size(accepted)} of them"
            raise RefusedType(owner, name, several)
        return accepted

    def _numbers(self, owner, name, value):
        def refuse(what, hint=""):
            unit = f" in {self.unit}" if self.unit else ""
            problem = f"must be a number or an array of numbers{unit} ({self.meaning}), got {what}"
            return RefusedType(owner, name, problem, hint)

        if hasattr(value, "units"):
            plain = f": give its plain number in {self.unit or 'SI'}"
            raise refuse(f"{value!r}, which carries a unit of its own", plain)
        try:
            given = np.asarray(value)
        except ValueError:
            raise refuse("lists of different lengths") from None
        items = given.ravel().tolist() if given.dtype.kind == "O" else ()
        mixed = np.asarray(value, dtype=object).ravel() if isinstance(value, (list, tuple)) else ()
        if any(isinstance(item, (bool, np.bool_)) for item in (*mixed, *items)) or given.dtype.kind == "b":
            raise refuse("True or False")
        if given.dtype.kind not in "iuf" and not (items and all(isinstance(i, numbers.Real) for i in items)):
            raise refuse(f"{type(value).__name__} {shown(value)}", _unquoted(value))
        if given.size == 0:
            raise refuse("an empty array")
        if isinstance(value, np.ndarray) and type(value) is not np.ndarray and np.ma.is_masked(value):
            raise refuse("a masked array", ": leave out the masked members")
        try:
            return np.array(given, dtype=float)
        except OverflowError:
            bounds = f"between {self.low:g} and {self.high:g} {self._in_words()}"
            raise Refused(owner, name, f"must be {bounds}, got a number too large for any quantity") from None

    def _check_range(self, owner, name, array):
        good = (array >= self.low) & (array <= self.high)
        if good.all():
            return
        index = tuple(int(i) for i in np.argwhere(~good)[0])
        value = float(array[index])
        member = f" (member {index[0] if len(index) == 1 else index})" if index else ""
        bounds = f"between {self.low:g} and {self.high:g} {self._in_words()}"
        raise Refused(owner, name, f"must be {bounds}, got {value:.6g}{member}", self._likely_slip(value))

    def _in_words(self):
        return f"{self.unit} ({self.meaning})" if self.unit else f"({self.meaning})"

    def _likely_slip(self, value):
        for name in self.slips:
            factor = getattr(units, name)
            meant = value + factor if name == "zero_celsius" else value * factor
            if self.low <= meant <= self.high:
                return f": did you mean {value:.6g} {'+' if name == 'zero_celsius' else '*'} {name}?"
        return ""


def _unquoted(value):
    """Ask for the number that was written as text."""
    try:
        return f": did you mean {float(value):.6g}, without quotes?" if isinstance(value, str) else ""
    except ValueError:
        return ""


class Text:
    """Any text: a name or a remark."""

    def single(self, owner, name, value):
        return self.accept(owner, name, value)

    def accept(self, owner, name, value):
        if not isinstance(value, str):
            raise RefusedType(owner, name, f"must be text, got {type(value).__name__} {shown(value)}")
        return value


@rule
class OneOf:
    """One of a few words."""

    words: tuple

    def accept(self, owner, name, value):
        if not isinstance(value, str):
            raise RefusedType(owner, name, f"must be one of {', '.join(self.words)}, got {shown(value)}")
        if not any(self.words):
            raise Refused(owner, name, f"must be a name, but there is none to choose from; got {value!r}")
        if value not in self.words:
            import difflib

            near = difflib.get_close_matches(value, self.words, n=1, cutoff=0.5)
            hint = f": did you mean {near[0]!r}?" if near else ""
            raise Refused(owner, name, f"must be one of {', '.join(self.words)}, got {value!r}", hint)
        return value


@rule
class Whole:
    """A whole number within a range, or one of a few."""

    meaning: str
    allowed: tuple

    def accept(self, owner, name, value):
        if isinstance(value, (bool, np.bool_)) or not isinstance(value, numbers.Integral):
            raise RefusedType(owner, name, f"must be a whole number ({self.meaning}), got {shown(value)}")
        if int(value) not in self.allowed:
            raise Refused(owner, name, f"must be one of {self._choices()} ({self.meaning}), got {shown(value)}")
        return int(value)

    def _choices(self):
        if isinstance(self.allowed, range):
            return f"{self.allowed[0]} to {self.allowed[-1]}"
        return ", ".join(map(str, self.allowed))


@rule
class Holds:
    """A part of given types: one, one or none, or a tuple of any number."""

    types: tuple
    optional: bool = False
    several: bool = False

    def accept(self, owner, name, value):
        if value is None and self.optional:
            return None
        if self.several and isinstance(value, (list, tuple)):
            for item in value:
                self._check(owner, name, item)
            return tuple(value)
        self._check(owner, name, value)
        return (value,) if self.several else value

    def single(self, owner, name, value):
        """Return the part; refuse a family."""
        accepted = self.accept(owner, name, value)
        shape = getattr(accepted, "shape", ())
        if shape:
            kind = type(accepted).__name__
            raise Refused(owner, name, f"must be one {kind}, got a family of shape {shape}", ": take a member")
        return accepted

    def _check(self, owner, name, value):
        if not isinstance(value, self.types):
            kinds = " or ".join(kind.__name__ for kind in self.types)
            hint = f": did you mean {value.__name__}(...)?" if isinstance(value, type) else ""
            raise RefusedType(owner, name, f"must be {kinds}, got {type(value).__name__} {shown(value)}", hint)


class Position:
    """Three coordinates, or none."""

    axis = Quantity(unit="m", meaning="coordinate", low=-100.0, high=100.0, slips=("mm", "cm", "inch"))

    def accept(self, owner, name, value):
        if value is None:
            return None
        try:
            x, y, z = value if isinstance(value, (tuple, list, np.ndarray)) else ()
        except (TypeError, ValueError):
            raise RefusedType(owner, name, f"must be three coordinates (x, y, z) in m, got {shown(value)}") from None
        return tuple(self.axis.accept(owner, f"{name}[{i}]", coordinate) for i, coordinate in enumerate((x, y, z)))


class LevelPoints:
    """Two or more pairs of frequency and level, in rising frequency."""

    frequency = Quantity(unit="Hz", meaning="frequency of a point", low=1e-3, high=1e6, slips=("kHz",))
    level = Quantity(unit="dB", meaning="level of a point", low=-120.0, high=140.0)

    def __init__(self, optional=False):
        self.optional = optional

    def accept(self, owner, name, value):
        if value is None and self.optional:
            return None
        who = f"{owner}.{name}"
        try:
            pairs = [tuple(pair) for pair in value]
        except TypeError:
            pairs = []
        if len(pairs) < 2 or any(len(pair) != 2 for pair in pairs):
            pairs = "two or more pairs (frequency in Hz, level in dB)"
            raise RefusedType(owner, name, f"must be {pairs}, got {shown(value)}")
        points = tuple(
            (self.frequency.single(who, f"[{i}] frequency", f), self.level.single(who, f"[{i}] level", level))
            for i, (f, level) in enumerate(pairs)
        )
        if any(f >= after for (f, _), (after, _) in itertools.pairwise(points)):
            raise Refused(owner, name, f"must be in rising frequency, got {[f for f, _ in points]} Hz")
        return points


def ruled(rule, default=MISSING):
    """Make a dataclass field that obeys `rule`."""
    return field(default=default, metadata={"rule": rule})


def quantity(unit, meaning, low, high, *, default=MISSING, slips=()):
    """Make a dataclass field that holds a `Quantity`; a default of None makes it optional."""
    rule = Quantity(unit=unit, meaning=meaning, low=low, high=high, slips=slips, optional=default is None)
    return ruled(rule, default)


def part(cls):
    """Turn a class into a part: frozen, keyword-only, compared and printed by value."""
    return dataclass(frozen=True, kw_only=True, slots=True, eq=False, repr=False)(cls)


class Part:
    """What every part can do: check itself, compare, print, pick a member of its family."""

    __slots__ = ("_found",)  # by `once`; no field, so it is neither compared nor copied

    def __post_init__(self):
        owner = type(self).__name__
        for spec in fields(self):
            rule = spec.metadata["rule"]
            object.__setattr__(self, spec.name, rule.accept(owner, spec.name, getattr(self, spec.name)))
        common_shape(named_shapes(self))
        self._check_together()

    def _check_together(self):
        """Refuse what no single field can: a subclass says how its fields depend on each other."""

    @once
    def shape(self):
        """Shape of the family that this part stands for; () for a single one."""
        return common_shape(named_shapes(self))

    @once
    def _named_shapes(self):
        """(name, shape) of every array in this part and the parts that it holds, as a tuple."""
        owner = type(self).__name__
        own = (named_shapes(getattr(self, spec.name), f"{owner}.{spec.name}") for spec in fields(self))
        return tuple(itertools.chain.from_iterable(own))

    def member(self, index):
        """Return one member of the family, with plain numbers.

        Parameters
        ----------
        index : int or tuple of int
            Position in an array of `shape`.

        Raises
        ------
        ValueError, TypeError
            If the family has no such position.
        """
        owner, shape = f"{type(self).__name__}.member", self.shape
        position = index if isinstance(index, tuple) else (index,)
        if len(position) != len(shape):
            kind = f"a family of shape {shape} takes one number for each axis" if shape else "this is not a family"
            raise Refused(owner, "index", f"does not fit: {kind}, got {shown(index)}")
        ranges = [Whole("position in the family", range(-count, count)) for count in shape]
        place = [r.accept(owner, f"index[{i}]", at) for i, (r, at) in enumerate(zip(ranges, position, strict=True))]
        return mapped(self, lambda array: float(np.broadcast_to(array, shape)[tuple(place)]))

    def _values(self):
        return tuple(getattr(self, spec.name) for spec in fields(self))

    def __eq__(self, other):
        if type(other) is not type(self):
            return NotImplemented
        return _comparable(self._values()) == _comparable(other._values())

    def __hash__(self):
        return hash((type(self), _comparable(self._values())))

    def __repr__(self):
        shown = [
            f"{spec.name}={_printed(getattr(self, spec.name))}"
            for spec in fields(self)
            if spec.default is MISSING or _comparable(getattr(self, spec.name)) != _comparable(spec.default)
        ]
        return f"{type(self).__name__}({', '.join(shown)})"


def _comparable(value):
    if isinstance(value, tuple):
        return tuple(map(_comparable, value))
    return (value.shape, tuple(value.ravel().tolist())) if isinstance(value, np.ndarray) else value


def _printed(value):
    if isinstance(value, np.ndarray):
        if value.size > 6:
            return f"<{' x '.join(map(str, value.shape))} values from {value.min():.6g} to {value.max():.6g}>"
        return np.array2string(value, separator=", ", formatter={"float_kind": lambda x: f"{x:.6g}"})
    return f"{value:.6g}" if isinstance(value, float) else repr(value)


def mapped(value, change):
    """Return a part, a tuple of parts or a value with every array in it changed by a function of an array."""
    if isinstance(value, np.ndarray):
        return change(value)
    if isinstance(value, tuple):
        return tuple(mapped(item, change) for item in value)
    if isinstance(value, Part):
        changed = {spec.name: mapped(getattr(value, spec.name), change) for spec in fields(value)}
        return dataclasses.replace(value, **changed)
    return value


def named_shapes(value, name=""):
    """List (name, shape) of every array in a part and the parts that it holds."""
    if isinstance(value, np.ndarray):
        return [(name, value.shape)]
    if isinstance(value, tuple):
        return [pair for item in value for pair in named_shapes(item, name)]
    if isinstance(value, Part):
        return list(value._named_shapes)
    return []


def implied(kind, name, value, sources):
    """Return what follows for a field of a part, or refuse it and name the arguments that it follows from."""
    rule = next(spec.metadata["rule"] for spec in fields(kind) if spec.name == name)
    try:
        return dataclasses.replace(rule, slips=()).accept(kind.__name__, name, value)
    except Refused as error:
        raise Refused(error.owner, error.name, error.problem, f"; it follows from {sources}: check those") from None


def missing(who, meaning, remedy):
    """Build the error for a quantity that was asked for but is not known."""
    return ValueError(f"{who} is missing ({meaning}): {remedy}")


def needed(part_, name, remedy):
    """Return a quantity of a part that may be None, or say what is missing."""
    value = getattr(part_, name)
    if value is None:
        rule = next(spec.metadata["rule"] for spec in fields(part_) if spec.name == name)
        raise missing(f"{type(part_).__name__}.{name}", rule.meaning, remedy)
    return value
