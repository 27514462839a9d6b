"""What the page says: the cause that explains most and what to do, or what to measure next."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ....measure.comparing import SURE
from ....measure.curves import FEWEST
from ....measure.knobs import UNPLANNED_LEAK
from ....parts.box import VentedBox
from ...kit.answer import Answer, Fact, say, verbatim
from ...kit.systems import FREQUENCY, LEVEL, SHIFT, VOLUME, same
from .planned import STAGE, is_stage
from .readings import HIGHEST, IMPEDANCE, LOWEST, frequencies_of, gap_in, is_invented
from .readings import LEVEL as IN_VEHICLE
from .upcoming import ENOUGH, coming

PLANNED, MEASURED = "planned", "measured"
LITRES, TUNED, LEAK, LOSS = "net volume", "tuned to", "leakage Q", "absorption Q"
READINGS_OFF, ALSO, SURE_TO = "readings off by", "could also be", "how sure"
PERCENT, HERTZ, Q = same("%", decimals=0, told=0), same("Hz", decimals=1), same("", decimals=1)
OF_A_BOX = ("volume", LITRES, VOLUME), ("tuning", TUNED, HERTZ), ("Ql", LEAK, Q)
LOSSY = (*OF_A_BOX[:2], ("Qa", LOSS, Q))
AS_PLANNED = say("It came out as planned, within what hands and parts usually differ.")
NO_CAUSE = say("No single cause explains it: are plan and readings of the same box and driver?")
NOT_TOGETHER = say("Readings and plan do not go together: see below why.")
COMPARING = "Comparing {count} readings with the plan …"
LEFT = {IMPEDANCE: 0.06, IN_VEHICLE: 3.0}  # r.m.s. left with the best cause [1], [dB], from which none is named: ours
LONGEST = 20  # words of a headline
CLOSE = 9.0  # of chi-square: a second cause that explains so nearly as much could be it as well
MUCH_MORE = 4.0  # times what is left over with all that usually differs: then it is told what the cause leaves alone
LEAKS = 1.5  # times as much as planned: ours
OTHERWISE, CLEARLY = 0.25, 4.0  # of a logarithm; standard deviations: ours
HUGE = 200.0  # of a Q: it says no more than that there is hardly any loss
TRY = {
    "volume": "count again what stands in it",
    "tuning": "measure the port, from end to end",
    "leak": "seal joints and gasket, then measure again",
    "loss": "take out filling, then measure again",
    "suspension": "let it play for an hour, then measure again",
    "polarity": "swap them at one end",
    "level": "set the levels anew",
    "place": "put it back, then measure again",
}
IN_WORDS = {
    "volume": "another volume",
    "tuning": "another tuning",
    "leak": "a leak",
    "loss": "filling",
    "suspension": "the suspension",
    "polarity": "swapped wires",
    "level": "a channel's level",
    "place": "the microphone's place",
}
CANNOT = {
    IMPEDANCE: (
        "An impedance does not tell: swapped wires, a channel's level, the place in the vehicle. "
        "For those, measure the level in the vehicle.",
        "A leak beside the driver and one at the back look alike. So do a stiffer suspension and less air, nearly.",
        "A resistor in line that is off by 5 % puts every ohm off by 5 %: read it first.",
    ),
    IN_VEHICLE: (
        "A phone knows no level on the whole: the readings are moved up or down onto the plan. So it does not tell "
        "whether all is too soft.",
        "A head or a phone moved by 10 cm changes the level by about 2 dB above 40 Hz: keep it where the ear is meant.",
        "Seats, trim and people are not in the plan. Below 40 Hz many phones hear little: doubt those readings.",
    ),
}
UNLIKE = (
    "What comes nearest leaves too much, or the box comes out quite otherwise once all its numbers are free.",
    "Look first: is it the same driver, the same kind of box, the right resistor in line? Then two causes at once.",
)
BAND = "The band holds four of five boxes, each with parts and hands as they usually are (common practice, no source)."
SPREAD = "This driver was measured: its own spread makes the band."
SLOW = say("With several loudspeakers this takes a minute or more. Go on meanwhile: the page stays awake.")


def answer(scene, values):
    """Return the `Answer` of the page."""
    compared = scene.comparison
    return Answer(
        headline=headline(scene, values),
        facts=tuple(facts(compared.found, scene) if compared and compared.found else ()),
        details=tuple(details(scene, values)),
        conditions=conditions(scene, values),
        cautions=tuple(cautions(scene, values)),
    )


def headline(scene, values):
    """Say what explains most and what to do; or what to measure next."""
    count = 0 if scene.measured is None else len(frequencies_of(scene.measured))
    if scene.comparison is None:
        if scene.waits(values):
            return say(COMPARING.format(count=count))
        at = HERTZ(coming(scene))
        if not count:
            return say("Nothing is measured yet: begin with a tone of {at}.", at=at)
        return say(f"Go on: next {{at}}. {count} of {FEWEST} readings that a comparison needs at least.", at=at)
    found = scene.comparison.found
    if found is None:
        return NOT_TOGETHER
    if is_unlike(found, scene.kind):
        return NO_CAUSE
    if found.first is None:
        return AS_PLANNED
    told, to_do = sentence(found.first, scene.system, found.corrected), TRY[found.first.name]
    whole = say("{told}: " + f"{to_do}.", told=told)
    return whole if len(whole.text(scene.units).split()) <= LONGEST else say("{told}.", told=told)


def named(scene):
    """Whether a cause is named."""
    found = scene.comparison and scene.comparison.found
    return bool(found) and found.first is not None and not is_unlike(found, scene.kind)


def is_unlike(found, kind):
    """Whether the first cause leaves much, or the box comes out otherwise once nothing of it is held."""
    return found.after > LEFT[kind] or contradicted(found)


def contradicted(found):
    """Whether volume or tuning come out otherwise than with the first cause alone."""
    if found.first is None or not found.values:
        return False
    box = found.corrected.loudspeakers[0].box
    for name, value in ({"volume": box.volume} | _tuned(box)).items():
        together, deviation = found.values[name], found.standard_deviations[name]
        if abs(np.log(together / value)) > OTHERWISE and abs(together - value) > CLEARLY * deviation:
            return True
    return False


def sentence(cause, planned, corrected):
    """Say what a cause is, without a full stop at its end."""
    of = verbatim(f" of {cause.loudspeaker}" if cause.loudspeaker else "")
    names = planned.names
    at = names.index(cause.loudspeaker) if cause.loudspeaker in names else 0
    before, after = planned.loudspeakers[at].box, corrected.loudspeakers[at].box
    times = f"{np.exp(cause.amount):.1f} times"
    if cause.name == "volume":
        volumes = {"now": VOLUME(after.volume), "then": VOLUME(before.volume)}
        return say("The box{of} holds {now}, not {then}", of=of, **volumes)
    if cause.name == "tuning":
        return say(
            "The box{of} is tuned to {now}, not {then}", of=of, now=HERTZ(after.tuning()), then=HERTZ(before.tuning())
        )
    if cause.name == "leak":
        return say(f"The box{{of}} leaks {times} as much as planned", of=of)
    if cause.name == "loss":
        return say(f"The box{{of}} loses {times} as much inside as planned", of=of)
    if cause.name == "suspension":
        share, which = 100 * abs(np.expm1(cause.amount)), "softer" if cause.amount > 0 else "stiffer"
        return say(f"The suspension{{of}} is {{share}} {which} than planned", of=of, share=PERCENT(share))
    if cause.name == "polarity":
        return say("The + and - wires{of} are swapped", of=of)
    if cause.name == "level":
        which = "high" if cause.amount > 0 else "low"
        return say(f"The level{{of}} is {{by}} too {which} against the rest", of=of, by=LEVEL(abs(cause.amount)))
    return say("The microphone was {by} from where it was meant", by=SHIFT(cause.amount))


def facts(found, scene):
    """Yield the numbers as planned and as measured, how far off, and how sure."""
    if found.values:
        yield from _of_the_box(found, scene.system.loudspeakers[0].box)
    kind = PERCENT if scene.kind == IMPEDANCE else LEVEL
    size = 100 if scene.kind == IMPEDANCE else 1
    before = {PLANNED: say("{by}", by=kind(size * found.before))}
    if named(scene):
        before[MEASURED] = _left_over(found, kind, size)
    yield Fact(READINGS_OFF, before)
    if not named(scene):
        return
    others = close_seconds(found)
    yield Fact(SURE_TO, {MEASURED: say(how_sure(found.first))})
    if others:
        yield Fact(ALSO, {MEASURED: say(IN_WORDS[others[0].name])})


def _tuned(box):
    """Return the tuning of a vented box by its name; nothing of a closed one. [Hz]"""
    return {"tuning": float(box.tuning())} if isinstance(box, VentedBox) else {}


def _left_over(found, kind, size):
    """Say how far off the readings are with the first cause, and without all else that usually differs."""
    by, alone = kind(size * found.after), kind(size * found.alone)
    if found.alone < MUCH_MORE * found.after:
        return say("{by} with that cause", by=by)
    return say("{by} with that cause and what usually differs, {alone} with it alone", by=by, alone=alone)


def _of_the_box(found, box):
    planned = {"volume": float(box.volume), **_tuned(box), "Ql": float(box.Ql), "Qa": float(box.Qa)}
    shown = LOSSY if found.first is not None and found.first.name == "loss" else OF_A_BOX
    for name, title, kind in shown:
        if name in found.values and name in planned:
            value, deviation = found.values[name], found.standard_deviations[name]
            yield Fact(title, {PLANNED: _plain(kind, planned[name]), MEASURED: _with_doubt(kind, value, deviation)})


def _plain(kind, value):
    """Say a value; a loss that is hardly there has a Q beyond measure."""
    return say("hardly any") if kind is Q and value > HUGE else say("{value}", value=kind(value))


def _with_doubt(kind, value, deviation):
    """Say a value with twice its standard deviation, in the same unit; at the limit of what is tried, that."""
    if np.isinf(deviation) and not (kind is Q and value > HUGE):
        return say("{value} or beyond", value=kind(value))
    if kind is Q and (value > HUGE or deviation > value):
        return say("hardly any") if value > HUGE else say("not told")
    return say("{value}", value=GiveOrTake(kind, value, 2 * deviation))


class GiveOrTake(NamedTuple):
    """A number with what it may be off, to be said in the reader's units. [SI]"""

    kind: object
    value: float
    doubt: float

    def text(self, system):
        """Return both with one unit, to the decimals of their kind."""
        shown = self.kind.shown(system)
        both = " ± ".join(f"{shown.number(one):.{shown.decimals}f}" for one in (self.value, self.doubt))
        return f"{both} {shown.unit}".strip()


