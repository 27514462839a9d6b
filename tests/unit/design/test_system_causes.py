"""Shares of a difference between two systems: sums, symmetry, twins, and orders worked out here one by one.

L. S. Shapley (1953), G. Owen (1977), E. Winter (1989), from memory: the axioms below fix the value.
"""

import dataclasses

import numpy as np
import pytest

from lumpedbox import (
    Cabin,
    Capacitor,
    Channel,
    Driver,
    Gain,
    HighPass,
    InfiniteBaffle,
    Loudspeaker,
    LowPass,
    SealedBox,
    System,
    VentedBox,
    frequencies,
    in_series,
    l_pad,
    solve,
)
from lumpedbox.design.causes import causes
from lumpedbox.design.mixtures import CONE
from lumpedbox.design.shapley import coalitions, shares, terms
from lumpedbox.figures.shares import BARS
from lumpedbox.tables import demo_drivers

GRID = frequencies(15, 300, 6)
DRIVERS = demo_drivers()
BIG, SMALL, TWEETER = (DRIVERS[name] for name in ("200 mm panel", "130 mm step well", "25 mm pillar tweeter"))
EAR = (2.6, 0.5, 1.15)
BUS = Cabin(length=5.0, width=1.8, height=1.6)
MODES = Cabin(length=5.0, width=1.8, height=1.6, law="modes", ear=(2.0, 1.2, 1.15))


def at(x, y, z, **given):
    return Loudspeaker(**{"driver": BIG, "box": SealedBox(volume=0.02, Ql=7), "position": (x, y, z), **given})


BASS = at(4.5, 1.5, 0.4, name="bass box")
LEFT = at(1.0, 0.1, 0.3, driver=SMALL, box=SealedBox(volume=0.03), name="left well")
RIGHT = dataclasses.replace(LEFT, position=(1.0, 1.7, 0.3), name="right well")
BLOCK = in_series(Capacitor(capacitance=1e-5))
HIGH = at(1.0, 0.1, 1.0, driver=TWEETER, box=InfiniteBaffle(), network=BLOCK, name="high")


def system(*channels, ear=EAR):
    return System(channels=channels, ear=ear)


def level(of, volts=2.83):
    return solve(of, GRID, volts).level


def changed(speaker, **given):
    return dataclasses.replace(speaker, **given)


def inside(whole, cabin=BUS):
    return whole.with_each([changed(speaker, cabin=cabin) for speaker in whole.loudspeakers])


NEW_BASS = changed(BASS, driver=DRIVERS["200 mm bass"], box=VentedBox(volume=0.03, fb=36.0, Ql=7), polarity="reversed")
PAD = l_pad(attenuation=2.0, impedance=4.0)
TIGHT = [changed(speaker, box=SealedBox(volume=0.01), network=PAD) for speaker in (LEFT, RIGHT)]
STAGES = {
    "one new loudspeaker": (system(BASS, LEFT, RIGHT), system(NEW_BASS, LEFT, RIGHT)),
    "twins": (system(BASS, LEFT, RIGHT), system(BASS, *TIGHT)),
    "everything, in a cabin": (
        inside(system(BASS, LEFT, RIGHT)),
        inside(dataclasses.replace(system(NEW_BASS, *TIGHT), ear=(2.0, 1.3, 1.15))),
    ),
    "one comes": (system(LEFT, RIGHT), system(LEFT, RIGHT, BASS)),
    "one goes, one changes": (system(BASS, LEFT, RIGHT), system(*TIGHT)),
    "all are new": (system(LEFT, RIGHT), system(BASS)),
    "into a cabin": (system(LEFT, BASS), inside(system(LEFT, BASS))),
    "filters of a channel": (
        system(Channel(loudspeakers=(LEFT, RIGHT), name="front"), BASS),
        system(Channel(loudspeakers=(LEFT, RIGHT), filters=(HighPass(frequency=80.0), Gain(level=-2.0))), BASS),
    ),
    "series for parallel, and a tweeter beside": (
        system(Channel(loudspeakers=(LEFT, RIGHT), source_resistance=0.2), BASS),
        system(Channel(loudspeakers=((LEFT, TIGHT[1]), HIGH), source_resistance=0.4), NEW_BASS),
    ),
    "nothing": (system(BASS, LEFT), system(BASS, LEFT)),
    "an ear, where there was none": (system(changed(BASS, position=None), LEFT, ear=None), system(NEW_BASS, LEFT)),
    "into a cabin by its resonances": (system(BASS, LEFT, RIGHT), inside(system(NEW_BASS, *TIGHT), MODES)),
    "in a cabin by its resonances": (
        inside(system(BASS, LEFT), MODES),
        dataclasses.replace(inside(system(changed(NEW_BASS, port_position=(4.0, 1.0, 0.3)), LEFT), MODES), ear=None),
    ),
    "without an ear": (system(BASS, LEFT, ear=None), system(NEW_BASS, LEFT, ear=None)),
}


