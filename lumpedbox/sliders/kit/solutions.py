"""For the teacher: the solutions worked with one student's numbers, and what a result code says."""

from __future__ import annotations

import ipywidgets

from .layout import ShownInCell
from .result_code import NO_SECRET, meaning
from .systems import SYSTEMS
from .words import as_html


class Solutions(ShownInCell):
    """The solutions of a sheet, worked with the numbers that belong to a name.

    Parameters
    ----------
    sheet : Sheet
    """

    def __init__(self, sheet):
        self.lesson, self.rows = sheet.lesson, sheet.rows
        self.name = ipywidgets.Text(description="Student", placeholder="name as typed on the sheet")
        self.code = ipywidgets.Text(description="Result code", placeholder="as handed in")
        self.units = ipywidgets.Dropdown(description="Units", options=SYSTEMS)
        self.said, self.worked = ipywidgets.HTML(), ipywidgets.HTML(style={"font_size": "15px"})
        self.said.add_class("lb-marked")
        for field in (self.name, self.units, self.code):
            field.observe(self._tell, "value")
        top = ipywidgets.HBox([self.name, self.units, self.code], layout={"flex_flow": "row wrap"})
        warned = ipywidgets.HTML(f"<small>{as_html(NO_SECRET)}</small>")
        self.widget = ipywidgets.VBox([top, self.said, self.worked, warned])
        self._tell()

    def of(self, row, system):
        """Return one exercise with its numbers, as text: (question, steps, answer, slips).

        Parameters
        ----------
        row : Row
        system : str

        Returns
        -------
        (str, list of str, str, list of (str, str, str))
            A slip is what a student types who goes that way, what was done, and the hint.
        """
        exercise = row.exercise
        given = exercise.given_to(self.name.value, row.number, system)
        slips = [
            (exercise.text_of(slip.wrong(given), system), slip.name, slip.hint) for slip in exercise.misconceptions
        ]
        return exercise.ask(given, system), exercise.worked(given, system), exercise.solution(given, system), slips

    def _tell(self, _change=None):
        self.worked.value = "".join(self._written(row) for row in self.rows)
        code = self.code.value.strip()
        self.said.value = as_html(meaning(code, self.name.value, {self.lesson: len(self.rows)})[1]) if code else ""

    def _written(self, row):
        question, steps, answer, slips = self.of(row, self.units.value)
        lines = "".join(f"<li>{as_html(step)}</li>" for step in steps)
        typed = "".join(
            f"<li><b>{as_html(value)}</b>: {as_html(name)}. {as_html(hint)}</li>" for value, name, hint in slips
        )
        return (
            f"<p><b>{row.number}.</b> {as_html(question)}</p><ol>{lines}</ol><p><b>Answer: {as_html(answer)}</b></p>"
            f"<p>Wrong answers to expect, and what to say:</p><ul>{typed}</ul>"
        )
