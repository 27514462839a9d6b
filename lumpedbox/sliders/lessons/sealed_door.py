"""A door with a hole or a crack, and the same door sealed."""

from __future__ import annotations

import dataclasses

import numpy as np

from ...figures.cautions import CAUTIONS
from ...figures.stack import Panel
from ...parts.box import SEAM, Door
from ...parts.loudspeaker import Loudspeaker
from ...response import frequencies, solve
from ...response.remarks import ROUGH_DOOR
from ...units import cm2, litre, mm
from ..exercises.sealed_door import sheet as sealed_door_sheet
from ..kit import facts
from ..kit.answer import ONLY, Answer, Fact, say, verbatim
from ..kit.controls import Choice, Slider
from ..kit.doors import CRACKED, HOLED, OPENINGS, OUTSIDE, SEALED, opening_of
from ..kit.offered import first_of, fit_for, left_out
from ..kit.page import Page
from ..kit.panels import level_and_travel, travel_limit
from ..kit.places import BY_PLACES, FOR_A_PANEL, PLACE, Cabins
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import AREA, DRAUGHT, FREQUENCY, LEVEL, POWER, QUALITY, SPEED, TRAVEL, VOLUME, WAY, same
from ..kit.words import OPEN_AIR

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
SEALING, COSTS = "gained at", "leak at"  # the second until it is known that there are no sensors
RESONANCE, MOST_TRAVEL, TO_FIND_OUT = "hole resonance", "cone travel", "tissue test"
CABIN = f"small hatchback{BY_PLACES}"  # with which the page starts

