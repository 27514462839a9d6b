"""All that an existing step does, as lines of its form: what stands alike left and right is one line."""

from __future__ import annotations

from ....build.workings.gauge import in_both_sizes
from ....tables.channels import NOTHING
from .forms import AS_WRITTEN, EMPTY, WIRED, code_of, driver_of, field, measured, said_together

CHANGES = ("put", "set", "box", "line", "filter", "move", "wiring")
FEED, ANEW = "feed", "to be settled anew"
NUMBERS = {"hole": ("Hole", "cm2"), "volume": ("Litres inside", "litres"), "tuning": ("Tuned to", "Hz")}
KEYS = {"set": ("hole",), "box": ("volume", "tuning")}  # of what is set and of a box, those that the form shows
TEXTS = {"line": "In the line", "filter": "Filter"}


def several(text):
    """Return what is typed with semicolons between."""
    return [one.strip() for one in text.split(";") if one.strip()]


def what_it_does(form):
    """Return a field for each thing that a step does."""
    found = [one for kind, names, value in _done(form) for one in _fields(form, kind, names, value)]
    feed = form.plan.stages[form.name].feed
    if feed is not None:
        as_settled = in_both_sizes(feed.cable.area)
        options = [(as_settled, AS_WRITTEN), (ANEW, EMPTY)]
        found.append(field(FEED, "Wire from the battery", AS_WRITTEN, options=options))
    return found


def _done(form):
    """Yield (kind, names of openings or channels, what stands there) of all that a step does."""
    table = form.table("stage", form.name)
    for kind in CHANGES:
        groups = []
        for name, value in table.get(kind, {}).items():
            alike = next((names for names, other in groups if other == value), None)
            if alike is None:
                groups.append(([name], value))
            else:
                alike.append(name)
        yield from ((kind, names, value) for names, value in groups)


def _fields(form, kind, names, value):
    spots, where = "|".join(names), said_together(names)
    if kind in TEXTS:
        return [field(f"{kind} {spots}", f"{TEXTS[kind]}, {where}", "; ".join(_texts(value)))]
    if kind in KEYS:
        return [
            field(f"{kind} {key} {spots}", f"{NUMBERS[key][0]}, {where}", str(value.get(key, "")))
            for key in KEYS[kind]
            if kind == "box" or key in value
        ]
    if kind == "put":
        code, options, label = _code(value), form.driver_options(), "Driver"
    elif kind == "wiring":
        code, options, label = value, WIRED, "Wired"
    else:
        code, options, label = value if isinstance(value, str) else AS_WRITTEN, form.source_options(), "Driven by"
    known = code in (choice for _, choice in options)
    return [field(f"{kind} {spots}", f"{label}, {where}", code, options=options if known else [*options, (code, code)])]


def _texts(value):
    return [value] if isinstance(value, str) else value


def _code(value):
    return EMPTY if value == NOTHING else code_of(value)


def done_anew(form, typed):
    """Return the table of a step with what is typed in its lines; what stays as it was is left as it is written."""
    table = form.table("stage", form.name)
    for kind, names, value in _done(form):
        new = _anew(kind, "|".join(names), value, typed)
        if new == value:
            continue
        rest = {name: old for name, old in table[kind].items() if name not in names}
        table[kind] = rest if new is None else {n: new if n in names else old for n, old in table[kind].items()}
        if not table[kind]:
            del table[kind]
    if typed.get(FEED) == EMPTY:
        table.pop(FEED, None)
    return table


def _anew(kind, spots, value, typed):
    """Return what stands there by what is typed; None where it is taken out."""
    if kind in KEYS:
        found = dict(value)
        for key in KEYS[kind]:
            text = typed.get(f"{kind} {key} {spots}", str(value.get(key, ""))).strip()
            if text and text != str(value.get(key, "")):
                found[key] = measured(text, NUMBERS[key][1])
            elif not text:
                found.pop(key, None)
        return found if kind == "set" or "volume" in found else None
    code = typed.get(f"{kind} {spots}")
    if kind in TEXTS:
        return value if code is None or several(code) == _texts(value) else several(code) or None
    if code is None or code == (_code(value) if kind == "put" else value) or code == AS_WRITTEN:
        return value
    return code if kind in ("move", "wiring") else NOTHING if code == EMPTY else driver_of(code)


def merged(table, more):
    """Return the table of a step that does more: filters and what is fitted add, of the rest the new one counts."""
    found = dict(table)
    for kind, values in more.items():
        before = table.get(kind, {})
        if kind in TEXTS:
            values = {name: [*_texts(before.get(name, ())), *texts] for name, texts in values.items()}
        found[kind] = before | values
    return found
