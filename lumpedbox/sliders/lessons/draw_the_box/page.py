"""Draw the box: what it holds, what fits in it, and which boards to saw."""

from __future__ import annotations

import dataclasses
import io
import traceback
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from PIL import Image

from ....build import acoustic_box, largest, write_sheet
from ....build.workings.ends import Unsawable
from ....errors import Refused, RefusedType
from ....figures.garage.lengths import grid_of
from ....figures.solid import KINDS, NOTHING, solid
from ...kit.boxes import wanted_of
from ...kit.controlled import Controlled
from ...kit.layout import laid_out
from ...kit.offered import offered
from ...kit.remembered import Remembered
from ...kit.stages import no_more_than_a_stage
from ...kit.systems import SYSTEMS, WOOD
from ...kit.words import UNEXPECTED
from .board import BoxBoard
from .drawing import drawn_of, for_the_box, solved
from .fields import Lengths
from .from_stage import AS_KEPT, DrawingOfStage
from .keeping import Drawings
from .looked import Looked
from .more import FOLDED
from .outlines import TIP, dragged, without_tips
from .ports import ported
from .read_back import values_of
from .setting import controls_of, drivers_of
from .steps import panels_of
from .telling import (
    account_lines,
    answer_of,
    cut_lines,
    details_of,
    fit_lines,
    held_words,
    refusal,
    ring_lines,
    stock_view,
    work_lines,
)
from .view import CORNER, DRIVER, PORT, ROOM_CORNER, along_panel, side_view

TITLE = "Draw the box"
SHEET = "sheet as PDF"
BOARDS, METAL, PAPER = (214, 178, 122), (120, 120, 128), (236, 236, 230)
GROUND, INK = {False: (255, 255, 255), True: (17, 17, 17)}, {False: (40, 30, 20), True: (225, 220, 210)}
FINE, COARSE = 1, 10  # steps that an arrow key moves a handle by, alone and with Shift
SHADES = 24