FIRST = {
    NOT_KNOWN: "Find out about side-impact sensors first: sealing may upset them.",
    FITTED: "Sensors are fitted: do not seal until the maker or dealer agrees.",
}
TEN_MINUTES = "30 Hz, softly, at every gap"
NEVER_TEST = say("Never test a sensor by sealing or unplugging.")
KEEP_FREE = say("Leave drain holes open, the vapour barrier whole, and room for the window.")
QUESTION = Question(
    words="In a small hatchback a 165 mm driver sits in a door of 30 litres, with a hole of 300 cm² behind the trim. "
    "What does sealing gain at 40 Hz?",
    options=("About 1 dB", "About 4 dB", "About 9 dB"),
    right="About 9 dB",
    why="At low tones the hole moves nearly as much air as the cone, and against it: the two largely cancel.",
    look="In the small hatchback, look how far apart the two levels are at 40 Hz, and where they cross.",
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
        level = dataclasses.replace(level, tops=(140.0,), rises=True)
        travel = dataclasses.replace(travel, tops=(2 * travel.high, 4 * travel.high))
        return level, Panel("gain", "sealed against as it is [dB]", -30.0, 30.0, tops=(60.0,)), travel

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
        self._blank_what_chokes()
        self.gains = self.sealed.level - self.level
        alone = {name: dataclasses.replace(speaker, cabin=None) for name, speaker in speakers.items()}
        self.alone = {name: solve(speaker, GRID, volts) for name, speaker in alone.items()}
        self.responses = {name: one for name, one in self.alone.items() if name == "sealed" or not self.chokes}
        usual, limit = self.Q.index(USUAL_Q), float(np.min(self.sealed.validity_limit))
        driver = speakers["sealed"].driver
        return {
            "hole": {"level": self.level[usual], "gain": self.gains[usual], "excursion": self.excursion[usual]},
            "sealed": {"level": self.sealed.level, "excursion": self.sealed.excursion},
            "xmax": {"excursion": travel_limit(driver, GRID)},
            "resonance": float(door.hole_resonance()) or np.nan,
            "validity": limit,
        }

    def _blank_what_chokes(self):
        """Take level and travel of the open door, of every Q, for unknown where its hole chokes."""
        leaks = self.every.circuit.has("hole")
        chokes = self.every.jet_share > 1 if leaks else np.zeros(self.every.level.shape, bool)
        self.level, self.excursion = (
            np.where(chokes, np.nan, values) for values in (self.every.level, self.every.excursion)
        )
        self.chokes = np.isnan(self.level[self.Q.index(USUAL_Q)]).any()

    def move(self, values):
        """Move the curves, and the band that the hole's Q leaves."""
        changed = super().move(values)
        spans = {"level": self.level, "gain": self.gains, "excursion": self.excursion}
        known = ~np.isnan(self.gains[self.Q.index(USUAL_Q)])
        bands = {key: np.where(known, extremes(every), np.nan) for key, every in spans.items()}
        self.stack.shade("hole", GRID, bands if len(self.Q) > 1 else {})
        by_places = self.sealed.loudspeaker.by_places
        self.stack.shade("sealed", GRID, {"level": self.sealed.band_of_ears()} if by_places else {})
        return changed

    def _volts(self, values):
        return float(np.sqrt(WATTS * self._drivers[values["driver"]].nominal_resistance))

    def gain(self, frequency):
        """Return what sealing gains at a frequency: at the usual Q, and between what; nan where it chokes. [dB]"""
        at = self.gains[:, np.searchsorted(GRID, frequency)]
        return float(at[self.Q.index(USUAL_Q)]), *map(float, extremes(at))

    def speed(self, frequency):
        """Return the peak speed of the air in the opening at a frequency, at the usual Q. [m/s]"""
        return float(self.every.hole_velocity[self.Q.index(USUAL_Q), np.searchsorted(GRID, frequency)])

    def answer(self, values):
        """Say what sealing gains; but first ask about the sensors, unless there are none."""
        limit = float(np.min(self.sealed.validity_limit))
        return Answer(
            headline=self._headline(values, limit),
            facts=(
                *(self._gain_fact(frequency, values, limit) for frequency in TOLD),
                Fact(RESONANCE, {ONLY: resonance(self.parts(values)["hole"].box)}),
                Fact(MOST_TRAVEL, {ONLY: self._travel(values["door_opening"])}),
                Fact(TO_FIND_OUT, {ONLY: say(TEN_MINUTES)}),
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

    def _headline(self, values, limit):
        gains = self.gain(LISTEN)
        if values["sensors"] == NO_SENSORS and np.isnan(gains[0]):
            words = (
                "At {power} the air here would reach {speed}: the opening chokes, and leaks less than the model says."
            )
            return say(words, power=POWER(WATTS), speed=SPEED(self.speed(LISTEN)))
        rough = limit < LISTEN or self._knows_no_places()
        return headline(values["sensors"], values["door_opening"], gains, rough)

    def _knows_no_places(self):
        """Whether the cabin is one volume of air, where a hole that is heard has no place."""
        speaker = self.sealed.loudspeaker
        return speaker.cabin is not None and not speaker.by_places and self.every.circuit.heard("hole")

    def _gain_fact(self, frequency, values, limit):
        opening = values["door_opening"]
        name = f"{SEALING if values['sensors'] == NO_SENSORS else COSTS} {frequency:.0f} Hz"
        if opening == SEALED:
            return Fact(name, {ONLY: say("nothing")})
        gain, low, high = self.gain(frequency)
        if np.isnan(gain):
            return Fact(name, {ONLY: say("not known: air at {speed}", speed=SPEED(self.speed(frequency)))})
        band = " ({low} to {high})" if opening in HOLED else ""
        words = f"{'roughly ' if frequency > limit or self._knows_no_places() else ''}{{gain}}{band}"
        return Fact(name, {ONLY: say(words, gain=LEVEL(gain), low=BARE(low), high=BARE(high))})

    def _travel(self, opening):
        now, sealed = (TRAVEL(np.max(self.alone[name].excursion[GRID >= 20])) for name in ("hole", "sealed"))
        words = "{now}" if opening == SEALED else "sealed {sealed}" if self.chokes else "{now}, sealed {sealed}"
        return say(words, now=now, sealed=sealed)

    def _details(self, values, limit):
        opening = values["door_opening"]
        if opening != SEALED:
            yield from self._at_other_frequencies(values["sensors"] == NO_SENSORS)
            yield from self._why(values)
            yield from self._about_the_jet()
            yield say(CAUTIONS["Doors"])
            yield say("The handbook or the dealer tells whether sensors are fitted.")
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

    def _at_other_frequencies(self, may_seal):
        """Say what sealing gains, or loses, elsewhere."""
        gains = {frequency: self.gain(frequency)[0] for frequency in ALSO}
        verbs = ("Sealing gains", "Sealing loses") if may_seal else ("The leak costs", "The leak adds")
        for verb, sign in zip(verbs, (1, -1), strict=True):
            told = {frequency: sign * gain for frequency, gain in gains.items() if sign * gain >= 0}
            if told:
                words = " and ".join(f"{{at{frequency:.0f}}} at {frequency:g} Hz" for frequency in told)
                words = words.replace(" and ", ", ", len(told) - 2)
                yield say(f"{verb} {words}.", **{f"at{frequency:.0f}": LEVEL(gain) for frequency, gain in told.items()})

    def _about_the_jet(self):
        if self.chokes:
            yield say(
                "So fast, the air leaves the opening as a jet (Ingard and Ising 1967, from memory). That brakes it "
                "more than all that the model knows, and the curve as it is breaks off there."
            )
            yield say(
                "Softly played, the opening leaks in full. Loud, it hisses, and the door acts as if nearly sealed."
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
            words = "We take the hole as {path} farther from your ear, the largest possible."
            yield say(words, path=WAY(self.parts(values)["hole"].box.path))

    def _about_place(self, response):
        speaker = response.loudspeaker
        if self._knows_no_places():
            yield say(
                "In the bass cone and hole nearly cancel, so their places decide, and this cabin knows none. What "
                "sealing changes may be {rough} or more too small. Choose the cabin by its places.",
                rough=LEVEL(ROUGH_DOOR),
            )
        yield from self._cabins.about(response)
        if speaker.by_places and speaker.cabin.ear_box:
            words = "A head moves: the band of the sealed level holds four of five places within {edge}."
            yield say(words, edge=WAY(speaker.cabin.ear_box))
        if speaker.by_places:
            yield say("We take the hole as above the cone, and as far behind it (ours).")

    def _find_out(self, values):
        yield say(
            "Find out in ten minutes. Play a low tone softly, at about 30 Hz, and hold a tissue to every gap. Feel "
            "along the edges with a wet hand. Small leaks hiss. Big holes hardly stir a tissue: look with a torch."
        )
        if values["door_opening"] != SEALED:
            peak = np.sqrt(SOFTLY / WATTS) * np.interp(LOW_TONE, GRID, self.alone["hole"].hole_velocity)
            words = f"At {LOW_TONE:.0f} Hz and {{power}} the air moves through this one at up to {{speed}}."
            yield say(words, power=POWER(SOFTLY), speed=DRAUGHT(peak))
        yield say("Its impedance tells too: sealed, one peak above fs; with a large hole, two.")

    def _cautions(self, values):
        if values["door_opening"] != SEALED:
            yield NEVER_TEST if values["sensors"] != NO_SENSORS else KEEP_FREE
        yield from facts.hot_coil(facts.coil_heat(self.sealed), self.sealed.loudspeaker.driver)
        yield from facts.protect_ears(GRID, [self.sealed.level, *self.every.level])
        yield from self._cabins.ask_for_a_place(values)


def extremes(curves):
    """Return the lowest and the highest of several along their first axis, of those that are known; else nan."""
    known = ~np.isnan(curves)
    low, high = (np.where(known, curves, none) for none in (np.inf, -np.inf))
    return np.where(known.any(axis=0), [low.min(axis=0), high.max(axis=0)], np.nan)


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


def headline(sensors, opening, gains, rough):
    """Say what to do first: what sealing gains [dB] is told only where there are no sensors."""
    if opening == SEALED:
        return say("Nothing to seal: this door keeps its air.")
    if sensors != NO_SENSORS:
        return say(FIRST[sensors])
    gain, low, high = gains
    told, guide = f"at {LISTEN:.0f} Hz", "; a rough guide" if rough else ""
    if max(abs(low), abs(high)) < SEEN:
        return say(f"Sealing changes next to nothing {told}{guide}.")
    if low < 0 < high:
        most = LEVEL(max(-low, high))
        return say(f"Sealing gains or loses up to {{most}} {told}, depending on the hole{guide}.", most=most)
    verb, (least, most) = ("gains", (low, high)) if gain > 0 else ("loses", (-high, -low))
    between = " ({least} to {most})" if opening in HOLED else ""
    numbers = {"gain": LEVEL(abs(gain)), "least": BARE(least), "most": BARE(most)}
    return say(f"Sealing {verb} {'roughly ' if rough else ''}{{gain}} {told}{between}.", **numbers)


def sealed_door(drivers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, cabins : dict, optional
        Name: Driver, name: Cabin; your own and the invented ones of the demonstration by default. Tweeters are left
        out. Each cabin is offered twice: as one volume of air, and by its places.
    """
    drivers, missed = fit_for("sealed_door", "driver", drivers)
    cabins = Cabins(cabins, {PLACE: ("Door at", FOR_A_PANEL)})
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
        *cabins.controls("Where it plays", CABIN if CABIN in cabins else OPEN_AIR),
    ]
    return Page(controls, scene, TITLE)
