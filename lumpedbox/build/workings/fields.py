"""Rules for fields that only boxes have."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ...arguments import Several
from ...errors import Refused, RefusedType
from ...quantity import Quantity, Text, rule, ruled, shown

SLIPS = ("mm", "cm", "inch")


@rule
class One(Quantity):
    """A number with a unit: boxes come singly, so a family is refused."""

    def accept(self, owner, name, value):
        """Return `value` as a float."""
        accepted = Quantity.accept(self, owner, name, value)
        if np.ndim(accepted):
            raise RefusedType(owner, name, f"must be a single number ({self.meaning}), got {np.size(accepted)} of them")
        return accepted


def one(unit, meaning, low, high, *, default=..., slips=()):
    """Make a field of a part that holds a single number; a default of None makes it optional."""
    number = One(unit=unit, meaning=meaning, low=low, high=high, slips=slips, optional=default is None)
    return ruled(number) if default is ... else ruled(number, default)


def length_field(meaning, low, high, default=...):
    """Make a field that holds a length."""
    return one("m", meaning, low, high, default=default, slips=SLIPS)


def measure(meaning, low, high):
    """Make the rule of an argument that is a length."""
    return One(unit="m", meaning=meaning, low=low, high=high, slips=SLIPS)


COORDINATE = measure("coordinate", -10.0, 10.0)


@rule
class Outline:
    """Corners of a polygon in a plane, each x, y in m."""

    fewest: int = 3
    most: int = 40

    def accept(self, owner, name, value):
        """Return a tuple of pairs."""
        try:
            pairs = [tuple(pair) for pair in value]
        except TypeError:
            pairs = []
        wanted = f"must be {self.fewest} to {self.most} corners, each (x, y) in m"
        if isinstance(value, (str, Mapping)) or any(len(pair) != 2 for pair in pairs):
            raise RefusedType(owner, name, f"{wanted}, got {shown(value)}")
        if not self.fewest <= len(pairs) <= self.most:
            many = f"{len(pairs)} of them" if pairs else shown(value)
            raise RefusedType(owner, name, f"{wanted}, got {many}")
        return tuple(
            tuple(COORDINATE.accept(owner, f"{name}[{i}]", coordinate) for coordinate in pair)
            for i, pair in enumerate(pairs)
        )


class DifferentNames:
    """Names, each another, none empty."""

    def accept(self, owner, name, value):
        """Return a tuple of texts."""
        names = Several(Text(), "names").accept(owner, name, value)
        for i, one_name in enumerate(names):
            if not one_name.strip() or one_name != one_name.strip():
                raise Refused(owner, name, f"must be words, but name {i + 1} is {one_name!r}")
            if one_name in RESERVED:
                raise Refused(owner, name, f"may not use {one_name!r}: every box has it already")
            if one_name in names[:i]:
                raise Refused(owner, name, f"must differ, but {one_name!r} is there twice")
        return names


RESERVED = ("cheeks", "left cheek", "right cheek", "width")


@rule
class Pairs:
    """A dict from names to what a rule takes, kept as pairs; pairs will do too."""

    rule: object
    meaning: str

    def accept(self, owner, name, value):
        """Return a tuple of (name, value)."""
        try:
            pairs = None if isinstance(value, str) else dict(value)
        except (TypeError, ValueError):
            pairs = None
        if pairs is None or not all(self._is_key(key) for key in pairs):
            raise RefusedType(owner, name, f"must be a dict from {self._keys()} to {self.meaning}, got {shown(value)}")
        return tuple((key, self.rule.accept(owner, f"{name}[{key!r}]", item)) for key, item in pairs.items())

    def _is_key(self, key):
        return isinstance(key, str)

    def _keys(self):
        return "names"


class JointPairs(Pairs):
    """The same from two neighbours to the joint between them."""

    def _is_key(self, key):
        return isinstance(key, tuple) and len(key) == 2 and all(isinstance(name, str) for name in key)

    def _keys(self):
        return "(panel, panel)"


class Words:
    """Some names in a row, or none; a lone text will do."""

    def accept(self, owner, name, value):
        """Return a tuple of texts."""
        try:
            empty = not isinstance(value, (str, Mapping)) and len(value) == 0
        except TypeError:
            empty = False
        return () if empty else Several(Text(), "names").accept(owner, name, value)


@rule
class Sides:
    """Two lengths of a rectangle, in m."""

    meaning: str
    side: Quantity
    optional: bool = False

    def accept(self, owner, name, value):
        """Return a tuple of two floats."""
        if value is None and self.optional:
            return None
        try:
            items = None if isinstance(value, (str, Mapping)) else tuple(value)
        except TypeError:
            items = None
        if items is None or len(items) != 2:
            raise RefusedType(owner, name, f"must be two lengths in m ({self.meaning}), got {shown(value)}")
        return tuple(self.side.accept(owner, f"{name}[{i}]", item) for i, item in enumerate(items))


@rule
class AnyNumber:
    """Any number of what a rule takes, none included."""

    rule: object
    meaning: str

    def accept(self, owner, name, value):
        """Return a tuple."""
        try:
            items = None if isinstance(value, (str, bytes, Mapping)) else list(value)
        except TypeError:
            items = None
        if items is None:
            raise RefusedType(owner, name, f"must be a row of {self.meaning}, got {shown(value)}")
        return tuple(self.rule.accept(owner, f"{name}[{i}]", item) for i, item in enumerate(items))
