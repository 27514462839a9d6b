"""Measure a driver: step by step, with a resistor, a meter and tones from a phone."""

from __future__ import annotations

from ....tables.my_parts import read
from ...kit.asked import Asked
from ...kit.layout import plain
from ...kit.offered import offered
from ...kit.readings_file import lines_of_file
from . import answering, practice
from .bench import CURVES, LOAD_FIRST, LOADS, Bench, doubt_of_ohms, with_a_reading
from .board import MeasureBoard
from .keeping import KeepDriver, entries_of
from .steps import BENCH, MINE, NO_SHEET, PRACTICE, RESISTOR, steps

EMPTY_FILE = "That file holds no readings."
NOTHING_YET = "There is no driver yet: it takes free air, and a mass or a box."
NOT_YOURS = "A practice driver is invented: it is not kept."
TAKEN = "Read in: {count} readings. Undo brings back what stood here."


class MeasureADriver(Asked):
    """Six steps, what is typed, and the driver that comes of it.

    Attributes
    ----------
    bench : Bench
    headline : Said
    """

    def __init__(self, sheets=None):
        self._sheets = offered().drivers if sheets is None else sheets
        self._steps = steps(self._sheets)
        self._before, self._said = {}, {}
        self.bench = Bench()
        self.board = MeasureBoard(steps=self._specs("metric"), heads=list(answering.HEADS))
        self.keeping = KeepDriver(self._entries)
        self.hear(self.board, "typed", "system")
        self.widget = plain(self.board, self.keeping.widget)
        self.tell()

    def put(self, **typed):
        """Type into fields, or the lines of curves, by key; an empty text takes it out."""
        self.board.typed = {key: text for key, text in (self.board.typed | typed).items() if text}

    @property
    def sheet(self):
        """The driver of the data sheet that it is held against, or None."""
        return self._sheets.get(self.board.typed.get("sheet"))

    @property
    def practising(self):
        """Name of the practice driver, or nothing."""
        what = self.board.typed.get("what", MINE)
        return what if what in PRACTICE else ""

    def tell(self):
        """Say what everything that is typed means."""
        board, typed = self.board, self.board.typed
        self.bench = bench = Bench()
        self._read_fields(bench)
        for key in CURVES:
            bench.read(key, typed.get(key, ""))
        bench.fit()
        self.headline = answering.headline(bench)
        with board.hold_sync():
            board.practice = bool(self.practising)
            board.headline = self.headline.text(board.system)
            board.facts = answering.facts(bench, self.sheet, board.system)
            board.further = answering.further(bench, self.sheet, board.system)
            board.doubts, board.beside = answering.doubts(bench), answering.beside_the_sheet(bench, self.sheet)
            board.unseen = [] if bench.found is None else list(bench.found.unseen)
            board.curves, board.seen = answering.picture(bench, self.sheet), answering.seen(bench)
            board.wrong = {"diameter" if key == "Sd" else key: said for key, said in bench.wrong.items()}
            board.undo = list(self._before)
            self._ask_for_more(bench)

    def _read_fields(self, bench):
        for step in self._steps:
            for one in step.fields:
                if text := self.board.typed.get(one.key):
                    try:
                        bench.numbers[one.key] = one.value(text, self.board.system, self.board.typed)
                    except ValueError as error:
                        bench.wrong[one.key] = str(error)
        if "Re" in bench.numbers:
            bench.ohmmeter = doubt_of_ohms(self.board.typed["Re"], bench.numbers["Re"])

    def _ask_for_more(self, bench):
        """Say at each step what came of it, and what to read next."""
        told, coming = {}, {}
        for step in self._steps:
            lines = [
                _line("wrong", f"{one.label}: {bench.wrong[one.key]}") for one in step.fields if one.key in bench.wrong
            ]
            if step.key in bench.wrong:
                lines.append(_line("wrong", bench.wrong[step.key]))
            if step.key == BENCH and "Sd" in bench.wrong:
                lines.append(_line("wrong", bench.wrong["Sd"]))
            if step.key != BENCH:
                frequency, shrinks = bench.coming(step.key)
                coming[step.key] = "" if frequency is None else f"{frequency:.1f}"
                lines += self._about(step.key, bench, frequency, shrinks)
            if step.key in self._said:
                lines.append(_line("wrong" if self._said[step.key][0] else "done", self._said[step.key][1]))
            told[step.key] = lines
        self.board.told, self.board.coming = told, coming

    def _about(self, key, bench, frequency, shrinks):
        measured = bench.curves.get(key)
        if measured is not None and key in LOADS and LOADS[key] not in bench.numbers:
            yield _line("wrong", LOAD_FIRST[key])
        if key == RESISTOR and measured is not None and LOADS[key] in bench.numbers:
            yield _line("done", answering.of_the_resistor(bench))
        count = 0 if measured is None else len(measured.frequency)
        done = f"{count} readings. " if count != 1 else "1 reading. "
        if frequency is None:
            yield _line("done", f"{done}Go on with step 3.")
            return
        yield _line("next", f"{done}Next: {frequency:.1f} Hz. {answering.wins(bench, key, shrinks)}".strip())

    def _specs(self, system):
        return [
            {
                "key": step.key,
                "title": step.title,
                "how": list(step.how),
                "caution": step.caution,
                "drawing": step.drawing,
                "alternative": step.alternative,
                "fields": [one.spec(system) for one in step.fields],
                "curve": step.key != BENCH,
            }
            for step in self._steps
        ]

    def _entries(self):
        """Return what is kept of the driver."""
        if self.practising:
            raise ValueError(NOT_YOURS)
        if self.bench.found is None or not self.bench.found.solution.setup.loaded:
            raise ValueError(NOTHING_YET)
        name = self.board.typed.get("sheet", NO_SHEET)
        return entries_of(self.bench.found.driver, read().typed["driver"].get(name))

    def _on_typed(self, typed):
        self._said = {}
        if typed.get("what") in PRACTICE and typed.get("line") is None:
            self.put(**practice.typed_for(typed["what"]))
            return
        self.tell()

    def _on_system(self, system):
        self.board.steps = self._specs(system)
        self.tell()

    def _on_add(self, given):
        key = given["curve"]
        try:
            text = with_a_reading(self.board.typed.get(key, ""), given)
        except ValueError as error:
            self._say(key, True, str(error))
            return
        self._take(key, text)

    def _on_meter(self, given):
        """Let the library read both meters of a practice driver."""
        key, typed = given["curve"], given["frequency"] or self.board.coming.get(given["curve"])
        try:
            frequency = float(typed)
        except (TypeError, ValueError):
            self._say(key, True, f"Type a frequency in Hz, got {typed!r}.")
            return
        before = self.board.typed.get(key, "")
        driver, resistor = practice.volts(self.practising, key, frequency, before.count("\n"))
        meter = {"frequency": typed, "driver": f"{driver:.4g}", "resistor": f"{resistor:.4g}"}
        self._take(key, with_a_reading(before, meter))

    def _take(self, key, text):
        self.put(**{key: text})
        self.board.added = self.board.added | {key: self.board.added.get(key, 0) + 1}

    def _on_file(self, given):
        """Put the lines of a file in the place of those of a curve, which can come back."""
        key = given["curve"]
        try:
            lines = lines_of_file(given).strip()
        except ValueError as error:
            self._say(key, True, str(error))
            return
        if not lines:
            self._say(key, True, EMPTY_FILE)
            return
        self._before[key] = self.board.typed.get(key, "")
        self.put(**{key: lines})
        if key in self.bench.curves:
            self._say(key, False, TAKEN.format(count=len(self.bench.curves[key].frequency)))
        else:
            self.tell()

    def _on_undo(self, key):
        if key in self._before:
            self.put(**{key: self._before.pop(key)})
            self.tell()

    def _on_clear(self, _given):
        self._before = {}
        self.board.typed = {}

    def _say(self, key, wrong, text):
        self._said[key] = (wrong, text)
        self.tell()

    def _refuse(self, text):
        self._say(BENCH, True, text)

    _complain = _refuse


def _line(kind, text):
    return {"kind": kind, "text": text}


def measure_a_driver():
    """Return the page."""
    return MeasureADriver()