def how_sure(cause):
    """Say how hard it is to get the readings without that cause."""
    if cause.gain > 4 * SURE:
        return "hardly by chance"
    return "likely" if cause.gain > 2 * SURE else "perhaps"


def close_seconds(found):
    """Return the other causes that explain nearly as much, of another name."""
    return [cause for cause in _close(found) if cause.name != found.first.name]


def wires_as_likely(found):
    """Return whose wires are swapped about as likely as those that are named."""
    return [cause for cause in _close(found) if cause.name == found.first.name == "polarity"]


def _close(found):
    return [cause for cause in found.causes[1:] if cause.gain > max(SURE, found.first.gain - CLOSE)]


def details(scene, values):
    """Yield why and how sure: the amounts, what nobody would have seen, what the readings do not tell."""
    if scene.comparison is not None and scene.comparison.found:
        yield from _of_the_comparison(scene)
    if scene.measured is not None:
        yield from _of_the_readings(scene)
    yield say(BAND)
    if any(one.driver.spread for one in scene.system.loudspeakers):
        yield say(SPREAD)
    for text in CANNOT[scene.kind]:
        yield say(text)
    yield from (verbatim(text) for text in scene.plans.wrong)


def _of_the_comparison(scene):
    found = scene.comparison.found
    if is_unlike(found, scene.kind):
        yield from (say(text) for text in UNLIKE)
    elif found.first is not None:
        yield say("What to do: " + TRY[found.first.name] + ".")
        if found.first.deviation:
            yield _how_far(found.first)
        yield say(
            f"With that cause the sum of squared misfits falls by {found.first.gain:.0f}; {SURE:.0f} are asked for, "
            "three standard deviations."
        )
        if found.first.name == "level":
            yield say("One channel too low looks like the others too high: the readings tell no level on the whole.")
        for other in close_seconds(found):
            yield say(f"Nearly as likely: {IN_WORDS[other.name]}.")
        for other in wires_as_likely(found):
            yield say("Nearly as likely: the wires of {of}.", of=verbatim(other.loudspeaker))
    elif found.values and np.isfinite(found.standard_deviations["volume"]):
        seen = 300 * found.standard_deviations["volume"] / found.values["volume"]
        yield say("A volume that is off by less than {seen} would not have been seen.", seen=PERCENT(seen))


