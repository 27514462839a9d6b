"""Why a thin wire costs bass: the loudest tone with the volts that arrive, beside that with all of them."""

from __future__ import annotations

import numpy as np

from ...build import Cable, Draw, Feed
from ...build.feed import fed
from ...build.feed.fuses import CONTINUOUS
from ...errors import Refused
from ...figures.stack import Panel
from ...parts.amplifier import Amplifier
from ...parts.box import USUAL_LEAKAGE, SealedBox
from ...parts.loudspeaker import Loudspeaker
from ...response import frequencies
from ...response.limits import HEAT, TRAVEL, maximum_level
from ...units import litre, mm2, percent
from ..exercises.thin_wire import sheet as thin_wire_sheet
from ..kit import facts
from ..kit.answer import Answer, fact, say, verbatim
from ..kit.controls import Choice, Slider
from ..kit.feed import BACK, BATTERY, LOAD, WIRE, Drawing, Piece, Size, sized
from ..kit.offered import first_of, fit_for, left_out
from ..kit.page import Page
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import FREQUENCY, LEVEL, POWER, VOLTAGE, VOLUME, WAY, same

__all__ = ["QUESTION", "thin_wire", "thin_wire_sheet"]

GRID = frequencies(15, 300, per_octave=24)
TITLE = "Why does a thin wire cost bass?"
LOAD_OHMS, BOX = 4.0, 20 * litre
DRAWN, LOST, ARRIVES, COSTS, NEEDS = "draws", "lost, there and back", "arrives", "costs", "fuse, at least"
AMPERE = same("A", decimals=1, told=1)
DROP = same("V", decimals=2, told=2)
SHARE = same("%", percent, 0)
MILLIOHM = same("mΩ", 1e-3, 1)
GIVES = {TRAVEL: "cone", HEAT: "coil"}
HEARD = 0.05  # dB; less is nothing

QUESTION = Question(
    words="6 m of 2.5 mm² feed four channels of 75 W. How much softer is the loudest tone at 100 Hz than with no loss?",
    options=("Nothing that counts", "About 1 dB", "About 6 dB"),
    right="About 1 dB",
    why="An eighth of the volts is lost there and back. 20 log of the share that is left is about 1 dB.",
    look="Look where the lower curve leaves zero: below that the cone gives first, and the wire costs nothing.",
)


