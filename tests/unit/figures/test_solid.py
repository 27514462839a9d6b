"""A box as a solid: what each pixel shows, against rays that are cast through it."""

import numpy as np
import pytest
import shapely

from lumpedbox import Port
from lumpedbox.build import Board, Carcass, Inside, Lining, PortRun, Profile, Seat
from lumpedbox.figures.solid import NOTHING, solid
from lumpedbox.tables import demo_drivers
from lumpedbox.units import mm

WEDGE = Profile(points=((0, 0), (0.4, 0), (0.3, 0.5), (0, 0.5)), names=("floor", "front", "top", "back"))
STEPPED = Profile(
    points=np.array([(180, 0), (400, 0), (360, 480), (0, 480), (0, 260), (150, 260)]) * mm,
    names=("floor", "front", "top", "wall side", "tread", "riser"),
)
INSIDE = Inside(
    drivers=Seat(driver=demo_drivers()["200 mm bass"], panel="front", along=0.2),
    ports=PortRun(port=Port(length=0.2, diameter=0.06), panel="front", along=0.4, wall=3 * mm),
)
SIZE = (240, 180)
PIXELS = 200


def box_of(profile):
    return Carcass(profile=profile, width=0.3, board=Board(thickness=18 * mm), order=("cheeks", "front"))


def along_ray(start, way, corners):
    """How far from a start a ray meets a triangle of some corners, by Cramer's rule; inf where it misses."""
    a, b, c = corners
    matrix = np.column_stack([b - a, c - a, -way])
    if abs(np.linalg.det(matrix)) < 1e-15:
        return np.inf
    u, v, t = np.linalg.solve(matrix, start - a)
    return t if min(u, v, 1 - u - v) >= 0 else np.inf


def nearest_of_board(panel, start, way):
    """How far a ray runs until it meets a board: in its two faces by their outlines, in its edges by triangles."""
    found, normal = [np.inf], panel.axes[2]
    for face, flat in zip(panel.corners, (panel.outer, panel.inner), strict=True):
        if abs(way @ normal) > 1e-9:
            t = ((face[0] - start) @ normal) / (way @ normal)
            at = (start + t * way - panel.origin) @ panel.axes.T
            if shapely.Polygon(flat).contains(shapely.Point(at[:2])):
                found.append(t)
    (outer, inner), n = panel.corners, len(panel.outer)
    for i in range(n):
        j = (i + 1) % n
        found += [
            along_ray(start, way, (outer[i], outer[j], inner[j])),
            along_ray(start, way, (outer[i], inner[j], inner[i])),
        ]
    return min(found)


@pytest.mark.long
@pytest.mark.parametrize("profile", [WEDGE, STEPPED])
@pytest.mark.parametrize(("turn", "tip"), [(0.5, 0.35), (-0.7, -0.2), (2.6, 0.6)])
def test_each_pixel_shows_the_board_that_its_ray_meets_first(profile, turn, tip):
    box = box_of(profile)
    seen = solid(box, Inside(), turn, tip, SIZE)
    panels = [panel for panel in box.panels if panel.name != seen.left_off]
    chance = np.random.default_rng(1)
    for column, row in zip(chance.integers(SIZE[0], size=PIXELS), chance.integers(SIZE[1], size=PIXELS), strict=True):
        at = seen.origin + (column + 0.5 - SIZE[0] / 2) * seen.across - (row + 0.5 - SIZE[1] / 2) * seen.up
        start = at + 5.0 * seen.way  # five metres towards the viewer
        runs = [nearest_of_board(panel, start, -seen.way) for panel in panels]
        first = int(np.argmin(runs))
        shown = seen.names[seen.part[row, column]] if seen.part[row, column] != NOTHING else None
        wanted = panels[first].name if np.isfinite(runs[first]) else None
        close = sorted(runs)[1] - sorted(runs)[0] < 1e-6 if np.isfinite(runs[first]) else False
        assert shown == wanted or close, (column, row)


def test_the_near_cheek_is_left_off_on_either_side():
    box = box_of(WEDGE)
    assert solid(box, Inside(), 0.4, 0.2, SIZE).left_off == "right cheek"
    assert solid(box, Inside(), np.pi - 0.4, 0.2, SIZE).left_off == "left cheek"


def test_square_to_its_side_it_is_as_large_as_its_profile():
    seen = solid(box_of(WEDGE), Inside(), 0.0, 0.0, (600, 600))
    pixel = np.linalg.norm(seen.across)
    assert (seen.part != NOTHING).sum() * pixel**2 == pytest.approx((0.4 + 0.3) / 2 * 0.5, rel=5e-3)
    air = seen.part == seen.names.index("left cheek")
    inner = shapely.Polygon(box_of(WEDGE).inside).area
    assert air.sum() * pixel**2 == pytest.approx(inner, rel=1e-2)


def test_driver_and_port_are_seen_through_the_open_side():
    seen = solid(box_of(WEDGE), INSIDE, 0.0, 0.0, SIZE)
    pixel = np.linalg.norm(seen.across)
    assert seen.names[-2:] == ("200 mm bass", "port")
    assert seen.kinds[-2:] == ("driver", "port")
    port = (seen.part == seen.names.index("port")).sum() * pixel**2
    assert port == pytest.approx((0.2 - 0.018) * 0.066, rel=0.05)
    assert seen.line[seen.part == NOTHING].sum() < seen.line.sum()


def test_a_second_layer_of_board_is_seen():
    inside = Inside(others=Lining(panel="back", thickness=18 * mm))
    seen = solid(box_of(WEDGE), inside, 0.3, 0.2, SIZE)
    layer = seen.part == seen.names.index("second layer on back")
    assert layer.any()
    assert seen.kinds[seen.names.index("second layer on back")] == "board"


def test_faces_in_one_plane_of_one_board_have_no_line_between_them():
    seen = solid(box_of(STEPPED), Inside(), 0.0, 0.0, SIZE)
    cheek = seen.part == seen.names.index("left cheek")
    inner = cheek[1:-1, 1:-1] & cheek[2:, 1:-1] & cheek[:-2, 1:-1] & cheek[1:-1, 2:] & cheek[1:-1, :-2]
    assert not seen.line[1:-1, 1:-1][inner].any()


def test_a_slot_is_seen_with_its_boards():
    """Square to its side: 30 mm of air and a shelf of 18 mm, 282 mm long behind the board of an upright front."""
    points = ((0, 0), (0.4, 0), (0.4, 0.5), (0, 0.5))
    box = box_of(Profile(points=points, names=("floor", "front", "top", "back")))
    slot = Port(length=0.3, width=0.264, height=30 * mm)
    shares = ("floor", "left cheek", "right cheek")
    inside = Inside(ports=PortRun(port=slot, panel="front", along=33 * mm, wall=18 * mm, shares=shares))
    seen = solid(box, inside, 0.0, 0.0, SIZE)
    pixel = np.linalg.norm(seen.across)
    assert "port" in seen.kinds
    shown = (seen.part == seen.names.index("port")).sum() * pixel**2
    assert shown == pytest.approx(0.282 * 0.048, rel=0.1)
