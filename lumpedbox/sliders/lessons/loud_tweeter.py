"""A woofer and a tweeter on one channel: the tweeter behind one capacitor, and a pad."""

from __future__ import annotations

import dataclasses

import numpy as np

from ...design.capacitor import corner_of, in_series_of, one_capacitor, textbook_loss
from ...design.e_series import rounded
from ...design.ladders import ladder
from ...design.level_matching import HIGH_BAND, LOW_BAND, matched, thinness
from ...design.ratings import ratings
from ...figures.stack import Panel
from ...parts.amplifier import lowest_load
from ...parts.box import InfiniteBaffle
from ...parts.driver import level_of_a_watt
from ...parts.loudspeaker import Loudspeaker
from ...parts.network import Capacitor, attenuation_of, in_series, l_pad, pad_resistors
from ...parts.system import Channel, System
from ...parts.variants import louder
from ...response import frequencies, solve
from ...tables import demo_drivers
from ...units import uF
from ..kit.controls import Choice, Slider
from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Sheet
from ..kit.offered import AMPLIFIER, first_of, left_out, not_believed, offered, woofers_and_tweeters
from ..kit.page import Page
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import ANGLE, FREQUENCY, LEVEL, RESISTANCE, VOLTAGE, same
from ..kit.words import AS_MARKED, REVERSED, of_its_kind

GRID = frequencies(100, 10000, per_octave=24)
CROSSING = 3000.0  # Hz, beside which the sentences compare the two: ours
CAPACITANCE = same("µF", uF, 1)
NO_PAD = 0.05  # dB; the slider's lowest step is half a decibel
NEW, LIFT = "25 mm pillar tweeter", 8.0  # dB, by which the demonstration's new tweeter is louder than its sheet
BOTH, OWN_ONLY = "use both", "leave the series one out"  # of a tweeter that has a capacitor built in

QUESTION = Question(
    words="A pad of two resistors takes 4 dB from the new tweeter. What does it take at 1000 Hz, near its resonance?",
    options=("4 dB, as everywhere", "Hardly anything", "About 10 dB"),
    right="About 10 dB",
    why="There the tweeter's impedance peaks. The pad's resistor bridges that peak, so that the capacitor takes more.",
    look="Move the pad to 4 dB, and read the tweeter's curve at 1000 Hz, and at 8000 Hz.",
)


