"""Whatever is given for a profile, its boards and what goes in: refused by name, or right; never a traceback."""

import re
import warnings

import numpy as np
import pytest

from lumpedbox import Driver, Port
from lumpedbox.build import (
    Board,
    Brace,
    Carcass,
    Cup,
    Inside,
    Lining,
    PortRun,
    Profile,
    Seat,
    Space,
    cut_list,
    fit,
    net_account,
    panel_resonances,
    with_net_volume,
)

REFUSED = re.compile(
    r"^(Profile|Carcass|Board|Seat|PortRun|Port|Lining|Inside|Space|net_account|with_net_volume|fit|cut_list"
    r"|panel_resonances|Brace|Cup|VentedBox|SealedBox)(\.\w+)*(\[[^\]]*\])*[ :]"
)
NAMES = ("floor", "front", "top", "back", "step", "riser", "lid", "end")
NONSENSE = (None, "text", np.nan, np.inf, -1, 0, 1e9, [], (1, 2), True, object(), {"a": 1}, 2 + 1j)
DRIVER = Driver(Re=3.4, Bl=9.4, Mms=0.053, Cms=0.39e-3, Rms=2.3, Sd=0.0214, depth=0.1, cutout=0.181)


def points(chance):
    """Corners at random: round a middle in order, or anyhow; now and then in mm, clockwise, or nonsense."""
    count = chance.integers(3 - (chance.random() < 0.05), 9)
    if chance.random() < 0.85:
        parts = chance.uniform(0.6, 1.4, count)
        around = 2 * np.pi * np.cumsum(parts) / parts.sum()
        P = chance.uniform(0.2, 0.5, count)[:, np.newaxis] * np.column_stack([np.cos(around), np.sin(around)])
    else:
        P = chance.uniform(-0.5, 0.5, (count, 2))
    P = P[::-1] if chance.random() < 0.05 else P
    P = P * 1e3 if chance.random() < 0.03 else P
    return chance.choice(np.array(NONSENSE, dtype=object)) if chance.random() < 0.05 else P.round(3).tolist()


def maybe(chance, usual, share=0.02):
    """Return what is usual, or now and then nonsense."""
    return NONSENSE[chance.integers(len(NONSENSE))] if chance.random() < share else usual


def some(chance, names):
    return [name for name in names if chance.random() < 0.4]


def box(chance):
    P = points(chance)
    count = len(P) if isinstance(P, list) else 4
    names = maybe(chance, NAMES[:count], 0.03)
    profile = Profile(points=P, names=names)
    joints = {(names[i - 1], names[i]): chance.choice(["butt", "mitre"]) for i in some(chance, range(count))}
    order = list(chance.permutation([*some(chance, names), *(["cheeks"] if chance.random() < 0.5 else [])]))
    return Carcass(
        profile=profile,
        width=maybe(chance, chance.uniform(0.05, 0.6)),
        board=Board(thickness=maybe(chance, chance.uniform(0.004, 0.03)), density=700.0, modulus=3e9),
        boards={
            name: Board(thickness=chance.uniform(0.004, 0.03), density=700, modulus=3e9) for name in some(chance, names)
        },
        order=maybe(chance, [str(name) for name in order]),
        joints=maybe(chance, joints if chance.random() < 0.1 else {}),
    )


def inside(chance, names):
    where = {"panel": maybe(chance, str(chance.choice(names)), 0.03), "along": maybe(chance, chance.uniform(0, 0.6))}
    port = Port(length=chance.uniform(0.0, 0.4), diameter=chance.uniform(0.02, 0.12))
    others = [Brace(length=0.2, breadth=0.05, thickness=0.018), Cup(volume=1e-4, panel=str(chance.choice(names)))]
    others += [Lining(panel=str(chance.choice(names)), thickness=maybe(chance, 0.012))]
    return Inside(
        drivers=[Seat(driver=DRIVER, **where)] if chance.random() < 0.7 else [],
        ports=[PortRun(port=port, wall=0.003, **where)] if chance.random() < 0.5 else [],
        others=[other for other in others if chance.random() < 0.4],
    )


def check(seed):
    """Return "right", or what refused it."""
    chance = np.random.default_rng(seed)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            made = box(chance)
            check_box(made)
            fitted = inside(chance, made.profile.names)
            check_fitted(made, fitted, chance)
    except (ValueError, TypeError) as error:
        said = str(error)
    else:
        said = "right"
    assert said == "right" or REFUSED.match(said), f"seed {seed}: {said}"
    return said


def check_box(made):
    assert made.board_volume == pytest.approx(made.outside_volume - made.inside_volume, abs=1e-13)
    assert 0 < made.inside_volume < made.outside_volume
    for panel in made.panels:
        assert 0 < panel.volume < made.outside_volume
        assert all(0 <= end.tilt <= np.pi / 4 + 1e-9 for end in (panel.start, panel.end))


def check_fitted(made, fitted, chance):
    account = net_account(made, fitted)
    assert account.sum == pytest.approx(sum(line.volume for line in account.lines))
    parts = cut_list(made, 1e-3, fitted)
    linings, braces = len(fitted.linings), sum(brace.count for brace in fitted.braces)
    assert sum(part.count for part in parts) == len(made.panels) + linings + braces
    space = Space(points=points(chance), width=0.5, opening=(0.4, 0.3)) if chance.random() < 0.3 else None
    for margin in fit(made, fitted, space) if space is not None else fit(made, fitted):
        assert margin.words
        assert not np.isnan(margin.there)
    assert all(found.low <= found.high for found in panel_resonances(made, fitted))
    wanted = account.sum * chance.uniform(0.8, 1.2)
    by = str(chance.choice(("width", *made.profile.names)))
    assert net_account(with_net_volume(made, fitted, wanted, by), fitted).sum == pytest.approx(wanted, rel=1e-9)


def check_seeds(seeds):
    outcomes = [check(seed) for seed in seeds]
    right = outcomes.count("right")
    assert right > len(outcomes) / 50
    assert len(outcomes) - right > len(outcomes) / 4


def test_random_boxes_are_refused_by_name_or_right():
    check_seeds(range(150))


@pytest.mark.slow
def test_5000_random_boxes_are_refused_by_name_or_right():
    check_seeds(range(1000, 6000))