class ThinWire(Scene):
    """Loudest steady tone with this wire and with none lost, and what the wire costs, over one frequency axis."""

    alternative_text = "Loudest steady tone with this wire and without its loss, and the difference, against frequency"
    grid = GRID

    def __init__(self, drivers):
        self._drivers = drivers
        pens = {
            "all": ("second", "nothing lost"),
            "wire": ("first", "with this wire"),
            "travel": ("third", "cone"),
            "look": ("look", ""),
        }
        super().__init__(pens, kept=("wire",))

    def panels(self, system):
        """Return the two panels, which have no other units in the US."""
        return (
            Panel("level", "level [dB re 20 µPa] at 1 m", 70.0, 120.0),
            Panel("cost", "what the wire costs [dB]", 0.0, 3.0, tops=(6.0, 12.0, 30.0)),
        )

    def parts(self, values):
        """Return the amplifier as it is sold, the feed, and the loudspeaker."""
        amplifier = Amplifier(power=values["power"], rated_impedance=LOAD_OHMS, minimum_load=LOAD_OHMS / 2)
        draw = Draw(power=values["power"] * int(values["channels"]), efficiency=values["efficiency"], name="amplifier")
        feed = Feed(
            voltage=values["battery"],
            cable=Cable(area=values["area"], length=values["length"]),
            draws=draw,
            return_resistance=values["back"],
        )
        box = SealedBox(volume=BOX, Ql=USUAL_LEAKAGE)
        return amplifier, feed, Loudspeaker(driver=self._drivers[values["driver"]], box=box)

    def curves(self, values):
        """Find the loudest tone with all volts, and with those that arrive."""
        self.found = None
        try:
            amplifier, self.supply, speaker = self.parts(values)
        except Refused:  # the wire loses all of the volts
            return {name: {} for name in ("all", "wire", "travel")} | {"look": values["look"]}
        left = fed(amplifier, self.supply)
        self.found = {
            name: maximum_level(speaker, GRID, amplifier=one) for name, one in (("all", amplifier), ("wire", left))
        }
        cost = self.found["all"].level - self.found["wire"].level
        return {
            "all": {"level": self.found["all"].level},
            "wire": {"level": self.found["wire"].level, "cost": cost},
            "travel": {"level": self.found["all"].levels.get(TRAVEL)},
            "look": values["look"],
        }

    def feed(self, values):
        """Return the feed piece by piece."""
        if self.found is None:
            return None
        feed = self.supply
        current, lost = AMPERE(feed.current), DROP(feed.current * feed.cable.resistance)
        wire = say(
            "{size}, {length}: {current}, loses {lost}",
            size=sized(feed.cable.area),
            length=WAY(feed.cable.length),
            current=current,
            lost=lost,
        )
        return Drawing(
            (
                Piece(BATTERY, say("Battery, {volts}", volts=VOLTAGE(feed.voltage))),
                Piece(
                    WIRE, wire, say("With a fuse where it begins, by what this wire may carry."), area=feed.cable.area
                ),
                Piece(LOAD, say("Amplifier: {volts} arrive", volts=DROP(feed.voltage_at_load))),
                Piece(BACK, say("Way back: loses {lost}", lost=DROP(feed.current * feed.return_resistance))),
            )
        )

    def answer(self, values):
        """Say what the wire costs at the frequency that is looked at, and where it costs nothing."""
        if self.found is None:
            return Answer(headline=say("This wire loses all of the volts: take a thicker or shorter one."))
        feed, cost = self.supply, self._costs(values["look"])
        return Answer(
            headline=self._headline(values["look"], cost),
            facts=(
                fact(DRAWN, "{current}", current=AMPERE(feed.current)),
                fact(LOST, "{lost}", lost=DROP(feed.drop)),
                fact(ARRIVES, "{volts}", volts=DROP(feed.voltage_at_load)),
                fact(COSTS, "{cost} where the amplifier gives first", cost=LEVEL(self._full_cost())),
                fact(NEEDS, "{fuse}", fuse=AMPERE(self._needed()))
                if self._needed() <= feed.cable.ceiling
                else fact(NEEDS, "none: this wire burns first"),
            ),
            details=tuple(self._details()),
            conditions=self._conditions(values),
            cautions=tuple(self._cautions()),
        )

    def _costs(self, frequency):
        """Return what the wire costs at a frequency. [dB]"""
        return float(np.interp(np.log(frequency), np.log(GRID), self.found["all"].level - self.found["wire"].level))

    def _full_cost(self):
        """Return what it costs where the amplifier is the limit: 20 log of the volts that are left. [dB]"""
        return float(-20 * np.log10(self.supply.voltage_at_load / self.supply.voltage))

    def _free(self):
        """Return up to where the wire costs nothing, from the lowest frequency; None if it always costs. [Hz]"""
        free = self.found["all"].level - self.found["wire"].level < HEARD
        return float(GRID[np.argmin(free) - 1]) if free[0] and not free.all() else None

    def _needed(self):
        """Return the least fuse that carries the draw for long. [A]"""
        return self.supply.current / CONTINUOUS

    def _headline(self, look, cost):
        if self._needed() > self.supply.cable.ceiling:
            burns = "No fuse protects this wire: {needed} are needed, and it burns below that. Take a thicker one."
            return say(burns, needed=AMPERE(self._needed()))
        free = self._free()
        if cost < HEARD:
            who = GIVES.get(self.found["all"].gives[np.argmin(abs(GRID - look))])
            why = f": the {who} gives first" if who else " that counts"
            return say(f"At {{look}} this wire costs nothing{why}.", look=FREQUENCY(look))
        if free is None:
            return say("At {look} this wire costs {cost} of the loudest tone.", look=FREQUENCY(look), cost=LEVEL(cost))
        words = "At {look} this wire costs {cost}; below {free} nothing: the cone gives first."
        return say(words, look=FREQUENCY(look), cost=LEVEL(cost), free=FREQUENCY(free))

    def _details(self):
        yield say("Bass takes most of the power, so it draws most of the current. All channels share the wire.")
        yield say(
            "An amplifier without a regulated supply clips earlier with fewer volts: its loudest tone falls by 20 log "
            "of the share that arrives."
        )
        yield say("A regulated one keeps its power down to a lowest voltage, and draws more current instead.")
        yield say("Where the cone is out of travel, more volts would not help: the wire costs nothing there.")
        yield say(
            "The current is that at the battery's volts. With fewer volts it is a little less, and so is the loss."
        )
        yield say("The fuse protects the wire: it also needs the wire's own rating, which the lesson does not ask for.")

    def _conditions(self, values):
        return say(
            "{channels} × {power} into 4 ohm at {volts}, {driver} in a closed box of {volume}. Stranded copper at "
            "20 °C by IEC 60228, gauges by the metal. A steady tone in half space.",
            channels=verbatim(values["channels"]),
            power=POWER(values["power"]),
            volts=VOLTAGE(values["battery"]),
            driver=verbatim(values["driver"]),
            volume=VOLUME(BOX),
        )

    def _cautions(self):
        if self._needed() > self.supply.cable.usual_ceiling:
            too_large = "A fuse of {needed} is too large for this wire: usual insulation takes less, even in air."
            yield say(too_large, needed=AMPERE(self._needed()))
        yield from facts.protect_ears(GRID, [self.found["wire"].level])
        yield say("Choose no fuse by this lesson: take the page on wire and fuse, and the wire's data sheet.")


def thin_wire(drivers=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers : dict, optional
        Name: Driver; your own and the invented ones of the demonstration by default.
    """
    deep, missed = fit_for("thin_wire", "driver", drivers)
    controls = [
        Slider("power", "Power of a channel", POWER, 10.0, 300.0, 75.0, 5.0, "amplifier"),
        Choice("channels", "Channels that play", ("1", "2", "4"), "4", group="amplifier"),
        Slider("efficiency", "Efficiency there", SHARE, 0.3, 0.95, 0.65, 0.01, "amplifier"),
        Slider("battery", "Battery, running", VOLTAGE, 11.0, 16.0, 13.8, 0.1, "amplifier"),
        Size("area", "Size", 2.5 * mm2, "wire"),
        Slider("length", "Length, one way", WAY, 0.3, 15.0, 6.0, 0.1, "wire"),
        Slider("back", "Way back", MILLIOHM, 0.5e-3, 0.05, 3e-3, 0.5e-3, "wire"),
        Choice("driver", "Driver", deep, first_of("200 mm bass", deep), left_out(missed, "driver"), "box"),
        Slider("look", "Look at", FREQUENCY, 20.0, 250.0, 100.0, 5.0, "box"),
    ]
    return Page(controls, ThinWire(deep), TITLE)