class LoudTweeter(Scene):
    """Level of a woofer and a tweeter, alone and together, and the load of their channel, over one frequency axis."""

    alternative_text = "Level of a woofer, a tweeter and both, and the impedance of their channel, against frequency"
    grid = GRID

    def __init__(self, woofers, tweeters, amplifier, not_believed):
        self._drivers, self._amplifier, self._not_believed = {**woofers, **tweeters}, amplifier, not_believed
        pens = {
            "sum": ("first", "both"),
            "woofer": ("second", "woofer"),
            "tweeter": ("third", "tweeter"),
            "limit": ("limit", "lowest impedance that the amplifier stands"),
        }
        super().__init__(pens, kept=("sum", "tweeter"))

    def panels(self, system):
        """Return the two panels in a system of units."""
        return (
            Panel("level", "level at 1 m\n[dB re 20 µPa]", 60.0, 120.0),
            Panel("impedance", "impedance of the\nchannel [ohm]", 0.0, 12.0),
        )

    def parts(self, values):
        """Return the system that the controls stand for."""
        woofer, tweeter = self._drivers[values["woofer"]], louder(self._drivers[values["tweeter"]], values["lift"])
        without = left_out_beside(tweeter, values)
        network = None if without else in_series(Capacitor(capacitance=values["capacitor"]))
        if values["pad"] > NO_PAD:
            pad = l_pad(attenuation=values["pad"], impedance=tweeter.nominal_resistance)
            network = network + pad if network else pad
        common = {"box": InfiniteBaffle(), "angle": values["angle"]}
        speakers = (
            Loudspeaker(driver=woofer, name="woofer", **common),
            Loudspeaker(driver=tweeter, name="tweeter", network=network, polarity=values["polarity"], **common),
        )
        return System(channels=(Channel(loudspeakers=speakers, amplifier=self._amplifier),))

    def cure(self, values):
        """Return what matches a tweeter without a pad to the woofer: a `Match`."""
        return _matched(self.parts(values | {"pad": 0.0}), values)

    def curves(self, values):
        """Solve both together."""
        self.response = response = solve(self.parts(values), GRID, values["voltage"])
        woofer, tweeter = response.responses
        load = np.full_like(GRID, lowest_load(self._amplifier))
        return {
            "sum": {"level": response.treble_level, "impedance": np.abs(response.channel_impedances[0])},
            "woofer": {"level": woofer.treble_level},
            "tweeter": {"level": tweeter.treble_level},
            "limit": {"impedance": load},
        }

    def conditions(self, values, system):
        """Say what is shown, and under which conditions."""
        text, lift = LEVEL.metric.text, values["lift"]
        level = text(self._drivers[values["tweeter"]].sensitivity + lift)
        more = f", {text(lift)} louder than its sheet" if lift else ""
        return (
            f"{values['woofer']} and {values['tweeter']} (of {level} at 2.83 volts{more}) in large "
            f"panels; {VOLTAGE.metric.text(values['voltage'])} r.m.s., 1 m, half space, "
            f"{ANGLE.metric.text(values['angle'])} off axis"
        )

    def sentences(self, values, system):
        """Say what the curves amount to."""
        parts, match = self.parts(values), self.cure(values)
        yield _stands(_matched(parts, values).gain)
        yield _pad_to_buy(match, values["voltage"])
        yield _thinness(parts, self.parts(values | {"pad": 0.0}), match, values["voltage"])
        yield _capacitor(parts, values) if built_in(parts) is None else _its_own_capacitor(parts, values)
        yield _load(self.response, self._amplifier)
        yield printed_above(self.response)
        yield from (self._not_believed[name] for name in chosen(values) if name in self._not_believed)
        yield from of_its_kind(*(speaker.driver for speaker in parts.loudspeakers))


def _matched(system, values):
    asked = {"crossover": CROSSING, "voltage": values["voltage"]}
    return matched(system, adjusted="tweeter", against="woofer", **asked)


def _stands(gain):
    where = f"{CROSSING * np.sqrt(2):.0f} to {CROSSING * np.sqrt(8):.0f} Hz"
    against = f"{CROSSING / np.sqrt(8):.0f} to {CROSSING / np.sqrt(2):.0f} Hz"
    stands = "above" if gain < 0 else "below"
    return f"From {where} the tweeter stands {abs(gain):.1f} dB {stands} what the woofer plays from {against}."


def _pad_to_buy(match, voltage):
    if match.pad is None:
        return "Even without a pad it is not too loud: none is needed."
    speaker = match.system.loudspeakers[1]
    bought = dataclasses.replace(speaker, network=rounded(speaker.network))
    stand = ratings(bought, GRID, voltage)[-2:]
    series, across = map(float, pad_resistors(rounded(match.pad)))
    watts = [f"{rating.rated:.2g} W" for rating in stand]
    taken = float(attenuation_of(match.pad, speaker.driver.nominal_resistance))
    return (
        f"A pad of {taken:.1f} dB cures it: buy {series:.2g} ohm in series ({watts[0]} or more) and {across:.2g} ohm "
        f"across the tweeter ({watts[1]} or more), values of the series E24."
    )


def _thinness(now, without, match, voltage):
    before, after, shown = (float(thinness(system, voltage)) for system in (without, match.system, now))
    low, high = (f"{band[0]} to {band[1]} Hz" for band in (LOW_BAND, HIGH_BAND))
    cured = "" if match.pad is None else f", {after:+.1f} dB with that one"
    return f"{high} stand {shown:+.1f} dB against {low}; {before:+.1f} dB without a pad{cured}."


def _capacitor(system, values):
    tweeter = system.loudspeakers[1]
    after = tweeter.network.branches[1:]
    bare = dataclasses.replace(tweeter, network=dataclasses.replace(tweeter.network, branches=after) if after else None)
    told = one_capacitor(bare, capacitance=values["capacitor"], voltage=values["voltage"])
    book = float(textbook_loss(told.corner, told.excess_at))
    return (
        f"By the textbook the capacitor is 3 dB down at {told.corner:.0f} Hz and takes 4.0 dB more an octave lower, "
        f"on its way to 6 dB in an octave; here {_takes(told.slope)}. "
        f"Its tweeter resonates at {tweeter.driver.fs:.0f} Hz: "
        f"at {told.excess_at:.0f} Hz, where the textbook takes {book:.1f} dB, {_takes(book - told.excess)}."
    )


