"""From a stage that builds a box to the page that draws it, the drawn box back to the stage, and on to the garage."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urlencode

from ....parts.box import USUAL_LEAKAGE, SealedBox, VentedBox
from ...kit.boxes import entries_of, said, wanted_of
from ...kit.offered import why_not
from ...kit.returning import Result, Way, carried
from ...kit.stages import named_after
from .keeping import DIGITS, through_a_tube

GARAGE = "take_it_to_the_garage.ipynb"
TAKE = "Take it to the garage"
KEEP_FIRST = "To take it to the garage, keep this drawing first."
AS_KEPT = "The drawing that you kept for this stage is open."
NO_BOX = "The stage has no box yet: say how many litres you want."


class DrawingOfStage(Way):
    """The driver of a stage, and the litres and tuning of its box; what the drawn box has of them, to be given back."""

    same, kept = ("driver",), None  # the drawing that was given back to the stage, if it is kept

    def place(self, at):
        """Return the opening that is meant: the one that the link names, else the first that gets a box."""
        return at.place or next(iter({**at.stage.box, **at.stage.put}), "")

    def settings(self, at, tell):
        """Return name of a control: value for a stage. [SI]"""
        page, place, self.kept = self.page, self.place(at), None
        driver, box = at.state.drivers.get(place), at.state.openings.get(place, {}).get("box")
        found = {"step": "litres"}
        if driver is None:
            tell("Nothing is in that place yet: choose a driver.")
        elif unfit := why_not("draw_the_box", "driver", driver):
            self.replace(driver, unfit, tell)
        else:
            found["driver"] = carried(page.controls["driver"], page.drivers, driver, driver.name)
        page.keeping.suggest(at.name)
        if not isinstance(box, (SealedBox, VentedBox)):
            tell(NO_BOX)
            return found
        self.kept = page.keeping.drawing_of(at.name, box)
        tell("Choose what gives, and press the button under it.")
        return found | through_a_tube(wanted_of(box))

    def results(self, at):
        """Return the drawn box: what the stage has of its losses stays."""
        if self.page.board.wrong:
            return {}
        box, place = self.page.looked.acoustic, self.place(at)
        losses = {"Ql": USUAL_LEAKAGE} | {
            key: value for key, value in (at.written_of("box", place) or {}).items() if key in ("Ql", "filling")
        }
        told = dict.fromkeys(at.like("box", place), entries_of(box, digits=DIGITS) | losses)
        return {"drawn": Result(f"{said(box, self.page.system)}, as drawn", "box", told)}

    def ways(self, at):
        """Return the way to the garage, once the drawing is kept."""
        if not Path(GARAGE).is_file():
            return []
        name = self.page.keeping.kept_as(self.page.drawn)
        if not name or self.page.board.wrong:
            return [[KEEP_FIRST, ""]]
        told = {"box": name} | ({"channels": named_after(at)} if at is not None else {})
        return [[TAKE, f"{GARAGE}#{urlencode(told)}"]]
