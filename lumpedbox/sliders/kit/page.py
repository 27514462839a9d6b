"""Controls beside an answer and its picture: what a page does."""

from __future__ import annotations

from .along import taken_of
from .board import Board
from .compare import Compared
from .controlled import Controlled
from .controls import choice_of_units, read_link
from .keeping import Keeping, by_role
from .layout import laid_out
from .picture import LivePicture
from .reading import axes_of, legend_of, values_of
from .remembered import Remembered
from .systems import SYSTEMS
from .taking import KINDS, take
from .thing import curves, things


class Page(Controlled):
    """What can be set, and what comes of it.

    Parameters
    ----------
    controls : sequence of Slider or Choice
        In groups, in the order in which they stand.
    scene : Scene
        What answers.
    question : str
        The page's title.
    helpers : sequence of object
        What to fold away under the controls: each has a `title`, a `widget`, and `attach(page)`.
    roles : dict, optional
        Name of a control: its role, for what is kept from page to page, where that is not the name itself.
    settings : callable, optional
        Takes a KeptChannel; returns name of a control: value, for a page that shows channels.
    entries : callable, optional
        Takes the values; returns the channel that they stand for as it is kept, key by key.
    way : Way, optional
        Of a page that can be opened from a stage of a plan, and gives its result back.

    Attributes
    ----------
    values : dict
        What the controls stand at, by name, in SI units.
    answer : Answer or None
        The last answer; None if the first move already failed.
    start : dict
        What the controls start at, by name. [SI]
    since : dict
        What the controls stood at where what "was" is told of: the start, unless a page begins elsewhere. [SI]
    start_answer : Answer or None
        What the page answers there; None until it has been worked out finely.
    """

    def __init__(self, controls, scene, question="", helpers=(), roles=None, settings=None, entries=None, way=None):
        super().__init__(controls, way)
        self.scene, self.question = scene, question
        self.since, self.answer, self.start_answer = dict(self.values), None, None
        self.picture = LivePicture(scene.figure, scene.moving, scene.fit)
        self.compared, self._listeners, self._guess = Compared(scene), [], None
        self.remembered = Remembered(f"page: {question}", self._recall)
        self.board = Board(
            grid=scene.grid.astype("<f4").tobytes(),
            start=self.start,
            systems=choice_of_units(self.controls, scene),
            takeaways=list(KINDS),
        )
        self.keeping = Keeping(by_role(self.controls, roles or {}), settings, entries)
        self.helpers = (*helpers, self.keeping)
        for helper in self.helpers:
            helper.attach(self)
        self.hear(self.board, "moved", "system", "room")
        self.widget = laid_out(self.board, self.helpers, self.remembered, self.keeping.wrong)
        self._read_in(SYSTEMS[0])  # coarsely, if it takes long: the browser asks for more once it shows this

    def listen(self, listener):
        """Call `listener` after every move."""
        self._listeners.append(listener)

    def reset(self):
        """Put every control back to where it started."""
        self.begin_at(self.start)
        self.put(**self.start)

    def begin_at(self, values):
        """Tell from now on what was at some values, and draw the thin reference there. [SI]"""
        self.since, self.start_answer = dict(values), None
        self.scene.begin_at(values)

    def move(self):
        """Answer a move: the picture first, since it is waited for; or say what is wrong and leave all as it was."""
        self._try_to_answer(coarse=self.scene.refines)

    def rest(self):
        """Answer finely, once the hand rests."""
        start_is_open = self.start_answer is None and self._has_moved()
        if start_is_open:
            self._attempt(self._look_at_the_start, self._complain)
        if start_is_open or self.scene.coarse:
            self._try_to_answer(coarse=False)

    def _look_at_the_start(self):
        """Answer finely for the start, which the page was moved away from before it had rested there."""
        self.scene.coarse = False
        self.scene.move(self.since)
        self.start_answer = self.scene.answer(self.since)

    def _try_to_answer(self, coarse):
        self.scene.coarse = coarse
        self._attempt(self._answer, self._complain)

    def _answer(self):
        self.values = self.follow(self.values)
        if self.scene.move(self.values):
            self.picture.forget()
        self.board.picture = self.picture.draw()
        self.answer = self.scene.answer(self.values)
        if not (self._has_moved() or self.scene.coarse):
            self.start_answer = self.answer
        self._publish()
        self.board.wrong = ""
        for listener in self._listeners:
            listener()

    def _publish(self):
        """Tell the browser all but the picture."""
        values, system, board = self.values, self.system, self.board
        said = self.answer.said(system, self.start_answer if self._has_moved() else None)
        legend = legend_of(self.scene, self.compared.names, self._has_moved())
        with board.hold_sync():
            self._tell_controls()
            board.answer = said | {"showing": self._showing(said)}
            board.legend, board.axes = legend, axes_of(self.scene)
            board.values = values_of(self.scene, legend)
            to_scale = self.scene.to_scale()
            board.things = things(to_scale, system, self.scene.pens, self.scene.deepest)
            board.motions = curves(to_scale, self.scene.louder)
            board.plan, board.map = self.scene.planned(values, system)
            board.feed = feed.said(system) if (feed := self.scene.feed(values)) else []
            board.wired = wired.said(system) if (wired := self.scene.wired(values)) else {}
            board.kept, board.stage = self.compared.said(system), self.returning.said()
        self._remember()

    def _remember(self):
        """Have the browser remember what a link does not hold."""
        system = self.system if self.system != SYSTEMS[0] else None
        state = {"guess": self._guess, "system": system, "kept": self.compared.remembered() or None}
        self.remembered.state = {name: what for name, what in state.items() if what is not None}

    def _recall(self, state):
        """Take up what the browser remembers, and say what of it is gone."""
        kept = [(str(name), *read_link(text, self.controls)) for name, text in state.get("kept", ())]
        guess = state.get("guess")
        if guess in ("", *self.board.guess.get("options", ())):
            self._on_guess(guess)
        if state.get("system") in self.board.systems:
            self.board.system = state["system"]
        if kept:
            self.board.note = "Bringing back what you kept…"
            gone = [self._keep_again(*one) for one in kept]
            self.picture.forget()
            self.move()
            self.rest()
            self.board.note = " ".join(filter(None, gone))

    def _keep_again(self, name, places, missing):
        """Keep a state that was kept before; return why that cannot be, or nothing."""
        try:
            if missing:
                raise ValueError(" ".join(missing.values()))
            self.compared.keep_again(name, self.start | places)
        except ValueError as error:
            return f"{name} was kept, but is gone. {error}"
        return ""

    def _has_moved(self):
        return self.values != self.since

    def _showing(self, said):
        """Return what the picture shows, for those who cannot see it."""
        return f"{self.scene.alternative_text}. {said['conditions']}. {said['headline']}"

    def _on_system(self, system):
        """Read and type in another system of units."""
        self._read_in(system)
        self.rest()

    def _read_in(self, system):
        self.scene.use(system)
        self.picture.forget()
        self.move()

    def _on_room(self, room):
        """Draw the picture for the room that there is now."""
        self.picture.suit(room)
        self.board.picture = self.picture.draw()
        self.board.axes = axes_of(self.scene)

    def _on_rest(self, _given):
        self.rest()

    def _on_reset(self, _given):
        self.reset()

    def _on_keep(self, _given):
        if self.board.wrong:
            raise ValueError("There is no answer to keep: see what is wrong above it.")
        said = self.compared.keep(self._name_of_state(), self.answer, self.values)
        self._redrawn()
        self.board.note = said

    def _on_drop(self, slot):
        self.compared.drop(slot)
        self._redrawn()

    def _on_rename(self, given):
        slot, name = given
        self.compared.rename(slot, name)
        self._redrawn()

    def _on_return(self, slot):
        self.put(**self.compared.values(slot))

    def _on_take(self, given):
        """Make what is to be taken along, and send it to the browser."""
        kind, address = given
        name, media, content = take(kind, taken_of(self, address))
        self.board.send({"taken": {"name": name, "type": media}}, buffers=[content])

    def _redrawn(self):
        """Show what has changed beside the moving curves."""
        self.picture.forget()
        self.board.picture = self.picture.draw()
        self._publish()

    def _name_of_state(self):
        """Return what tells this state from those that are kept already, or from the start."""
        return self.name_of(self.compared.differing(self.values, self.since)) or "the start"

    def name_of(self, differing):
        """Return what a state is called after the controls that differ."""
        return ", ".join(self.text(name) for name in differing[:2])

    def ask(self, question, obligatory=False):
        """Offer a guess; the answer is shown once it is made, or at once.

        Parameters
        ----------
        question : Question
        obligatory : bool
            Whether the answer is shown only after a guess.

        Returns
        -------
        Page
            This page.
        """
        self._question = question
        self.board.guess = question.said() | {"obligatory": obligatory}
        self.board.asleep = True
        return self

    def wake(self):
        """Show the answer."""
        if not self.board.guess.get("obligatory") or self.board.guess.get("chosen"):
            self.board.asleep = False

    def _on_guess(self, chosen):
        """Mark a guess; an empty one asks for the answer at once."""
        if chosen:
            told = {"verdict": self._question.verdict(chosen), "marked": self._question.marked(chosen)}
            self.board.guess = self.board.guess | {"chosen": chosen} | told
        self._guess = chosen
        self.wake()
        self._remember()
