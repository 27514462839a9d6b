"""What the page answers: what to do first, in one sentence and six facts."""

from __future__ import annotations

import numpy as np

from ....figures.cautions import CAUTIONS
from ....plan.checks import drop
from ....plan.checks.battery import RUNNING, system_of
from ....plan.words import WHICH_SYSTEM
from ....response.hearing import CAUTION
from ...kit.answer import Answer, Fact, say, verbatim
from ...kit.forms import as_sentence
from ...kit.outcomes import HEARD, beginnings, first_heard
from ...kit.systems import LEVEL, VOLTAGE
from ...kit.words import ear_time
from .cards import turned
from .words import FREE, gives, in_turn, listed, minus, money, seals

EMPTY = "Nothing known yet. Pick the shape of your vehicle: that is enough to begin."
SENSORS = "ask about sensors and "
WORKING = "Working it out…"
CLEAN = (
    "Clean bass is the mean level from 40 to 80 Hz at the ear. It is taken at the highest drive at which nothing gives "
    "from 40 to 8000 Hz. It never is the bass at a fixed voltage."
)
EAR_TIME = (
    "Ear time is for music at that level, by workplace rules (NIOSH 98-126). "
    "It hardly counts bass, which harms too. Start low."
)
TAKEN = "All levels are at the ear, for a steady tone at that drive. Music has its peaks 12 dB over its mean."
UNKNOWN = say("not known")
NOW, THEN, AT_THE_END = "as found", "after that", "at the end"


def nothing_known():
    """Return the answer while there is no vehicle."""
    return Answer(
        headline=say(EMPTY),
        details=(
            say("Then choose where a loudspeaker sits. Leave out what you do not know: what it leaves open is told."),
        ),
    )


def answer_of(outcomes, order, found):
    """Return the answer for a plan.

    Parameters
    ----------
    outcomes : Outcomes
    order : sequence of str
        The reader's own.
    found : Search or None
        The best order, once it is known.
    """
    if () not in outcomes:
        return Answer(headline=say(WORKING))
    start = outcomes[()]
    advised = advice(outcomes, order, found)
    if not start.figures.bands and not order:
        return Answer(headline=say("Nothing plays yet: choose a place, and say what is in it."), details=_open(start))
    return Answer(
        headline=_headline(outcomes, order, found, advised),
        facts=tuple(_facts(outcomes, order, found, advised)),
        details=tuple(_details(outcomes, found, advised)),
        conditions=say(TAKEN),
        cautions=tuple(_cautions(outcomes, order, advised)),
    )


def advice(outcomes, order, found):
    """Return what to do first: the beginning of the best order, or of one's own as long as that is not known."""
    best = found.best if found is not None else tuple(order[:1])
    return first_heard(outcomes, best) if all(done in outcomes for done in beginnings(best)) else ()


def gain(outcomes, advised):
    """Return by how much the clean bass rises with what is advised. [dB]"""
    return outcomes[advised].figures.clean - outcomes[()].figures.clean


def _headline(outcomes, order, found, advised):
    start = outcomes[()].figures
    if not outcomes.plan.stages:
        words = "{clean} of clean bass as found; first gives {gives}. Add a step."
        return say(words, clean=LEVEL(start.clean), gives=verbatim(gives(start)))
    if not order and found is None:
        return say(WORKING)
    if found is not None and not found.best:
        return say("None of these steps gives you more clean bass: keep your money.")
    if not advised:
        return say(WORKING)
    plan, more = outcomes.plan, gain(outcomes, advised)
    cost = outcomes[advised].cost
    begin = "Do this first" if found is not None else "Your first step"
    words = f"{begin}, {{price}}: {{steps}}"
    numbers = {
        "price": verbatim(f"for {money(cost, plan.currency)}" if cost else FREE),
        "steps": verbatim(in_turn(_careful(plan.stages[name]) for name in advised)),
    }
    if not np.isfinite(more):
        return say(words + ". Its clean bass is not known before.", **numbers)
    if more < HEARD:
        return say(words + ". You will hardly hear it.", **numbers)
    return say(words + ": {more} more.", more=LEVEL(more), **numbers)


def _careful(stage):
    """Return the name of a stage; sensors are asked about before anything is sealed."""
    return f"{SENSORS}{stage.name}" if seals(stage) else stage.name