def _how_far(cause):
    """Say how far a cause is off, and how sure that is; at the limit of what is tried, that."""
    told = amount_of(cause)
    if np.isinf(cause.deviation):
        return say("How far: {amount}, or beyond: that is as far as is tried.", amount=told["amount"])
    return say("How far: {amount}, give or take {doubt}.", **told)


def amount_of(cause):
    """Return how far a cause is off and its standard deviation, as numbers."""
    if cause.name == "level":
        return {"amount": LEVEL(abs(cause.amount)), "doubt": LEVEL(cause.deviation)}
    if cause.name == "place":
        return {"amount": SHIFT(cause.amount), "doubt": SHIFT(cause.deviation)}
    factor = float(np.exp(cause.amount))
    return {"amount": say(f"{factor:.2f} times as planned"), "doubt": PERCENT(100 * cause.deviation)}


def _of_the_readings(scene):
    frequency = frequencies_of(scene.measured)
    low, high = FREQUENCY(LOWEST), FREQUENCY(HIGHEST[scene.kind])
    outside = int(np.sum((frequency < LOWEST) | (frequency > HIGHEST[scene.kind])))
    if outside:
        yield say(f"{outside} readings outside {{low}} to {{high}} are shown, not used.", low=low, high=high)
    if scene.comparison is not None and len(frequency) - outside > len(frequencies_of(scene.comparison.measured)):
        count = len(frequencies_of(scene.comparison.measured))
        yield say(f"Of {len(frequency) - outside} readings, {count} are used, evenly over the octaves.")
    if len(frequency) < ENOUGH:
        yield say("More readings make it surer: next {at}.", at=HERTZ(coming(scene)))


