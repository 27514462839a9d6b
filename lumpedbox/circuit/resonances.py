"""What a cabin by its resonances does to a source in half space."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..parts.room import distinct
from ..remembered import remembered
from .dual import ONE, Dual
from .elements import node
from .transfer import on_the_axis, risen

SURE = 3 * np.pi / 4  # between two points of a grid; of a larger step it is not sure which way the phase turns (ours)
FINER, DEEPEST = 16, 4  # how much more finely such a step is looked at, and how many times over


@node
class Resonances:
    r"""What a cabin by its resonances (`Cabin.transfer`) does to a source in half space.

    .. math:: G = \Omega r \Sigma H^{-\gamma}, \quad H = \Omega r \Sigma\,e^{s r/c}

    So over the octave around the modal limit, where :math:`\gamma` rises from 0 to 1, level and unwrapped phase fade
    to those of half space, :math:`e^{-s r/c}`. On the imaginary axis only.
    """

    name: str
    room: object
    distance: object
    solid_angle: object
    limit: object

    def mapped(self, function):
        names = ("distance", "solid_angle", "limit")
        values = {name: function(getattr(self, name)) for name in names}
        return dataclasses.replace(self, room=self.room.mapped(function), **values)

    @property
    def numbers(self):
        """Every number, or column of them, one after another."""
        return (*self.room.numbers, self.distance, self.solid_angle, self.limit)

    @property
    def late(self):
        """How long sound takes on the straight way. [s]"""
        return self.distance / self.room.sound_speed

    def top_and_bottom(self, s):
        """Return G as a function of s, and one; members that hear it alike are worked out once."""
        on_the_axis(s, 'a cabin by its resonances (Cabin.law "modes")')
        members = self.mapped(s.rows)
        kinds, kind = distinct(members.numbers)
        if len(kinds) == len(kind) or len(s.value) > 1:
            return Dual(*members.gain(s.value)), ONE
        few = members.mapped(lambda column: column[kinds] if np.size(column) > 1 else column)
        value, slope = (np.broadcast_to(v, (len(kinds), v.shape[-1]))[kind] for v in few.gain(s.value))
        return Dual(value, slope), ONE

    @remembered
    def gain(self, s):
        """Return G and its derivative by s."""
        faded, by_w = _faded(s.imag, self.limit)
        value = np.exp(-s * self.late) + 0 * faded
        slope = -self.late * value
        modal = np.flatnonzero(np.any(faded < 1, axis=0))
        if len(modal):
            inside, bent = self._modal(s[:, modal], faded[:, modal], by_w[:, modal])
            # members may differ in the size of the opening alone
            value, slope = (np.broadcast_to(v, (max(len(v), len(inside)), v.shape[1])).copy() for v in (value, slope))
            value[:, modal], slope[:, modal] = inside, bent
        return value, slope

    def alone(self, s, phases=True):
        """Return G without its derivative, shape (n, nf); without `phases` its level alone fades."""
        faded, _ = _faded(s.imag, self.limit)
        value = np.exp(-s * self.late) + 0 * faded
        modal = np.flatnonzero(np.any(faded < 1, axis=0))
        if len(modal):
            s, faded = s[:, modal], faded[:, modal]
            summed = self.room.summed_alone(s)
            inside = self.solid_angle * self.distance * summed
            if np.any(faded):
                inside = inside * np.exp(-faded * self._logarithm(s, summed, phases))
            value[:, modal] = inside
        return value

    def _modal(self, s, faded, by_w):
        """Return G and its derivative by s, at frequencies where the resonances count."""
        summed, by_s = self.room.summed(s, self._top if np.any(faded) else None)
        value, relative = self.solid_angle * self.distance * summed, by_s / summed
        if np.any(faded):
            logarithm = self._logarithm(s, summed)
            value = value * np.exp(-faded * logarithm)
            relative = relative - faded * (relative + self.late) + 1j * by_w * logarithm
        return value, value * relative

    def _logarithm(self, s, summed, phases=True):
        """Return the logarithm of H, its phase unwrapped from low frequencies up, or without its phase."""
        level = np.log(np.abs(self.solid_angle * self.distance * summed)) + np.real(s) * self.late
        return level + 1j * self._excess_phase(s, summed) if phases else level

    def _excess_phase(self, s, summed):
        """Return the phase of H, unwrapped from low frequencies up. [rad]

        A fixed grid, eight points to the width of a resonance, decides the turns, so they do not depend on what was
        asked for.
        """
        top = self._top
        count = int(np.max(8 * top / self.room.damping)) + 2
        grid = np.atleast_2d(top * np.arange(1, count + 1) / count)
        coarse = self._turns(1j * grid)
        below = np.clip((s.imag / top * count).astype(int) - 1, 0, count - 1)
        start = coarse[np.arange(len(coarse))[:, np.newaxis], below]
        phase = start + self._steps(self._turned(s, summed) - start, 1j * top * (below + 1) / count, s)
        return phase - np.pi / 2 - np.arctan2(s.imag, self.room.leak)

    @property
    def _top(self):
        """Where the cabin has faded into half space. [rad/s]"""
        return 2 * np.pi * np.sqrt(2) * self.limit

    @remembered
    def _turns(self, s):
        """Return the phase of H s (s + leak), unwrapped along a grid. [rad]"""
        phase = self._turned(s, self.room.summed_alone(s, self._top))
        steps = self._steps(np.diff(phase), s[:, :-1], s[:, 1:])
        return np.cumsum(np.column_stack([phase[:, 0], steps]), axis=-1)

    def _steps(self, phase, start, end, finer=DEEPEST):
        """Return how far the phase turns from each of some frequencies to another, which is known but for whole turns.

        Beside a narrow dip it turns by up to half a turn either way: there what lies between is looked at more finely.
        """
        steps = phase - _whole_turns(phase)
        member, place = np.nonzero(np.abs(steps) > SURE) if finer else ((), ())
        if len(member):
            ends = (np.broadcast_to(s, steps.shape)[member, place] for s in (start, end))
            between = np.linspace(*ends, FINER + 1, axis=-1)
            few = self.mapped(lambda column: column[member] if np.size(column) > 1 else column)
            turned = few._turned(between, few.room.summed_alone(between))
            found = few._steps(np.diff(turned), between[:, :-1], between[:, 1:], finer - 1).sum(axis=-1)
            steps[member, place] += _whole_turns(found - steps[member, place])
        return steps

    def _turned(self, s, summed):
        """Return the phase of H s (s + leak), which begins at zero. [rad]"""
        return np.angle(summed * s * (s + self.room.leak) * np.exp(1j * s.imag * self.late))


def _whole_turns(phase):
    """Return the whole turns that are nearest to a phase. [rad]"""
    return 2 * np.pi * np.round(phase / (2 * np.pi))


def _faded(w, limit):
    """Return how far a cabin has faded into half space, and the derivative by w; see `risen`. [1], [s]"""
    octaves = np.log2(np.maximum(w, 1e-9) / (2 * np.pi * limit))
    bend = np.where(abs(octaves) < 0.5, np.cos(np.pi * octaves), 0.0)
    return risen(octaves), np.pi / 2 * bend / (np.maximum(w, 1e-9) * np.log(2))
