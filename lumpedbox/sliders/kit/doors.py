"""A door's opening as a page tells it: a hole or a crack, into the cabin or outside."""

from __future__ import annotations

from ...parts.box import SEAM

HOLE, HOLE_OUTSIDE = "hole, into the cabin", "hole, to the outside"
CRACK, CRACK_OUTSIDE = "crack, into the cabin", "crack, to the outside"
SEALED = "none: sealed"
OPENINGS = (HOLE, CRACK, HOLE_OUTSIDE, CRACK_OUTSIDE, SEALED)
HOLED, CRACKED, OUTSIDE = (HOLE, HOLE_OUTSIDE), (CRACK, CRACK_OUTSIDE), (HOLE_OUTSIDE, CRACK_OUTSIDE)
SIZES = {**dict.fromkeys(HOLED, ("hole_area",)), **dict.fromkeys(CRACKED, ("crack_thickness", "crack_length"))}


def opening_of(settings):
    """Return what a `Door` must be told of its opening, from where a page's controls stand. [SI]"""
    opening = settings["door_opening"]
    told = {"path": settings["path"], "opens_to": "outside" if opening in OUTSIDE else "cabin"}
    if opening in CRACKED:
        return told | {"crack": (settings["crack_thickness"], settings["crack_length"]), "hole_depth": SEAM}
    return told | {"hole_area": settings["hole_area"] if opening in HOLED else 0.0}


def as_kept(settings):
    """Return a door as it is kept, key by key, from where a page's controls stand. [SI]"""
    opening = settings["door_opening"]
    sizes = {key: settings[key] for key in ("volume", "longest_side", "path", *SIZES.get(opening, ()))}
    closed = {"hole_area": 0.0} if opening == SEALED else {}
    return sizes | closed | {"opens_to": "outside" if opening in OUTSIDE else "cabin"}


def settings_of(door):
    """Return where a page's controls must stand for a door; what is not known of it is None. [SI]"""
    outside = door.opens_to == "outside"
    settings = {"volume": door.volume, "longest_side": door.longest_side, "path": door.path}
    if door.crack is not None:
        sizes = dict(zip(("crack_thickness", "crack_length"), door.crack, strict=True))
        return settings | sizes | {"door_opening": CRACK_OUTSIDE if outside else CRACK}
    if not door.hole_area:
        return settings | {"door_opening": SEALED}
    return settings | {"hole_area": door.hole_area, "door_opening": HOLE_OUTSIDE if outside else HOLE}
