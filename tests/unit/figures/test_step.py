"""The time axis of a step: one curve a pen, over limits that are told."""

from lumpedbox.figures.step import step_axes
from lumpedbox.figures.style import DARK, PENS, new_figure


def test_a_line_for_each_pen():
    figure = new_figure(dpi=80)
    axes, lines = step_axes(figure.subplots(), {"one": "first", "other": "family 0"}, -0.7, 1.05, colours=DARK)
    assert axes.get_ylim() == (-0.7, 1.05)
    assert axes.get_xlabel() == "time [ms]"
    assert [lines[name].get_color() for name in ("one", "other")] == [PENS[pen].color for pen in ("first", "family 0")]
    assert lines["one"].get_linewidth() > lines["other"].get_linewidth()
    assert axes.xaxis.label.get_color() == DARK["ink"]
