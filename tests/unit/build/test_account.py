"""The litres left in the stepped box, line by line, by hand; and the boxes of a wanted number of litres."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import Driver, Port, SealedBox, VentedBox
from lumpedbox.build import (
    Board,
    Brace,
    Carcass,
    Cup,
    Hopper,
    Inside,
    Lining,
    PortRun,
    Profile,
    Seat,
    acoustic_box,
    carcass_for,
    cut_list,
    net_account,
    net_by_convention,
    with_net_volume,
)
from lumpedbox.build.workings import settling
from lumpedbox.parts.displacement import displacement
from lumpedbox.units import litre, mm
from tests.unit.build.test_carcass import BOARD, NAMES, STEPPED

DRIVER = Driver.from_thiele_small(
    **{"fs": 35, "Qes": 0.45, "Qms": 5, "Vas": 0.06, "Sd": 0.0214, "Re": 3.4, "xmax": 6 * mm},
    **{"depth": 100 * mm, "cutout": 181 * mm, "displacement": 1.4 * litre, "name": "200 mm bass"},
)
SEAT = Seat(driver=DRIVER, panel="front", along=150 * mm, magnet=100 * mm)
PORT = Port(length=0, diameter=60 * mm).tuned(33, 24 * litre)  # 281.2 mm long
RUN = PortRun(port=PORT, panel="front", along=395 * mm, wall=3 * mm)
BAR = Brace(length=300 * mm, breadth=60 * mm, thickness=18 * mm)
INSIDE = Inside(drivers=SEAT, ports=RUN, others=(BAR, Cup(volume=0.15 * litre)))


def lines(box=STEPPED, inside=INSIDE):
    return {line.name: line.volume / litre for line in net_account(box, inside).lines}


def test_the_account_is_the_one_worked_by_hand():
    """Hole: pi/4 x 181^2 x 18. Port: pi/4 x 66^2 x (281.2 - 18). Bar: 300 x 60 x 18."""
    by_hand = {
        "inside": 26.3658,
        "hole in the front": 0.4631,
        "200 mm bass": -1.4,
        "port": -0.9005,
        "brace": -0.324,
        "terminal cup": -0.15,
    }
    assert lines() == pytest.approx(by_hand, abs=5e-5)
    assert net_account(STEPPED, INSIDE).sum == pytest.approx(24.0544 * litre, abs=5e-5 * litre)


def test_24_litres_want_a_width_of_274_507_mm():
    box = with_net_volume(STEPPED, INSIDE, 24 * litre)
    assert box.width == pytest.approx(274.507 * mm, abs=5e-4 * mm)
    assert net_account(box, INSIDE).sum == pytest.approx(24 * litre, rel=1e-12)


def test_the_port_of_the_example_tunes_it_to_33_hz():
    box = with_net_volume(STEPPED, INSIDE, 24 * litre)
    assert acoustic_box(box, INSIDE).tuning() == pytest.approx(33, abs=0.003)
    _, inside = carcass_for(VentedBox(volume=24 * litre, fb=33), STEPPED, INSIDE)
    assert inside.ports[0].port.length == pytest.approx(281.2 * mm, abs=0.05 * mm)


def test_board_of_17_4_mm_gives_1_35_percent_more():
    thin = dataclasses.replace(STEPPED, board=Board(thickness=17.4 * mm))
    assert thin.inside_volume / STEPPED.inside_volume - 1 == pytest.approx(0.0135, abs=5e-5)


def test_both_conventions_of_the_displacement_differ_by_the_hole():
    """463 cm3 of 24 litres: 1.9 %."""
    by_convention = net_by_convention(STEPPED, INSIDE)
    assert by_convention["flange"] == net_account(STEPPED, INSIDE).sum
    apart = by_convention["flange"] - by_convention["inner face"]
    assert apart == pytest.approx(np.pi / 4 * 0.181**2 * 0.018, rel=1e-12)
    assert apart / 24 / litre == pytest.approx(0.019, abs=5e-4)


def test_a_second_layer_takes_its_fitted_volume_and_deepens_holes():
    """Of 12 mm on the front: the inner front is 444/cos(4.76 deg) long, shorter by 12 x tan(4.76) a layer at the floor
    and longer by as much at the top, so 12 mm x 445.539 x 239."""
    inside = dataclasses.replace(INSIDE, others=(*INSIDE.others, Lining(panel="front", thickness=12 * mm)))
    found = lines(inside=inside)
    front = 444 / np.cos(np.arctan(40 / 480))
    assert found["second layer"] == pytest.approx(-12e-3 * front / 1e3 * 0.239 * 1e3, rel=1e-9)
    assert found["hole in the front"] == pytest.approx(0.4631 * 30 / 18, abs=1e-4)
    assert found["port"] == pytest.approx(-0.9005 * (281.2 - 30) / (281.2 - 18), abs=1e-4)


def test_a_second_layer_beside_a_flat_bend_takes_its_volume_though_no_board_of_30_mm_could_be_mitred_there():
    """The front bends by 20 degrees half way up. A layer of 12 mm on the upper half, 238 mm wide, ends square at the
    top and at the bend in the plane of the lower half: at half its depth it is shorter by 6 / tan(20 deg)."""
    bend = 0.3 * np.tan(np.deg2rad(20))
    points = ((0, 0), (0.4 + bend, 0), (0.4, 0.3), (0.4, 0.6), (0, 0.6))
    profile = Profile(points=points, names=("floor", "low", "high", "top", "back"))
    box = Carcass(profile=profile, width=0.274, board=BOARD)
    found = lines(box, Inside(others=Lining(panel="high", thickness=12 * mm)))
    end = 0.018 * np.tan(np.deg2rad(10))  # the inner planes meet so much above the bend
    length = 0.3 - 0.018 + end  # of the inner face of the high board
    assert found["second layer"] == pytest.approx(-0.238 * 12 * (length - 0.006 / np.tan(np.deg2rad(20))), rel=1e-9)


def test_what_is_assumed_is_said():
    plain = dataclasses.replace(DRIVER, displacement=None, cutout=None)
    account = net_account(STEPPED, Inside(drivers=dataclasses.replace(SEAT, driver=plain)))
    hole, driver = account.lines[1:]
    assert "assumed: 1.1 of the cone's diameter" in hole.source
    assert hole.volume == pytest.approx(1.1**2 * DRIVER.Sd * 18 * mm)
    assert driver.source.startswith("estimated from its diameter and depth; common practice, no source")
    assert driver.volume == -displacement(plain)


def test_a_slot_shares_the_walls_of_the_box():
    """240 x 40 mm from cheek to cheek on the floor, 300 long: only the shelf of 12 mm over it is its own."""
    slot = Port(length=300 * mm, width=240 * mm, height=40 * mm)
    shares = ("floor", "left cheek", "right cheek")
    run = PortRun(port=slot, panel="front", along=40 * mm, wall=12 * mm, shares=shares)
    assert run.outer_sides == pytest.approx((52 * mm, 240 * mm))
    alone = dataclasses.replace(run, shares=())
    assert alone.outer_sides == pytest.approx((64 * mm, 264 * mm))
    box = acoustic_box(STEPPED, Inside(ports=run))
    beyond = 0.6127 * np.sqrt(240 * 40 / np.pi) * mm
    # Mirrored in the floor and in one cheek: the mouth of four, so twice the air beyond it.
    assert box.port.effective_length - Port(**{**port_fields(slot)}).effective_length == pytest.approx(beyond)


def port_fields(port):
    return {"length": port.length, "width": port.width, "height": port.height}


def test_a_bare_hole_ends_flush():
    hole = PortRun(port=Port(length=18 * mm, diameter=80 * mm), panel="front", along=395 * mm, wall=0.0)
    assert acoustic_box(STEPPED, Inside(ports=hole)).port.inner_end == "flush"
    assert acoustic_box(STEPPED, Inside(ports=RUN)).port.inner_end == "free"


def test_two_ports_tune_as_their_masses_side_by_side():
    alike = Inside(ports=(RUN, dataclasses.replace(RUN, along=300 * mm)))
    assert acoustic_box(STEPPED, alike).port.count == 2
    wide = dataclasses.replace(RUN, port=Port(length=200 * mm, diameter=50 * mm))
    box = acoustic_box(STEPPED, Inside(ports=(RUN, wide)))
    each = [acoustic_box(STEPPED, Inside(ports=run)).port.tuning(box.volume) for run in (RUN, wide)]
    assert box.tuning() == pytest.approx(np.hypot(*each))


@pytest.mark.parametrize("by", ["width", *NAMES])
def test_a_dense_search_finds_the_same_box(by):
    check_against_a_dense_search(by, 22 * litre, 8)


@pytest.mark.long
@pytest.mark.parametrize("by", ["width", *NAMES])
@pytest.mark.parametrize("net", [20 * litre, 23 * litre, 26 * litre])
def test_a_denser_search_finds_the_same_box(by, net):
    check_against_a_dense_search(by, net, 500)


def check_against_a_dense_search(by, net, count):
    """The net volume of some boxes along the dimension crosses the wanted one once, where the solved box lies."""
    box = with_net_volume(STEPPED, INSIDE, net, by)
    reached = box.width - STEPPED.width if by == "width" else moved_by(box, by)
    steps = np.linspace(reached - 10 * mm, reached + 10 * mm, count)
    found = [net_account(changed(by, step), INSIDE).sum - net for step in steps]
    crossing = np.flatnonzero(np.diff(np.sign(found)))
    assert len(crossing) == 1
    assert steps[crossing[0]] - 1e-9 <= reached <= steps[crossing[0] + 1] + 1e-9


def changed(by, step):
    if by == "width":
        return dataclasses.replace(STEPPED, width=STEPPED.width + step)
    return dataclasses.replace(STEPPED, profile=STEPPED.profile.with_edge_moved(by, step))


def moved_by(box, name):
    """Return how far outwards an edge lies from where it was: the distance of its start from the old line."""
    i = NAMES.index(name)
    P, e = STEPPED.profile.corners, np.diff(STEPPED.profile.corners[[i, (i + 1) % 6]], axis=0)[0]
    d = box.profile.corners[i] - P[i]
    return (d[0] * e[1] - d[1] * e[0]) / np.hypot(*e)


def test_a_frustum_is_solved_by_its_height():
    box = Hopper(bottom=(0.5, 0.35), top=(0.4, 0.25), height=0.3, board=BOARD)
    assert with_net_volume(box, Inside(), 20 * litre, by="height").inside_volume == pytest.approx(20 * litre, rel=1e-12)


def test_what_no_dimension_can_give_is_refused():
    with pytest.raises(ValueError, match=r"with_net_volume\.net of 60 litres is out of reach by 'tread': it ends at"):
        with_net_volume(STEPPED, INSIDE, 60 * litre, by="tread")
    with pytest.raises(ValueError, match=r"with_net_volume\.by must be one of width, floor"):
        with_net_volume(STEPPED, INSIDE, 24 * litre, by="hight")
    with pytest.raises(ValueError, match=r"with_net_volume\.net must be .* did you mean 24 \* litre"):
        with_net_volume(STEPPED, INSIDE, 24)


@pytest.mark.parametrize("by", ["width", "front"])
def test_a_found_box_and_its_boards_agree(by):
    found = VentedBox(volume=21 * litre, fb=37, Ql=7, filling=1.1)
    box, inside = carcass_for(found, STEPPED, INSIDE, by)
    again = acoustic_box(box, inside, like=found)
    assert again.volume == pytest.approx(found.volume, rel=1e-9)
    assert again.tuning() == pytest.approx(found.tuning(), rel=1e-9)
    assert (again.Ql, again.filling) == (7, 1.1)


def test_a_found_closed_box_and_its_boards_agree():
    inside = dataclasses.replace(INSIDE, ports=())
    box, inside = carcass_for(SealedBox(volume=25 * litre), STEPPED, inside)
    assert acoustic_box(box, inside).volume == pytest.approx(25 * litre, rel=1e-9)


SLOT = PortRun(port=Port(length=0.1, width=0.2, height=0.05), panel="front", along=45 * mm, wall=12 * mm)


@pytest.mark.parametrize(
    ("fb", "ports"),
    [
        (65, RUN),  # 23 mm long: it reaches in by a fifth of its radius
        (90, (RUN, dataclasses.replace(RUN, along=300 * mm))),
        (88, dataclasses.replace(SLOT, shares=("floor",))),
        (60, (dataclasses.replace(SLOT, shares=("floor", "left cheek")), dataclasses.replace(SLOT, along=350 * mm))),
    ],
)
def test_ports_that_hardly_reach_into_the_box_and_ports_not_alike_are_tuned_too(fb, ports):
    """The wall round their end, which lengthens them, is that of the box that comes out, not of the one given."""
    found = VentedBox(volume=30 * litre, fb=fb)
    box, inside = carcass_for(found, STEPPED, Inside(ports=ports))
    again = acoustic_box(box, inside)
    assert box.width > 1.1 * STEPPED.width
    assert again.volume == pytest.approx(found.volume, rel=1e-9)
    assert again.tuning() == pytest.approx(fb, rel=1e-9)


def test_a_straight_slot_under_a_leaning_panel_ends_where_the_panel_does():
    """The front comes in by 1 m for 2 m up. Along the floor it is 18 sqrt(1 + 1/4) mm thick: the middle of the air, at
    38 mm, is 400 mm less that. The middle of the 12 mm board is 26 mm higher, and so 13 mm shorter."""
    points = ((0, 0), (0.8, 0), (0.55, 0.5), (0, 0.5))
    box = Carcass(profile=Profile(points=points, names=("floor", "front", "top", "back")), width=0.3, board=BOARD)
    port = Port(length=0.4, width=264 * mm, height=40 * mm)
    shares = ("floor", "left cheek", "right cheek")
    run = PortRun(port=port, panel="front", along=0.038 * np.sqrt(1.25), wall=12 * mm, shares=shares)
    air = 400 - 18 * np.sqrt(1.25)
    found = lines(box, Inside(ports=run))["port"]
    assert found == pytest.approx(-(40 * air + 12 * (air - 13)) * 264e-6, rel=1e-9)


def test_a_port_that_settles_slowly_is_tuned_all_the_same():
    """A wide slot hardly longer than the board: each round takes back four fifths of the one before it."""
    scale = 0.69257
    points = [(x * scale, y * scale) for x, y in ((0, 0), (0.3, 0), (0.2, 0.4), (0, 0.4))]
    profile = Profile(points=points, names=("floor", "front", "top", "back"))
    box = Carcass(profile=profile, width=0.22944, board=Board(thickness=18 * mm))
    port = Port(length=0.1, width=0.350928, height=0.0486434)
    run = PortRun(port=port, panel="front", along=0.2, wall=12 * mm, shares=("floor", "left cheek"))
    found = VentedBox(volume=45.346 * litre, fb=84.687)
    box, inside = carcass_for(found, box, Inside(ports=run), "front")
    again = acoustic_box(box, inside)
    assert again.volume == pytest.approx(found.volume, rel=1e-9)
    assert again.tuning() == pytest.approx(found.fb, rel=1e-9)


def test_a_box_that_does_not_settle_is_refused(monkeypatch):
    monkeypatch.setattr(settling, "MOST_ROUNDS", 2)
    told = r"carcass_for\.inside does not settle: after 2 rounds its port still changes with its size"
    with pytest.raises(ValueError, match=told):
        carcass_for(VentedBox(volume=30 * litre, fb=65), STEPPED, Inside(ports=RUN))


def test_the_end_of_a_port_goes_from_flush_to_free_without_a_jump():
    """A tube a micrometre longer is hardly tuned lower, wherever it ends; at the radius it is as free as it gets."""

    def effective(length):
        port = dataclasses.replace(PORT, length=length)
        run = dataclasses.replace(RUN, port=port)
        return acoustic_box(STEPPED, Inside(ports=run)).port.effective_length

    for length in (18 * mm, 33 * mm, 48 * mm - 1e-6, 48 * mm):
        assert 0 < effective(length + 1e-6) - effective(length) < 2e-6
    assert effective(48 * mm) == pytest.approx((48 + (0.6127 + 0.82167) * 30) * mm)
    assert effective(33 * mm) - 33 * mm == pytest.approx(
        (effective(18 * mm) - 18 * mm + effective(48 * mm) - 48 * mm) / 2
    )


def test_a_port_that_would_end_before_its_last_bend_is_refused():
    bent = dataclasses.replace(RUN, bends=((0.1, 1.0), (0.2, -1.0)))
    with pytest.raises(ValueError, match=r"asks for a port of 1\d\d mm, but the one inside has a bend after 200 mm"):
        carcass_for(VentedBox(volume=24 * litre, fb=43), STEPPED, Inside(ports=bent))


def slot_on(wall, other="left cheek"):
    port = Port(length=0.3, width=0.1, height=0.03)
    return PortRun(port=port, panel="front", along=0.035, wall=12 * mm, shares=(wall, other))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: net_account(STEPPED, Inside(drivers=dataclasses.replace(SEAT, panel="frnt"))),
            r"Inside\.drivers must",
        ),
        (lambda: net_account(STEPPED, Inside(others=Cup(volume=0.02), ports=(RUN,) * 9)), r"inside takes up .* litres"),
        (lambda: PortRun(port=Port(length=0.1, diameter=0.05, count=2), panel="a", along=0.1, wall=0), "one opening"),
        (lambda: dataclasses.replace(RUN, shares=("floor",)), r"PortRun\.shares is for slots"),
        (lambda: slot_on("front"), r"PortRun\.shares must be one wall beside the panel"),
        (lambda: slot_on("floor", "top"), r"PortRun\.shares must be one wall beside the panel"),
        (lambda: slot_on("floor", "floor"), r"PortRun\.shares must be one wall beside the panel"),
        (lambda: cut_list(STEPPED, mm, Inside(ports=slot_on("lid"))), r"Inside\.ports must be one of left cheek"),
        (lambda: dataclasses.replace(RUN, bends=((0.3, 1.0),)), r"PortRun\.bends must follow each other"),
        (lambda: dataclasses.replace(RUN, wall=3), r"PortRun\.wall must be .* did you mean 3 \* mm"),
        (
            lambda: Brace(length=0.1, breadth=0.1, thickness=0.02, windows=((0.09, 0.06),) * 2),
            r"windows .* leaves nothing",
        ),
        (
            lambda: Brace(length=0.3, breadth=0.06, thickness=0.02, windows=((0.08, 0.2),)),
            r"windows must lie within it",
        ),
        (
            lambda: cut_list(STEPPED, mm, Inside(ports=slot_on("wall side"))),
            r"Inside\.ports has a slot in 'front' along 'wall",
        ),
        (lambda: carcass_for(VentedBox(volume=0.02, fb=40), STEPPED, Inside(ports=(RUN, SLOT))), "ports of one area"),
        (lambda: carcass_for(SealedBox(volume=0.02), STEPPED, INSIDE), r"must have no port for a closed box, got 1"),
        (lambda: carcass_for(VentedBox(volume=0.02, fb=90), STEPPED, INSIDE), r"has a port that is too small"),
        (lambda: Inside(others=(Lining(panel="a", thickness=0.01),) * 2), r"Inside\.others has two linings on 'a'"),
    ],
)
def test_what_cannot_be_is_refused_by_name(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_a_second_layer_may_lie_between_mitred_boards():
    """How two boards meet changes nothing inside; a layer on one of them used to be taken as a thicker board there."""
    square = Profile(points=((0, 0), (0.4, 0), (0.4, 0.5), (0, 0.5)), names=("floor", "front", "top", "back"))
    butted = Carcass(profile=square, width=0.3, board=Board(thickness=20 * mm))
    mitred = dataclasses.replace(butted, joints={("front", "top"): "mitre"})
    inside = Inside(others=Lining(panel="front", thickness=12 * mm))
    by_hand = (400 - 52) * 460 * 260 * 1e-9
    for box in (butted, mitred):
        assert net_account(box, inside).sum == pytest.approx(by_hand, rel=1e-12)
