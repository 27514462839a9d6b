"""A sheet of exercises that mark themselves, and what a student hands in."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field, replace

import ipywidgets

from .exercises import TRIES, generator, same_name
from .layout import ShownInCell
from .remembered import Remembered
from .result_code import ATTEMPTS, MANY, Attempt, code_of
from .systems import SYSTEMS
from .terms import TERMS, first_terms
from .words import as_html

NAME_FIRST = "Type your name first: then your answers make a code to hand in."
NOT_ONE_S_OWN = "You answered this before you gave a name. Its numbers are not your own, so your code leaves it out."
NO_OWN = "No code yet: it counts only answers to numbers of your own."
UNDER_ANOTHER = "Answers under another name are kept: type that name again to see them."
SHARED = (
    "This tab remembers your answers until you close it, also when the page is loaded again. "
    "On a shared computer, close it or start afresh when you are done. Else the next person sees them."
)
AFRESH, BACK = "Start afresh", "Bring the answers back"
READ = {"font_size": "15px"}  # nearly as large as the text around it


class Sheet(ShownInCell):
    """A sheet of exercises: type a name, get numbers of your own, type the answers, hand in a code.

    Parameters
    ----------
    exercises : sequence of Exercise
    lesson : str
        Name of the lesson that they belong to; without one there is no code.
    """

    def __init__(self, exercises, lesson=""):
        self.lesson, self._before = lesson, None
        # sent when it is done: half a name would draw numbers of its own
        self.name = ipywidgets.Text(
            description="Your name", placeholder="gives your own numbers", continuous_update=False
        )
        self.units = ipywidgets.Dropdown(description="Units", options=SYSTEMS)
        terms = first_terms([exercise.question for exercise in exercises])
        self.rows = [
            Row(exercise, number, new, then=self._tell)
            for number, (exercise, new) in enumerate(zip(exercises, terms, strict=True), start=1)
        ]
        self.done, self.handed_in = ipywidgets.HTML(), ipywidgets.HTML()
        self.done.add_class("lb-marked")
        self.remembered = Remembered(f"exercises: {lesson}", self._recall)
        self.afresh = ipywidgets.Button(layout={"width": "max-content"})
        self.afresh.on_click(self._start_afresh)
        self.shared = ipywidgets.HTML(f"<small>{SHARED}</small>")
        self.name.observe(self._renew, "value")
        self.units.observe(self._renew, "value")
        top = ipywidgets.HBox([self.name, self.units], layout={"flex_flow": "row wrap"})
        below = [self.done, self.handed_in, self.shared, self.afresh, self.remembered]
        self.widget = ipywidgets.VBox([top, *(row.widget for row in self.rows), *below])
        self._renew()

    @property
    def code(self):
        """What a student hands in; empty until an answer is marked, and without a name or a lesson."""
        attempts = [row.attempt if row.is_one_s_own else Attempt() for row in self.rows]
        if not self.lesson or not self.name.value.strip() or not any(attempt.begun for attempt in attempts):
            return ""
        return code_of(self.lesson, self.name.value, attempts)

    @property
    def begun(self):
        """Whether a name was typed or an answer marked."""
        return bool(self.name.value or any(row.records for row in self.rows))

    @property
    def state(self):
        """What a browser remembers: name, units, and the records of each exercise by its question; empty at first."""
        records = {row.exercise.question: row.records for row in self.rows if row.records}
        plain = {question: {name: asdict(one) for name, one in of.items()} for question, of in records.items()}
        state = {"name": self.name.value, "units": self.units.value, "records": plain}
        return state if self.begun or self.units.value != SYSTEMS[0] else {}

    def _recall(self, state):
        """Take up what a browser remembers; answers to what another version asked are left out."""
        name, units, records = str(state["name"]), state["units"], state["records"]
        if units not in SYSTEMS:
            raise ValueError(f"units must be one of {', '.join(SYSTEMS)}, got {units!r}")
        for row, found in [(row, records_of(records.get(row.exercise.question, {}))) for row in self.rows]:
            row.records = found
        self.name.value, self.units.value = name, units
        self._renew()

    def _start_afresh(self, _button):
        """Forget what was answered; or take that back, as long as nothing new is."""
        before, now = self._before, self.state
        self._recall(before or {"name": "", "units": self.units.value, "records": {}})
        self._before = None if before else now
        self._tell()

    def _renew(self, _change=None):
        for row in self.rows:
            row.begin(self.name.value, self.units.value)
        self._tell()

    def _tell(self):
        """Say how many are done, and what to hand in; have the browser remember it."""
        attempts = [row.attempt for row in self.rows]
        right, shown = sum(one.right for one in attempts), sum(one.shown and not one.right for one in attempts)
        seen = f", and {shown} shown" if shown else ""
        self.done.value = f"{right} of {len(attempts)} right{seen}." if attempts else ""
        code = f"Result code to hand in: <code>{self.code}</code>" if self.code else self._why_no_code()
        elsewhere = any(row.records.keys() - {"", row.name} for row in self.rows)
        self.handed_in.value = "<br>".join(filter(None, [code, elsewhere and UNDER_ANOTHER]))
        if self.begun:
            self._before = None
        self.afresh.description = BACK if self._before else AFRESH
        for part, wanted in ((self.shared, self.begun), (self.afresh, self.begun or self._before)):
            part.layout.display = None if wanted else "none"
        self.remembered.state = self.state

    def _why_no_code(self):
        if not self.name.value.strip():
            return NAME_FIRST
        return NO_OWN if self.lesson and any(row.attempt.begun for row in self.rows) else ""


@dataclass(frozen=True, slots=True)
class Record:
    """What became of one exercise under one name.

    Attributes
    ----------
    typed : str or None
        The answer that was marked last.
    told : bool
        Whether the right answer stands there instead.
    attempt : Attempt
    """

    typed: str | None = None
    told: bool = False
    attempt: Attempt = field(default_factory=Attempt)

    def __post_init__(self):
        attempt = self.attempt
        if replace(attempt, wrong=min(attempt.wrong, MANY)) not in ATTEMPTS:
            raise ValueError(f"Record.attempt must be one that there can be, got {attempt!r}")
        if not isinstance(self.typed, str | None):
            raise TypeError(f"Record.typed must be text, got {self.typed!r}")


def records_of(plain):
    """Return the records that a browser remembers, by name."""
    return {
        name: Record(typed=one["typed"], told=bool(one["told"]), attempt=Attempt(**one["attempt"]))
        for name, one in plain.items()
    }


class Row:
    """One exercise on the sheet.

    What was answered without a name stays when a name is typed, until numbers of one's own are asked for. What was
    answered under another name comes back with that name.

    Parameters
    ----------
    exercise : Exercise
    number : int
        From 1.
    terms : sequence of str
        Those to explain.
    then : callable
        What to do once an answer is marked or shown.

    Attributes
    ----------
    records : dict
        Name as it counts: Record.
    """

    def __init__(self, exercise, number, terms=(), then=lambda: None):
        self.exercise, self.number, self.then, self.records = exercise, number, then, {}
        self.question, self.said = ipywidgets.HTML(style=READ), ipywidgets.HTML(style=READ)
        self.said.add_class("lb-marked")
        explained = "; ".join(f"<b>{as_html(term)}</b>: {as_html(TERMS[term])}" for term in terms)
        self.terms = ipywidgets.HTML(f"<small>{explained}.</small>" if explained else "", style=READ)
        self.typed = ipywidgets.Text(
            description=f"Answer {number}", placeholder="with its unit", continuous_update=False
        )
        self.check = ipywidgets.Button(description="Check")
        self.show = ipywidgets.Button(description="Show the answer", disabled=True)
        own = ipywidgets.Button(description="Ask me with my own numbers", layout={"width": "max-content"})
        self.not_own = ipywidgets.VBox([ipywidgets.HTML(NOT_ONE_S_OWN), own])
        self.check.on_click(self.mark)
        self.typed.observe(self._entered, "value")
        self.show.on_click(self.tell)
        own.on_click(self.ask_anew)
        line = ipywidgets.HBox([self.typed, self.check, self.show], layout={"flex_flow": "row wrap"})
        rows = [self.question, *([self.terms] if explained else []), line, self.said, self.not_own]
        self.widget = ipywidgets.VBox(rows, layout={"margin": "0 0 12px 0"})
        self._drawn_for = None

    @property
    def record(self):
        """What became of it so far, under the name whose numbers it asks with: a `Record`."""
        return self.records.get(self._drawn_for, Record())

    @property
    def attempt(self):
        """What became of it so far: an `Attempt`."""
        return self.record.attempt

    @property
    def tries(self):
        """How often a wrong answer was marked."""
        return self.attempt.wrong

    @property
    def is_one_s_own(self):
        """Whether it asks with the numbers that belong to the name."""
        return self.name == self._drawn_for

    def begin(self, name, system):
        """Ask with the numbers that belong to a name, and show what was answered to them."""
        self.name, self.system = same_name(name), system
        without_a_name = self.records.get("", Record()).attempt.begun
        drawn_for = "" if without_a_name and self.name not in self.records else self.name
        if drawn_for != self._drawn_for:
            self._drawn_for, self._drawn = drawn_for, self.exercise.draw(generator(drawn_for, self.number))
        self.given = self.exercise.given(self._drawn, system)
        self.question.value = f"<b>{self.number}.</b> {as_html(self.exercise.ask(self.given, system))}"
        self.typed.value = self.record.typed or ""
        self.not_own.layout.display = "none" if self.is_one_s_own else None
        self._say()

    def ask_anew(self, _button=None):
        """Ask with the numbers of the name, though an answer without a name is there."""
        self.records[self.name] = Record()
        self.begin(self.name, self.system)
        self.then()

    def _entered(self, change):
        """Mark what was typed when it is done: with the enter key, or by leaving the field."""
        if change["new"].strip():
            self.mark()

    def mark(self, _button=None):
        """Mark what was typed, once; what cannot be read as a number of the right kind is no try."""
        typed, attempt = self.typed.value, self.attempt
        if typed == self.record.typed:
            return
        right, _ = self.exercise.mark(self.given, typed)
        wrong = attempt.wrong + (right is False and not attempt.right)
        self._note(Record(typed, attempt=replace(attempt, wrong=wrong, right=attempt.right or right is True)))

    def tell(self, _button=None):
        """Show the answer, once it may be shown."""
        if self.tries >= TRIES:
            self._note(replace(self.record, told=True, attempt=replace(self.attempt, shown=True)))

    def _note(self, record):
        self.records[self._drawn_for] = record
        self._say()
        self.then()

    def _say(self):
        self.show.disabled = self.tries < TRIES
        self.said.value = as_html(self._words())

    def _words(self):
        """Return what to say about the last answer, or the right one."""
        if self.record.told:
            return f"The answer is {self.exercise.solution(self.given, self.system)}."
        if self.record.typed is None:
            return ""
        right, said = self.exercise.mark(self.given, self.record.typed)
        left = TRIES - self.tries
        if right is False and not self.attempt.right and left > 0:
            return f"{said} {left} more {'try' if left == 1 else 'tries'} until you may see the answer."
        return said
