"""A door with a hole or a crack, and the same door sealed."""

from __future__ import annotations

import dataclasses

import numpy as np

from ...figures.stack import Panel
from ...parts.box import SEAM, Door
from ...parts.loudspeaker import Loudspeaker
from ...response import frequencies, solve
from ...response.remarks import ROUGH_DOOR
from ...units import cm2, litre, mm
from ..exercises.sealed_door import sheet as sealed_door_sheet
from ..kit import facts
from ..kit.answer import ONLY, Answer, Fact, say, verbatim
from ..kit.cautions import CAUTIONS
from ..kit.controls import Choice, Slider
from ..kit.doors import CRACKED, HOLED, OPENINGS, OUTSIDE, SEALED, opening_of
from ..kit.offered import first_of, fit_for, left_out, offered
from ..kit.page import Page
from ..kit.panels import level_and_travel, travel_limit
from ..kit.places import FOR_A_PANEL, PLACE, Cabins
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import AREA, DRAUGHT, FREQUENCY, LEVEL, POWER, QUALITY, TRAVEL, VOLUME, WAY, same

__all__ = ["QUESTION", "sealed_door", "sealed_door_sheet"]

TITLE = "Is the door sealed?"
BARE = same("", decimals=1, told=1)  # a level, where its dB follow
LISTEN = 40.0  # Hz
TOLD, ALSO = (20.0, 40.0, 80.0), (31.5, 50.0, 63.0, 100.0)  # Hz: in the facts, and among the details
USUAL_Q, HOLE_Q = 3.0, (1.0, 1.5, 2.0, 3.0, 4.5, 7.0, 10.0)  # of a hole: no source
GRID = np.union1d(frequencies(15, 200, per_octave=24), (*TOLD, *ALSO))  # Hz; what is told is solved there
WATTS = 10.0  # into the driver's nominal resistance
SOFTLY, LOW_TONE = 1.0, 30.0  # W, Hz: to look for leaks with
SEEN = 0.5  # dB; less is next to nothing
SENSORS = ("not known yet", "fitted", "none")
NOT_KNOWN, FITTED, NO_SENSORS = SENSORS
AWAY = np.array([0.7071, 0.0, 0.7071])  # which way the hole lies from the cone: ours
SEALING, COSTS = "sealing gains at", "opening costs at"  # the second until it is known that there are no sensors
RESONANCE, MOST_TRAVEL = "hole resonance", "most travel"

NEVER_TEST = say("Never test a sensor by sealing or unplugging.")
KEEP_FREE = say("Keep drains, the vapour barrier and the window's travel free.")
QUESTION = Question(
    words="A 165 mm driver sits in a door of 30 litres, with a hole of 300 cm² behind the trim. What does sealing gain "
    "at 40 Hz, in the open air?",
    options=("About 1 dB", "About 3 dB", "About 7 dB"),
    right="About 7 dB",
    why="At low tones the hole moves nearly as much air as the cone, and against it: the two largely cancel.",
    look="Look how far apart the two levels are at 40 Hz, and where they cross.",
)


def without_spread(driver):
    """Return a driver as the typical one of its kind, if it is a stand-in: the band of this page is the hole's."""
    return dataclasses.replace(driver, spread=None)


