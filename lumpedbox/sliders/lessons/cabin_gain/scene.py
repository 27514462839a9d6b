"""What a cabin does to the bass: one box, one ear, and three ways to work it out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ....design.alignments import closed_ratio
from ....figures.stack import Panel
from ....parts.box import SealedBox
from ....parts.cabin import Cabin
from ....parts.loudspeaker import Loudspeaker
from ....parts.room import apart, reaches
from ....response import frequencies, solve
from ....response.dips import CLEAR, deepest, dips_of, filled, way_out
from ....response.ears import band_of_ears, levels_at
from ....response.remarks import doubt_of_ringing
from ....units import litre
from ...kit import facts
from ...kit.answer import Answer, Fact, say, verbatim
from ...kit.plan import LevelMap, Marker, Plan, Shortcut
from ...kit.scene import Scene
from ...kit.systems import DELAY, FACTOR, FREQUENCY, LEVEL, SHIFT, VOLTAGE, VOLUME, WAY
from .answering import LISTEN, headline, headline_of_dip, in_the_corner, refusal, told_dip, told_dips, told_way

GRID = frequencies(20 / np.sqrt(2), 320, per_octave=24)  # 20, 40, 80 Hz ... are in it
TITLE = "What does the cabin do?"
TOLD = (LISTEN, 80.0)  # Hz
SPREAD_AT = 80.0  # Hz
VOLTS = 10.0  # r.m.s.
PLACES, DRIVEN = "places", "sizes and driver"
OPEN, CLOSED = "open to the cabin", "closed off"
BY_LENGTH, BY_VOLUME, MODES = DEPTHS = "length", "volume", "resonances"
HERE, IN_CORNER = "here", "corner"
LAWS = {BY_LENGTH: "length", BY_VOLUME: "volume", MODES: "modes"}
SIZES = ("length", "width", "height")
BOX, EAR = tuple(f"box_{axis}" for axis in "xyz"), tuple(f"ear_{axis}" for axis in "xyz")
CORNER = 0.1  # m from each wall to the middle of a cone in the corner: ours
ALIKE = 3.0  # dB between two depths that tell the same: ours
QTC, SMALLEST, LARGEST = 2**-0.5, 5 * litre, 80 * litre  # of the sealed box: ours
MAP_GRID, EVERY = frequencies(15, 200, per_octave=8), 0.15  # m between two ears of the map
FARTHEST = {"length": 8.0, "width": 2.6, "height": 2.6}  # m, of the sliders


class CabinGain(Scene):
    """Level at the ear, and what the cabin adds to open air, over one frequency axis."""

    alternative_text = "Level at the ear, and what the cabin adds to open air, against frequency"
    grid = GRID
    refines = True

    def __init__(self, drivers, cabins):
        self._drivers, self._cabins = drivers, cabins
        pens = {
            "length": ("second", "rule of thumb by length"),
            "volume": ("third", "by air volume"),
            "open": ("look", "open air"),
            "crowded": ("validity", "above here: not reliable"),
            "modes": ("first", MODES),
        }
        super().__init__(pens, kept=("modes",))

    def panels(self, system):
        """Return the two panels in a system of units."""
        return (
            Panel("level", "level [dB re 20 µPa] at the ear", 70.0, 130.0),
            Panel("added", "what the cabin adds [dB]", -20.0, 30.0),
        )

    def cabin(self, values):
        """Return the vehicle that the controls stand for; its air keeps the share of the sizes that it was given."""
        kept, sizes = self._cabins[values["cabin"]], [values[name] for name in SIZES]
        share = kept.air_volume / (kept.length * kept.width * kept.height)
        return Cabin(
            **dict(zip(SIZES, sizes, strict=True)),
            law="modes",
            volume=float(np.prod(sizes) * share),
            flex=kept.flex,
            leak=kept.leak,
            reverberation_time=values["damping"],
            ear=tuple(values[name] for name in EAR),
            ear_box=kept.ear_box,
            places=inside(kept.places, sizes),
        )

    def parts(self, values):
        """Return the loudspeaker that the controls stand for."""
        driver, cabin = self._drivers[values["driver"]], self.cabin(values)
        place = tuple(values[name] for name in BOX)
        if apart(place, cabin.ear) < CLEAR:
            raise ValueError(
                f"Box and ear are at one place: {100 * apart(place, cabin.ear):.0f} cm apart. Keep them at least "
                f"{100 * CLEAR:.0f} cm apart, middle to middle."
            )
        return Loudspeaker(driver=driver, box=SealedBox(volume=volume_for(driver)), cabin=cabin, position=place)

    def curves(self, values):
        """Solve the three depths, and the same box in the open."""
        self.speaker = self.parts(values)
        self.refused = values["boot"] == CLOSED
        self.open = in_the_open(self.speaker, GRID)
        self.depths = {} if self.refused else {name: by_depth(self.speaker, name, GRID) for name in DEPTHS}
        self.added = added = {name: response.level - self.open.level for name, response in self.depths.items()}
        at_ear = self.depths[MODES].level if self.depths else None
        return {
            "modes": {"level": at_ear, "added": added.get(MODES)},
            "length": {"added": added.get(BY_LENGTH)},
            "volume": {"added": added.get(BY_VOLUME)},
            "open": {"level": self.open.level},
            "crowded": float(self.speaker.cabin.modal_limit),
        }

    def move(self, values):
        """Move the curves, and once the hand rests the band of the places that the ear may have."""
        changed = super().move(values)
        fine = self.depths and not self.coarse
        self.band = band_of_ears(self.depths[MODES], 0.8) if fine else None
        self.stack.shade("modes", GRID, {"level": self.band} if fine else {})
        return changed

    def answer(self, values):
        """Say what the corner does to level and dip; in it, what the dip is and how to leave it."""
        if self.refused:
            return refusal(self._conditions(values))
        self.dips, self.corner = dips_of(self.depths[MODES]), self._in_the_corner()
        self.dip = deepest(self.dips)
        self.way = None if self.coarse else way_out(self.depths[MODES])
        return Answer(
            headline=self._headline(),
            facts=tuple(self._facts()),
            details=tuple(self._details(values)),
            conditions=self._conditions(values),
            cautions=tuple(facts.protect_ears(GRID, [filled(self.depths[MODES].level)])),
        )

    def _in_the_corner(self):
        """Solve the box in the nearest corner, coarsely at what is told of it alone; None where it stands there."""
        if (place := nearest_corner(self.speaker)) in (None, self.speaker.position):
            return None
        return by_depth(replace(self.speaker, position=place), MODES, np.array(TOLD) if self.coarse else GRID)

    def _facts(self):
        heard = {HERE: self.depths[MODES]} | ({IN_CORNER: self.corner} if self.corner else {})
        for frequency in TOLD:
            said = {name: _level(level_at(response, frequency)) for name, response in heard.items()}
            yield Fact(f"level at {frequency:.0f} Hz", said)
        whole = {name: response for name, response in heard.items() if len(response.frequency) == len(GRID)}
        yield Fact("deepest dip", {name: told_dip(deepest(dips_of(response))) for name, response in whole.items()})
        yield Fact(f"adds at {LISTEN:.0f} Hz", {HERE: _level(self._adds(MODES))})

    def _adds(self, depth):
        """Return what the cabin adds at the frequency that is told of, at some depth. [dB]"""
        return self.added[depth][at(LISTEN)]

    def _spread(self):
        low, high = self.band[:, at(SPREAD_AT)]
        words = "Around the head the level differs by {spread} at {frequency}."
        return say(words, spread=LEVEL(high - low), frequency=FREQUENCY(SPREAD_AT))

    def _headline(self):
        if self.corner:
            gains = [level_at(self.corner, f) - level_at(self.depths[MODES], f) for f in TOLD]
            return in_the_corner(gains, self.dips, None if self.coarse else dips_of(self.corner))
        if self.dip:
            return headline_of_dip(self.dip, self.way, self.coarse)
        return headline(self.added[MODES][at(LISTEN)])

    def _details(self, values):
        yield say(
            "A box with your dimensions: first modes within perhaps 10 to 20 % (ours, no source). Seats, slope, trim "
            "and people are not in it. The place of a dip is a warning, not a forecast."
        )
        if self.dips:
            yield told_dips(self.dips)
        if self.dip and not self.coarse:
            yield told_way(self.dip, self.way)
        cabin, r = self.speaker.cabin, self.open.distance
        first = cabin.first_resonance()
        rises = {"volume": FREQUENCY(cabin.volume_corner(r)), "length": FREQUENCY(cabin.length_corner())}
        yield say(
            "By its volume the cabin adds below {volume}; by its length, a rule of thumb, below {length}.", **rises
        )
        yield say(
            f"At {LISTEN:.0f} Hz its volume adds {{by_volume}}, its length {{by_length}}.",
            by_volume=LEVEL(self._adds(BY_VOLUME)),
            by_length=LEVEL(self._adds(BY_LENGTH)),
        )
        brings = (
            "This cabin brings the bass back that way" if first > LISTEN else "That brings back only the lowest bass"
        )
        yield say(f"Below {{first}} the air is pressed as one. {brings}.", first=FREQUENCY(first))
        yield self._parts_by("By its volume", BY_VOLUME)
        yield self._parts_by("By its length", BY_LENGTH)
        if self.band is not None:
            yield self._spread()
        yield say(
            "The band holds four of five places of the ear in a cube of {edge}. From {limit} up resonances crowd; "
            "there the curve becomes that of open air.",
            edge=SHIFT(cabin.ear_box),
            limit=FREQUENCY(cabin.modal_limit),
        )
        if doubt := doubt_of_ringing(self._cabins[values["cabin"]]):
            yield verbatim(doubt)
        yield say("A boot that seat and shelf close off is a second volume: this page cannot work it out.")

    def _parts_by(self, words, name):
        """Say up to where a depth tells the same as the resonances."""
        differs = np.flatnonzero(np.abs(self.added[name] - self.added[MODES]) > ALIKE)
        alike = LEVEL(ALIKE)
        if not len(differs):
            return say(f"{words} it tells the same as the resonances, within {{alike}}.", alike=alike)
        if differs[0] == 0:
            return say(
                f"{words} it is more than {{alike}} off already at {{low}}.", alike=alike, low=FREQUENCY(GRID[0])
            )
        up_to = FREQUENCY(GRID[differs[0] - 1])
        return say(f"{words} it agrees with the resonances within {{alike}} up to {{up_to}}.", alike=alike, up_to=up_to)

    def _conditions(self, values):
        cabin = self.speaker.cabin
        place = next((name for name, at in cabin.places if at == self.speaker.position), "")
        where = "at {place}, {distance}" if place else "{distance}"
        return say(
            f"{{driver}} in a sealed box of {{volume}}, {{volts}} r.m.s., {where} from the ear. The vehicle is taken "
            "as a box, {length} by {width} by {height}. Its reverberation time is {damping}, its panels make the air "
            "{flex} as soft, and it leaks below {leak}.",
            driver=verbatim(values["driver"]),
            volume=VOLUME(self.speaker.box.volume),
            volts=VOLTAGE(VOLTS),
            distance=WAY(self.open.distance),
            place=verbatim(place),
            damping=DELAY(cabin.reverberation_time),
            flex=FACTOR(cabin.flex),
            leak=FREQUENCY(cabin.leak),
            **{name: WAY(getattr(cabin, name)) for name in SIZES},
        )

    def plan(self, values):
        """Return the plan of box and ear, with the map of levels once the hand rests."""
        speaker, cabin = self.speaker, self.speaker.cabin
        diameter = 2 * float(speaker.driver.radius)
        return Plan(
            length=cabin.length,
            width=cabin.width,
            markers=(
                Marker("loudspeaker", "box", speaker.position, *BOX[:2], diameter),
                Marker("ear", "ear", cabin.ear, *EAR[:2]),
            ),
            offers=() if self.refused else tuple(self._offers()),
            level_map=None if self.refused or self.coarse else map_of(self.depths[MODES]),
            mapped=not self.refused,
            notes=(say("Drag box or ear, or use the arrow keys. Fasten a box so that it holds in a crash."),),
        )

    def _offers(self):
        if self.corner:
            yield Shortcut("Box to the corner", dict(zip(BOX, self.corner.loudspeaker.position, strict=True)), "box")
        if self.way:
            yield Shortcut("Head out of the dip", dict(zip(EAR, self.way.ear, strict=True)), "ear")


def _level(level):
    return say("{level}", level=LEVEL(level))


def inside(places, sizes):
    """Return the named places that are inside a vehicle of some sizes. [m]"""
    return {name: at for name, at in places if all(a <= size for a, size in zip(at, sizes, strict=True))}


def volume_for(driver):
    """Return the volume that makes Qtc 0.71, or as near to it as 5 to 80 litres come. [m3]"""
    if driver.Qts >= QTC:
        return LARGEST
    return float(np.clip(driver.Vas / closed_ratio(driver.Qts, QTC), SMALLEST, LARGEST))


def in_the_open(speaker, frequency):
    """Solve a loudspeaker without its cabin, as far from the ear as in it."""
    return solve(replace(speaker, cabin=None), frequency, VOLTS, distance=apart(speaker.position, speaker.cabin.ear))


def by_depth(speaker, name, frequency):
    """Solve a loudspeaker with its cabin by one of the three depths."""
    cabin, distance = replace(speaker.cabin, law=LAWS[name]), apart(speaker.position, speaker.cabin.ear)
    return solve(replace(speaker, cabin=cabin), frequency, VOLTS, distance=distance)


def at(frequency):
    """Return the place of a frequency on the grid."""
    return int(np.argmin(np.abs(GRID - frequency)))


def level_at(response, frequency):
    """Return the level at one of the frequencies that are solved. [dB]"""
    return float(response.level[np.argmin(np.abs(response.frequency - frequency))])


def nearest_corner(speaker):
    """Return the place of a cone in the floor corner that is nearest to it; None where the ear is too near. [m]"""
    cabin, (x, y, _) = speaker.cabin, speaker.position
    ends = ((x, cabin.length), (y, cabin.width))
    place = (*(CORNER if at < size / 2 else round(size - CORNER, 6) for at, size in ends), CORNER)
    near = apart(place, cabin.ear) < CLEAR or reaches(cabin, place, cabin.ear, np.sqrt(speaker.driver.Sd))
    return None if near else place


def map_of(response):
    """Return the levels all over the cabin at the height of the ear, over that at the ear."""
    cabin, ear = response.loudspeaker.cabin, response.ear
    at_map = solve(response.loudspeaker, MAP_GRID, VOLTS)
    along, across = (centres(size) for size in (cabin.length, cabin.width))
    x, y = np.meshgrid(along, across)
    clear = apart(response.loudspeaker.position, (x, y, ear[2])) >= CLEAR
    levels = np.full((*x.shape, len(MAP_GRID)), np.nan)
    levels[clear] = levels_at(at_map, (x[clear], y[clear], ear[2])) - at_map.level
    return LevelMap(levels, MAP_GRID)


def centres(size):
    """Return the middles of equal parts of a length, some 15 cm each. [m]"""
    count = int(np.ceil(size / EVERY))
    return (np.arange(count) + 0.5) * size / count
