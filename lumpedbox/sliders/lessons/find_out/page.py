"""The page that finds out what you have: gates, twelve checks, what to measure next, and where it is written."""

from __future__ import annotations

import threading
from pathlib import Path

from ....plan import demo_plan
from ....plan.checks import open_questions, rank
from ...kit.asked import Asked
from ...kit.checks import Checks
from ...kit.layout import plain
from ...kit.words import UNEXPECTED
from .cards import CARDS, FORTY_EIGHT, GATE_FIELDS, GATES, NO, TWENTY_FOUR
from .electric import bass_cut, battery, drained, series_or_parallel, volts_before_clipping, which_way_round, who_shares
from .meaning import NOTHING
from .ranking import NOTHING_RANKED, computed, usual
from .space import cabin, how_deep, how_many_litres, leaks, sensors
from .writing import as_lines, names_for, own_plan, write_into

MEANINGS = dict(
    enumerate(
        (
            *(series_or_parallel, which_way_round, who_shares, bass_cut, volts_before_clipping, battery, how_deep),
            *(how_many_litres, cabin, leaks, drained, sensors),
        ),
        start=1,
    )
)
FIRST = "Answer these four questions first. Before that nothing is advised."
HIGH_VOLTAGE = "High voltage: leave its wiring to the maker or a qualified person. Tape and ear remain."
STOP_HERE = "Stop: high voltage. Only the maker or a qualified person does this."
MILD = "48 V: stop. Ask the maker before you connect or measure anything."
LORRY = "24 V: everything that you connect must be made for it. "
SHARED, FEED = ("Two speakers on one channel", "shared_channel"), ("Wire and fuse", "wire_and_fuse")
LEADS = {1: SHARED, 3: SHARED, 6: FEED, 11: FEED}  # number of a check: the page that its answer leads to
UPGRADE = ("See it on My upgrade", "my_upgrade")
EVERYWHERE = {4, 5, 9}  # checks that hold for the whole vehicle
ALL_READ = "Every check is read. Go on to the plan."


class Stopped(Exception):
    """Someone does not want to wait for a ranking."""


