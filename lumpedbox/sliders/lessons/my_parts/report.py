"""What is said beside a form: what is printed, what follows, what disagrees, where it serves."""

from __future__ import annotations

from math import sqrt

from ....errors import Incomplete
from ....parts.displacement import assumed_from
from ....parts.driver import Driver, level_of_a_watt
from ....parts.stand_in import size_in_mm
from ....tables.channels import channel_of
from ....tables.drivers import LOUDNESS
from ....tables.entries import in_words, part_of
from ....units import cm2
from ...kit.facts import takes_up
from ...kit.follows import in_both, rows, sentences
from ...kit.forms import as_sentence, in_labels, labels_of
from ...kit.offered import kept_or_wrong, serves
from ...kit.systems import LEVEL, VOLTAGE
from ...kit.words import as_html

FEW = 3  # ways to complete a part; more of them are not shown
HEARD = 0.1  # dB; levels that differ less are printed alike
INTRODUCTION = (
    "Fill in what is printed or measured; leave the rest empty. "
    "A number without a unit takes the one in brackets before it."
)
BEYOND_A_TAPE = ("flex", "leak", "reverberation_time")  # what no tape measures of a cabin
HEADINGS = {
    "box": "What is measured",
    "cabin": "What is measured",
    "channel": "As it is wired",
    "readings": "What was read",
}


def report_of(kind, known, wrong):
    """Say all that can be said of what is typed.

    Parameters
    ----------
    kind : str
    known : dict
        Key: value of what could be read. [SI]
    wrong : iterable of str
        Keys of what could not: it is told at its field.

    Returns
    -------
    str
        HTML.
    """
    labels = labels_of(kind)
    if not known.keys() - {"law"} and not wrong:
        return INTRODUCTION
    told = [row for key, value in known.items() for row in rows(kind, key, value, labels[key])]
    printed = _table(HEADINGS.get(kind, "What is printed"), told)
    mend = _list("Please correct", [labels[key] for key in wrong])
    serves_on, follows = ("", mend) if mend else _what_follows(kind, known)
    return f'<div class="lb-columns"><div>{printed}{serves_on}</div><div>{follows}</div></div>'


def _what_follows(kind, known):
    """Return where a part serves and what follows from it; of what is no part yet, nothing and what is missing."""
    try:
        part = channel_of("", known, kept_or_wrong()[0]) if kind == "channel" else part_of(kind, "", known)
    except Incomplete as error:
        return "", _incomplete(kind, known, error)
    except ValueError as error:
        return "", _list("Not yet", [as_sentence(in_labels(kind, str(error)))])
    told = _of_a_driver(part, known) if kind == "driver" else _of_another(kind, part, known)
    return _where_it_serves(kind, part), told


def _incomplete(kind, known, error):
    """Say what is missing: each of the ways to complete it on a line of its own."""
    labels = labels_of(kind)
    named = [", ".join(labels.get(key, key) for key in way) for way in error.ways[:FEW]]
    named += [in_labels(kind, error.otherwise)] if error.otherwise else []
    head = "Not complete yet: add" if len(named) == 1 else "Not complete yet: add one of these"
    return _list(head, named) + _list("If it prints no cone area", _likely_area(known, error))


def _likely_area(known, error):
    """Offer the cone area that is typical of a size and kind, where that alone is missing."""
    if ("Sd",) not in error.ways or not {"size", "kind"} <= known.keys():
        return
    try:
        area = Driver.typical(size=known["size"], kind=known["kind"]).Sd
    except ValueError:
        return
    one = f"{size_in_mm(known['size'])} {known['kind']}"
    yield f"A {one} usually has about {area / cm2:.0f} cm² (from its size; common practice, no source)."


