"""The invented parts of the demonstration."""

from __future__ import annotations

import functools

from ..parts.amplifier import Amplifier, HeadUnit
from ..parts.cabin import Cabin
from ..parts.line import Converter
from .read import read_levels, read_parts, read_sheets
from .shipped import data_folder


def demo_drivers():
    """Return the invented drivers of the demonstration, by name; `demo_sheets` tells which sheets are doubtful."""
    return {name: sheet.driver for name, sheet in demo_sheets().items()}


@functools.cache
def _demo_sheets():
    return read_sheets(data_folder() / "drivers.csv")


def demo_sheets():
    """Return the invented data sheets of the demonstration, by name; some contradict themselves on purpose."""
    return dict(_demo_sheets())


@functools.cache
def _read_once(table, kind):
    return read_parts(data_folder() / f"{table}.csv", kind)


def _demo_parts(table, kind):
    return dict(_read_once(table, kind))


def demo_cabins():
    """Return the invented cabins of the demonstration, by name."""
    return _demo_parts("cabins", Cabin)


def demo_amplifiers():
    """Return the invented amplifiers of the demonstration, by name."""
    return _demo_parts("amplifiers", Amplifier)


def demo_head_units():
    """Return the invented head units of the demonstration, by name."""
    return _demo_parts("head_units", HeadUnit)


def demo_converters():
    """Return the invented converters of the demonstration, by name, each with its trim turned up."""
    return _demo_parts("converters", Converter)


def demo_levels():
    """Return what the invented head unit does to the level, by volume setting."""
    return read_levels(data_folder() / "head_unit_levels.csv")


def demo_readings():
    """Return what a meter reads at the invented head unit's loudspeaker outputs, by volume setting. [dB re 1 V]"""
    read = read_levels(data_folder() / "head_unit_readings.csv")
    return {float(name.removeprefix("volume ")): table for name, table in read.items()}


def demo_noise():
    """Return the invented noise in the minibus, in third octaves, by driving speed."""
    return read_levels(data_folder() / "cabin_noise.csv")
