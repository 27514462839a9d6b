"""Doors among the boxes that are kept."""

import numpy as np
import pytest

from lumpedbox import Air, Door
from lumpedbox.errors import Incomplete
from lumpedbox.sliders.kit.follows import sentences
from lumpedbox.tables.entries import part_of
from lumpedbox.tables.my_parts import keep, read
from lumpedbox.units import cm2, litre, mm

HOLE = {"volume": "30 L", "hole_area": "300 cm^2", "path": "0.4 m", "longest_side": "100 cm", "opens_to": "outside"}
CRACK = {"volume": "1 ft^3", "crack_thickness": "0.5 mm", "crack_length": "60 cm"}


@pytest.mark.parametrize(
    ("typed", "door"),
    [
        (HOLE, Door(volume=30 * litre, hole_area=300 * cm2, path=0.4, longest_side=1.0, opens_to="outside")),
        (CRACK, Door(volume=0.3048**3, crack=(0.5 * mm, 0.6), hole_depth=20 * mm)),
        ({"volume": "30 L", "hole_area": "0 cm2"}, Door(volume=30 * litre, hole_area=0)),
    ],
)
def test_a_door_is_kept_and_read(tmp_path, typed, door):
    """A crack counts as 20 mm deep, as a folded seam is (ours)."""
    path = tmp_path / "my_parts.toml"
    keep("box", "front left", typed, path)
    kept = read(path).parts["box"]["front left"]
    assert isinstance(kept, Door)
    assert (kept.opens_to, kept.longest_side is None) == (door.opens_to, door.longest_side is None)
    for name in ("volume", "opening_area", "hole_depth", "path"):
        assert getattr(kept, name) == pytest.approx(getattr(door, name), rel=1e-9), name
    assert read(path).typed["box"]["front left"] == typed


@pytest.mark.parametrize(
    ("known", "error", "said"),
    [
        ({"volume": 0.03, "path": 0.4}, Incomplete, "add hole_area, or crack_thickness and crack_length"),
        ({"volume": 0.03, "crack_length": 0.4}, Incomplete, "add crack_thickness"),
        ({"hole_area": 0.03}, Incomplete, "add volume"),
        ({"volume": 0.03, "hole_area": 0.03, "tuning": 40.0}, ValueError, "a door has no tuning: leave that out"),
        (
            {"volume": 0.03, "hole_area": 0.03, "crack_thickness": 1e-3, "crack_length": 0.4},
            ValueError,
            "a door has hole_area or a crack: leave one of them out",
        ),
    ],
)
def test_what_does_not_make_a_door_is_said(known, error, said):
    with pytest.raises(error, match=said):
        part_of("box", "front left", known)


@pytest.mark.parametrize(
    ("key", "typed", "said"),
    [
        (
            "hole_area",
            "300 m2",
            r"must be between 0 and 1e\+05 cm² \(area of the hole\), got 300 m2: did you mean 300 cm²",
        ),
        ("crack_thickness", "0.5 m", "height of the crack.* did you mean 0.5 mm"),
        ("path", "350", "Write the unit too, as in 350 m"),
        ("opens_to", "outsid", "did you mean 'outside'"),
    ],
)
def test_a_slip_is_named(tmp_path, key, typed, said):
    with pytest.raises(ValueError, match=said):
        keep("box", "front left", HOLE | {key: typed}, tmp_path / "my_parts.toml")


def test_what_follows_from_a_door():
    """c / 2 pi sqrt(S / (V (l + 1.7 a))): 134 Hz by hand, as our own trial of a door had it."""
    told = list(sentences(Door(volume=30 * litre, hole_area=300 * cm2)))
    a = np.sqrt(0.03 / np.pi)
    by_hand = Air().sound_speed / (2 * np.pi) * np.sqrt(1 / (0.002 + 1.7 * a))
    assert round(by_hand) == 134
    assert told[1] == f"The hole resonates with that air at {by_hand:.1f} Hz."
    assert "longest side" in told[2]
    assert "It is sealed." in list(sentences(Door(volume=30 * litre, hole_area=0)))