@pytest.mark.parametrize("name", STAGES)
def test_shares_add_up_to_the_difference_and_turn_round_with_it(name):
    before, after = STAGES[name]
    found = causes(before, after, GRID, voltages=(2.83, 5.0))
    exact = level(after, 5.0) - level(before, 2.83)
    assert found.difference == pytest.approx(exact, abs=1e-9)
    assert sum(found.parts.values()) == pytest.approx(exact, abs=1e-9)
    back = causes(after, before, GRID, voltages=(5.0, 2.83))
    opposite = {"added": "taken out", "taken out": "added"}
    for part, share in found.parts.items():
        who, _, cause = part.rpartition(": ")
        turned = f"{who}: {opposite[cause]}" if cause in opposite else part
        assert back.parts[turned] == pytest.approx(-share, abs=1e-9), part
        assert cause in BARS
    for part, share in found.parts.items():
        if part.endswith("cone"):
            split = [found.cone.get(part.removesuffix("cone") + which, 0.0) for which in CONE]
            assert share == pytest.approx(sum(split), abs=1e-12)


def test_a_system_of_one_has_the_causes_of_its_loudspeaker():
    alone, together = causes(BASS, NEW_BASS, GRID), causes(system(BASS, ear=None), system(NEW_BASS, ear=None), GRID)
    assert set(together.parts) == {f"bass box: {cause}" for cause, part in alone.parts.items() if np.any(part)}
    for name, part in together.parts.items():
        assert part == pytest.approx(alone.parts[name.removeprefix("bass box: ")], abs=1e-9), name
    assert causes(BASS, system(NEW_BASS, ear=None), GRID).parts.keys() == together.parts.keys()


@pytest.mark.parametrize("cabin", [None, BUS])
def test_a_pure_swap_of_polarity_is_all_polarity(cabin):
    before = inside(system(BASS, LEFT, RIGHT), cabin)
    after = before.with_each((changed(before.loudspeakers[0], polarity="reversed"), *before.loudspeakers[1:]))
    found = causes(before, after, GRID)
    assert list(found.parts) == ["bass box: polarity"]
    assert found.parts["bass box: polarity"] == pytest.approx(level(after) - level(before), abs=1e-9)
    assert np.abs(found.difference).max() > 1


def test_twins_are_one_player():
    """Both wells tightened and padded alike: box and pad, each for both at once, in either order, solved here."""
    found = causes(*STAGES["twins"], GRID)
    who = "left well and right well"
    assert set(found.parts) == {f"{who}: box", f"{who}: electrical"}
    boxed = [changed(speaker, box=TIGHT[0].box) for speaker in (LEFT, RIGHT)]
    padded = [changed(speaker, network=PAD) for speaker in (LEFT, RIGHT)]
    v = [level(system(BASS, *pair)) for pair in ((LEFT, RIGHT), boxed, padded, TIGHT)]
    assert found.parts[f"{who}: box"] == pytest.approx((v[1] - v[0] + v[3] - v[2]) / 2, abs=1e-9)
    assert found.parts[f"{who}: electrical"] == pytest.approx((v[2] - v[0] + v[3] - v[1]) / 2, abs=1e-9)
    same = [changed(s, name="well") for s in (LEFT, RIGHT)], [changed(s, name="well") for s in TIGHT]
    assert all(name.startswith("well: ") for name in causes(*(system(BASS, *pair) for pair in same), GRID).parts)
    other = causes(system(LEFT, RIGHT), system(TIGHT[0], changed(TIGHT[1], box=SealedBox(volume=0.012))), GRID)
    assert {name.partition(":")[0] for name in other.parts} == {"left well", "right well"}


def test_two_loudspeakers_and_their_causes_by_levels():
    """Gain and box of one, polarity of another: loudspeakers in both orders, and within them the causes in both."""
    tight = changed(BASS, box=SealedBox(volume=0.02))
    bass = changed(BASS, box=VentedBox(volume=0.03, fb=36.0), filters=(LowPass(frequency=120.0),))
    well = changed(LEFT, polarity="reversed")
    half = {"box": changed(BASS, box=bass.box), "electrical": changed(tight, filters=bass.filters)}
    v = {
        (b, w): level(system(first, second))
        for b, first in {"none": tight, "both": bass, **half}.items()
        for w, second in {"none": LEFT, "both": well}.items()
    }
    found = causes(system(tight, LEFT), system(bass, well), GRID)
    box = sum(v["box", w] - v["none", w] + v["both", w] - v["electrical", w] for w in ("none", "both")) / 4
    assert found.parts["bass box: box"] == pytest.approx(box, abs=1e-9)
    turned = sum(v[b, "both"] - v[b, "none"] for b in ("none", "both")) / 2
    assert found.parts["left well: polarity"] == pytest.approx(turned, abs=1e-9)