class DrawTheBox(Controlled):
    """A box by its controls, and what comes of it.

    Attributes
    ----------
    answer : Answer or None
    looked : Looked
        The last drawing that could be built.
    drawn : Drawn
        The same as data: what is kept, and what goes to the garage.
    """

    def __init__(self):
        self.drivers, left_out = drivers_of(offered())
        self._way = DrawingOfStage()
        super().__init__(controls_of(self.drivers, left_out), self._way)
        self.answer, self.looked, self._good = None, None, dict(self.values)
        self._unrested, self._specs_for = None, None
        self.remembered = Remembered("draw the box", self._recall)
        self.board = BoxBoard(start=self.start, takeaways=[SHEET], folded=list(FOLDED))
        self.keeping = Drawings()
        self.keeping.attach(self)
        self.hear(self.board, "moved", "system", "look", "opened")
        self.widget = laid_out(self.board, (self.keeping,), self.remembered, self.keeping.wrong)
        self.move()
        self.rest()

    @property
    def drawn(self):
        """The drawing as it stands, the last one that could be built."""
        return self.looked.drawn

    def check_drawn(self):
        """Refuse to hand on a drawing that is not the one that the controls say."""
        if self.board.wrong:
            raise ValueError("There is no such box: see what is wrong above the drawing.")

    def move(self):
        """Answer a move; or say what cannot be drawn, and leave the last drawing as it was."""
        try:
            self.values = self.follow(self.values)
            drawn, remarks = drawn_of(self.values, self.drivers)
            looked = Looked(drawn, grid_of(self.system))
            answer = answer_of(looked, self.values)
            view = side_view(looked, self.values, self.system)
        except (Refused, RefusedType, ValueError) as error:
            return self._complain(refusal(error), isinstance(error, Unsawable))
        except Exception:
            return self._complain(f"{UNEXPECTED}\n{traceback.format_exc()}")
        self.looked, self._good, self._unrested = looked, dict(self.values), remarks
        self.answer = dataclasses.replace(answer, details=self.answer.details if self.answer else ())
        return self._publish(view)

    def rest(self):
        """Say once the hand rests what takes longer: the details, and the sheets of board if they are open."""
        remarks, self._unrested = self._unrested, None
        if remarks is not None:
            self.answer = dataclasses.replace(self.answer, details=details_of(self.looked, remarks))
            self._say_answer()
            self._lay_out()

    def _publish(self, view):
        board, system, looked = self.board, self.system, self.looked
        with board.hold_sync():
            self._tell_controls()
            board.view, board.wrong, board.note, board.tip = view, "", "", False
            self._say_answer()
            board.account, board.fits = account_lines(looked, system), fit_lines(looked, system)
            board.solve = self._solve_words()
            self.tell_stage()
        self._show_opened()  # after the side view, which is waited for
        self.remembered.state = {"system": system} if system != SYSTEMS[0] else {}

    def _say_answer(self):
        said = self.answer.said(self.system)
        self.board.answer = said | {"showing": said["headline"]}

    def _show_opened(self):
        """Show what is open below; the rest is not worth its time."""
        board, looked, system = self.board, self.looked, self.system
        listed = "sheets" in board.opened
        board.solid = self._solid_png() if "solid" in board.opened else b""
        board.rings = ring_lines(looked) if "rings" in board.opened else []
        board.cuts, board.work = (cut_lines(looked, system), work_lines(looked, system)) if listed else ([], [])

    def _lay_out(self):
        """Lay the parts out on sheets, if they are looked at."""
        self.board.sheets = stock_view(self.looked, self.system) if "sheets" in self.board.opened else {}

    def _solve_words(self):
        by = self.values["gives"]
        what = "width" if by == "width" else f"place of the {by}"
        tuned = f" and {self.text('tuning')}" if ported(self.values) else ""
        return f"Make it {self.text('wanted')}{tuned} by the {what}"

    def _solid_png(self):
        look = self.board.look
        size = (int(np.clip(look["width"], 160, 900)), int(np.clip(look["height"], 120, 700)))
        seen = solid(self.looked.box, self.looked.inside, *np.deg2rad([look["turn"], look["tip"]]), size)
        return _png(seen, bool(look["dark"]))

    def _tell_specs(self):
        """Tell what the controls are, where that has changed: it follows from the units and the panels."""
        lists = [one.tape(self.values, self.system) for one in self.controls.values() if isinstance(one, Lengths)]
        now = self.system, panels_of(self.values), self.values["port_in"], self.controls["driver"].options, lists
        if now != self._specs_for:
            self._specs_for = now
            super()._tell_specs()

    def _complain(self, text, steep=False):
        """Say what is wrong, with the controls where the hand has put them; is it a joint too steep for a saw?"""
        with self.board.hold_sync():
            self.board.wrong, self.board.tip = text, steep and bool(without_tips(self.values))
            self._tell_controls()
            self.tell_stage()

    def _recall(self, state):
        """Take up the units that the browser remembers."""
        if state.get("system") in SYSTEMS:
            self.board.system = state["system"]

    def _on_system(self, _system):
        self.move()
        self.rest()

    def _on_look(self, _look):
        if self.looked is not None:
            self._show_opened()

    def _on_opened(self, _opened):
        if self.looked is not None:
            self._show_opened()
            self._lay_out()

    def _on_rest(self, _given):
        self.rest()

    def _on_reset(self, _given):
        self.put(**self.start)

    def _on_back(self, _given):
        """Go back to the last drawing that could be built."""
        self.put(**self._good)

    def _on_tip(self, _given):
        """Put a narrow board across each tip that no saw tilts to: the corners are then typed ones."""
        self.put(**without_tips(self.values))
        if not self.board.wrong:
            self.board.note = f"Done: a board of {WOOD(TIP).text(self.system)} across. Drag its corners."

    def _on_solve(self, _given):
        """Change one dimension so that the litres are right; on a refusal nothing changes."""
        try:
            found = solved(self.values, self.drivers)
        except (Refused, RefusedType) as error:
            self.board.note = refusal(error)
            return
        self.put(**found)
        self.board.note = f"Done: {self.board.solve[8:]}."

    def _on_largest(self, _given):
        """Make the box as large as its room allows; on a refusal nothing changes."""
        try:
            found = largest(self.drawn.box, self.drawn.inside, self.drawn.space)
        except (Refused, RefusedType) as error:
            self.board.note = refusal(error)
            return
        self.put(**for_the_box(self.values, found.box))
        self.board.note = f"Done. {held_words(found.held)}"

    def _on_link(self, text):
        """Go where a link leads; to a stage alone it leads to the drawing that was kept for it."""
        super()._on_link(text)
        if self._way.kept is not None and no_more_than_a_stage(text):
            self.board.note = f"{AS_KEPT} {self.open_drawn(self._way.kept)}".strip()

    def _on_drag(self, given):
        """Take a handle elsewhere: by its name, to a place, and the number of that move."""
        name, x, y, number = given
        step = grid_of(self.system)
        x, y = (round(float(at) / step) * step for at in (x, y))
        self._go(self._dragged(name, x, y))
        self.board.drag = {"number": number}

    def _on_nudge(self, given):
        """Move a handle by steps of the tape."""
        name, along, up, coarse = given
        step = grid_of(self.system) * (COARSE if coarse else FINE)
        at = next((handle for handle in self.board.view["handles"] if handle["name"] == name), None)
        if at is not None:
            self._go(self._dragged(name, at["x"] + along * step, at["y"] + up * step))

    def _dragged(self, name, x, y):
        kind, _, number = name.rpartition(" ")
        if kind == CORNER:
            return dragged(self.values, int(number), x, y)
        if kind == ROOM_CORNER:
            moved = dragged(
                self.values | {"shape": "corners", "corners": self.values["room_corners"]}, int(number), x, y
            )
            return {"room_corners": moved["corners"]}
        if name == DRIVER:
            return {"along": along_panel(self.looked.box, self.values["driver_in"], x, y)}
        if name == PORT:
            return {"port_along": along_panel(self.looked.box, self.values["port_in"], x, y)}
        return {}

    def _go(self, places):
        """Go where a hand has taken something, unless that cannot be built: then say why, and stay."""
        self.put(**places)
        if self.board.wrong:
            wrong = self.board.wrong
            self.values = dict(self._good)
            self.move()
            self.board.wrong = f"It goes no further. {wrong}"

    def open_drawn(self, drawn):
        """Show a drawing; return what of it is not shown here, in words.

        Wanted is then what its stage asks for; without a stage, what the drawing holds. One that cannot be built is
        shown too: what is wrong with it stands beside it, and can be mended.
        """
        wanted = _held(drawn) | self.returning.began
        wanted = {name: wanted[name] for name in ("wanted", "tuning") if name in wanted}
        values, left_out = values_of(drawn, self.start | wanted, self.drivers)
        self.put(**values)
        return f"Not shown here: {', '.join(left_out)}." if left_out else ""

    def _on_take(self, _given):
        """Make what is to be taken along, and send it to the browser."""
        self.check_drawn()
        with TemporaryDirectory() as folder:
            path = Path(folder) / "box.pdf"
            drawn = self.drawn
            write_sheet(
                path,
                drawn.box,
                drawn.inside,
                stock=drawn.stock,
                space=drawn.space,
                paper="A4" if self.system == SYSTEMS[0] else "Letter",
                system=self.system,
                title=TITLE,
            )
            content = path.read_bytes()
        self.board.send({"taken": {"name": "draw-the-box.pdf", "type": "application/pdf"}}, buffers=[content])


def _held(drawn):
    """Return what a drawing holds, as what is wanted; nothing where it cannot be built."""
    try:
        return wanted_of(acoustic_box(drawn.box, drawn.inside))
    except ValueError:
        return {}


def _png(seen, dark):
    """Return a solid as PNG: wood, metal and tube in shades of the light, lines between the faces."""
    shade = np.minimum((seen.light * SHADES).astype(int), SHADES - 1)
    of_part = np.array([2 + KINDS.index(kind) * SHADES for kind in seen.kinds])
    index = np.where(seen.part == NOTHING, 0, of_part[np.maximum(seen.part, 0)] + shade)
    index[seen.line] = 1
    palette = [*GROUND[dark], *INK[dark]]
    for colour in (BOARDS, METAL, PAPER):
        for level in range(SHADES):
            palette += [int(part * (level + 1) / SHADES) for part in colour]
    picture = Image.fromarray(index.astype(np.uint8), mode="P")
    picture.putpalette(palette)
    file = io.BytesIO()
    picture.save(file, format="png", compress_level=1)
    return file.getvalue()


def draw_the_box():
    """Return the page."""
    return DrawTheBox()
