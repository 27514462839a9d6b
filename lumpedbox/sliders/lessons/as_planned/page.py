"""Did it come out as planned: readings of a built box or in the vehicle, held against the plan."""

from __future__ import annotations

import asyncio
import threading

from ....units import litre
from ...kit.asked import Asked
from ...kit.controls import Choice, Lines, Slider
from ...kit.feed import Exact
from ...kit.litres import Litres
from ...kit.offered import first_of, fit_for, left_out, offered
from ...kit.page import Page
from ...kit.places import Cabins
from ...kit.readings_file import lines_of_file
from ...kit.systems import FREQUENCY, PLAIN, RESISTANCE, VOLUME
from ..measure_a_driver.steps import WIRE
from . import example
from .from_stage import BuiltAtStage
from .meter import Meter
from .planned import SEALED, SET, VENTED, Plans, WhichSpeaker, is_stage
from .readings import FIELDS, IMPEDANCE, LEVEL, as_lines, as_read, frequencies_of, is_invented, used, with_a_reading
from .scene import READINGS, AsPlanned
from .upcoming import ENOUGH, coming

TITLE = "Did it come out as planned?"
HOW = {
    IMPEDANCE: (
        "Build the box shut, with its driver in it. Unplug its wires from the amplifier of the vehicle.",
        "Wire a small amplifier's + through a resistor of about 10 ohm, 5 W or more, to the box's +, and its − back.",
        "Read that resistor first, less what the touched leads read, and type it under “Resistor in line”.",
        "Play one tone at a time. Read two AC voltages with the same meter: across the box, and across the resistor.",
        "Type the tone that the page asks for, and both. About 20 readings will do.",
    ),
    LEVEL: (
        "Park, shut doors and windows, and put the phone's microphone where your ear would be. Fix it there.",
        "Set tone controls flat and leave the volume alone from now on. Play one tone at a time, softly.",
        "Type the level that a sound level app shows, without weighting (Z or flat) if it lets you choose.",
        "What the app calls 0 dB does not matter. Its microphone does: hold it against a better one if you can.",
    ),
}
CAUTION = {
    IMPEDANCE: "Volume low: about 0.5 V, never over 1 V. No hand at the cone. Keep tweeters out of this. The resistor "
    "gets warm.",
    LEVEL: "Start low and keep it short: loud sound harms hearing for good. Measure parked, with fresh air if the "
    "engine runs.",
}
TAKEN = "{name}: {count} readings are taken."
RECALLED = "Your readings of before are back."
ASIDE = "The link brings readings of its own. Undo brings back yours."
NOT_BACK = "Some readings of before could not be read: {why}"
GONE = "The readings are cleared."
EXAMPLE = "This measurement is invented. Undo brings back what stood here."
COUNTED = "{count} readings of about {enough}. Next: {at:.1f} Hz."
PLENTY = "{count} readings will do. One more would be at {at:.1f} Hz."


class AsPlannedPage(Page):
    """The page, with its meter. A comparison that takes long never keeps a move waiting.

    Attributes
    ----------
    meter : Meter
    """

    def __init__(self, controls, scene):
        self.readings = Readings(self)
        self.meter, self._working, self._wanted = self.readings.board, False, None
        super().__init__(
            controls,
            scene,
            TITLE,
            helpers=[Litres(_named(controls, "volume"), "driver", scene.plans.drivers)],
            way=BuiltAtStage(scene.plans),
        )
        self.listen(self.readings.tell)
        self.readings.tell()
        self.widget.children = (self.meter, *self.widget.children)
        self.widget.layout.flex_flow = "column"

    def reset(self):
        """Put the plan back to where it started; readings stay."""
        self.begin_at(self.start)
        self.put(**(self.start | self._lines()))

    def rest(self):
        """Answer finely; a comparison is worked out beside, if anything runs that can wait for it.

        One that runs for what has changed meanwhile is abandoned first.
        """
        loop, self._wanted = _running_loop(), self.scene.key(self.values)
        if loop is None or not self.scene.coarse or self.board.wrong or not self.scene.waits(self.values):
            super().rest()
        elif not self._working:
            self._working = True
            threading.Thread(target=self._work_out, args=(dict(self.values), self._wanted, loop), daemon=True).start()

    def _work_out(self, values, key, loop):
        try:
            self.scene.work_out(values, lambda: self._wanted == key)
        finally:
            loop.call_soon_threadsafe(self._worked_out)

    def _worked_out(self):
        """Show what was found, or begin with what has been asked for meanwhile."""
        self._working = False
        self.rest()

    def _on_link(self, text):
        """Go where a link leads; what the browser remembers is taken up after that, and held against no other plan."""
        try:
            super()._on_link(text)
        finally:
            self.meter.led = True

    def _lead(self, text, otherwise, known=(), begun=""):
        """Go where a link leads; readings of another kind than it tells stay."""
        super()._lead(text, otherwise | self._lines(), known, begun)

    def _lines(self):
        return {name: self.values[name] for name in ("ohms", "levels")}