class SealedDoor(Scene):
    """Level, what sealing gains, and cone travel over one frequency axis, with the band that the hole's Q leaves."""

    alternative_text = "Level with the hole and sealed, how they differ, and cone travel against frequency"
    grid = GRID
    drawn_to_scale = ("hole", "sealed")

    def __init__(self, drivers, cabins):
        self._drivers, self._cabins = drivers, cabins
        pens = {
            "xmax": ("limit", "linear travel"),
            "resonance": ("look", "the hole resonates"),
            "validity": ("validity", "the model holds to here"),
            "sealed": ("first", "sealed"),
            "hole": ("second", "as it is"),
        }
        super().__init__(pens, kept=("sealed", "hole"), cabins=cabins)

    def panels(self, system):
        """Return the three panels in a system of units."""
        level, travel = level_and_travel(system, levels=(50.0, 120.0), travels=(8.0, 0.3))
        level = dataclasses.replace(level, tops=(140.0,))
        travel = dataclasses.replace(travel, tops=(2 * travel.high, 4 * travel.high))
        return level, Panel("gain", "sealed against as it is [dB]", -20.0, 20.0, tops=(40.0,)), travel

    def parts(self, values):
        """Return the loudspeakers that the controls stand for: {"hole": ..., "sealed": ...}."""
        door = Door(volume=values["volume"], longest_side=values["longest_side"], **opening_of(values))
        sealed = dataclasses.replace(door, hole_area=0.0, crack=None)
        driver, where = without_spread(self._drivers[values["driver"]]), self._cabins.at(values)
        if "position" in where and door.opens_to == "cabin":
            door = dataclasses.replace(door, hole_position=hole_of(where["cabin"], where["position"], door.path))
        boxes = {"hole": door, "sealed": sealed}
        return {name: Loudspeaker(driver=driver, box=box, **where) for name, box in boxes.items()}

    def curves(self, values):
        """Solve the door as it is, with every Q that the hole may have, and sealed."""
        speakers, volts = self.parts(values), self._volts(values)
        door = speakers["hole"].box
        self.Q = HOLE_Q if values["door_opening"] in HOLED else (USUAL_Q,)
        may_be = dataclasses.replace(door, hole_Q=np.array(self.Q))
        self.every = solve(dataclasses.replace(speakers["hole"], box=may_be), GRID, volts)
        self.sealed = solve(speakers["sealed"], GRID, volts)
        self.gains = self.sealed.level - self.every.level
        alone = {name: dataclasses.replace(speaker, cabin=None) for name, speaker in speakers.items()}
        self.responses = {name: solve(speaker, GRID, volts) for name, speaker in alone.items()}
        usual, limit = self.Q.index(USUAL_Q), float(np.min(self.sealed.validity_limit))
        driver = speakers["sealed"].driver
        return {
            "hole": {
                "level": self.every.level[usual],
                "gain": self.gains[usual],
                "excursion": self.every.excursion[usual],
            },
            "sealed": {"level": self.sealed.level, "excursion": self.sealed.excursion},
            "xmax": {"excursion": travel_limit(driver, GRID)},
            "resonance": float(door.hole_resonance()) or np.nan,
            "validity": limit,
        }

    def move(self, values):
        """Move the curves, and the band that the hole's Q leaves."""
        changed = super().move(values)
        spans = {"level": self.every.level, "gain": self.gains, "excursion": self.every.excursion}
        bands = {key: np.array([every.min(axis=0), every.max(axis=0)]) for key, every in spans.items()}
        self.stack.shade("hole", GRID, bands if len(self.Q) > 1 else {})
        by_places = self.sealed.loudspeaker.by_places
        self.stack.shade("sealed", GRID, {"level": self.sealed.band_of_ears()} if by_places else {})
        return changed

    def _volts(self, values):
        return float(np.sqrt(WATTS * self._drivers[values["driver"]].nominal_resistance))

    def gain(self, frequency):
        """Return what sealing gains at a frequency: at the usual Q, and between what by how the hole is. [dB]"""
        at = np.array([np.interp(frequency, GRID, gain) for gain in self.gains])
        return float(at[self.Q.index(USUAL_Q)]), float(at.min()), float(at.max())

    def answer(self, values):
        """Say what sealing gains; but first ask about the sensors, unless there are none."""
        limit = float(np.min(self.sealed.validity_limit))
        return Answer(
            headline=headline(values["sensors"], values["door_opening"], self.gain(LISTEN), limit),
            facts=(
                *(self._gain_fact(frequency, values, limit) for frequency in TOLD),
                Fact(RESONANCE, {ONLY: resonance(self.parts(values)["hole"].box)}),
                Fact(MOST_TRAVEL, {ONLY: self._travel(values["door_opening"])}),
            ),
            details=tuple(self._details(values, limit)),
            conditions=say(
                "{driver} in a door of {volume}, {opening}{sizes}; {power} {place}.",
                driver=verbatim(values["driver"]),
                volume=VOLUME(values["volume"]),
                opening=say(values["door_opening"]),
                sizes=sizes_of(values),
                power=POWER(WATTS),
                place=self._cabins.told(values),
            ),
            cautions=tuple(self._cautions(values)),
        )

    def _gain_fact(self, frequency, values, limit):
        opening = values["door_opening"]
        name = f"{SEALING if values['sensors'] == NO_SENSORS else COSTS} {frequency:.0f} Hz"
        if opening == SEALED:
            return Fact(name, {ONLY: say("nothing")})
        gain, low, high = self.gain(frequency)
        band = " ({low} to {high})" if opening in HOLED else ""
        words = f"{'roughly ' if frequency > limit else ''}{{gain}}{band}"
        return Fact(name, {ONLY: say(words, gain=LEVEL(gain), low=BARE(low), high=LEVEL(high))})

    def _travel(self, opening):
        now, sealed = (TRAVEL(np.max(self.responses[name].excursion[GRID >= 20])) for name in ("hole", "sealed"))
        return say("{now}" if opening == SEALED else "{now}, sealed {sealed}", now=now, sealed=sealed)

    def _details(self, values, limit):
        opening = values["door_opening"]
        if opening != SEALED:
            numbers = {f"at{place}": LEVEL(self.gain(frequency)[0]) for place, frequency in enumerate(ALSO)}
            told = [f"{{at{place}}} at {frequency:g} Hz" for place, frequency in enumerate(ALSO)]
            first = "Sealing gains" if values["sensors"] == NO_SENSORS else "The opening costs"
            yield say(f"{first} {', '.join(told[:-1])} and {told[-1]}.", **numbers)
            yield from self._why(values)
            yield say(CAUTIONS["Doors"])
            yield say("Whether sensors are fitted stands in the handbook, or the dealer knows.")
            yield say("Sealing costs sheet, sealant and a day.")
        yield from self._find_out(values)
        yield from self._about_place(self.sealed)
        yield from facts.of_its_kind(self._drivers[values["driver"]])
        yield say(
            "Above {limit} the longest side of the door ({side}) is more than a sixth of a wavelength: the curves are "
            "a rough guide there. Trim, and sheet that rings, are not in the model.",
            limit=FREQUENCY(limit),
            side=WAY(values["longest_side"]),
        )

    def _why(self, values):
        opening = values["door_opening"]
        if opening in OUTSIDE:
            yield say("It opens outside, where nobody hears it. Sealing only stiffens the air behind the cone.")
        else:
            yield say("At low tones the hole moves nearly as much air as the cone, and against it: the two cancel.")
        if opening in HOLED:
            yield say(
                f"How much the hole damps is not known. The band holds a Q of {HOLE_Q[0]:.0f} to {HOLE_Q[-1]:.0f}, the "
                f"line {USUAL_Q:.0f} (no source)."
            )
        else:
            told = "The crack counts as {depth} deep, as a folded seam is (ours)."
            yield say(told, depth=TRAVEL(SEAM))
        if opening not in OUTSIDE and not self.sealed.loudspeaker.by_places:
            words = "It counts as {path} further from the ear than the cone, the most that it can be from there."
            yield say(words, path=WAY(self.parts(values)["hole"].box.path))

    def _about_place(self, response):
        speaker = response.loudspeaker
        if speaker.cabin and not speaker.by_places:
            yield say(
                "In the bass cone and hole nearly cancel, so their places decide, and this cabin knows none: right "
                "within some {rough}. Choose the cabin by its places.",
                rough=LEVEL(ROUGH_DOOR),
            )
        yield from self._cabins.about(response)
        if speaker.by_places and speaker.cabin.ear_box:
            words = "A head moves: the band of the sealed level holds four of five places within {edge}."
            yield say(words, edge=WAY(speaker.cabin.ear_box))
        if speaker.by_places:
            yield say("The hole counts as above the cone and as far behind it (ours).")

    def _find_out(self, values):
        yield say(
            "Find out in ten minutes. Play a low tone softly, at about 30 Hz, and hold a tissue to every gap. Feel "
            "along the edges with a wet hand. Small leaks hiss. Big holes hardly stir a tissue: look with a torch."
        )
        if values["door_opening"] != SEALED:
            flow = self.responses["hole"].apertures[-1]
            peak = np.sqrt(2 * SOFTLY / WATTS) * np.interp(LOW_TONE, GRID, np.abs(flow.flow)) / flow.area
            words = f"At {LOW_TONE:.0f} Hz and {{power}} the air moves through this one at up to {{speed}}."
            yield say(words, power=POWER(SOFTLY), speed=DRAUGHT(peak))
        yield say("Its impedance tells too: sealed, one peak above fs; with a large hole, two.")

    def _cautions(self, values):
        if values["door_opening"] != SEALED:
            yield NEVER_TEST if values["sensors"] != NO_SENSORS else KEEP_FREE
        yield from facts.hot_coil(facts.coil_heat(self.sealed), self.sealed.loudspeaker.driver)
        yield from facts.protect_ears(GRID, [self.sealed.level, *self.every.level])