def built_in(system):
    """Return what is built into the tweeter of a system; None if nothing is. [F]"""
    return system.loudspeakers[1].driver.built_in_capacitance


def left_out_beside(tweeter, values):
    """Whether the series capacitor is left out, as the tweeter has one built in."""
    return tweeter.built_in_capacitance is not None and values.get("beside_own", OWN_ONLY) == OWN_ONLY


def _its_own_capacitor(system, values):
    """Say which capacitors a tweeter with one built in plays through, and what they make together."""
    tweeter, own = system.loudspeakers[1].driver, built_in(system)
    text, series = CAPACITANCE.metric.text, values["capacitor"]
    if left_out_beside(tweeter, values):
        total, told = own, f"The tweeter has its own capacitor of {text(own)}, so the series capacitor is left out."
    else:
        total = in_series_of(own, series)
        told = f"The tweeter's own capacitor of {text(own)} and the {text(series)} in series make {text(total)}."
    corner = corner_of(tweeter.nominal_resistance, total)
    told = f"{told} Without a pad that is 3 dB down at {corner:.0f} Hz by the textbook."
    if values["pad"] <= NO_PAD:
        return told
    return f"{told} The pad stands before it: it takes less than its decibels low down, and loads the amplifier there."


def _takes(decibels):
    return f"it takes {decibels:.1f} dB" if decibels >= 0 else f"it adds {-decibels:.1f} dB"


def _load(response, amplifier):
    impedance = np.abs(response.channel_impedances[0])
    least, at = impedance.min(), response.frequency[impedance.argmin()]
    lowest = lowest_load(amplifier)
    verdict = "stands that" if least >= lowest else "does not stand that"
    return (
        f"The channel's lowest impedance is {least:.2f} ohm, at {at:.0f} Hz; the amplifier {verdict}: it is made for "
        f"loads rated {amplifier.minimum_load:g} ohm or more, which may fall to {lowest:.1f} ohm."
    )


def chosen(values):
    """Return the names of woofer and tweeter."""
    return values["woofer"], values["tweeter"]


def printed_above(response):
    """Say up to where woofer and tweeter follow the model."""
    woofer, tweeter = (f"{float(r.validity_limit):.0f} Hz" for r in response.responses)
    return f"The levels follow the model up to about {woofer} (woofer) and {tweeter}; above, the printed sensitivity."


