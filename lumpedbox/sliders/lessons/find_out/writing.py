"""What a check fills in, written into one's own plan or parts."""

from __future__ import annotations

from pathlib import Path

from ....plan import keep as keep_in_plan
from ....plan import read_plan
from ....plan.files import PLAN_FILE
from ....tables.my_parts import FILE, keep, read
from ....tables.text_file import tables_of
from .meaning import MEASURED

IN_A_PLAN, ALONE = ("opening", "channel"), ("cabin", "plan")
WHOLE = "the plan"  # where a table has no names


def own_plan():
    """Return one's own plan, None if there is none; and what is wrong with it, if it cannot be read."""
    if not Path(PLAN_FILE).exists():
        return None, ""
    try:
        return read_plan(PLAN_FILE), ""
    except ValueError as error:
        return None, str(error)


def as_lines(fill):
    """Return what stands in a file then."""
    return "; ".join(f"{key} = {_toml(value)}" for key, value in fill.values.items())


def _toml(value):
    return f"[{', '.join(map(_toml, value))}]" if isinstance(value, list) else f'"{value}"'


def names_for(fill, plan):
    """Return where it can be written: names of openings or channels of a plan, or of one's own parts."""
    if fill.table in ALONE:
        return [f"{WHOLE}, {fill.table}"] if plan else []
    if fill.table in IN_A_PLAN:
        return list(getattr(plan, f"{fill.table}s")) if plan else []
    try:
        return list(read().typed[fill.table])
    except ValueError:  # every page says what is wrong with the file
        return []


def write_into(fill, name):
    """Write it, and return what to say of that.

    Raises
    ------
    ValueError
        If it cannot be written: nothing is changed then.
    """
    if fill.table in (*ALONE, *IN_A_PLAN):
        return _into_the_plan(fill, name)
    typed = read().typed[fill.table]
    if name not in typed:
        raise ValueError(f"{name!r} is not among your parts any more.")
    keep(fill.table, name, typed[name] | fill.values)
    return f"Written into {FILE}, {name}: {as_lines(fill)}."


def _into_the_plan(fill, name):
    plan = read_plan(Path(PLAN_FILE))
    tables = tables_of(plan.text, PLAN_FILE).get(fill.table, {})
    alone = fill.table in ALONE
    if not alone and name not in getattr(plan, f"{fill.table}s"):
        raise ValueError(f"{name!r} is not in {PLAN_FILE} any more.")
    spelt = "" if alone else next(key for key in tables if " ".join(key.split()) == name)
    known = dict(tables if alone else tables[spelt])
    values = dict(fill.values)
    if "remark" in values and known.get("remark"):
        values["remark"] = f"{known['remark']} {values['remark']}"
    if "filter" in values:  # what was measured before gives way; other filters stay
        kept = [known["filter"]] if isinstance(known.get("filter"), str) else known.get("filter", [])
        values["filter"] = [*(one for one in kept if not one.lower().startswith(MEASURED)), *values["filter"]]
    keep_in_plan(plan, fill.table, known | values, spelt)
    return f"Written into {PLAN_FILE}, {fill.table if alone else name}: {as_lines(fill)}."