def hole_of(cabin, cone, path):
    """Return where a hole is: above a cone and as far behind it, or before it where the cabin ends. [m]"""
    step, highest = path * AWAY, np.array([cabin.length, cabin.width, cabin.height], float)
    beyond = np.add(cone, step) > highest
    return tuple(np.maximum(np.where(beyond, cone - step, cone + step), 0.0).tolist())


def sizes_of(values):
    """Say in a clause how large the opening is."""
    if values["door_opening"] in HOLED:
        return say(" ({area})", area=AREA(values["hole_area"]))
    if values["door_opening"] in CRACKED:
        words = " ({thickness} by {length})"
        return say(words, thickness=TRAVEL(values["crack_thickness"]), length=WAY(values["crack_length"]))
    return say("")


def resonance(door):
    """Say where the air in the opening resonates with that in the door, if it does."""
    if not door.opening_area:
        return say("none")
    found, Q = float(door.hole_resonance()), float(np.sqrt(door.hole_mass() / door.compliance()))
    if door.crack is None:
        return say("{found}", found=FREQUENCY(found))
    Q /= float(door.hole_resistance())
    return say("{found}, with a Q of {Q}" if Q > 0.5 else "none: the crack drags", found=FREQUENCY(found), Q=QUALITY(Q))


def headline(sensors, opening, gains, limit):
    """Say what to do first: what sealing gains [dB] is told only where there are no sensors. [Hz]"""
    if opening == SEALED:
        return say("Nothing to seal: this door keeps its air.")
    if sensors != NO_SENSORS:
        first = "Ask" if sensors == FITTED else "Find out"
        return say(f"{first} about the side-impact sensors first: sealing a door may upset them.")
    gain, low, high = gains
    rough, told = "; a rough guide" if limit < LISTEN else "", f"at {LISTEN:.0f} Hz"
    if max(abs(low), abs(high)) < SEEN:
        return say(f"Sealing changes next to nothing {told}{rough}.")
    if low < 0 < high:
        most = LEVEL(max(-low, high))
        return say(f"Sealing gains or loses up to {{most}} {told}, by how the hole is{rough}.", most=most)
    verb, (least, most) = ("gains", (low, high)) if gain > 0 else ("loses", (-high, -low))
    between = ", between {least} and {most} by how the hole is" if opening in HOLED else ""
    numbers = {"gain": LEVEL(abs(gain)), "least": LEVEL(least), "most": LEVEL(most)}
    return say(f"Sealing {verb} {{gain}} {told}{between}{rough}.", **numbers)


