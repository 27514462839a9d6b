"""What the search says, in sentences: the data is in `Design` and `Refusal`."""

from __future__ import annotations

from ...parts.amplifier import lowest_load
from ...response.limits import CAUTION_SPEED
from .brief import BASS, VENTED
from .limits import F3, LOAD, POWER, UNNOTICED, WORDS, XMAX, loosened


def in_sentences(design):
    """Say what a `design` is and why it is no better, as a tuple of sentences."""
    return (
        _what(design),
        _curve(design.values),
        *_travel(design),
        *_speed(design),
        *_unplayed(design.values["f3"], design.brief.lowest),
        *held_in_words(design),
    )


def _what(design):
    box, values = design.loudspeaker.box, design.values
    what = f"{design.name} in a {design.kind} box of {1e3 * box.volume:.1f} litres net"
    if design.kind == VENTED:
        what += (
            f", tuned to {box.port.tuning(box.volume):.1f} Hz by a port {1e3 * box.port.diameter:.0f} mm wide inside "
            f"and {1e3 * box.port.length:.0f} mm long"
        )
    return f"{what}. It takes up {1e3 * values['volume']:.1f} of {1e3 * design.brief.volume:.1f} litres."


def _curve(values):
    return (
        f"The bass is 3 dB down at {values['f3']:.1f} Hz. Above that it peaks by {values['ripple']:.2f} dB and droops "
        f"by {values['droop']:.2f} dB. The group delay is at most {1e3 * values['delay']:.1f} ms."
    )


def _travel(design):
    xmax, brief = design.loudspeaker.driver.xmax, design.brief
    if xmax is not None:
        yield (
            f"With a steady tone of {brief.drive:.1f} V, from {brief.lowest:.0f} Hz up, the cone moves "
            f"{1e3 * design.values['excursion'] * xmax:.1f} of its {1e3 * xmax:.1f} mm."
        )


def _speed(design):
    speed = design.values["port_speed"]
    if design.kind == VENTED:
        heard = f": above {CAUTION_SPEED:.0f} m/s a port gets noisy" if speed > UNNOTICED * CAUTION_SPEED else ""
        yield f"The air in the port reaches {speed:.1f} m/s{heard}."


def _unplayed(f3, lowest):
    if f3 < 0.9 * lowest:
        yield f"It reaches lower than you play: travel, speed and delay count from {lowest:.0f} Hz up."


def held_in_words(design):
    """Say what holds a `design` back, and what else it uses up, as a tuple of sentences."""
    none = "Nothing holds it back: loosening any limit would gain almost nothing."
    held = f"What holds it back: {', '.join(WORDS[name] for name in design.holds)}."
    used = [f"Also used up: {', '.join(WORDS[name] for name in design.used)}."] if design.used else []
    return (held if design.holds else none, *used)


def why_not(refusal):
    """Say why a driver, or a kind of box, is out: the reason of a `refusal`, as a sentence."""
    if refusal.unsuitable:
        return UNSUITABLE[refusal.limit](refusal.driver, refusal.brief)
    if not refusal.relaxed:
        missed = WORDS[refusal.limit]
        return f"no box can do it, and no looser limit that we tried helps. It misses {missed} by most."
    together = "" if refusal.alone else ", and loosening one limit is not enough"
    ways = "; or ".join(_difference(refusal.brief, relaxed) for relaxed in refusal.relaxed.values())
    return f"no box can do it{together}. What would help: {ways}."


def _too_high(driver, brief):
    return f"it resonates at {driver.fs:.0f} Hz, and the box must play below {BASS:.0f} Hz."


def _too_low_a_load(driver, brief):
    load = lowest_load(brief.amplifier)
    return f"its coil has {driver.Re:.2g} ohm, and the amplifier needs at least {load:.2g} ohm."


def _travel_unknown(driver, brief):
    return "its xmax is not known, so nothing can be said about its travel: measure it, or set Brief.excursion to None."


UNSUITABLE = {F3.name: _too_high, LOAD.name: _too_low_a_load, XMAX.name: _travel_unknown}


def _difference(brief, relaxed):
    """Say which limits one brief loosens from another."""
    return " and ".join(_more(limit, *pair) for limit, pair in loosened(brief, relaxed).items())


def _more(limit, old, new):
    power = f" ({100 * (new / old) ** 2:.0f} % of the power)" if limit is POWER else ""
    instead = "" if old is None else f" instead of {old / limit.size:.3g}"
    return f"{limit.told.format(f'{new / limit.size:.3g} {limit.unit}')}{instead}{power}"