def _of_another(kind, part, known):
    load = kind == "amplifier" and "minimum_load" not in known
    assumed = [f"Its lowest load is the {part.minimum_load:g} ohm at which its power is given."] if load else []
    if kind == "cabin" and part.table is None:
        assumed += _not_measured(part, known)
    if kind == "box":
        assumed.append("The net volume is what is left when driver, port and braces have taken theirs.")
    return _list("What follows", sentences(part)) + _list("Assumed", assumed)


def _not_measured(cabin, known):
    """Say what is taken of a cabin for what was left empty."""
    labels = labels_of("cabin")
    left = [
        f"{labels[key]}: {in_words('cabin', key, getattr(cabin, key))}" for key in BEYOND_A_TAPE if key not in known
    ]
    if left:
        yield f"{'; '.join(left)}. These are usual values (ours): a tape measure is enough to begin."


def _of_a_driver(sheet, known):
    driver, report = sheet
    disagrees = [_contradiction(entry) for entry in report.contradictory]
    labels = labels_of("driver")
    implied = [(labels[key], *in_both("driver", key, value)) for key, value in report.implied.items()]
    return "".join(
        [
            _list("What disagrees, the likeliest mistake first", disagrees),
            _list("To find out", report.questions),
            _list("Assumed", [*report.assumed, *_about_its_room(driver), *_about_its_hole(known)]),
            _table("What follows", implied),
            _list("About the levels", _about_levels(driver, report)),
        ]
    )


def _contradiction(entry):
    """Return a contradiction with this form's own label for what is printed."""
    return f"{labels_of('driver')[entry.name]} {str(entry)[str(entry).index('is printed') :]}"


def _about_its_room(driver):
    if assumed_from(driver):
        yield takes_up(driver).in_both()


def _about_its_hole(known):
    if isinstance(known.get("size"), tuple):
        yield "Its hole is an oval, which no page draws or checks. Cut it by the maker's template."


def _about_levels(driver, report):
    """Say why the levels at 2.83 V and at 1 W differ, where one is printed and the other follows.

    The load makes them differ; and what follows, follows from the other numbers.
    """
    printed = [name for name in LOUDNESS if name in report.given]
    if len(printed) != 1:
        return
    (follows,) = set(LOUDNESS) - set(printed)
    difference = float(level_of_a_watt(driver))
    if abs(difference) > HEARD:
        load = f"{driver.nominal_resistance:.3g} ohm"
        yield (
            f"1 W into {load} takes {VOLTAGE.metric.text(sqrt(driver.nominal_resistance))}, not 2.83: the level at 1 W "
            f"is {abs(difference):.1f} dB {'lower' if difference < 0 else 'higher'} than at 2.83 V."
        )
    if follows not in report.implied:
        return
    back = -difference if follows == "sensitivity_1W" else difference
    alike = report.implied[follows] + back
    if abs(alike - report.given[printed[0]]) > HEARD:
        at = "2.83 V" if printed[0] == LOUDNESS[0] else "1 W"
        yield (
            f"What follows comes from the other numbers. They imply {LEVEL.metric.text(alike)} at {at}; "
            f"{LEVEL.metric.text(report.given[printed[0]])} are printed."
        )


def _where_it_serves(kind, part):
    on, not_on = serves(kind, part.driver if kind == "driver" else part)
    links = ", ".join(f'<a href="{page}.ipynb">{as_html(called)}</a>' for page, called in on.items())
    lines = [f"Serves on: {links}."] if on else []
    return _items("Pages that can use it", lines + [as_html(f"Not on: {said}.") for said in not_on])


def _table(heading, rows):
    if not rows:
        return ""
    lines = ("".join(f"<td>{as_html(cell)}</td>" for cell in row) for row in rows)
    return f"<b>{heading}</b><table>{''.join(f'<tr>{line}</tr>' for line in lines)}</table>"


def _list(heading, lines):
    return _items(heading, map(as_html, lines))


def _items(heading, lines):
    """Return a list of lines that are HTML already."""
    items = "".join(f"<li>{line}</li>" for line in lines)
    return f"<b>{heading}</b><ul>{items}</ul>" if items else ""