def sealed_door(drivers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, cabins : dict, optional
        Name: Driver, name: Cabin; your own and the invented ones of the demonstration by default. Tweeters are left
        out. Each cabin is offered twice: as one volume of air, and by its places.
    """
    drivers = offered().drivers if drivers is None else drivers
    drivers, missed = fit_for("sealed_door", "driver", drivers)
    cabins = Cabins(offered().cabins if cabins is None else cabins, {PLACE: ("Door at", FOR_A_PANEL)})
    scene = SealedDoor(drivers, cabins)

    def when(*openings):
        return lambda values: values["door_opening"] in openings

    heard = [opening for opening in HOLED if opening not in OUTSIDE]
    controls = [
        Choice("sensors", "Side-impact sensors", SENSORS, NOT_KNOWN, group="first"),
        Choice("driver", "Driver", drivers, first_of("165 mm panel", drivers), left_out(missed, "driver"), "driver"),
        Slider("volume", "Volume behind", VOLUME, 6 * litre, 80 * litre, 30 * litre, 0.5 * litre, "door"),
        Slider("longest_side", "Longest side", WAY, 0.3, 1.6, 1.0, 0.05, "door", lambda at: not cabins.places(at)),
        Choice("door_opening", "Opening", OPENINGS, OPENINGS[0], group="opening"),
        Slider("hole_area", "Hole area", AREA, 2 * cm2, 600 * cm2, 300 * cm2, 2 * cm2, "opening", when(*HOLED)),
        Slider(
            "crack_thickness", "Crack thickness", TRAVEL, 0.2 * mm, 3 * mm, 1 * mm, 0.1 * mm, "opening", when(*CRACKED)
        ),
        Slider("crack_length", "Crack length", WAY, 0.1, 3.0, 0.6, 0.1, "opening", when(*CRACKED)),
        Slider("path", "Cone to hole", WAY, 0.1, 0.8, 0.35, 0.01, "opening", when(*heard)),
        *cabins.controls("Where it plays"),
    ]
    return Page(controls, scene, TITLE)
