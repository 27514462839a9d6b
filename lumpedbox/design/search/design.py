"""A box that does what a brief asks."""

from __future__ import annotations

from dataclasses import dataclass

from ...parts.loudspeaker import Loudspeaker
from .boxes import FINE
from .brief import VENTED, Brief
from .goal import Goal, with_port
from .holding import holding
from .performance import performance
from .words import in_sentences


@dataclass(frozen=True, slots=True, eq=False)
class Design:
    """A box that does what the brief asks, as well as any can.

    Attributes
    ----------
    name, kind : str
        The driver's name; "sealed" or "vented".
    loudspeaker : Loudspeaker
        As you build it.
    brief : Brief
    values : dict
        What it achieves, by name: f3 [Hz], ripple [dB], droop [dB], delay [s], excursion over xmax [1],
        port_speed [m/s], volume that it takes up [m3].
    holds : tuple of str
        The limits that hold it back. With a hundredth, or 0.05 dB, more of one, a box near it would be better by a
        thousandth.
    used : tuple of str
        The other limits that it uses up. More of them would gain less than that.
    """

    name: str
    kind: str
    loudspeaker: Loudspeaker
    brief: Brief
    values: dict
    holds: tuple
    used: tuple

    @classmethod
    def from_search(cls, name, boxes, found, rough=False):
        """Return the design that a search found.

        Parameters
        ----------
        name : str
            The driver's.
        boxes : Boxes
        found : Optimum
        rough : bool
            Whether to leave out what holds it back.
        """
        goal = Goal.of(boxes.brief.aim)
        box = boxes.built(found.point, with_port(found.values, goal.port).get("area"))
        response = boxes.solved(box, FINE)
        values = {key: float(value) for key, value in performance(response, boxes.brief).items()}
        port = box.port.displacement if boxes.kind == VENTED else 0.0
        values["volume"] = float(box.volume + port + boxes.displacement)
        touched = ((), ()) if rough else holding(boxes, goal, found)
        holds, used = (tuple(limit.name for limit in limits) for limits in touched)
        return cls(name, boxes.kind, response.loudspeaker, boxes.brief, values, holds, used)

    @property
    def reasons(self):
        """What it is and why it is no better, as a tuple of sentences."""
        return in_sentences(self)
