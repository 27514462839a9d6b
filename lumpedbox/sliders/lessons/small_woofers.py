"""Three drivers of different size in the same large panel."""

from __future__ import annotations

from ...design.causes import causes
from ...figures.stack import Panel
from ...parts.box import InfiniteBaffle
from ...parts.loudspeaker import Loudspeaker
from ...response import frequencies, solve
from ..exercises.small_woofers import sheet as small_woofer_sheet
from ..kit.controls import Choice, Slider
from ..kit.offered import left_out, offered
from ..kit.page import Page
from ..kit.panels import curves_of, reach_of
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import AIR_MOVED, FREQUENCY, SYSTEMS, TRAVEL, VOLTAGE
from ..kit.words import OPEN_AIR, runs_out, softer

__all__ = ["QUESTION", "small_woofer_sheet", "small_woofers"]

GRID = frequencies(20, 500, per_octave=24)
NAMES = ("first", "second", "third")
START = ("200 mm step well, tired", "165 mm panel", "130 mm step well")

QUESTION = Question(
    words="Three drivers, one panel, one voltage: at 40 Hz, how much softer than the 200 mm is the 130 mm?",
    options=("Hardly softer (1 dB)", "Clearly softer (about 7 dB)", "Gone (more than 20 dB)"),
    right="Clearly softer (about 7 dB)",
    why="Most of that is the smaller area of its cone.",
    look="Look at 40 Hz, and move the frequency.",
)


class SmallWoofers(Scene):
    """Level, highest level within the linear travel, and travel, of three drivers over one frequency axis."""

    alternative_text = "Level, highest level within the linear travel, and cone travel of three drivers"
    grid = GRID

    def __init__(self, drivers, cabins):
        self._drivers, self._cabins = drivers, {OPEN_AIR: None, **cabins}
        self.responses = {}
        pens = {**{name: (name, f"{name} driver") for name in NAMES}, "look": ("look", "where you look")}
        super().__init__(pens, kept=NAMES)

    def panels(self, system):
        """Return the three panels in a system of units."""
        travel = TRAVEL.shown(system)
        top = 15.0 if system == SYSTEMS[0] else 0.6
        return (
            Panel("level", "level at 1 m\n[dB re 20 µPa]", 50.0, 120.0),
            Panel("reach", "highest level within\nlinear travel [dB]", 50.0, 120.0),
            Panel("excursion", f"cone travel, peak\n[{travel.unit}]", 0.0, top, travel.size),
        )

    def parts(self, values):
        """Return the loudspeakers that the controls stand for: {"first": ..., "second": ..., "third": ...}."""
        cabin = self._cabins[values["cabin"]]
        return {
            name: Loudspeaker(driver=self._drivers[values[name]], box=InfiniteBaffle(), cabin=cabin) for name in NAMES
        }

    def curves(self, values):
        """Solve the three drivers."""
        self.responses = {name: solve(speaker, GRID, values["voltage"]) for name, speaker in self.parts(values).items()}
        curves = {name: curves_of(r) | {"reach": reach_of(r)} for name, r in self.responses.items()}
        return curves | {"look": values["look"]}

    def conditions(self, values, system):
        """Say what is shown, and under which conditions."""
        drivers = "; ".join(f"{name}: {values[name]}" for name in NAMES)
        return f"{drivers}. {VOLTAGE.metric.text(values['voltage'])} r.m.s., 1 m, large panel, {values['cabin']}"

    def sentences(self, values, system):
        """Say what the curves amount to."""
        at = [solve(response.loudspeaker, values["look"], values["voltage"]) for response in self.responses.values()]
        names = values["first"], values["third"]
        yield _softer(at[0], at[2], *names)
        yield _shared_out(at[0], at[2])
        if at[0].loudspeaker.driver.xmax is None or at[2].loudspeaker.driver.xmax is None:
            yield "One of the two has no linear travel on its data sheet: nothing is said about running out of it."
        else:
            yield _within_travel(at[0], at[2], names[0], AIR_MOVED.shown(system))
            yield runs_out(self.responses["third"])


def _softer(largest, smallest, first, third):
    levels = largest.level[0], smallest.level[0]
    return (
        f"At {largest.frequency[0]:.0f} Hz the {third} plays {levels[1]:.1f} dB: "
        f"{softer(float(levels[0] - levels[1]))} the {first} ({levels[0]:.1f} dB)."
    )


def _shared_out(largest, smallest):
    found = causes(largest.loudspeaker, smallest.loudspeaker, largest.frequency, voltages=(largest.voltage,) * 2)
    where = largest.frequency[0]
    return f"Of these {float(found.difference[0]):+.1f} dB each has its share: {found.shares(where)}."


def _within_travel(largest, smallest, first, unit):
    gap = float(largest.level_within_travel[0] - smallest.level_within_travel[0])
    moved = [unit.text(response.loudspeaker.driver.Vd) for response in (smallest, largest)]
    return (
        f"Held within its linear travel it reaches {smallest.level_within_travel[0]:.1f} dB there, "
        f"{softer(gap)} the {first}: it moves {moved[0]} of air at most, against {moved[1]}."
    )


def small_woofers(drivers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, cabins : dict, optional
        Name: Driver, name: Cabin; your own and the invented ones of the demonstration by default.
    """
    drivers = offered().drivers if drivers is None else drivers
    cabins = offered().cabins if cabins is None else cabins
    starts = START if set(START) <= set(drivers) else tuple(list(drivers) * 3)[:3]
    controls = [
        Slider("look", "Frequency to look at", FREQUENCY, 20.0, 300.0, 40.0, 1.0),
        Slider("voltage", "Amplifier, r.m.s.", VOLTAGE, 0.5, 20.0, 2.83, 0.25),
        *(
            Choice(
                name, f"{name.capitalize()} driver", drivers, start, left_out({}, "driver") if name == "third" else ""
            )
            for name, start in zip(NAMES, starts, strict=True)
        ),
        Choice("cabin", "Where they play", (OPEN_AIR, *cabins), OPEN_AIR, left_out({}, "cabin")),
    ]
    return Page(controls, SmallWoofers(drivers, cabins), first=2, roles={"third": "driver"})