class Readings(Asked):
    """What is done with the readings: one is added, a file is read, an example is shown, all are taken out.

    Parameters
    ----------
    page : AsPlannedPage
    """

    def __init__(self, page):
        self._page, self._before = page, []
        self.board = self.widget = Meter()
        self._kind = self._said = ""
        self.hear(self.board)

    @property
    def name(self):
        """The control that holds the readings."""
        return READINGS[self._page.values["measured"]]

    def tell(self):
        """Say how many there are, and what comes next."""
        page, board, scene = self._page, self.board, self._page.scene
        kind = page.values["measured"]
        with board.hold_sync():
            if kind != self._kind:
                self._kind = kind
                board.drawing = WIRE.drawing if kind == IMPEDANCE else ""
                board.alternative = WIRE.alternative
                board.how, board.caution = list(HOW[kind]), CAUTION[kind]
                board.fields = [{"key": key, "label": _with_unit(label, of)} for key, label, of in FIELDS[kind]]
            at, count = coming(scene), 0 if scene.measured is None else len(frequencies_of(scene.measured))
            board.coming = f"{at:g}"
            counted = (COUNTED if count < ENOUGH else PLENTY).format(count=count, enough=ENOUGH, at=at)
            board.note = f"{self._said} {counted}".strip()
            stands = page._lines()
            board.readings = {name: own for name in stands if (own := self._own(name))}
            board.clears, board.undo = any(stands.values()), bool(self._before)

    def _own(self, name):
        """Return the readings to remember: an example never takes the place of one's own."""
        stood = [self._page.values[name], *(before.get(name, "") for before in reversed(self._before))]
        if not is_invented(stood[0]):
            return stood[0]
        return next((text for text in stood if text and not is_invented(text)), "")

    def _on_add(self, given):
        page = self._page
        text = with_a_reading(page.values["measured"], page.values[self.name], given)
        page.controls[self.name].typed(text, page.values, page.system)  # refuses what cannot be
        self._say("")
        self._put({self.name: text})
        self.board.added += 1

    def _on_file(self, given):
        kind = self._page.values["measured"]
        measured = as_read(kind, lines_of_file(given), self._page.values["line"], given["name"])
        if measured is None:
            raise ValueError(f"{given['name']} holds no readings.")
        counted = used(kind, measured)
        if not len(frequencies_of(counted)):
            raise ValueError(f"{given['name']} has no reading where a box shows, between 10 and 400 Hz.")
        self._say(TAKEN.format(name=given["name"], count=len(frequencies_of(counted))))
        self._replace({self.name: as_lines(kind, counted)})

    def _on_example(self, _given):
        self._say(EXAMPLE)
        self._replace({self.name: example.measured(self._page)})

    def _on_clear(self, _given):
        self._say(GONE)
        self._replace({self.name: ""})

    def _on_undo(self, _given):
        if self._before:
            self._say("")
            self._put(self._before.pop())

    def _on_recall(self, given):
        """Take up what this browser remembers, where it goes on from what stands there; else Undo brings it back."""
        found, aside, wrong = {}, {}, []
        for name, text in given.items():
            stands = self._page._lines().get(name)
            if stands not in (None, text):
                try:
                    self._page.controls[name].typed(str(text), self._page.values, self._page.system)
                    (found if str(text).startswith(stands) else aside)[name] = str(text)
                except ValueError as error:
                    wrong.append(str(error))
        if aside:
            self._before.append(aside)
        if found or aside:
            self._say(" ".join([RECALLED] * bool(found) + [ASIDE] * bool(aside)))
            self._put(found)
        if wrong:
            raise ValueError(NOT_BACK.format(why=" ".join(wrong)))

    def _replace(self, lines):
        """Put other lines in the place of those that stand there, which can come back."""
        self._before.append({name: self._page.values[name] for name in lines})
        self._put(lines)

    def _put(self, lines):
        self._page.wake()
        self._page.put(**lines)

    def _say(self, text):
        """Say what came of a button; it stands until the next one."""
        self._said, self.board.wrong = text, ""

    def _refuse(self, text):
        self._said = ""
        self.tell()
        self.board.wrong = text

    _complain = _refuse


