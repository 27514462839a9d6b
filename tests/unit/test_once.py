"""What a part works out once: a changed copy works it out anew, and nobody can write into what is kept."""

import copy
import dataclasses
import pickle

import numpy as np
import pytest

from lumpedbox import Air, Channel, InfiniteBaffle, Loudspeaker, System


def test_a_changed_copy_works_it_out_anew():
    """Whatever the first one was asked before."""
    cold, warm = Air(temperature=273.15), Air(temperature=303.15)
    before = (cold.density, cold.sound_speed, cold.shape)
    changed = dataclasses.replace(cold, temperature=303.15)
    assert (changed.density, changed.sound_speed) == (warm.density, warm.sound_speed)
    assert changed.density < before[0]
    assert (cold.density, cold.sound_speed, cold.shape) == before
    family = dataclasses.replace(cold, temperature=np.array([273.15, 303.15]))
    assert family.shape == (2,)
    assert family.density == pytest.approx([cold.density, warm.density], rel=1e-15)
    assert family.member(1).density == warm.density


@pytest.mark.parametrize("copied", [copy.copy, copy.deepcopy, lambda part: pickle.loads(pickle.dumps(part))])
def test_a_copy_is_equal_and_answers_alike(copied):
    air = Air(temperature=np.array([273.15, 303.15]))
    air.density  # noqa: B018  (asked, so that there is something kept)
    again = copied(air)
    assert again == air
    assert hash(again) == hash(air)
    assert repr(again) == repr(air)
    assert np.array_equal(again.density, air.density)
    assert again.shape == air.shape


def test_what_is_kept_cannot_be_written_into():
    air = Air(temperature=np.array([273.15, 303.15]))
    with pytest.raises(ValueError, match="read-only"):
        air.density[0] = 0.0


def test_a_system_of_other_channels_has_their_loudspeakers(driver):
    one, other = (Loudspeaker(driver=driver, box=InfiniteBaffle(), name=name) for name in ("one", "other"))
    system = System(channels=(one,))
    assert [speaker.name for speaker in system.loudspeakers] == ["one"]
    both = dataclasses.replace(system, channels=(one, Channel(loudspeakers=(other, one))))
    assert [speaker.name for speaker in both.loudspeakers] == ["one", "other", "one"]
    assert [speaker.name for speaker in both.wired[1].each] == ["other", "one"]
    families = dataclasses.replace(system, channels=(dataclasses.replace(one, angle=np.array([0.0, 30.0, 60.0])),))
    assert (system.shape, families.shape) == ((), (3,))
