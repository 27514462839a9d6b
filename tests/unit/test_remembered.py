"""Results in memory: asked again they are the same, and nothing that has changed is answered from memory."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Air, Cabin, Loudspeaker, SealedBox, solve
from lumpedbox.circuit.dual import Frequency
from lumpedbox.circuit.resonances import Resonances
from lumpedbox.parts.room import Axes, Room
from lumpedbox.parts.room_map import summed_at_ears
from lumpedbox.remembered import KEPT, LARGEST, remembered

ROOM = Room((3.0, 1.6, 1.1), (0.3, 0.2, 0.4), (1.9, 0.5, 0.9), 0.1, 0.15, 8.0, 90.0, 60.0, 343.0)
INSIDE = Resonances("resonances of the cabin", ROOM, 1.7, 2 * np.pi, 240.0)
S = 2j * np.pi * np.array([[20.0, 90.0, 200.0, 250.0, 330.0]])
CABIN = Cabin(length=2.6, width=1.4, height=1.2, law="modes", ear=(1.3, 0.4, 0.9))
F = np.array([20.0, 63.0, 125.0, 250.0, 400.0])


def with_each_number_changed(piece):
    """Yield copies of a frozen piece, each with one of its numbers a little larger."""
    for spec in dataclasses.fields(piece):
        value = getattr(piece, spec.name)
        if isinstance(value, Room):
            ways = with_each_number_changed(value)
        elif isinstance(value, tuple):
            ways = ((*value[:i], 1.01 * value[i], *value[i + 1 :]) for i in range(len(value)))
        else:
            ways = [] if isinstance(value, str) else [1.01 * value]
        yield from (dataclasses.replace(piece, **{spec.name: way}) for way in ways)


def same(found, expected):
    return all(np.array_equal(a, b) for a, b in zip(np.atleast_2d(found), np.atleast_2d(expected), strict=True))


@pytest.mark.parametrize("ask", [Resonances.gain, Resonances._turns])
def test_every_number_of_a_cabin_counts(ask):
    """A number that is left out of what results are looked up by would bring back the first answer."""
    first = ask(INSIDE, S)
    changes = [*with_each_number_changed(INSIDE)]
    assert len(changes) == 18
    for other in changes:
        assert same(ask(other, S), ask.__wrapped__(other, S))
        told = ask is Resonances.gain or other.solid_angle == INSIDE.solid_angle
        assert same(ask(other, S), first) != told
    assert same(ask(INSIDE, S), first)


def test_members_that_hear_a_cabin_alike_are_worked_out_once(monkeypatch):
    """An ear moved across leaves the sums along the way to it as they are; each member as it is alone."""
    across = np.array([0.5, 0.5, 0.6, 0.5, 0.5])[:, np.newaxis]
    along = np.array([1.9, 1.9, 1.9, 2.0, 1.9])[:, np.newaxis]
    family = dataclasses.replace(INSIDE, room=dataclasses.replace(ROOM, ear=(along, across, 0.9)))
    summed, sums = Axes._along, []

    def counted(self, kinds, square):
        sums.append(len(square))
        return summed(self, kinds, square)

    monkeypatch.setattr(Axes, "_along", counted)
    top, _ = family.top_and_bottom(Frequency(S, slice(None)))
    assert max(sums) == 2
    for member in range(5):
        ear = float(along[member, 0]), float(across[member, 0]), 0.9
        alone = dataclasses.replace(INSIDE, room=dataclasses.replace(ROOM, ear=ear)).gain(S)
        for found, expected in zip((top.value, top.slope), alone, strict=True):
            assert found[member] == pytest.approx(expected[0], rel=1e-10)


def test_members_that_hear_a_cabin_alike_above_all_its_resonances():
    leak = np.array([80.0, 80.0, 60.0])[:, np.newaxis]
    family = dataclasses.replace(INSIDE, room=dataclasses.replace(ROOM, leak=leak))
    high = 2j * np.pi * np.array([[900.0, 1000.0]])
    top, _ = family.top_and_bottom(Frequency(high, slice(None)))
    for value, slope in zip(top.value, top.slope, strict=True):
        assert same(value, INSIDE.gain(high)[0])
        assert same(slope, INSIDE.gain(high)[1])


def test_every_frequency_counts():
    """Also where an array was changed in place after it was asked about."""
    s = S.copy()
    first = INSIDE.gain(s)
    s[0, -2] *= 1.001
    assert same(INSIDE.gain(s), Resonances.gain.__wrapped__(INSIDE, s))
    assert not same(INSIDE.gain(s), first)
    assert same(INSIDE.gain(S), first)
    column = S.reshape(-1, 1)
    assert INSIDE.gain(column)[0].shape == column.shape


def test_every_member_of_a_family_counts():
    width = np.linspace(0.1, 0.2, 4)[:, np.newaxis]
    one, other = (
        dataclasses.replace(INSIDE, room=dataclasses.replace(ROOM, source_width=w))
        for w in (width, np.append(width[:-1], width[-1:] * 1.1, axis=0))
    )
    first = one.gain(S)
    assert same(other.gain(S), Resonances.gain.__wrapped__(other, S))
    assert np.array_equal(other.gain(S)[0][:-1], first[0][:-1])
    assert not np.array_equal(other.gain(S)[0][-1], first[0][-1])


def test_every_ear_of_a_map_counts():
    ears = (np.array([1.9, 2.0]), np.array([0.5, 0.6]), np.array([0.9, 0.8]))
    moved = (*ears[:2], np.array([0.9, 0.81]))
    first = summed_at_ears(ROOM, ears, S[0], 240.0)
    heard = dataclasses.replace(ROOM, source=(0.3, 0.2, 0.5))
    for room, places, s, limit in ((ROOM, moved, S[0], 240.0), (heard, ears, S[0], 240.0), (ROOM, ears, S[0], 250.0)):
        found = summed_at_ears(room, places, s, limit)
        assert np.array_equal(found, summed_at_ears.__wrapped__(room, places, s, limit))
        assert not np.array_equal(found, first)
    assert np.array_equal(summed_at_ears(ROOM, ears, S[0], 240.0), first)


def test_a_solved_loudspeaker_does_not_depend_on_what_was_solved_before(driver, monkeypatch):
    """Each change of cabin, place, driver or air gives what it gives without a memory, bit for bit."""
    speaker = Loudspeaker(driver=driver, box=SealedBox(volume=0.03), cabin=CABIN, position=(2.2, 1.1, 0.3))
    cabins = [
        dataclasses.replace(CABIN, **{name: 1.05 * getattr(CABIN, name)})
        for name in ("length", "width", "height", "flex", "leak", "reverberation_time", "ear_box")
    ]
    cabins += [dataclasses.replace(CABIN, volume=4.0), dataclasses.replace(CABIN, ear=(1.3, 0.4, 1.0))]
    asked = [(dataclasses.replace(speaker, cabin=cabin), Air()) for cabin in (CABIN, *cabins)]
    asked += [(dataclasses.replace(speaker, position=(2.2, 1.1, 0.35)), Air()), (speaker, Air(temperature=303.15))]
    asked += [(dataclasses.replace(speaker, driver=dataclasses.replace(driver, Sd=0.02)), Air())]
    found = [solve(one, F, air=air).pressure for one, air in (*asked, *asked)]
    for name in ("gain", "_turns"):
        monkeypatch.setattr(Resonances, name, getattr(Resonances, name).__wrapped__)
    expected = [solve(one, F, air=air).pressure for one, air in asked]
    assert all(np.array_equal(a, b) for a, b in zip(found, (*expected, *expected), strict=True))
    assert len({pressure.tobytes() for pressure in expected}) == len(expected)


def test_what_is_asked_for_again_is_not_worked_out_again():
    worked = []

    @remembered
    def doubled(value):
        worked.append(value)
        return 2 * value

    values = [np.full(3, float(number)) for number in range(KEPT + 1)]
    for value in values[:-1]:
        doubled(value)
    assert np.array_equal(doubled(values[0]), 2 * values[0])  # the first is now the one asked for last
    assert len(worked) == KEPT
    doubled(values[-1])
    doubled(values[0])
    assert len(worked) == KEPT + 1
    doubled(values[1])
    assert len(worked) == KEPT + 2  # the oldest had to go
    large = np.zeros(LARGEST + 1)
    doubled(large), doubled(large)
    assert len(worked) == KEPT + 4
    with pytest.raises(ValueError, match="read-only"):
        doubled(values[0])[0] = 0.0