class FindOut(Asked):
    """Twelve checks."""

    def __init__(self):
        self.board = Checks(gates=[one.spec("metric") for one in GATE_FIELDS], cards=self._cards("metric"))
        self._stop, self._thread = threading.Event(), None
        self.meanings, self.worth, self._own, self._wrote = {}, (), False, set()
        self._said = self._wrong = ""
        self.hear(self.board, "typed", "system")
        self.widget = plain(self.board)
        self.tell()

    @property
    def gates(self):
        """What is answered of the questions that come first, by key."""
        return {key: text for key, text in self._typed(GATES).items() if text}

    def put(self, card, **typed):
        """Type into the fields of a card, or of the gates; an empty text takes a reading out."""
        wanted = {f"{card} {key.replace('_', ' ')}": text for key, text in typed.items()}
        self.board.typed = {name: text for name, text in (self.board.typed | wanted).items() if text}

    def tell(self):
        """Say what everything that is typed means."""
        self.meanings, told, wrong = {}, {}, {}
        for card in CARDS:
            given, complaints = self._given(card)
            wrong |= {f"{card.number} {key}": said for key, said in complaints.items()}
            lines = self._lines(card, given, complaints)
            if lines:
                told[str(card.number)] = lines
        self.board.told, self.board.wrong = told, wrong
        self._offer()
        self._tell_next()

    def _lines(self, card, given, complaints):
        """Return the lines below a card, and keep what its readings mean."""
        labels = {one.key: f"{one.row}, {one.label}" if one.row else one.label for one in card.fields}
        lines = [_line("wrong", f"{labels[key]}: {said}") for key, said in complaints.items()]
        stop = self._stopped(card)
        if stop and (given or complaints or self._closed):
            return [_line("wrong", stop)]
        if not given:
            return lines
        try:
            found = MEANINGS[card.number](given, self.gates)
        except ValueError as error:
            return [*lines, _line("wrong", str(error))]
        except Exception as error:  # else nobody would see it
            return [*lines, _line("wrong", f"{UNEXPECTED} {error!r}")]
        self.meanings[card.number] = found
        system = self.board.system
        lines += [_line("answer", said.text(system)) for said in found.told]
        lines += [_line("sure", f"How sure: {found.sure.text(system)}")] if found.sure else []
        return lines + [_line("doubt", said.text(system)) for said in found.doubts]

    @property
    def _closed(self):
        """Whether some checks are not for whoever answered so."""
        return self.gates.get("high", NO) != NO or self.gates.get("voltage") == FORTY_EIGHT

    def _stopped(self, card):
        """Return why a check means nothing for now; empty if it does."""
        if len(self.gates) < len(GATE_FIELDS):
            return FIRST if not (card.wires and self._closed) else STOP_HERE
        if card.wires and self._closed:
            return MILD if self.gates["high"] == NO else STOP_HERE
        return ""

    def _tell_next(self):
        """Say what to measure next, and why."""
        if len(self.gates) < len(GATE_FIELDS):
            self.board.headline, self.board.ranked = FIRST, NOTHING_RANKED
            return
        left = self._left()
        shown = computed(left) if left else usual(self._done | self._shut)
        said = " ".join(filter(None, (self._said, shown["said"], self._wrong)))
        running = self._thread is not None
        self.board.ranked = shown | {"running": running, "possible": not self._closed, "said": said}
        self.board.headline = self._headline(shown["rows"])

    @property
    def _done(self):
        """Numbers of the checks that are done."""
        return {number for number, found in self.meanings.items() if found.answers}

    @property
    def _shut(self):
        """Numbers of the checks that are not for the reader."""
        return {card.number for card in CARDS if self._stopped(card)}

    def _left(self):
        """Return what was ranked and is still open. In a plan of one's own some checks are open in several places."""
        done = self._done & EVERYWHERE if self._own else self._done
        return [
            one
            for one in self.worth
            if one.question.check not in done | self._shut
            and (one.question.check, one.question.about) not in self._wrote
        ]

    def _headline(self, rows):
        stop = next((found.stop for found in self.meanings.values() if found.stop), None)
        if stop:
            return stop.text(self.board.system)
        if self._closed:
            return MILD if self.gates["high"] == NO else HIGH_VOLTAGE
        lorry = LORRY if self.gates["voltage"] == TWENTY_FOUR else ""
        if not rows:
            return lorry + ALL_READ
        number = rows[0]["number"]
        title = next(card.title for card in CARDS if card.number == number)
        return f"{lorry}Measure this next: {number}. {title}"

    def _typed(self, card):
        before = f"{card} "
        return {name.removeprefix(before): text for name, text in self.board.typed.items() if name.startswith(before)}

    def _given(self, card):
        """Return key: value of what can be read of a card, and key: complaint of what cannot."""
        given, wrong = {}, {}
        typed = self._typed(card.number)
        for one in card.fields:
            if text := typed.get(one.key):
                try:
                    given[one.key] = one.value(text, self.board.system, typed)
                except ValueError as error:
                    wrong[one.key] = str(error)
        return given, wrong

    def _offer(self):
        """Say what each check fills in, and where it can be written."""
        plan, self._wrong = own_plan()
        self.board.fills = {
            str(number): [{"text": as_lines(one), "names": names_for(one, plan)} for one in found.fills]
            for number, found in self.meanings.items()
            if found.fills
        }
        answered = {number: [LEADS[number]] for number in self._done & LEADS.keys()}
        written = {int(number): [*answered.get(int(number), ()), UPGRADE] for number in self.board.written}
        ways = {"": [UPGRADE], **answered, **written}
        self.board.leads = {str(number): [one for one in map(_lead, pages) if one] for number, pages in ways.items()}

    def _refuse(self, text):
        self._said = text
        self._tell_next()

    _complain = _refuse

    def _on_typed(self, _typed):
        self.tell()

    def _on_write(self, given):
        self.write(**given)

    def _on_cancel(self, _given):
        self._stop.set()

    def _on_rank(self, _given):
        if self._thread is None:
            self._stop.clear()
            self._thread = threading.Thread(target=self.rank, daemon=True)
            self.board.ranked = self.board.ranked | {"running": True, "said": "Working it out."}
            self._thread.start()

    def write(self, card, fill, name):
        """Write what a check fills in, into one's own plan or parts."""
        try:
            said = write_into(self.meanings.get(card, NOTHING).fills[fill], name)
        except (ValueError, TypeError, IndexError) as error:
            said = f"Nothing is written. {error}"
        else:
            self._wrote.add((card, name))
        self.board.written = self.board.written | {str(card): said}
        self._offer()
        self._tell_next()

    def rank(self):
        """Work out what to measure next, from one's own plan if there is one."""
        try:
            plan, _ = own_plan()
            self._own = plan is not None
            of = "your plan" if self._own else "the invented minibus, since there is no plan of yours yet"
            plan = plan or demo_plan()
            self.worth = rank(plan, open_questions(plan, self._done & EVERYWHERE), progress=self._progress)
            self._said = f"Worked out for {of}." if self.worth else f"Nothing that can be computed is open in {of}."
        except Stopped:
            self._said = "Cancelled."
        except Exception as error:  # else nobody would see it
            self._said = str(error) if isinstance(error, ValueError) else f"{UNEXPECTED} {error!r}"
        self._thread = None
        self._tell_next()

    def _progress(self, done, count):
        if self._stop.is_set():
            raise Stopped
        said = f"Working it out: {done} of {count} plans."
        self.board.ranked = self.board.ranked | {"running": True, "said": said}

    def _cards(self, system):
        return [
            {
                "number": card.number,
                "title": card.title,
                "tools": card.tools,
                "how": list(card.how),
                "caution": card.caution,
                "drawing": card.drawing,
                "alternative": card.alternative,
                "fields": [one.spec(system) for one in card.fields],
            }
            for card in CARDS
        ]

    def _on_system(self, system):
        self.board.cards = self._cards(system)
        self.tell()


def _lead(way):
    """Return the label and the address of a page that an answer leads to; nothing where it is not there."""
    label, page = way
    return [label, f"{page}.ipynb"] if Path(f"{page}.ipynb").is_file() else None


def _line(kind, text):
    return {"kind": kind, "text": text}


def find_out():
    """Return the page."""
    return FindOut()