def loud_tweeter(drivers=None, amplifiers=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, amplifiers : dict, optional
        Name: Driver, name: Amplifier; your own and the invented ones of the demonstration by default.
        Drivers without a printed sensitivity are left out; the amplifier is the one from the stores, or
        else the first.
    """
    doubted = not_believed(offered().sheets) if drivers is None else {}
    drivers = offered().drivers if drivers is None else drivers
    amplifiers = offered().amplifiers if amplifiers is None else amplifiers
    woofers, tweeters, missed = woofers_and_tweeters("loud_tweeter", drivers)
    controls = [
        Slider("pad", "Pad before the tweeter", LEVEL, 0.0, 15.0, 0.0, 0.5),
        Slider("capacitor", "Series capacitor", CAPACITANCE, 2 * uF, 30 * uF, 10 * uF, 0.5 * uF),
        Choice("woofer", "Woofer", woofers, first_of("165 mm panel", woofers), left_out(missed, "driver")),
        Choice("tweeter", "Tweeter", tweeters, first_of(NEW, tweeters)),
        Slider("lift", "Tweeter louder than its sheet by", LEVEL, 0.0, 10.0, LIFT if NEW in tweeters else 0.0, 0.5),
        Slider("angle", "Off the axis of both", ANGLE, 0.0, 60.0, 0.0, 5.0),
        Choice("polarity", "Polarity of the tweeter", (AS_MARKED, REVERSED), AS_MARKED),
        Slider("voltage", "Amplifier, r.m.s.", VOLTAGE, 0.5, 20.0, 2.83, 0.25),
    ]
    if any(tweeter.built_in_capacitance is not None for tweeter in tweeters.values()):
        controls.insert(4, Choice("beside_own", "If it has its own capacitor", (OWN_ONLY, BOTH), OWN_ONLY))
    scene = LoudTweeter(woofers, tweeters, amplifiers[first_of(AMPLIFIER, amplifiers)], doubted)
    page = Page(controls, scene, first=2)
    page.controls["tweeter"].listen(lambda: _another_tweeter(page))
    return page


def _another_tweeter(page):
    """Only the demonstration's new tweeter plays louder than its sheet: draw another one as its sheet says."""
    lift, wanted = page.controls["lift"], LIFT if page.values["tweeter"] == NEW else 0.0
    if lift.value == wanted:
        page.move()
    else:
        lift.value = wanted  # which moves the page


def loud_tweeter_sheet():
    """Return the exercises of the lesson on a tweeter that is too loud."""
    return Sheet((across_the_tweeter(), capacitor_for_a_corner(), for_one_watt()))


def across_the_tweeter():
    """Ask for the resistor across the tweeter of a pad."""
    return Exercise(
        question=(
            "A tweeter of {load} is {attenuation} too loud. A pad shall take that away and leave the load as it was. "
            "Which resistor goes across the tweeter? (Take it for a resistance.)"
        ),
        numbers={"load": Drawn(RESISTANCE, (4, 6, 8)), "attenuation": Drawn(LEVEL, (3, 4, 5, 7, 8))},
        answer=lambda given: _pad(given)[1],
        kind=RESISTANCE,
        misconceptions=(
            Misconception(
                "10 to the power -A/10 was taken",
                lambda given: _pad(given | {"attenuation": 2 * given["attenuation"]})[1],
                "Resistors divide a voltage, and a voltage goes with A/20.",
            ),
            Misconception(
                "all was left to one resistor in series",
                lambda given: given["load"] * (10 ** (given["attenuation"] / 20) - 1),
                "A single resistor in series raises the load, and moves the corner of the capacitor.",
            ),
        ),
        tolerance=0.02,
    )


def capacitor_for_a_corner():
    """Ask for the capacitor of a corner into a resistance of 4 ohm."""
    return Exercise(
        question="Which capacitor in series with a resistance of 4 ohm is 3 dB down at {corner}?",
        numbers={"corner": Drawn(FREQUENCY, tuple(range(2000, 8500, 500)))},
        answer=lambda given: _first_order(given, 4.0),
        kind=CAPACITANCE,
        misconceptions=(
            Misconception(
                "2 pi was forgotten",
                lambda given: 2 * np.pi * _first_order(given, 4.0),
                "The corner in Hz is the angular frequency over 2 pi.",
            ),
            Misconception(
                "8 ohm were taken for 4",
                lambda given: _first_order(given, 8.0),
                "The same corner into half of the ohms takes more capacitance.",
            ),
        ),
    )


def for_one_watt():
    """Ask for the level at one watt of a tweeter of 4 ohm."""
    return Exercise(
        question="A tweeter of 4 ohm is printed with {level} at 1 m for 2.83 V. What is that at 1 W?",
        numbers={"level": Drawn(LEVEL, tuple(np.arange(87, 95, 0.5)))},
        answer=lambda given: given["level"] + _for_a_watt(),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the two were taken for the same", lambda given: given["level"], "2.83 V are one watt into 8 ohm only."
            ),
            Misconception(
                "it went the wrong way",
                lambda given: given["level"] - _for_a_watt(),
                "Into 4 ohm 2.83 V are more than one watt.",
            ),
        ),
        tolerance=0.2,
    )


def _pad(given):
    return tuple(map(float, pad_resistors(l_pad(attenuation=given["attenuation"], impedance=given["load"]))))


def _first_order(given, load):
    network = ladder(arm="high-pass", family="Butterworth", order=1, frequency=given["corner"], load=load)
    return network.branches[0].components[0].capacitance


def _for_a_watt():
    return float(level_of_a_watt(demo_drivers()["25 mm pillar tweeter"]))
