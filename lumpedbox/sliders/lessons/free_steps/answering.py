"""What the page answers: which order has more on the way, what it has for some money, and what misleads."""

from __future__ import annotations

import numpy as np

from ...kit.answer import Answer, Fact, say, verbatim
from ...kit.outcomes import HEARD
from ...kit.systems import LEVEL, same
from ...kit.words import ear_time

CREDITS = same("credits", decimals=0)
SEAL, SMALL = "seal the step wells", "small drivers in the step wells"
FOR_NOTHING, SO_FAR, MEAN, END, OF_SMALL = (
    "for nothing",
    "for that money",
    "on average",
    "at the end",
    "small drivers add",
)
SAME = 0.05  # dB; what is told would read alike
AVERAGE = (
    "The average is that of the clean bass after each step. A step that is left out counts as a turn at which nothing "
    "changes."
)
CLEAN = (
    "Clean bass is the mean level from 40 to 80 Hz at the ear. It is taken as loud as all drivers play from 40 to "
    "8000 Hz before anything gives."
)
LEVELS = "Each state has the amplifier's levels that make its clean bass highest. Volts count ahead of them."
CONDITIONS = say("The invented minibus, its plan and its money, by the resonances of its cabin; left seat, middle row.")


def answer_of(ways, names, orders, money, coarse=False):
    """Return the answer for two orders.

    Parameters
    ----------
    ways : Ways
    names : (str, str)
        Of the orders.
    orders : (tuple, tuple)
        Their steps.
    money : float
        What is spent so far. [1]
    coarse : bool
        Whether what takes other orders of the steps is still left out.
    """
    pair = tuple(ways[order] for order in orders)
    columns = dict(zip(names, pair, strict=True))

    def row(name, of):
        return Fact(name, {column: of(way) for column, way in columns.items()})

    def level(decibels):
        return say("{it}", it=LEVEL(decibels))

    facts = (
        row(FOR_NOTHING, lambda way: level(way.clean[way.after(0.0)])),
        row(SO_FAR, lambda way: level(way.clean[way.after(money)])),
        row(MEAN, lambda way: level(way.mean)),
        row(END, lambda way: level(way.clean[-1])),
        row(OF_SMALL, lambda way: signed(way.worth[SMALL]) if SMALL in way.worth else say("left out")),
    )
    return Answer(
        headline=headline(names, pair),
        facts=facts,
        details=tuple(_details(ways, columns, coarse)),
        conditions=CONDITIONS,
        cautions=tuple(_cautions(pair)),
    )


def headline(names, pair):
    """Say which of two orders has more clean bass on average, and whether it costs and ends the same."""
    first, second = pair
    if first.order == second.order:
        return say("Both orders are the same: choose another one to compare.")
    by = second.mean - first.mean
    (more, less), (best, other) = (names[::-1], pair[::-1]) if by > 0 else (names, pair)
    begin = f"{more[0].upper()}{more[1:]} averages {{more}} more clean bass than {less}"
    if abs(by) < SAME:
        begin = f"{names[0][0].upper()}{names[0][1:]} and {names[1]} average the same clean bass"
    return say(f"{begin}, {_ending(best, other)}.", more=LEVEL(abs(by)), **_louder(best, other))


def _louder(best, other):
    by = best.clean[-1] - other.clean[-1]
    return {} if abs(by) < SAME else {"end": LEVEL(abs(by))}


def _ending(best, other):
    by = best.clean[-1] - other.clean[-1]
    if abs(by) >= SAME:
        return f"{'and' if by > 0 else 'but'} ends {{end}} {'louder' if by > 0 else 'softer'}"
    return "for the same money and end" if best.cost[-1] == other.cost[-1] else "and ends the same"


def signed(decibels):
    """Say a change with its sign. [dB]"""
    if abs(decibels) < SAME:
        return say("nothing")
    return say(f"{'+' if decibels > 0 else '−'}{{by}}", by=LEVEL(abs(decibels)))


def _details(ways, columns, coarse):
    """Yield the orders in words, what misleads, and what is meant."""
    for name, way in columns.items():
        steps = verbatim(". Then ".join(way.order)) if way.order else say("nothing at all")
        yield say(f"{name[0].upper()}{name[1:]}: {{steps}}.", steps=steps)
    first = ways[()].along[0].figures.first
    yield verbatim(f"As found {first}. All drivers follow one knob, so nothing plays louder until that is spared.")
    for name, way in columns.items():
        if (misled := misleading(way)) is not None:
            step, fixed, clean = misled
            yield say(
                f"What misleads in {name}: {{step}}. At fixed volts it looks like {{fixed}}; clean it is {{clean}}.",
                step=verbatim(step),
                fixed=signed(fixed),
                clean=signed(clean),
            )
    if not coarse:
        yield from _of_other_orders(ways)
    yield from map(say, (AVERAGE, CLEAN, LEVELS))


def _of_other_orders(ways):
    """Yield what the same step does early and late, and what there is in all orders."""
    yield say(
        "The same small drivers: {leaky} where the wells leak, {sealed} once they are sealed. Sealed, small ones play "
        "about as loud as the roof, and against it.",
        leaky=signed(ways.change(SMALL)),
        sealed=signed(ways.change(SMALL, SEAL)),
    )
    yield say(
        "Of {orders} orders of all steps the best averages {best}, the worst {worst}. All of them end the same.",
        orders=same("", decimals=0)(ways.searched.orders),
        best=LEVEL(ways.searched.value),
        worst=LEVEL(ways.searched.worst_value),
    )
    yield say(
        "The fair share of a step is its mean worth over all these orders. All shares add up to what all steps do."
    )


def misleading(way):
    """Return the step that looks most wrong at fixed volts, and its change there and of the clean bass; None if none.

    One that goes the other way comes first, by what can be heard; else the one that differs most.
    """
    changes = list(zip(way.order, np.diff(way.fixed).tolist(), np.diff(way.clean).tolist(), strict=True))
    wrong = [(step, fixed, clean) for step, fixed, clean in changes if abs(fixed - clean) >= HEARD]
    return max(wrong, key=lambda one: (one[1] * one[2] < 0, abs(one[1] - one[2])), default=None)


def _cautions(pair):
    loudest = max((way.along[-1].figures for way in pair), key=lambda found: found.clean)
    yield say(
        f"Music as loud as at the end: {ear_time(loudest.exposure)} (NIOSH 98-126). That rule hardly counts bass, "
        "which harms too."
    )
    if any(SEAL in way.order for way in pair):
        yield say(
            "Before you seal anything, find out whether sensors sit there; where fitted or unknown, ask the maker."
        )