def _with_unit(label, reading):
    return f"{label} [{'dB' if reading is None else reading.unit}]"


def _running_loop():
    try:
        return asyncio.get_running_loop()
    except RuntimeError:  # in a test or a script, where nobody waits
        return None


def _named(controls, name):
    return next(control for control in controls if control.name == name)


def as_planned(drivers=None, cabins=None):
    """Return the page.

    Parameters
    ----------
    drivers, cabins : dict, optional
        Name: Driver, name: Cabin; your own and the invented ones of the demonstration by default.
    """
    drivers, missed = fit_for("as_planned", "driver", offered().drivers if drivers is None else drivers)
    cabins = Cabins(offered().cabins if cabins is None else cabins)
    scene = AsPlanned(Plans(drivers, cabins))
    return AsPlannedPage([*_measured(), *_planned(scene.plans, drivers, missed), *_typed(scene)], scene)


def _measured():
    """Return the controls of what was measured."""

    def ohms(values):
        return values["measured"] == IMPEDANCE

    return [
        Choice("measured", "Measured", (IMPEDANCE, LEVEL), IMPEDANCE, group="measured"),
        Exact("line", "Resistor in line", RESISTANCE, 1.0, 100.0, 10.0, 0.1, "measured", ohms),
    ]


def _typed(scene):
    """Return the controls that hold the readings."""

    def reads(kind):
        return lambda text: as_read(kind, text, scene.line)

    def of(kind):
        return lambda values: values["measured"] == kind

    return [
        Lines(READINGS[kind], label, "", reads(kind), "readings", of(kind))
        for kind, label in ((IMPEDANCE, "Readings, one a line"), (LEVEL, "Levels, one a line"))
    ]


def _planned(plans, drivers, missed):
    """Return the controls of what was planned."""

    def set_here(values):
        return values["planned"] == SET

    def vented(values):
        return set_here(values) and values["box"] == VENTED

    def no_stage(values):
        return not is_stage(values)

    def of_a_stage(values):
        return is_stage(values) and values["measured"] == IMPEDANCE

    def heard(values):
        return no_stage(values) and values["measured"] == LEVEL

    return [
        Choice("planned", "As planned", plans.names, SET, group="planned"),
        WhichSpeaker("speaker", "Loudspeaker", plans, "planned", of_a_stage),
        Choice(
            *("driver", "Driver", drivers, first_of("200 mm bass", drivers), left_out(missed, "driver")),
            *("planned", no_stage),
        ),
        Choice("box", "Box", (SEALED, VENTED), SEALED, "", "planned", set_here),
        Slider("volume", "Net volume", VOLUME, 3 * litre, 120 * litre, 20 * litre, 0.5 * litre, "planned", set_here),
        Slider("fb", "Tuning", FREQUENCY, 15.0, 80.0, 36.0, 0.5, "planned", vented),
        Slider("Ql", "Leakage Q", PLAIN, 3.0, 50.0, 10.0, 0.5, "planned", set_here),
        *plans.cabins.controls("Where it plays", group="planned", only=heard),
    ]
