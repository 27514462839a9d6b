"""What stands folded under the facts of two speakers on one channel: why, and how sure."""

from __future__ import annotations

import numpy as np

from ....design.shared_channel import BODY, CROSSING
from ...kit.answer import say
from ...kit.systems import FREQUENCY, LEVEL, POWER


def why_ranked(candidates):
    """Say how the candidates are ranked.

    Parameters
    ----------
    candidates : dict
        Name: its `Sharing`.
    """
    ordered = sorted(candidates.items(), key=lambda one: one[1].rank)
    faults = {f"fault{place}": LEVEL(one.fault) for place, (_, one) in enumerate(ordered)}
    told = {fits: [] for fits in (True, False)}
    for place, (name, one) in enumerate(ordered):
        told[bool(one.fits)].append(f"{name} ({{fault{place}}})")
    starts = {True: "The best first, by its worse fault", False: "Too low a load"}
    yield say(" ".join(f"{starts[fits]}: {', '.join(names)}." for fits, names in told.items() if names), **faults)
    yield say(
        "One fault is the most that the woofer loses from {low} to {high}. The other is how far the tweeter is off the "
        "woofer beside {at}.",
        low=FREQUENCY(BODY[0]),
        high=FREQUENCY(BODY[1]),
        at=FREQUENCY(CROSSING),
    )
    yield say(
        "The best resistor goes across tweeter and capacitor, not across the amplifier's wires. Resistors are values "
        "that you can buy (series E12; a pad's, E24)."
    )


def full_sine(watts):
    """Say what the watts to buy are rounded up from.

    Parameters
    ----------
    watts : dict
        Name of a candidate: name of each of its resistors: what it takes at most. [W]
    """
    yield say(
        "Buy these watts or more. They are the next size sold (common practice, no source) above what a steady tone at "
        "the channel's full sine brings."
    )
    for candidate, each in watts.items():
        told = " and ".join(f"{{takes{place}}}" for place in range(len(each)))
        numbers = {f"takes{place}": POWER(most) for place, most in enumerate(each.values())}
        yield say(f"{candidate.capitalize()}: {told}.", **numbers)


def suddenly_loud(woofer, capacitance):
    """Say why a tweeter in series seems loud, and what a resistor does to the bass.

    Parameters
    ----------
    woofer : Driver
    capacitance : float or None
        Before the tweeter. [F]
    """
    yield say(
        "A resistor in series with the woofer loosens the amplifier's hold on the cone. Near {fs} the bass falls less "
        "than beside it, and may boom.",
        fs=FREQUENCY(woofer.fs),
    )
    if capacitance is None:
        return
    yield say("In series the tweeter seems loud since the bass is gone, and you turn it up.")
    if woofer.Le > 0:
        yield say(
            "The capacitor and the woofer's coil resonate near {at}. Around there the tweeter gets a little more than "
            "in parallel; well above, the coil takes it away.",
            at=FREQUENCY(1 / (2 * np.pi * np.sqrt(woofer.Le * capacitance))),
        )


def how_to_measure():
    """Say how to read an ohmmeter, and what its readings hide."""
    yield say(
        "Touch the meter's leads together, and note what they read. Take that off the reading at the pair of wires. A "
        "cheap meter is up to 0.3 ohm off."
    )
    yield say(
        "OL means that no direct current gets through: a capacitor in line, or a break. In parallel a capacitor hides "
        "its tweeter from the meter."
    )
    yield say("If one speaker falls silent when you unplug the other, they are in series.")
    yield say("A reading that drifts is a moving cone. A negative one means that the wire is live.")