def cautions(scene, values):
    """Yield what to mind: a gap in the readings, why nothing comes of them, how long it takes."""
    if scene.measured is not None and (gap := gap_in(frequencies_of(scene.measured))):
        yield say(
            "No reading between {low} and {high}: what is off there is not seen.", low=HERTZ(gap[0]), high=HERTZ(gap[1])
        )
    if named(scene):
        yield from _leak_beside(scene.comparison.found, scene.system.loudspeakers[0].box)
    if scene.comparison is not None and not scene.comparison.found:
        yield verbatim(f"What was measured {scene.comparison.why}")
    if scene.waits(values) and len(scene.system.loudspeakers) > 1:
        yield SLOW


def _leak_beside(found, box):
    """Say that a box leaks, where that is not the cause which is named."""
    if found.first.name == "leak" or "Ql" not in found.values or contradicted(found):
        return
    Ql, planned = found.values["Ql"], min(float(box.Ql), UNPLANNED_LEAK)
    deviation = found.standard_deviations["Ql"]
    if planned > LEAKS * Ql and (np.isinf(deviation) or planned - Ql > CLEARLY * deviation):
        yield say("It leaks too: leakage Q {now}, not {then}. Seal joints and gasket.", now=Q(Ql), then=Q(planned))


def conditions(scene, values):
    """Say for what plan this holds, and whether the readings are invented."""
    about = _plan(scene, values)
    return say("{about} The readings are invented.", about=about) if is_invented(scene.lines(values)) else about


def _plan(scene, values):
    if is_stage(values):
        what = values["planned"].removeprefix(STAGE) + (f": {values['speaker']}" if scene.kind == IMPEDANCE else "")
        return say("As planned after {what}.", what=verbatim(what))
    box = scene.system.loudspeakers[0].box
    kind = f"tuned to {box.tuning():.1f} Hz" if isinstance(box, VentedBox) else "sealed"
    where = scene.plans.cabins.told(values) if scene.kind != IMPEDANCE else say("outside the vehicle")
    return say(
        f"{{driver}} in {{volume}}, {kind}, leakage Q {float(box.Ql):g}, {{where}}.",
        driver=verbatim(values["driver"]),
        volume=VOLUME(float(box.volume)),
        where=where,
    )
