"""The page on what a cabin does to the bass."""

from __future__ import annotations

from ....units import ms
from ...kit.controls import Choice, Slider
from ...kit.offered import first_of, fit_for, left_out, offered
from ...kit.page import Page
from ...kit.places import EAR as ASSUMED_EAR
from ...kit.places import within
from ...kit.plan import Coordinate
from ...kit.predict import Question
from ...kit.systems import DELAY, WAY
from .scene import BOX, CLOSED, DRIVEN, EAR, FARTHEST, OPEN, PLACES, SIZES, TITLE, CabinGain

QUESTION = Question(
    words="The same bass box stands in the rear of a 5 m minibus and of a small hatchback. Where does 30 Hz gain more?",
    options=("In the minibus", "In the hatchback", "Both alike"),
    right="In the hatchback",
    why="Far below its first resonance a cabin is one volume of air under pressure: the smaller, the more it gains.",
    look="Choose the hatchback, and compare 30 Hz in the lower panel.",
)


OF_A_BOX = ("box", "bass", "boot", "rear", "wheel arch")  # words in the name of a place for a box: ours


def home(cabin, mine=False):
    """Return where the controls stand for a vehicle as it comes, one's own with the box at its place. [SI]"""
    ear = cabin.ear or within(cabin, ASSUMED_EAR)
    kept = place_of_a_box(cabin) if mine else None
    box = kept or (0.8 * cabin.length, cabin.width - 0.15, min(0.4, cabin.height / 3))
    sizes = {name: float(getattr(cabin, name)) for name in SIZES}
    places = {EAR: (ear, cabin.ear), BOX: (box, kept)}
    told = {
        name: where if typed else round(round(where / 0.05) * 0.05, 6)
        for names, (at, typed) in places.items()
        for name, where in zip(names, at, strict=True)
    }
    return sizes | {"damping": cabin.reverberation_time} | told


def place_of_a_box(cabin):
    """Return the first place of a cabin whose name speaks of a box; None if none does. [m]"""
    return next((at for word in OF_A_BOX for name, at in cabin.places if word in name.lower()), None)


COORDINATES = [
    (f"{what}_{axis}", what, where)
    for what in ("box", "ear")
    for axis, where in zip("xyz", ("from front", "from left", "height"), strict=True)
]
HEIGHTS = (0.5, 2.0)  # m, of an ear: ours
WALL = dict(zip((*BOX, *EAR), 2 * SIZES, strict=True))  # the size that ends each coordinate


VEHICLE = ("cabin", *SIZES, "damping", "boot", "driver")  # what is no move of box or ear


class CabinPage(Page):
    """A vehicle that is chosen brings its sizes and places; a wall that comes nearer pushes what is in its way.

    What "was" is told of the same vehicle: before its box or the head was moved, or an offer was taken.
    """

    def __init__(self, homes, controls, *arguments, **named):
        self._homes, self._left = homes, {}
        self._wanted = {
            control.name: control.start for control in controls if control.name in (*WALL, *SIZES, "damping")
        }
        super().__init__(controls, *arguments, **named)

    def put(self, **places):
        """Put controls to new places: see `Page.put`."""
        self._want(places)
        super().put(**places)

    def reset(self):
        """Put every control back to where it started, and forget what was typed of other vehicles."""
        super().reset()
        self._left = {}

    def name_of(self, differing):
        """Return what a state is called: after box and ear where only they differ."""
        if not differing or not set(differing) <= {*BOX, *EAR}:
            return super().name_of(differing)
        return ", ".join(self._where(names) for names in (BOX, EAR) if {*names} & {*differing})

    def _where(self, names):
        *others, _ = (self.controls[name].reading(self.values[name], self.values, self.system) for name in names)
        return f"{names[0].partition('_')[0]} at {', '.join(others)}, {self.text(names[-1])}"

    def _on_moved(self, told):
        self._want(told["places"])
        if told["places"] in [offer["places"] for offer in self.board.plan.get("offers", ())]:
            self.begin_at(self.values)
        super()._on_moved(told)

    def _want(self, places):
        before, chosen = self.values["cabin"], places.get("cabin", self.values["cabin"])
        if chosen in self._homes and chosen != before:
            self._left[before] = dict(self._wanted)
            self._wanted |= self._left.get(chosen, self._homes[chosen])
        self._wanted |= {name: places[name] for name in self._wanted if name in places}

    def follow(self, values):
        """Return the values with everything inside the vehicle."""
        wanted = {name: self.controls[name].nearest(value) for name, value in self._wanted.items()}
        inside = {name: min(wanted[name], wanted[size]) for name, size in WALL.items()}
        followed = values | wanted | inside
        if any(followed[name] != self.since[name] for name in VEHICLE):
            self.begin_at(followed)
        return followed


def cabin_gain(drivers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, cabins : dict, optional
        Name: Driver, name: Cabin; your own and the invented ones of the demonstration by default. Stand-ins are left
        out, and so are drivers that resonate above 100 Hz.
    """
    offer = offered()
    cabins = offer.cabins if cabins is None else cabins
    drivers, missed = fit_for("cabin_gain", "driver", drivers)
    first = first_of("sixteen-seat minibus", cabins)
    homes = {name: home(cabin, name in offer.mine) for name, cabin in cabins.items()}
    start = homes[first]
    farthest = {name: max(FARTHEST[name], *(getattr(cabin, name) for cabin in cabins.values())) for name in SIZES}

    def placing(values):
        return values["shown"] == PLACES

    def sizing(values):
        return values["shown"] == DRIVEN

    def size(name, label, low):
        return Slider(name, label, WAY, low, farthest[name], start[name], 0.05, "vehicle", sizing)

    def coordinate(name, label, group):
        low, high = HEIGHTS if name == EAR[2] else (0.0, farthest[WALL[name]])
        return Coordinate(name, label, low, high, start[name], 0.05, WALL[name], group, placing)

    controls = [
        Choice("cabin", "Vehicle", cabins, first, left_out({}, "cabin"), "vehicle"),
        Choice("shown", "Show", (PLACES, DRIVEN), PLACES, group="vehicle"),
        size("length", "Length", 1.0),
        size("width", "Width", 0.8),
        size("height", "Height", 0.8),
        Slider("damping", "Reverberation time", DELAY, 30 * ms, 500 * ms, start["damping"], 5 * ms, "vehicle", sizing),
        Choice("boot", "Boot", (OPEN, CLOSED), OPEN, group="vehicle", only=sizing),
        Choice(
            "driver", "Driver", drivers, first_of("200 mm bass", drivers), left_out(missed, "driver"), "driver", sizing
        ),
        *(coordinate(name, f"{what.capitalize()} {where}", what) for name, what, where in COORDINATES),
    ]
    return CabinPage(homes, controls, CabinGain(drivers, cabins), TITLE)
