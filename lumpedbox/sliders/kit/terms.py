"""The terms of the exercises, each in half a line."""

from __future__ import annotations

import re

TERMS = {
    # a driver
    "fs": "resonance of the driver by itself",
    "Qes": "how the motor damps the driver's resonance: low is strong",
    "Qms": "how friction damps it: low is strong",
    "Qts": "Qes and Qms together",
    "Vas": "volume of air that is as stiff as the driver's suspension",
    "linear travel": "how far the cone may move, one way",
    "suspension": "the spring that holds the cone: spider and surround",
    "compliance": "how far the suspension gives way for each newton",
    "force factor": "force of the motor for each ampere, Bl",
    "rated impedance": "the ohms that a maker prints as a round number",
    "efficient": "makes much sound power of each electrical watt",
    "Re": "resistance of the coil for direct current",
    # a box
    "Qtc": "Q of the driver in its closed box: above 0.71 the level has a peak",
    "fc": "resonance of the driver in its closed box",
    "f3": "where the bass is 3 dB down",
    "tight": "no air leaks out",
    "filling": "fibre that makes the box seem larger",
    "port": "the tube of a vented box",
    "vented box": "a box with a port",
    "tunes": "sets where the air in the port resonates",
    "tuned": "set to resonate at that frequency, by port or radiator",
    "flush": "level with the wall around it",
    "passive radiator": "a cone without a motor, in place of a port",
    "Vap": "volume of air that is as stiff as the radiator's suspension",
    "notch": "the frequency at which driver and radiator cancel",
    "alignment": "a choice of volume and tuning for a known shape of response",
    "Butterworth": "as flat as a response can be",
    "B4": "the vented alignment that is as flat as can be",
    "QL": "Q of the box's leaks: the lower, the more it leaks",
    "QT": "Qts of the driver, with what lies in its line",
    "a1": "the first number of the alignment's equation",
    "h": "tuning over fs",
    "poles": "a resonance, drawn as two points",
    "power law": "a rule of thumb for the volume",
    "shape of response": "how the level falls, wherever it does",
    # sound and signals
    "r.m.s.": "the steady value of the same power",
    "octave": "twice the frequency, or half of it",
    "set to A": "takes low tones off, as most meters do",
    "high-pass": "lets high tones pass",
    "low-pass": "lets low tones pass",
    "corner": "the frequency where a filter begins to work",
    "pad": "two resistors that make a tweeter softer",
    "coil space": "the room for wire in the motor",
    "period": "the time from one crest of a tone to the next",
    "as marked": "plus to plus",
    "standard deviation": "two of three samples stray less",
    "Linkwitz and Riley": "two Butterworth filters, one behind the other",
}


def terms_in(question):
    """Return the terms that stand in a question, in their order."""
    words = re.sub(r"\{\w+\}", "#", question)
    places = {term: re.search(rf"(?<!\w){re.escape(term)}(?!\w)", words) for term in TERMS}
    return sorted((term for term, place in places.items() if place), key=lambda term: places[term].start())


def first_terms(questions):
    """Return the terms that stand in each of some questions and in none before it."""
    known, found = set(), []
    for question in questions:
        found.append([term for term in terms_in(question) if term not in known])
        known.update(found[-1])
    return found