def _facts(outcomes, order, found, advised):
    shown = {NOW: outcomes[()]}
    if advised:
        shown[THEN] = outcomes[advised]
    if order and tuple(order) != tuple(advised) and order in outcomes:
        shown[AT_THE_END] = outcomes[order]
    figures = {column: outcome.figures for column, outcome in shown.items()}
    currency = outcomes.plan.currency

    def row(name, of):
        return Fact(name, {column: of(figures[column]) for column in figures})

    yield row(
        "clean bass", lambda one: say("{it}", it=LEVEL(one.clean)) if np.isfinite(one.clean) else say("not known")
    )
    yield row("ear time a day", lambda one: say(ear_time(one.exposure).removesuffix(" a day")))
    yield row("treble/bass", lambda one: say(minus(f"{one.thinness:+.1f} dB") if one.bands else "nothing plays"))
    yield row("gives first", lambda one: verbatim(gives(one)))
    yield Fact("money", {column: verbatim(money(outcome.cost, currency)) for column, outcome in shown.items()})
    if found is not None and found.left_out and len(shown) > 1:
        yield Fact("better left out", {THEN if advised else NOW: verbatim(listed(found.left_out))})


def _open(outcome):
    return tuple(verbatim(sentence) for sentence in outcome.figures.open)


def _details(outcomes, found, advised):
    """Yield why, what to mind at the first step, and what is not known."""
    start = outcomes[()].figures
    if found is not None and found.best:
        yield verbatim(" ".join([f"The best order is {in_turn(found.best)}.", *of_the_search(found)]))
    done = []
    for name in advised:
        yield verbatim(" ".join(_about(outcomes.change(done, name), turned(outcomes[(*done, name)].figures))))
        done.append(name)
    yield say(CLEAN)
    if lost := outcomes.plan.feed_drop:
        words = "The feed loses {V} under load: that is {dB} of what an amplifier gives."
        yield say(words, V=VOLTAGE(lost), dB=LEVEL(drop(lost, outcomes.plan.battery or RUNNING[0])))
    if start.unknown:
        yield verbatim(f"Not counted, because it is not known: {'; '.join(start.unknown)}.")
    yield from _open(outcomes[()])
    if start.bands:
        yield from (verbatim(as_sentence(remark)) for remark in outcomes.remarks(()))


def _about(said, set_to):
    """Yield sentences on a step: what is heard, bought, undone and to be looked at."""
    yield f"{as_sentence(said.stage)} At the same volts: {listed(said.heard)}."
    if set_to:
        yield f"Set {set_to}."
    if said.buy:
        yield f"Buy {listed(said.buy)}."
    yield from said.undo
    yield from said.check


def of_the_search(found, limited=False):
    """Say what a search found, and why.

    Parameters
    ----------
    found : Search
    limited : bool
        Whether there was a limit of money.
    """
    judged = str(found.aim)
    if found.aim.clean:
        yield f"It averages {minus(f'{found.value:.1f}')} dB over its stages: {judged}."
    else:
        yield f"It is judged by {judged.removeprefix('- ')}, averaged over its stages."
    if found.worst and found.aim.clean:
        yield f"The worst of {found.orders} possible orders averages {minus(f'{found.worst_value:.1f}')} dB."
    if found.ties > 1:
        yield f"{found.ties} orders are equally good."
    if found.left_out:
        why = "they cost too much or make it worse" if limited else "they make it worse, or no better"
        yield f"Left out: {listed(found.left_out)}; {why}."
    yield "Of orders within 1 dB of the best, this one spends latest."


def _cautions(outcomes, order, advised):
    """Yield the cautions that apply now."""
    plan = outcomes.plan
    steps = [plan.stages[name] for name in dict.fromkeys((*advised, *order))]
    if any(seals(stage) for stage in steps):
        yield say(CAUTIONS["Doors"])
    if any(stage.move for stage in steps):
        system = WHICH_SYSTEM if plan.battery is None else system_of(plan.battery)
        yield say(f"{{system}} {CAUTIONS['Battery']}", system=verbatim(system))
    if any(stage.box for stage in steps):
        yield say(CAUTIONS["Box"])
    yield say(f"{EAR_TIME} {CAUTION}")
