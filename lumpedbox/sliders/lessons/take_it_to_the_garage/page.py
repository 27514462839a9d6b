"""Take it to the garage: a box that was drawn becomes one PDF, a table and a drawing."""

from __future__ import annotations

import functools
import re
from pathlib import Path

import ipywidgets

from ....build import Board, Brace, Carcass, Cup, Drawn, Inside, PortRun, Profile, Seat, Stock, cut_list
from ....build.board import USUAL_DENSITY, USUAL_MODULUS
from ....figures.garage.files import cut_list_as_csv, panels_as_svg
from ....figures.garage.sheet import pdf_of, sheets
from ....parts.port import Port
from ....plan import demo_plan, read_plan
from ....plan.feeding import outgrown
from ....plan.files import PLAN_FILE
from ....tables import demo_drivers
from ....tables.my_boxes import FILE, read_boxes
from ....units import litre, mm
from ...kit.access import Access
from ...kit.controlled import Controlled
from ...kit.controls import Choice
from ...kit.gone import Gone
from ...kit.remembered import Remembered
from ...kit.stages import MINE_DONE as MINE
from ...kit.stages import MINIBUS, MY_PLAN, order_of, up_to
from ...kit.systems import SYSTEMS
from .board import GarageBoard
from .saying import Told

TITLE = "Take it to the garage"
DEMO = "step box of the minibus (invented)"
AS_DRAWN, NO_SHEETS = "as drawn", "none"
SHEETS = {"2440 × 1220 mm": (2.44, 1.22), "2500 × 1250 mm": (2.5, 1.25), "1250 × 800 mm": (1.25, 0.8)}
FILL_IN = "lines to fill in"
NOT_SETTLED = (
    "No wire and fuse are settled yet ({}): go to Wire and fuse from a card of My upgrade, and give them back."
)
OUTGROWN = "Wire and fuse are not known: {}. Settle them anew."
PDF, CSV, SVG = "pdf", "csv", "svg"
FILES = ((PDF, "Make the PDF"), (CSV, "Cut list as CSV"), (SVG, "Boards as SVG"))
MEDIA = {PDF: "application/pdf", CSV: "text/csv", SVG: "image/svg+xml"}
PREVIEW = (2600.0, 32.0, 3.0)  # mm: width of a row, height of words and width of lines, to be seen small
CANCELLED = "Cancelled: nothing is made."


def step_box():
    """Return the invented box over the step of the minibus."""
    points = ((0.18, 0), (0.4, 0), (0.36, 0.48), (0, 0.48), (0, 0.26), (0.15, 0.26))
    names = ("floor", "front", "top", "wall side", "tread", "riser")
    board = Board(thickness=18 * mm, density=USUAL_DENSITY, modulus=USUAL_MODULUS)
    profile, order = Profile(points=points, names=names), ("cheeks", "front", "floor", "top", "tread")
    tube = Port(length=0, diameter=60 * mm).tuned(33, 24 * litre)
    sheet = Stock(length=2.44, width=1.22, thickness=18 * mm)
    return Drawn(
        stock=sheet,
        box=Carcass(profile=profile, width=275 * mm, board=board, order=order),
        inside=Inside(
            drivers=Seat(driver=demo_drivers()["200 mm bass"], panel="front", along=150 * mm),
            ports=PortRun(port=tube, panel="front", along=395 * mm, wall=3 * mm),
            others=(Brace(length=300 * mm, breadth=60 * mm, thickness=18 * mm), Cup(volume=0.15 * litre)),
        ),
    )


