"""What is kept of one's own."""

from __future__ import annotations

import dataclasses

from ..quantity import Holds


@dataclasses.dataclass(frozen=True, slots=True)
class Kept:
    """What is kept.

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

    typed: dict
    parts: dict
    unfinished: dict
    choices: dict


KEPT = Holds((Kept,))
