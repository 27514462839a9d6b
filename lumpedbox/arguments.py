"""Rules for the arguments of a function, so that its body holds the equation alone."""

from __future__ import annotations

import functools
import inspect
import itertools
import math
import os
from collections.abc import Mapping

import numpy as np

from .errors import Refused, RefusedType
from .quantity import OneOf, Position, Quantity, Text, frozen, rule, shown


def takes(**rules):
    """Check the arguments of a function by rules, and hand on what the rules make of them.

    An argument left at its default is not checked, so a default of None makes it optional. A refusal begins with the
    function and the argument: `trap.frequency must be between ...`.

    Parameters
    ----------
    rules : by name of the argument
        Anything with `accept(owner, name, value)`: the rules of `lumpedbox.quantity`, and those below.
    """

    def with_rules(function):
        names, by_name_only, defaults = _arguments_of(function)
        unknown = rules.keys() - {*names, *by_name_only}
        if unknown:
            raise TypeError(f"{function.__qualname__} has no argument {', '.join(sorted(unknown))}")
        places = {name: place for place, name in enumerate(names)}
        checks = [
            (places.get(name, math.inf), name, rule.accept, defaults.get(name, ABSENT)) for name, rule in rules.items()
        ]

        @functools.wraps(function)
        def checked(*given, **named):
            owner, in_order = _owner(function, names, given), list(given)
            for place, name, accept, usual in checks:
                if place < len(in_order):
                    arguments, key, value = in_order, place, in_order[place]
                else:
                    arguments, key, value = named, name, named.get(name, usual)
                if value is not usual:
                    arguments[key] = accept(owner, name, value)
            return function(*in_order, **named)

        return checked

    return with_rules


def _arguments_of(function):
    """Return names by position, keyword-only names, and defaults by name (`inspect.signature` would be slow)."""
    code, given = function.__code__, function.__defaults__ or ()
    names = code.co_varnames[: code.co_argcount]
    by_name_only = code.co_varnames[code.co_argcount :][: code.co_kwonlyargcount]
    defaults = dict(zip(names[len(names) - len(given) :], given, strict=True))
    return names, by_name_only, defaults | (function.__kwdefaults__ or {})


def takes_fields_of(kind):
    """Let a class method take the fields of a part by name, and hand it the part: so each name has one home.

    Parameters
    ----------
    kind : type
        The part; the method gets one as its first argument.
    """

    def with_fields(function):
        first, _, *others = inspect.signature(function).parameters.values()
        by_name = inspect.Signature([first, *inspect.signature(kind).parameters.values(), *others])
        own = {one.name for one in others}

        @functools.wraps(function)
        def made(*given, **named):
            try:
                by_name.bind(*given, **named)
            except TypeError as error:
                raise TypeError(f"{_owner(function, ('cls',), given)}() {error}") from None
            of_part = {name: value for name, value in named.items() if name not in own}
            return function(*given, kind(**of_part), **{name: named[name] for name in named.keys() & own})

        made.__signature__ = by_name
        return made

    return with_fields


def _owner(function, names, given):
    """Return what a refusal begins with; of a method, with the class that it was called on."""
    if names[:1] not in (("self",), ("cls",)) or not given:
        return function.__name__
    kind = given[0] if isinstance(given[0], type) else type(given[0])
    return f"{kind.__name__}.{function.__name__}"


@rule
class Single:
    """One value of what a rule takes; a family is refused."""

    rule: object

    def accept(self, owner, name, value):
        return getattr(self.rule, "single", self.rule.accept)(owner, name, value)


def one(unit, meaning, low, high, *, slips=(), optional=False):
    """Return the rule of a single number, as `Quantity` takes them."""
    return Single(Quantity(unit=unit, meaning=meaning, low=low, high=high, slips=slips, optional=optional))


@rule
class Row:
    """A tuple with one entry for each of several rules, such as the two edges of a band."""

    rules: tuple
    meaning: str

    def accept(self, owner, name, value):
        items = _items(value)
        if items is None or len(items) != len(self.rules):
            raise RefusedType(owner, name, f"must be {len(self.rules)} values ({self.meaning}), got {shown(value)}")
        return tuple(
            Single(rule).accept(owner, f"{name}[{i}]", item)
            for i, (rule, item) in enumerate(zip(self.rules, items, strict=True))
        )