class Garage(Controlled):
    """What to put on paper, and the files.

    Parameters
    ----------
    boxes : dict
        Name: Drawn.
    wrong : dict
        Name: what is wrong with a kept box that cannot be read.
    states : dict
        Name: function that returns the `State` of a plan once some of its stages are done.
    begin : str
        Which of them it begins with.

    Attributes
    ----------
    answer : Answer or None
        None if the box cannot be made.
    told : Told or None
    """

    def __init__(self, boxes, wrong, states, begin=FILL_IN):
        self.boxes, self.states, self._wrong = boxes, states, " ".join(wrong.values())
        self.answer, self.told, self._pages, self._steps = None, None, [], None
        super().__init__(
            [
                Choice("box", "Box", tuple(boxes), next(iter(boxes)), group="on paper"),
                Choice("sheets", "Sheets of board", (AS_DRAWN, *SHEETS, NO_SHEETS), AS_DRAWN, group="on paper"),
                Choice("channels", "Wiring and levels", (FILL_IN, *states), begin, group="on paper"),
                Choice("paper", "Paper", ("A4", "Letter"), "A4", group="on paper"),
            ]
        )
        self.board = GarageBoard(start=self.start, files=[list(pair) for pair in FILES], note=self._wrong)
        self.hear(self.board, "moved", "system")
        self.remembered = Remembered("take it to the garage", self._recall)
        extras = ipywidgets.VBox([Access(), Gone(), self.remembered])
        extras.add_class("lb-extras")
        page = ipywidgets.Box([self.board, extras])
        page.add_class("lb-page")
        self.widget = ipywidgets.Box([page])
        self.widget.add_class("lb-around")
        self.move()

    @property
    def drawn(self):
        """The `Drawn` that is chosen."""
        return self.boxes[self.values["box"]]

    @property
    def stock(self):
        """The sheets that it is cut from, one kind for each thickness."""
        if self.values["sheets"] in (AS_DRAWN, NO_SHEETS):
            return self.drawn.stock if self.values["sheets"] == AS_DRAWN else ()
        length, width = SHEETS[self.values["sheets"]]
        thick = {part.thickness for part in cut_list(self.drawn.box, inside=self.drawn.inside)}
        return tuple(Stock(length=length, width=width, thickness=one) for one in sorted(thick))

    @property
    def state(self):
        """The `State` of the plan that is chosen; None if none is."""
        chosen = self.values["channels"]
        return None if chosen == FILL_IN else self.states[chosen]()

    @property
    def channels(self):
        """The channels whose levels and filters are told."""
        state = self.state
        system = state.system if state is not None else None
        return system.channels if system is not None else ()

    @property
    def hookup(self):
        """What of the plan stands on the sketch of the wiring, as `sheets` takes it."""
        state = self.state
        if state is None:
            return {}
        if state.feed is None:
            return {"unsettled": NOT_SETTLED.format(self.values["channels"]), "battery": state.plan.battery}
        if why := outgrown(state):
            return {"unsettled": OUTGROWN.format(why), "battery": state.plan.battery}
        return {"feed": state.feed}

    def move(self):
        """Say what comes of what is chosen, or what is wrong."""
        self._stop()
        self._attempt(self._tell, self._complain)

    def _tell(self):
        drawn, system, board = self.drawn, self.system, self.board
        self.told = Told(drawn, self.stock, system, self.hookup)
        self.answer = self.told.answer(self.values["box"])
        with board.hold_sync():
            self._tell_controls()
            board.answer, board.wrong = self.answer.said(system), ""
            board.boards = panels_as_svg(drawn.box, drawn.inside, system, *PREVIEW)
            board.seen = f"The outer faces of {self.told.count} boards with their holes, to scale."
            board.contents = [list(one) for one in self.told.contents()]
        self.remembered.state = {"system": system} if system != SYSTEMS[0] else {}

    def _recall(self, state):
        """Take up the units that the browser remembers."""
        if state.get("system") in SYSTEMS:
            self.board.system = state["system"]

    def _on_link(self, text):
        """Go where a link leads; what is wrong with the kept boxes stays told."""
        self._lead(text, self.start, begun=self._wrong)

    def _on_system(self, _system):
        self.move()

    def _on_rest(self, _given):
        self.rest()

    def _on_make(self, kind):
        """Make one of the files; a PDF is made sheet by sheet, so that its progress is seen."""
        drawn, system = self.drawn, self.system
        if kind == PDF:
            self._begin()
        elif kind == CSV:
            self._hand_over(kind, cut_list_as_csv(drawn.box, drawn.inside, system).encode("utf-8-sig"))
        elif kind == SVG:
            self._hand_over(kind, panels_as_svg(drawn.box, drawn.inside, system).encode())
        else:
            raise ValueError(f"there is no {kind!r} to make: choose one of {', '.join(MEDIA)}")

    def _begin(self):
        drawn, title = self.drawn, self.values["box"]
        where = {"paper": self.values["paper"], "system": self.system, "title": title}
        given = {"stock": self.stock, "space": drawn.space, "channels": self.channels}
        given |= self.hookup | {"source": "" if self.state is None else self.values["channels"]}
        self._pages = sheets(drawn.box, drawn.inside, **given, **where)
        self._steps = pdf_of(self._pages, title)
        self._making(0)

    def _making(self, done):
        number = self.board.making.get("number", 0) + 1
        self.board.making = {"done": done, "all": len(self._pages), "number": number}

    def _on_go_on(self, _given):
        """Draw one sheet more, if one is being made."""
        if self._steps is None:
            return
        done, content = next(self._steps)
        if not content:
            return self._making(done)
        self._stop()
        self._hand_over(PDF, content, f" {done} sheets of {self.values['paper']}.")

    def _on_cancel(self, _given):
        self._stop()
        self.board.note = ""
        self.board.note = CANCELLED

    def _stop(self):
        self._pages, self._steps, self.board.making = [], None, {}

    def _hand_over(self, kind, content, told=""):
        words = re.findall(r"[a-z0-9]+", self.values["box"].lower())
        name = f"{'-'.join(words)[:60] or 'box'}.{kind}"
        self.board.send({"taken": {"name": name, "type": MEDIA[kind], "told": told}}, buffers=[content])


def take_it_to_the_garage(boxes=None, plan=PLAN_FILE, kept=FILE):
    """Return the page.

    Parameters
    ----------
    boxes : dict, optional
        Name: Drawn; by default what is kept, and an invented one.
    plan : str or path-like
        One's own plan, where it is there.
    kept : str or path-like
        The file of the boxes that are kept.
    """
    wrong = {}
    if boxes is None:
        found, wrong = _kept(kept)
        boxes = found | {DEMO: step_box()}
    mine = states_of(MY_PLAN, MINE, functools.partial(read_plan, plan)) if Path(plan).exists() else {}
    begin = MINE if len(mine) > 1 else FILL_IN  # of one that cannot be read nothing but its name is known
    return Garage(boxes, wrong, mine | states_of(f"the {MINIBUS}", MINIBUS, demo_plan), begin)


def states_of(name, whole, read):
    """Return what the sheet can tell of a plan: all its stages done, or those up to one, in the order that is kept.

    Parameters
    ----------
    name, whole : str
        What the plan is called, and what it is called with all its stages done.
    read : callable
        Returns the plan; it is read afresh each time, for it may be changed meanwhile.
    """
    states = {whole: lambda: (plan := read()).after(*plan.ranked)}
    try:
        order = order_of(read())
    except ValueError:  # told once it is chosen
        return states
    return states | {up_to(stage, name): functools.partial(_up_to, read, stage) for stage in order[:-1]}


def _up_to(read, stage):
    plan = read()
    order = order_of(plan)
    return plan.after(*(order[: order.index(stage)] if stage in order else ()), stage)


def _kept(path):
    """Return the boxes that are kept, and what is wrong with the others; a file that cannot be read is one of these."""
    try:
        return read_boxes(path)
    except ValueError as error:
        return {}, {"": str(error)}
