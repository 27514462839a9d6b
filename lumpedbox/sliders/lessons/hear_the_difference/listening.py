"""What the player asks for: the sound of two curves, music of one's own, and a blind test."""

from __future__ import annotations

import numpy as np

from ....response.blind import DOUBTED, TRIALS, by_luck
from ....response.sound import one_after_the_other
from ...kit.asked import Asked
from .ear import Ear

RATE, SECONDS = 48000, 4.0  # Hz, s
A, B = "A", "B"
FIRST_THIS = "Make the sound first: the test plays the same pair."


class Listening(Asked):
    """Makes the sound of two curves when asked, never by itself.

    Parameters
    ----------
    heard : callable
        Returns what `one_after_the_other` is to be given now, by name; a ValueError says what is missing.
    taken_in : callable
        Called once there is music of one's own.
    draw : callable
        Returns a number from 0 to 1, anew each time: by it the order of a trial is drawn.
    """

    def __init__(self, heard, taken_in, draw):
        self._heard, self._taken_in, self._draw = heard, taken_in, draw
        self.music, self.called, self.pair, self._order, self._right = None, "", None, "", []
        self.board = self.widget = Ear(seconds=SECONDS, rate=RATE)
        self.hear(self.board)

    def stale(self):
        """Say that the loudspeakers have changed since the sound was made, and end a test of them."""
        self.board.stale = self.pair is not None
        self.board.note = ""
        if self._order:
            self._order, self.board.asks = "", {"told": "The loudspeakers have changed: the test has ended."}

    def _asked(self, board, message, buffers):
        self._buffers = buffers
        super()._asked(board, message, buffers)

    def _on_make(self, _given):
        self.pair = one_after_the_other(**self._heard(), rate=RATE, seconds=SECONDS)
        self.board.stale, self._order, self.board.asks = False, "", {}
        self._say(f"Ready: {SECONDS:.0f} s of A, then {SECONDS:.0f} s of B, again and again.")
        self._send("pair", self.pair)

    def _on_own(self, name):
        """Take in samples of the reader's own file. [1]"""
        samples = np.frombuffer(self._buffers[0], dtype="<f4").astype(float)
        if len(samples) < RATE * SECONDS:
            raise ValueError(f"{name}: {SECONDS:.0f} s are needed, {len(samples) / RATE:.1f} s follow from there.")
        if not np.isfinite(samples).all() or np.ptp(samples) == 0:
            raise ValueError(f"{name} is silent there.")
        self.music, self.called = samples[: int(RATE * SECONDS)], name
        self._taken_in()
        self._say(f"{name} is taken. Make the sound.")

    def _on_test(self, _given):
        """Begin the blind test."""
        if self.pair is None or self.board.stale:
            raise ValueError(FIRST_THIS)
        self._right, self.board.note = [], ""
        self._next("")

    def _on_guess(self, first):
        """Note which was said to come first."""
        if not self._order:
            return
        self._right.append(first == self._order)
        if len(self._right) < TRIALS:
            self._next(f"{len(self._right)} marked.")
            return
        self._order, self.board.asks = "", {"told": verdict(sum(self._right), TRIALS)}
        self._send("pair", self.pair)

    def _next(self, told):
        self._order = A if self._draw() < 0.5 else B
        self.board.asks = {"number": len(self._right) + 1, "of": TRIALS, "told": told}
        self._send("test", self.pair if self._order == A else self.pair.swapped())

    def _send(self, what, pair):
        self.board.send({"sound": what}, buffers=[pair.as_wave()])

    def _say(self, text):
        self.board.note = ""  # the same words again are told again
        self.board.note = text

    _refuse = _complain = _say


def verdict(right, trials):
    """Say whether so many right guesses may be luck."""
    chance = by_luck(right, trials)
    share = "nearly everyone" if chance > 0.9 else f"about one in {round(1 / chance)}"
    luck = f"Of those who hear nothing, {share} guesses as well or better."
    if chance < DOUBTED:
        return f"{right} of {trials} right. {luck} That is hardly luck: you hear it."
    return f"{right} of {trials} right. {luck} That may be luck; it does not show that there is nothing to hear."