def test_who_comes_out_of_silence():
    """From nothing heard, -200 dB, everything is what is added; beside others it is the whole difference."""
    found = causes(*STAGES["one comes"], GRID)
    assert list(found.parts) == ["bass box: added"]
    assert found.parts["bass box: added"] == pytest.approx(found.difference, abs=1e-12)
    before, after = level(system(LEFT, RIGHT)), level(system(BASS))
    swapped = causes(*STAGES["all are new"], GRID)
    assert set(swapped.parts) == {"left well and right well: taken out", "bass box: added"}
    both = level(system(LEFT, RIGHT, BASS))
    added = (both - before + after + 200.0) / 2
    assert swapped.parts["bass box: added"] == pytest.approx(added, abs=1e-9)


def test_what_a_channel_does_to_all_on_it_is_one_cause():
    found = causes(*STAGES["filters of a channel"], GRID)
    assert list(found.parts) == ["left well and right well: channel"]
    moved = causes(system(BASS, LEFT), System(channels=(BASS, LEFT), ear=(1.5, 1.0, 1.0)), GRID)
    assert list(moved.parts) == ["listening place"]
    alone = causes(system(BASS, LEFT), system(Channel(loudspeakers=(BASS,), filters=(Gain(level=-3.0),)), LEFT), GRID)
    assert list(alone.parts) == ["bass box: electrical"]


@pytest.mark.parametrize("sizes", [(1, 2, 3), (2, 2), (4,), (1, 1, 1)])
def test_shares_of_a_tree_by_every_order(sizes):
    """All orders in which no union is broken up, counted here one by one."""
    import itertools

    tree = [[f"{u}.{m}" for m in range(size)] for u, size in enumerate(sizes)]
    weighed = terms(tree)
    random = np.random.default_rng(len(sizes))
    values = {c: random.normal() for c in sorted(coalitions(weighed), key=sorted)}
    added, orders = dict.fromkeys(weighed, 0.0), 0
    for unions in itertools.permutations(tree):
        for inner in itertools.product(*(itertools.permutations(union) for union in unions)):
            joined, orders = frozenset(), orders + 1
            for player in itertools.chain(*inner):
                added[player] += values[joined | {player}] - values[joined]
                joined |= {player}
    for player, share in shares(weighed, values).items():
        assert share == pytest.approx(added[player] / orders, abs=1e-12)


def test_words_name_the_loudspeaker():
    found = causes(*STAGES["one new loudspeaker"], GRID)
    said = found.at(40.0)
    assert said.startswith(f"At {GRID[found._nearest(40.0)]:.0f} Hz the second plays ")
    assert "bass box: box" in said
    assert "bass box: cone" in said
    assert "(area " in said


def test_what_is_refused():
    with pytest.raises(ValueError, match=r"^causes\.at_travel_limit is of single loudspeakers, got a System"):
        causes(system(BASS), system(NEW_BASS), GRID, at_travel_limit=True)
    family = changed(BASS, box=SealedBox(volume=[0.01, 0.02]))
    with pytest.raises(ValueError, match=r"causes\.after must be one System, got a family of shape \(2,\)"):
        causes(system(BASS), system(family), GRID)


def test_a_driver_of_other_coil_terms_is_exchanged_as_one():
    """Any driver against any other: the family of mixtures holds what only one of them has."""
    plain = Driver(Re=4.0, Bl=7.0, Mms=0.03, Cms=0.5e-3, Rms=1.5, Sd=0.02)
    rich = dataclasses.replace(plain, Le=0.5e-3, semi_inductance=0.02, built_in_capacitance=5e-4)
    found = causes(system(changed(BASS, driver=plain), LEFT), system(changed(BASS, driver=rich), LEFT), GRID)
    assert set(found.parts) == {"bass box: motor", "bass box: electrical"}
    exact = level(system(changed(BASS, driver=rich), LEFT)) - level(system(changed(BASS, driver=plain), LEFT))
    assert sum(found.parts.values()) == pytest.approx(exact, abs=1e-9)
