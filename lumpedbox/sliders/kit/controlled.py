"""What every page with controls does about them: they are moved, typed into, refused, and led to by a link."""

from __future__ import annotations

from ...tables.quantity_text import with_point
from .asked import Asked
from .controls import Lines, Slider, read_as, read_link
from .returning import LINKED, Returning
from .stages import no_more_than_a_stage


class Controlled(Asked):
    """Base of a page with controls. It needs a `board` with what is told of them, and answers in `move`.

    Parameters
    ----------
    controls : sequence of Slider or Choice
        In groups, in the order in which they stand.
    way : Way, optional
        Of a page that can be opened from a stage of a plan, and gives its result back.
    """

    def __init__(self, controls, way=None):
        self.controls = {control.name: control for control in controls}
        self.values = {control.name: control.start for control in controls}
        self.start, self._specs, self.returning = dict(self.values), None, Returning(self, way)

    @property
    def system(self):
        """The system of units that the reader has chosen."""
        return self.board.system

    @property
    def message(self):
        """What went wrong with the last move; empty if nothing did."""
        return self.board.wrong

    def text(self, name):
        """Return where a control stands, with its unit."""
        return self.controls[name].text(self.values[name], self.values, self.system)

    def put(self, **places):
        """Put controls to new places: name=value, in SI units; a slider goes no further than its ends.

        Raises
        ------
        ValueError
            If there is no such control, or a choice is not offered.
        """
        for name, value in places.items():
            if name not in self.controls:
                raise ValueError(f"there is no control named {name!r}: there are {', '.join(self.controls)}")
            if (nearest := self.controls[name].nearest(value)) is None:
                raise ValueError(f"{self.controls[name].label}: {value!r} is not offered")
            self.values[name] = nearest
        self._forget_refusals(places)
        self.move()
        self.rest()

    def follow(self, values):
        """Return the values that the page takes on when the reader has moved to some: those that go together."""
        return {name: self.controls[name].suited(value, values) for name, value in values.items()}

    def move(self):
        """Answer a move: each kind of page does that in its own way."""
        raise NotImplementedError

    def rest(self):
        """Answer finely, once the hand rests: most pages have done so already."""

    def wake(self):
        """Show the answer: most pages hide none."""

    def begin_at(self, values):
        """Tell from now on what was at some values: not every page tells of that. [SI]"""

    def tell_stage(self):
        """Tell of the stage that the page was opened from, and the ways on from here."""
        self.board.stage = self.returning.said()

    def _tell_controls(self):
        """Tell where the controls stand, and which of them mean nothing for now."""
        values, system, board = self.values, self.system, self.board
        self._tell_specs()
        board.places, board.answered = dict(values), board.moved.get("number", 0)
        board.shown = {
            name: {
                "text": control.reading(values[name], values, system),
                "note": control.note(values[name], values, system),
            }
            for name, control in self.controls.items()
            if isinstance(control, (Slider, Lines))
        }
        board.hidden = [name for name, control in self.controls.items() if control.only and not control.only(values)]

    def _tell_specs(self):
        """Tell what the controls are, where that has changed."""
        specs = [control.spec(self.values, self.system) for control in self.controls.values()]
        if specs != self._specs:
            self.board.controls = self._specs = specs

    def _complain(self, text):
        with self.board.hold_sync():
            self.board.wrong = text
            self._tell_specs()

    def _on_moved(self, told):
        """Answer what was moved; a page that was opened before may tell of what is not there any more."""
        known = {name: value for name, value in told["places"].items() if name in self.controls}
        asked = {name: self.controls[name].nearest(value) for name, value in known.items()}
        moved = {name: value for name, value in asked.items() if value is not None}
        self._forget_refusals(moved)
        self.values = self.values | moved
        self.wake()
        self.move()

    def _refuse(self, text):
        self.board.note = text

    def _on_typed(self, given):
        """Take what was typed into the field of a slider, or lines of text as they stand."""
        name, text = given
        number = isinstance(self.controls[name], Slider)
        try:
            value, instead = self.controls[name].typed(with_point(text) if number else text, self.values, self.system)
        except ValueError as error:
            with self.board.hold_sync():
                self.board.refused = self.board.refused | {name: str(error)}
                self.board.mistyped = self.board.mistyped | {name: text}
            return
        self.wake()
        self.put(**{name: value})
        self.board.send({"read": name})  # what was typed may stand for what the page has already
        if told := " ".join(filter(None, (read_as(text) if number else "", instead))):
            self.board.refused = self.board.refused | {name: told}

    def _forget_refusals(self, moved):
        """Forget what was wrong with what has moved, and what was taken instead of something out of range."""
        board = self.board
        with board.hold_sync():
            board.mistyped = {name: text for name, text in board.mistyped.items() if name not in moved}
            board.refused = {name: why for name, why in board.refused.items() if name in board.mistyped}

    def _on_link(self, text):
        """Go where a link leads, or where a stage begins; what a link does not tell of goes to its start.

        Where a stage began is said as long as nothing was moved since.
        """
        begun = self.returning.open(text)
        if begun is None:
            self._lead(text, self.start)
        else:
            self._lead(text, {}, LINKED, begun if no_more_than_a_stage(text) else "")

    def _on_give(self, key):
        self.returning.give(key)
        self.tell_stage()

    def _on_take_back(self, _given):
        self.returning.take_back()
        self.tell_stage()

    def _lead(self, text, otherwise, known=(), begun=""):
        """Go where a link leads, and `otherwise` elsewhere; say what has `begun`, and what is not to be had here."""
        places, missing = read_link(text, self.controls, known)
        self.wake()
        self.put(**(otherwise | places))
        instead = {
            name: f" {control.text(self.start[name], self.start, self.system)} stands in its place."
            for name, control in self.controls.items()
        }
        told = (f"The link asks for something else. {why}{instead.get(name, '')}" for name, why in missing.items())
        self.board.note = " ".join([begun, *told]).strip()
