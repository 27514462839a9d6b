"""What is kept of one's own."""

from __future__ import annotations

import dataclasses

from ..quantity import Holds
from .entries import KINDS


def _of_each_kind():
    return {kind: {} for kind in KINDS}


@dataclasses.dataclass(frozen=True, slots=True)
class Kept:
    """What is kept; without arguments, nothing.

    Attributes
    ----------
    typed : dict
        Kind: {name: {key: text or number as typed}}.
    parts : dict
        Kind: {name: part}, of those that are complete; a driver comes as a `DataSheet`.
    unfinished : dict
        (kind, name): the ValueError that says what is still missing, of those that are not.
    choices : dict
        Role: value, of the last choices kept on any page. [SI]
    """

    typed: dict = dataclasses.field(default_factory=_of_each_kind)
    parts: dict = dataclasses.field(default_factory=_of_each_kind)
    unfinished: dict = dataclasses.field(default_factory=dict)
    choices: dict = dataclasses.field(default_factory=dict)


KEPT = Holds((Kept,))
