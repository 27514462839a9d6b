"""Hear the difference: two loudspeakers, one after the other, equally loud."""

from __future__ import annotations

import random

from ....units import litre
from ...kit.controls import Choice, Slider
from ...kit.offered import first_of, fit_for, left_out, offered
from ...kit.page import Page
from ...kit.places import Cabins
from ...kit.systems import FREQUENCY, VOLUME
from ...kit.words import OPEN_AIR
from .listening import A, B, Listening
from .scene import (
    BARE,
    BASS_LINE,
    GRID,
    LOUDNESS,
    NO_TWEETER,
    NOISE,
    OWN,
    PADS,
    SEALED,
    SETTING,
    VENTED,
    TwoHeard,
)

TITLE = "Hear the difference"
TWEETER = "25 mm pillar tweeter"
NO_FILE = "Choose a file of your own first, or play noise or the bass line."
BOXES, TWEETERS = (SEALED, VENTED), (NO_TWEETER, BARE, *PADS)
GROUPS = {A: "loudspeaker A", B: "loudspeaker B"}


class Hear(Page):
    """The page, with its player.

    Attributes
    ----------
    listening : Listening
    """

    def __init__(self, controls, scene, draw):
        self.listening = Listening(self._heard, self._take_in, draw)
        super().__init__(controls, scene, TITLE)
        self._played = dict(self.values)
        self.listen(self._changed)
        self.widget.children = (self.listening.widget, *self.widget.children)
        self.widget.layout.flex_flow = "column"

    def _heard(self):
        """Return what is to be heard now."""
        values, scene = self.values, self.scene
        if self.board.wrong:
            raise ValueError(self.board.wrong)
        if values["music"] == OWN and self.listening.music is None:
            raise ValueError(NO_FILE)
        self._played = dict(values)
        return {
            "frequency": GRID,
            "first": scene.levels[A],
            "second": scene.levels[B],
            "music": self.listening.music if values["music"] == OWN else values["music"],
            "equal": values["equal"],
        }

    def _take_in(self):
        """Answer by music of one's own."""
        self.scene.take_in(self.listening.music)
        self.move()
        self.listening.stale()

    def _changed(self):
        self.listening.board.own = self.values["music"] == OWN
        if self.values | {"side": ""} != self._played | {"side": ""}:
            self.listening.stale()


def hear_the_difference(drivers=None, cabins=None, draw=random.random):
    """Return the page.

    Parameters
    ----------
    drivers, cabins : dict, optional
        Name: Driver, name: Cabin; your own and the invented ones of the demonstration by default.
    draw : callable
        Draws the order of a blind trial: a number from 0 to 1, anew each time.
    """
    tweeter = offered().drivers[TWEETER]
    drivers, missed = fit_for("hear_the_difference", "driver", drivers)
    cabins = Cabins(cabins, {}, "the two stand at no place")
    controls = [
        Choice("side", "Set up", tuple(GROUPS.values()), GROUPS[A]),
        *_side(A, drivers, cabins, missed, "130 mm step well", SEALED, 10 * litre),
        *_side(B, drivers, cabins, missed, "200 mm bass", VENTED, 30 * litre),
        Choice("music", "Play", (NOISE, BASS_LINE, OWN), NOISE, group="heard"),
        Choice("equal", "Equal in", (LOUDNESS, SETTING), LOUDNESS, group="heard"),
    ]
    return Hear(controls, TwoHeard(drivers, tweeter, cabins), draw)


def _side(of, drivers, cabins, missed, driver, box, volume):
    """Return the controls of one loudspeaker."""
    group = GROUPS[of]

    def shown(values):
        return values["side"] == group

    return (
        Choice(
            f"driver_{of}", f"Driver {of}", drivers, first_of(driver, drivers), left_out(missed, "driver"), group, shown
        ),
        Choice(f"box_{of}", f"Box {of}", BOXES, box, "", group, shown),
        Slider(f"volume_{of}", f"Volume {of}", VOLUME, 5 * litre, 80 * litre, volume, 0.5 * litre, group, shown),
        Slider(
            *(f"fb_{of}", f"Tuning {of}", FREQUENCY, 20.0, 80.0, 36.0, 0.5, group),
            only=lambda values: shown(values) and values[f"box_{of}"] == VENTED,
        ),
        Choice(f"tweeter_{of}", f"Tweeter {of}", TWEETERS, NO_TWEETER, "", group, shown),
        Choice(f"cabin_{of}", f"Where {of} plays", cabins, OPEN_AIR, left_out({}, "cabin"), group, shown),
    )
