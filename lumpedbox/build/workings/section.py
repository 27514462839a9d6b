"""The boards of a box that is a profile with a width: where each begins and ends, seen along the width."""

from __future__ import annotations

import functools
from typing import NamedTuple

import numpy as np

from .lines import at_depths, directions, inside_angles

BUTT, MITRE = "butt", "mitre"
MITRE_ABOVE = np.deg2rad(120)  # inside angle up to which boards butt, unless told; ours
LEAST = 1e-3  # m, of a face of a board


class Section(NamedTuple):
    """What a profile is cut into.

    Attributes
    ----------
    inner : array, shape (n, 2)
        Corners of the air. [m]
    outer_faces, inner_faces : array, shape (n, 2, 2)
        Start and end of both faces of each panel, as sawn. [m]
    cheek : array, shape (m, 2)
        Corners of the two sides. [m]
    """

    inner: np.ndarray
    outer_faces: np.ndarray
    inner_faces: np.ndarray
    cheek: np.ndarray


def folded(angles):
    """Return the smaller of an inside angle and the rest of the turn. [rad]"""
    return np.minimum(angles, 2 * np.pi - angles)


def usual_joint(angle):
    """Return the joint for an inside angle, unless told."""
    return BUTT if folded(angle) <= MITRE_ABOVE + 1e-12 else MITRE


def tilt_of(angle, joint):
    r"""Tilt of the saw for boards of one thickness. [rad]

    .. math:: |90° - \psi| \text{ (butt)}, \quad 90° - \psi/2 \text{ (mitre)}, \quad \psi = \min(\alpha, 360° - \alpha)
    """
    psi = folded(angle)
    return abs(np.pi / 2 - psi) if joint == BUTT else np.pi / 2 - psi / 2


@functools.lru_cache(maxsize=256)
def joints_of(points, told):
    """Return the joint at each corner: as told, else the usual one."""
    return tuple(
        joint or usual_joint(angle) for joint, angle in zip(told, inside_angles(np.array(points)), strict=True)
    )


def tilts(points, thickness, joints):
    """Return the tilt of the saw at each corner, the steeper of its two boards. [rad]"""
    P, t, e = points, np.array(thickness), directions(points)
    inwards = at_depths(P, np.roll(t, 1), t) - P
    mitres = [np.abs((inwards * np.roll(e, k, axis=0)).sum(axis=1)) / np.roll(t, k) for k in (0, 1)]
    butts = [tilt_of(angle, BUTT) for angle in inside_angles(P)]
    return np.where([joint == BUTT for joint in joints], butts, np.arctan(np.maximum(*mitres)))


@functools.lru_cache(maxsize=256)
def section(points, thickness, ranks, joints, cheek_rank):
    """Return the `Section` of a profile.

    Parameters
    ----------
    points : tuple of pair
        Outer corners. [m]
    thickness : tuple of float
        Of each panel. [m]
    ranks : tuple of int
        Place of each panel in the order: a lower one covers the end of a higher one.
    joints : tuple of str
        At each corner.
    cheek_rank : int
        Place of the cheeks in that order.
    """
    P, t = np.array(points), np.array(thickness)
    start, end = _reaches(P, t, np.array(ranks), joints)
    outer = np.stack([at_depths(P, start[:, 0], 0 * t), np.roll(at_depths(P, 0 * t, end[:, 0]), -1, axis=0)], axis=1)
    ends_inside = np.roll(at_depths(P, np.roll(t, 1), end[:, 1]), -1, axis=0)
    inner = np.stack([at_depths(P, start[:, 1], t), ends_inside], axis=1)
    covers = np.array(ranks) < cheek_rank
    return Section(at_depths(P, np.roll(t, 1), t), outer, inner, _cheek(P, t, covers, joints))


def _reaches(P, t, ranks, joints):
    """Return to which depth behind the neighbour each panel's outer and inner face runs, at both ends; (n, 2) each.

    The start is told by the panel that starts at a corner, the end by the corner at which the panel before ends.
    """
    reflex = inside_angles(P) > np.pi
    first = ranks < np.roll(ranks, 1)  # the panel that starts here covers the one that ends here
    mitre = np.array([joint == MITRE for joint in joints])
    before, own = np.roll(t, 1), t
    # An earlier panel runs to the later's outer plane at a convex corner, to its inner plane at a reflex one.
    start = np.where(first == reflex, before, 0.0)
    end = np.where(first != reflex, own, 0.0)
    outer_start, outer_end = np.where(mitre, 0.0, start), np.where(mitre, 0.0, end)
    inner_start, inner_end = np.where(mitre, before, start), np.where(mitre, own, end)
    return np.stack([outer_start, inner_start], axis=1), np.stack([outer_end, inner_end], axis=1)


def _cheek(P, t, covers, joints):
    """Walk round the corners of a side: outside where it covers a panel, inside where a panel covers it."""
    zero, before = 0 * t, np.roll(t, 1)
    outside, inside = P, at_depths(P, before, t)
    inside_outside, outside_inside = at_depths(P, before, zero), at_depths(P, zero, t)
    reflex = inside_angles(P) > np.pi
    walk = []
    for i, joint in enumerate(joints):
        one_covers, other_covers = covers[i - 1], covers[i]
        if one_covers == other_covers:
            walk += [inside[i] if one_covers else outside[i]]
        elif joint == MITRE:
            walk += [inside[i], outside[i]] if one_covers else [outside[i], inside[i]]
        elif not reflex[i]:
            walk += [inside_outside[i] if one_covers else outside_inside[i]]
        elif one_covers:  # it runs on to the inner plane of its neighbour
            walk += [inside[i], outside_inside[i], outside[i]]
        else:
            walk += [outside[i], inside_outside[i], inside[i]]
    return np.array(walk)


def too_short(found, points):
    """Return the index of a panel with a face that its joints leave no length, or None."""
    e = directions(np.array(points))
    for faces in (found.outer_faces, found.inner_faces):
        along = ((faces[:, 1] - faces[:, 0]) * e).sum(axis=1)
        if (along < LEAST).any():
            return int(np.argmin(along))
    between = ((np.roll(found.inner, -1, axis=0) - found.inner) * e).sum(axis=1)
    return int(np.argmin(between)) if (between < LEAST).any() else None


def in_each_others_way(found, points):
    """Return the indices of two panels that overlap or of one that leaves the profile, or None."""
    import shapely

    quads = shapely.polygons(np.concatenate([found.outer_faces, found.inner_faces[:, ::-1]], axis=1))
    cores = shapely.buffer(quads, -SLIVER, join_style="mitre")
    one, other = np.triu_indices(len(quads), 1)
    shared = shapely.intersects(cores[one], cores[other])
    if shared.any():
        worst = int(np.argmax(shared))
        return int(one[worst]), int(other[worst])
    outside = ~shapely.covers(shapely.polygons(np.array(points)), cores)
    return (int(np.argmax(outside)),) * 2 if outside.any() else None


SLIVER = 1e-6  # m: rounding leaves less
