"""A drawing of a box as a table of plain values, such as a file holds, and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, fields

from ..arguments import Named, Single, takes
from ..errors import Refused, RefusedType
from ..quantity import Holds, OneOf, Part, part, ruled, shown
from .carcass import Carcass
from .inside import Inside
from .space import Space
from .stock import Stock
from .workings.fields import JointPairs, Pairs

KIND = "kind"  # key of a table that may be of several kinds


@part
class Drawn(Part):
    """All that a drawing says: the box, what is in it, where it goes, and the board it is cut from.

    Parameters
    ----------
    box : Carcass
    inside : Inside
    space : Space, optional
    stock : tuple of Stock
        Empty where no sheet is chosen.
    """

    box: Carcass = ruled(Holds((Carcass,)))
    inside: Inside = ruled(Holds((Inside,)), Inside())
    space: Space = ruled(Holds((Space,), optional=True), None)
    stock: tuple = ruled(Holds((Stock,), several=True), ())


DRAWN = Single(Holds((Drawn,)))
TABLE = Named(None, "what stands in a file")


@takes(drawn=DRAWN)
def as_table(drawn):
    """Return a drawing as nested tables, lists, text and numbers: what JSON or TOML holds.

    Numbers are in SI units. What stands at its default is left out.

    Parameters
    ----------
    drawn : Drawn

    Returns
    -------
    dict

    Examples
    --------
    >>> from lumpedbox.build import Board, Profile
    >>> wedge = Profile(points=((0, 0), (0.3, 0), (0.2, 0.4), (0, 0.4)), names=("floor", "front", "top", "back"))
    >>> drawn = Drawn(box=Carcass(profile=wedge, width=0.4, board=Board(thickness=0.018)))
    >>> as_table(drawn)["box"]["board"]
    {'thickness': 0.018}
    >>> from_table(as_table(drawn)) == drawn
    True
    """
    return _table(drawn)


@takes(table=TABLE)
def from_table(table):
    """Return the drawing that a table holds, as `as_table` makes it.

    Parameters
    ----------
    table : dict
        Of plain values in SI units.

    Returns
    -------
    Drawn

    Raises
    ------
    ValueError, TypeError
        If a key is missing or unknown, or a value is refused: the message names the table and the key.
    """
    return _part(Drawn, table, "table")


def _table(made):
    """Return the fields of a part that do not stand at their default."""
    found = {}
    for spec in fields(made):
        value, rule = getattr(made, spec.name), _rule_of(spec)
        if value is not None and (spec.default is MISSING or value != spec.default):
            found[spec.name] = _plain(rule, value)
    return found


def _plain(rule, value):
    """Return a value as plain data."""
    if isinstance(rule, Holds):
        return [_told(rule, each) for each in value] if rule.several else _told(rule, value)
    if isinstance(rule, JointPairs):
        return [[*pair, joint] for pair, joint in value]
    if isinstance(rule, Pairs):
        return {name: _plain(rule.rule, item) for name, item in value}
    return _lists(value)


def _told(rule, made):
    kind = {KIND: type(made).__name__} if len(rule.types) > 1 else {}
    return kind | _table(made)


def _lists(value):
    return [_lists(item) for item in value] if isinstance(value, tuple) else value


def _part(kind, table, where):
    """Return a part of a kind, made from its table."""
    if not isinstance(table, Mapping):
        raise RefusedType("from_table", where, f"must be a table, got {shown(table)}")
    specs = {spec.name: spec for spec in fields(kind)}
    for key in table:
        OneOf(tuple(specs)).accept("from_table", f"{where}, key", key)
    absent = [name for name, spec in specs.items() if spec.default is MISSING and name not in table]
    if absent:
        raise Refused("from_table", where, f"says nothing of its {' and '.join(absent)}: add that")
    return kind(**{key: _value(_rule_of(specs[key]), value, f"{where}.{key}") for key, value in table.items()})


def _value(rule, value, where):
    """Return what a rule accepts, made from plain data."""
    if isinstance(rule, Holds):
        if not rule.several:
            return _one(rule, value, where)
        if not isinstance(value, (list, tuple)):
            raise RefusedType("from_table", where, f"must be a list of tables, got {shown(value)}")
        return tuple(_one(rule, each, f"{where}[{i}]") for i, each in enumerate(value))
    if isinstance(rule, JointPairs):
        return _joints(value, where)
    if isinstance(rule, Pairs) and isinstance(value, Mapping):
        return {name: _value(rule.rule, item, f"{where}.{name}") for name, item in value.items()}
    return value


def _joints(value, where):
    try:
        return {(before, after): joint for before, after, joint in value}
    except (TypeError, ValueError):
        told = f'must be a list such as [["front", "top", "mitre"]], got {shown(value)}'
        raise RefusedType("from_table", where, told) from None


def _one(rule, table, where):
    if len(rule.types) == 1 or not isinstance(table, Mapping):
        return _part(rule.types[0], table, where)
    kinds = {kind.__name__: kind for kind in rule.types}
    kind = OneOf(tuple(kinds)).accept("from_table", f"{where}.{KIND}", table.get(KIND, ""))
    return _part(kinds[kind], {key: value for key, value in table.items() if key != KIND}, where)


def _rule_of(spec):
    rule = spec.metadata["rule"]
    return rule.rule if isinstance(rule, Single) else rule