@rule
class Several:
    """One or more values of what a rule takes, rising if so told; where it takes texts, a lone text will do."""

    rule: object
    meaning: str
    rising: bool = False

    def accept(self, owner, name, value):
        items = [value] if isinstance(value, str) and isinstance(self.rule, Text) else _items(value)
        if not items:
            raise RefusedType(owner, name, f"must be one or more values ({self.meaning}), got {shown(value)}")
        found = tuple(Single(self.rule).accept(owner, f"{name}[{i}]", item) for i, item in enumerate(items))
        if self.rising and any(one >= after for one, after in itertools.pairwise(found)):
            raise Refused(owner, name, f"must be in rising order ({self.meaning}), got {shown(found)}")
        return found


def _items(value):
    """Return the entries of a sequence, or None for anything else."""
    try:
        return None if isinstance(value, (str, bytes, Mapping)) else list(value)
    except TypeError:
        return None


@rule
class Named:
    """A dict from names to what a rule takes (to anything without a rule); with `names`, from those only."""

    rule: object
    meaning: str
    names: tuple = ()

    def accept(self, owner, name, value):
        if not isinstance(value, Mapping) or not all(isinstance(key, str) for key in value):
            raise RefusedType(owner, name, f"must be a dict from names to {self.meaning}, got {shown(value)}")
        if self.names:
            for key in value:
                OneOf(self.names).accept(owner, name, key)
        if self.rule is None:
            return value
        return {key: self.rule.accept(owner, f"{name}[{key!r}]", item) for key, item in value.items()}


@rule
class Axis:
    """Numbers in one dimension; a single number will do. With `rising`, each is above the one before."""

    quantity: Quantity
    rising: bool = False

    def accept(self, owner, name, value):
        array = np.atleast_1d(self.quantity.accept(owner, name, value))
        if array.ndim != 1:
            raise Refused(owner, name, f"must be one-dimensional in {self.quantity.unit}, got shape {array.shape}")
        if self.rising and (np.diff(array) <= 0).any():
            raise Refused(owner, name, f"must be in rising order in {self.quantity.unit}, got {shown(array)}")
        return frozen(array)


class Places:
    """Points in space: an array of shape (..., 3), handed on as three arrays."""

    def accept(self, owner, name, value):
        try:
            array = np.asarray(value)
        except ValueError:
            array = np.empty(0)
        if array.ndim == 0 or array.shape[-1] != 3:
            wanted = "must be places (x, y, z) in m, an array of shape (..., 3)"
            raise RefusedType(owner, name, f"{wanted}, got {shown(value)}")
        return Position().accept(owner, name, tuple(array[..., i][()] for i in range(3)))


class TextOrNumber:
    """A text, or a single number in SI."""

    number = Quantity(unit="", meaning="in SI", low=-np.inf, high=np.inf)

    def accept(self, owner, name, value):
        return value if isinstance(value, str) else self.number.single(owner, name, value)


class Flag:
    """Yes or no."""

    def accept(self, owner, name, value):
        if not isinstance(value, (bool, np.bool_)):
            raise RefusedType(owner, name, f"must be True or False, got {shown(value)}")
        return bool(value)


@rule
class Function:
    """A function; `of` says what it takes."""

    of: str

    def accept(self, owner, name, value):
        if not callable(value) or isinstance(value, type):
            raise RefusedType(owner, name, f"must be a function of {self.of}, got {shown(value)}")
        return value


class FilePath:
    """Where a file is."""

    def accept(self, owner, name, value):
        if not isinstance(value, (str, os.PathLike)):
            raise RefusedType(owner, name, f"must be the path of a file, as text or a Path, got {shown(value)}")
        return value


ABSENT = object()
FLAG, PATH = Flag(), FilePath()
PROGRESS = Function("two numbers")  # what is done, and what there is in all
FREQUENCY = Quantity(unit="Hz", meaning="frequency", low=1e-3, high=1e6)
FREQUENCIES = Axis(FREQUENCY)
VOLTAGE = Quantity(unit="V", meaning="r.m.s. EMF of the channel", low=1e-9, high=1e4)
DISTANCE = Quantity(unit="m", meaning="distance to the listener", low=0.01, high=1e3, slips=("cm", "mm"))
