"""The exercises, one module a lesson: each has a `sheet()`."""

from __future__ import annotations

import importlib

from ..kit.solutions import Solutions

LESSONS = (
    "small_woofers",
    "sealed_or_vented",
    "closed_box",
    "closed_alignments",
    "vented_alignments",
    "which_box",
    "wedge",
    "sealed_door",
    "how_loud",
    "cabin_gain",
    "loud_tweeter",
    "shared_channel",
    "crossing_over",
    "bass_meets_panels",
    "set_the_levels",
    "thin_wire",
    "free_steps",
    "data_sheet",
    "decibels",
    "measure_a_driver",
)


def sheet_of(lesson):
    """Return the sheet of exercises of a lesson: a `Sheet`."""
    return importlib.import_module(f".{lesson}", __name__).sheet()


def solutions(lesson):
    """Return the worked solutions of a lesson, for its teacher: a `Solutions`."""
    return Solutions(sheet_of(lesson))
