"""The predicted band, the measured curve over it, and what comparing the two has found."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ....errors import Refused
from ....figures.stack import Panel
from ....figures.style import PENS
from ....measure import Measured, compare, knobs
from ....measure.curves import FEWEST
from ....parts.filters import LevelTable
from ....response import frequencies, solve
from ....response.band import between
from ...kit.scene import Scene
from . import saying
from .readings import IMPEDANCE, LEVEL, as_read, frequencies_of, used, values_of

GRID = frequencies(10, 400, per_octave=48)
CURVE, OFF = "curve", "off"
PLAN, READ, CORRECTED = "plan", "read", "corrected"
AT_1_M, AT_THE_EAR = "level [dB re 20 µPa] at 1 m", "level [dB re 20 µPa] at the ear"
MEMBERS, IN_A_CABIN = 100, 40  # of a band: fewer where the resonances of a cabin are counted, which takes longer
AVERAGE = (20.0, 200.0)  # Hz over which levels are held against each other until there are readings
REMEMBERED = 24  # bands and comparisons
SEED = 21
OF_THE_PLAN = ("measured", "planned", "speaker", "driver", "box", "volume", "fb", "Ql", "cabin", "place")
READINGS = {IMPEDANCE: "ohms", LEVEL: "levels"}  # name of the control that holds them


class Abandoned(Exception):
    """A comparison that nobody waits for any more."""


class Compared(NamedTuple):
    """A measurement held against its plan.

    Attributes
    ----------
    measured : Measured, or array of shape (n, 2)
        What is used of it. [Hz], [ohm] or [dB]
    found : Comparison or None
        None where the two do not go together.
    why : str
        Why they do not.
    """

    measured: object
    found: object
    why: str = ""


class AsPlanned(Scene):
    """An impedance or a level over one frequency axis, and how far the readings are off the plan.

    Attributes
    ----------
    comparison : Compared or None
        None where there are too few readings, or it is not worked out yet.
    measured : Measured, array or None
        All readings.
    system : System
        As planned.
    line : float
        The resistor in line. [ohm]
    """

    grid = GRID
    refines = True
    alternative_text = "The curve as planned with its band, the readings over it, and how far they are off"

    def __init__(self, plans):
        self.plans, self._drivers, self._cabins = plans, plans.drivers, plans.cabins
        self.kind, self.units = IMPEDANCE, "metric"
        self.comparison = self.measured = self.system = None
        self.line = 10.0
        self._kept_bands, self._found = {}, {}
        pens = {PLAN: ("first", "as planned"), READ: ("second", "measured"), CORRECTED: ("third", "with that cause")}
        super().__init__(pens, kept=(PLAN, READ))

    def panels(self, system):
        """Return the two panels, of an impedance or of a level; they have no other units in the US."""
        if self.kind == IMPEDANCE:
            return (
                Panel(CURVE, "impedance [ohm]", 0.0, 40.0, tops=(80.0, 160.0, 400.0)),
                Panel(OFF, "measured against plan [%]", -60.0, 60.0),
            )
        return (
            Panel(CURVE, AT_1_M, 60.0, 110.0, tops=(130.0, 150.0)),
            Panel(OFF, "measured against plan [dB]", -15.0, 15.0),
        )

    def beside(self, figure):
        """Add a mark for each reading to the panels."""
        look = {"color": PENS["second"].color, "markersize": 3.5, "zorder": 2.5}
        self.marks = {key: axes.plot([], [], "o", **look)[0] for key, axes in self.stack.axes.items()}
        return list(self.marks.values())

    def use(self, system):
        """Change the axes to another system of units."""
        self.units = system
        super().use(system)

    def move(self, values):
        """Move the curves, the band and the marks; return whether what does not move has changed."""
        before = self.kind
        changed = super().move(values)
        self.stack.shade(PLAN, GRID, self.edges)
        for key, mark in self.marks.items():
            mark.set_data(*self.points[key])
        if self.kind != IMPEDANCE:
            self.stack.name(CURVE, AT_THE_EAR if self.system.by_places else AT_1_M)
        return changed or self.kind != before

    def curves(self, values):
        """Solve the plan and its band, and compare the readings with it unless the hand moves."""
        self._turn_to(values["measured"])
        self.line = values["line"]
        self.system, self.measured = self.plans.system(values), self.read(values)
        if not self.coarse:
            self.work_out(values)
        self.comparison = self.known(values)
        planned = self.solved(self.system)
        band = self._moved_to(self._band(values), planned)
        self.edges = {CURVE: between(band), OFF: self._off(between(band), planned)}
        nothing = np.full_like(GRID, np.nan)
        read, corrected, self.points = nothing, nothing, dict.fromkeys((CURVE, OFF), ((), ()))
        if self.measured is not None:
            f = frequencies_of(self.measured)
            read = self._on_grid(f, values_of(self.measured)) - self.shift(planned)
            there = np.interp(np.log(f), np.log(GRID), planned, np.nan, np.nan)
            self.points = {
                CURVE: (f, values_of(self.measured) - self.shift(planned)),
                OFF: (f, self._off(values_of(self.measured) - self.shift(planned), there)),
            }
        if saying.named(self):
            corrected = self.solved(self.comparison.found.corrected)
            corrected = corrected + self.shift(corrected) - self.shift(planned)
        shown = {PLAN: planned, READ: read, CORRECTED: corrected}
        return {
            name: {CURVE: curve, OFF: self._off(curve, planned), "kind": self.kind} for name, curve in shown.items()
        }

    def answer(self, values):
        """Say what explains the difference, and what to do about it."""
        return saying.answer(self, values)

    @staticmethod
    def lines(values):
        """Return the readings of the kind that is chosen, as they are typed."""
        return values[READINGS[values["measured"]]]

    def read(self, values):
        """Return what was measured of the kind that is chosen; None if nothing is."""
        return as_read(values["measured"], self.lines(values), values["line"])

    def known(self, values):
        """Return the `Compared` of some values if it was worked out before, else None."""
        found = self._found.get(self.key(values))
        if isinstance(found, Exception):
            raise found
        return found

    def waits(self, values):
        """Whether there is something to compare that was not worked out yet."""
        return self._to_compare(values) is not None and self.key(values) not in self._found

    def work_out(self, values, wanted=lambda: True):
        """Compare the readings with the plan, which may take long; it touches nothing that is drawn.

        What comes of it is `known` then, an error too. Once it is not `wanted` any more, it ends without a result.
        """

        def go_on(_done, _count):
            if not wanted():
                raise Abandoned

        measured, key = self._to_compare(values), self.key(values)
        if measured is None or key in self._found:
            return
        try:
            told = measured if isinstance(measured, Measured) else LevelTable(points=tuple(map(tuple, measured)))
            found = Compared(measured, compare(told, self.plans.system(values), progress=go_on))
        except Abandoned:
            return
        except Refused as error:
            found = Compared(measured, None, error.sentence)
        except Exception as error:  # it is told where the answer would stand
            found = error
        _remember(self._found, key, found)

    def _to_compare(self, values):
        """Return the readings that count, if they are enough."""
        measured = self.read(values)
        counted = None if measured is None else used(values["measured"], measured)
        return None if counted is None or len(frequencies_of(counted)) < FEWEST else counted

    def key(self, values):
        """Return what a comparison depends on."""
        return (*self._plan(values), values["line"], self.lines(values))

    def _plan(self, values):
        """Return what the plan is: a stage may be of a file that has changed meanwhile."""
        return (self.plans.stage(values), *(values.get(name) for name in OF_THE_PLAN))

    def _turn_to(self, kind):
        """Change the axes between an impedance and a level."""
        if kind != self.kind:
            self.kind = kind
            self.use(self.units)

    def _show(self, curves):
        """Show curves, but none on the axes of another kind."""
        other = {name: shown for name, shown in curves.items() if shown.get("kind", self.kind) != self.kind}
        super()._show(curves | {name: {} for name in other})

    def solved(self, system):
        """Return what a system does on the grid: ohm of an impedance, dB of a level."""
        if self.kind == IMPEDANCE:
            return np.abs(solve(system.loudspeakers[0], GRID).impedance)
        return solve(system, GRID).level

    def _band(self, values):
        """Return the curves of members that differ as hands and parts usually do, shape (members, nf)."""
        key = self._plan(values)
        if key not in self._kept_bands:
            _remember(self._kept_bands, key, self.solved(self._members()))
        return self._kept_bands[key]

    def _members(self):
        """Return the plan as a family whose members differ as the comparison takes for usual; all are heard alike."""
        of_each = [one for at in range(len(self.system.loudspeakers)) for one in knobs.of_loudspeaker(self.system, at)]
        free = [*of_each, *(knobs.of_channels(self.system) if self.kind != IMPEDANCE else ())]
        count = IN_A_CABIN if len(self.system.loudspeakers) > 1 else MEMBERS
        draws = np.random.default_rng(SEED).standard_normal((len(free), count))
        return knobs.turned(self.system, free, draws * [[knob.deviation] for knob in free])

    def _moved_to(self, band, planned):
        """Return levels held against the plan, since a phone knows no level on the whole; an impedance as it is."""
        if self.kind == IMPEDANCE:
            return band
        among = (GRID >= AVERAGE[0]) & (GRID <= AVERAGE[1])
        return band - np.mean((band - planned)[:, among], axis=1, keepdims=True)

    def shift(self, curve):
        """Return by how much the readings lie above a curve on the whole: of a level, which is left open. [dB]"""
        if self.kind == IMPEDANCE:
            return 0.0
        counted = used(self.kind, self.measured)
        f, level = frequencies_of(counted), values_of(counted)
        return float(np.mean(level - np.interp(np.log(f), np.log(GRID), curve))) if len(f) else 0.0

    def _off(self, curve, planned):
        """Return how far a curve is off the plan: percent of an impedance, dB of a level."""
        return 100 * (curve / planned - 1) if self.kind == IMPEDANCE else curve - planned

    def _on_grid(self, frequency, values):
        """Return readings on the grid, with straight lines between them on logarithmic axes."""
        values = np.log(values) if self.kind == IMPEDANCE else values
        drawn = np.interp(np.log(GRID), np.log(frequency), values, np.nan, np.nan)
        return np.exp(drawn) if self.kind == IMPEDANCE else drawn


def _remember(kept, key, found):
    """Keep something, and forget the oldest where there are many."""
    kept[key] = found
    while len(kept) > REMEMBERED:
        kept.pop(next(iter(kept)))
