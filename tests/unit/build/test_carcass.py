"""A stepped, leaning box by hand, and what cannot be sawn."""

import dataclasses
import warnings

import numpy as np
import pytest

from lumpedbox.build import Board, Carcass, Hopper, Profile
from lumpedbox.units import inch, litre, mm

# Worked by hand, in mm, for board of 18 mm. Outside corners: (180,0) (400,0) (360,480) (0,480) (0,260) (150,260).
#
# Outside area: the trapezium below 260 is 180 (riser at mid-height: 165) to the front. Mid-heights:
#   y 0 to 260: front at 400 - 130/12 = 389.1667, riser at 180 - 30/2 = 165, so 224.1667 x 260 = 58,283.33
#   y 260 to 480: front at 400 - 370/12 = 369.1667, from 0, so 369.1667 x 220 = 81,216.67;   together 139,500.
# Inside: the front leans by atan(40/480) = 4.7636 deg, so its inner plane lies 18/cos = 18.0624 to the left. The riser
# leans by atan(30/260) = 6.5819 deg, so its inner plane lies 18/cos = 18.1194 to the right.
#   y 18 to 278, mid-height 148: 400 - 148/12 - 18.0624 - (180 - 148 x 30/260 + 18.1194) = 188.5618; x 260
#   y 278 to 462, mid-height 370: 400 - 370/12 - 18.0624 - 18 = 333.1043; x 184
# together 49,026.06 + 61,291.19 = 110,317.25 mm2. Width 275 - 36 = 239: 26.3658 litres.
POINTS = np.array([(180, 0), (400, 0), (360, 480), (0, 480), (0, 260), (150, 260)]) * mm
NAMES = ("floor", "front", "top", "wall side", "tread", "riser")
BOARD = Board(thickness=18 * mm, density=680.0, modulus=3e9)
STEPPED = Carcass(
    profile=Profile(points=POINTS, names=NAMES),
    width=275 * mm,
    board=BOARD,
    order=("cheeks", "front", "floor", "top", "tread"),
)
#        part: blank,           faces out and in,    tilt and longer face at the start, at the end
TABLE = {
    "front": (483.16, 239.0, 481.66, 481.66, 4.76, "outside", 4.76, "inside"),
    "floor": (204.01, 239.0, 201.94, 202.51, 6.58, "inside", 4.76, "outside"),
    "top": (343.44, 239.0, 341.94, 343.44, 4.76, "inside", 0, "square"),
    "wall side": (184.00, 239.0, 184.00, 184.00, 0, "square", 0, "square"),
    "tread": (168.12, 239.0, 168.12, 166.04, 0, "square", 6.58, "outside"),
    "riser": (245.68, 239.0, 243.61, 243.61, 6.58, "outside", 6.58, "inside"),
}


def named(**changed):
    return dataclasses.replace(STEPPED, **changed)


def test_volumes_and_angles_are_those_worked_by_hand():
    assert STEPPED.profile.area == pytest.approx(139_500 * mm**2, rel=1e-12)
    assert STEPPED.inside_volume / STEPPED.clear_width == pytest.approx(110_317.25 * mm**2, abs=0.005 * mm**2)
    assert STEPPED.inside_volume == pytest.approx(26.3658 * litre, abs=5e-5 * litre)
    assert np.round(STEPPED.profile.inside_angles, 2).tolist() == [96.58, 85.24, 94.76, 90, 90, 263.42]
    assert STEPPED.board_volume == pytest.approx(11.997 * litre, abs=5e-4 * litre)
    assert STEPPED.mass == pytest.approx(8.16, abs=5e-3)


@pytest.mark.parametrize("name", TABLE)
def test_a_panel_is_sawn_as_worked_by_hand(name):
    panel = STEPPED.panel(name)
    sawn = [panel.length / mm, panel.breadth / mm, *(np.ptp(face[:, 0]) / mm for face in (panel.outer, panel.inner))]
    tilts = [(np.rad2deg(end.tilt), end.longer) for end in (panel.start, panel.end)]
    assert sawn == pytest.approx(TABLE[name][:4], abs=5.1e-3)
    assert [tilt for tilt, _ in tilts] == pytest.approx(TABLE[name][4::2], abs=5.1e-3)
    assert [longer for _, longer in tilts] == list(TABLE[name][5::2])


def test_the_cheeks_are_the_profile():
    for name in ("left cheek", "right cheek"):
        cheek = STEPPED.panel(name)
        assert cheek.outline == pytest.approx(POINTS)
        assert (cheek.length, cheek.breadth) == pytest.approx((400 * mm, 480 * mm))


def test_a_box_typed_in_inches_is_the_same_box():
    typed = np.array([(180, 0), (400, 0), (360, 480), (0, 480), (0, 260), (150, 260)]) / 25.4
    board = dataclasses.replace(BOARD, thickness=18 / 25.4 * inch)
    box = named(profile=Profile(points=typed * inch, names=NAMES), width=275 / 25.4 * inch, board=board)
    assert box.inside_volume == pytest.approx(STEPPED.inside_volume, rel=1e-12)
    assert [panel.length for panel in box.panels] == pytest.approx(
        [panel.length for panel in STEPPED.panels], rel=1e-12
    )


def test_panels_that_come_before_the_cheeks_cover_their_edges():
    """Floor and front over the cheeks: these end at 18 mm above the floor and at the inner plane of the front."""
    box = named(order=("front", "floor", "cheeks"))
    assert box.panel("front").breadth == box.panel("floor").breadth == pytest.approx(275 * mm)
    cheek = box.panel("left cheek")
    assert cheek.outline[:, 1].min() == pytest.approx(18 * mm)
    assert cheek.outline[:, 0].max() == pytest.approx((400 - 18 / 12) * mm - 18 * mm / np.cos(np.arctan(40 / 480)))
    assert box.board_volume == pytest.approx(STEPPED.board_volume, rel=1e-12)


def test_a_frustum_is_worked_by_the_prismoid_formula():
    """By hand: sides lean by atan(50/300); at z the inside is 500 - z/3 - 36/cos by 350 - z/3 - 36/cos.

    z 18, 150, 282: 457.504 x 307.504, 413.504 x 263.504, 369.504 x 219.504; 264/6 of 1, 4, 1 parts: 28.9357 litres.
    """
    box = Hopper(bottom=(0.5, 0.35), top=(0.4, 0.25), height=0.3, board=BOARD)
    assert box.inside_volume == pytest.approx(28.9357 * litre, abs=5e-5 * litre)
    front = box.panel("front")
    assert np.rad2deg([front.start.tilt, front.sides[0].tilt]) == pytest.approx([1.549, 9.462], abs=5e-4)
    assert box.board_volume == pytest.approx(box.outside_volume - box.inside_volume, abs=1e-15)


def test_a_template_becomes_the_profile_again():
    drawn = STEPPED.profile
    found = Profile.from_template(drawn.lengths, drawn.inside_angles, drawn.names)
    assert found.closing_gap < 1e-12
    assert found.area == pytest.approx(drawn.area, rel=1e-12)
    assert found.lengths == pytest.approx(drawn.lengths, rel=1e-9)


def test_the_gap_of_a_template_is_spread_and_told():
    """A square of 500 mm of which the last edge is 20 mm too long misses by 20 mm, 1 % of its girth."""
    with pytest.warns(UserWarning, match=r"lengths fail to close by 20 mm"):
        found = Profile.from_template([0.5, 0.5, 0.5, 0.52], [90] * 4, ["a", "b", "c", "d"])
    assert found.closing_gap == pytest.approx(20 * mm)
    assert found.lengths == pytest.approx([0.5, 0.505, 0.5, 0.515], abs=1e-3)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert Profile.from_template([0.5, 0.5, 0.5, 0.514], [90] * 4, ["a", "b", "c", "d"]).closing_gap > 0.0139
    with pytest.raises(ValueError, match=r"from_template\.lengths fail to close by 50 mm; at most 41 mm"):
        Profile.from_template([0.5, 0.5, 0.5, 0.55], [90] * 4, ["a", "b", "c", "d"])
    with pytest.raises(ValueError, match=r"inside_angles must add up to 360 degrees for 4 edges, got 380"):
        Profile.from_template([0.5] * 4, [90, 90, 90, 110], ["a", "b", "c", "d"])


SHARP = Profile(points=((0, 0), (0.6, 0), (0, 0.45)), names=("floor", "slope", "back"))  # a tip of 36.9 degrees


def test_a_sharp_tip_is_refused_with_its_cure_and_the_cure_works():
    """By hand: a butt tilts by 90 - 36.9 = 53.1 degrees; with a panel of 40 mm across, both joints tilt by 36.9 / 2."""
    with pytest.raises(ValueError, match=r"profile cannot be sawn.*36\.9 degrees.*53\.1 degrees, over 45.*tilt 18\.4"):
        Carcass(profile=SHARP, width=0.3, board=BOARD)
    narrow = SHARP.without_tip("floor", across=40 * mm, name="tip")
    assert narrow.lengths[1] == pytest.approx(40 * mm)
    tip = Carcass(profile=narrow, width=0.3, board=BOARD).panel("tip")
    assert np.rad2deg([tip.start.tilt, tip.end.tilt]) == pytest.approx([18.43, 18.43], abs=5e-3)


def test_a_flat_bend_is_mitred():
    """A bend of 169 degrees: 79 degrees of tilt as a butt, 5.5 as a mitre."""
    bend = 0.3 * np.tan(np.deg2rad(11))
    points = ((0, 0), (0.3, 0), (0.3 + bend, 0.3), (0.3 + bend, 0.6), (0, 0.6))
    profile = Profile(points=points, names=("floor", "low", "high", "top", "back"))
    box = Carcass(profile=profile, width=0.3, board=BOARD)
    assert np.rad2deg(box.panel("low").end.tilt) == pytest.approx(5.5)
    with pytest.raises(ValueError, match=r"joints cannot be sawn: 'low' meets 'high'.*79\.0 degrees.*mitre tilts 5\.5"):
        dataclasses.replace(box, joints={("high", "low"): "butt"})


def stepped_by(step):
    points = ((0, 0), (0.4, 0), (0.4, 0.4), (0.2, 0.4), (0.2, 0.4 + step), (0, 0.4 + step))
    return Profile(points=points, names=("floor", "front", "lower top", "step", "upper top", "back"))


def test_a_thin_step_is_geometry_but_no_joinery():
    box = Carcass(profile=stepped_by(10 * mm), width=0.3, board=BOARD, order=("cheeks", "step"))
    assert box.remarks == ("The step is 10 mm long, less than two boards of 18 mm: use a batten there.",)
    with pytest.raises(ValueError, match=r"leaves 'step' too short for its joints.*batten"):
        dataclasses.replace(box, order=("cheeks", "lower top", "upper top"))
    assert Carcass(profile=stepped_by(50 * mm), width=0.3, board=BOARD).remarks == ()


def test_a_neck_is_refused_by_name():
    points = ((0, 0), (0.6, 0), (0.6, 0.3), (0.5, 0.3), (0.3, 0.034), (0.1, 0.3), (0, 0.3))
    profile = Profile(points=points, names=("floor", "right", "a", "b", "c", "d", "left"))
    with pytest.raises(
        ValueError, match=r"neck narrower than its two boards between 'floor' and '[bc]': make it wider"
    ):
        Carcass(profile=profile, width=0.3, board=BOARD)


@pytest.mark.parametrize(
    ("points", "words"),
    [
        (POINTS[::-1], r"points must run counter-clockwise, but these run clockwise: did you mean points\[::-1\]"),
        (POINTS[[0, 2, 1, 3, 4, 5]], r"points must not cross, but '.*' meets '.*'"),
        (POINTS * 1e3, r"points\[0\] must be between -10 and 10 m .* did you mean 180 \* mm"),
        ([*POINTS[:5], (0.001, 0.26)], r"points has an edge 'tread' of 1 mm"),
        ([*POINTS[:5], (0.09, 0.13)], r"points go straight on from 'tread' to 'riser'"),
    ],
)
def test_a_wrong_profile_is_refused_with_its_cure(points, words):
    with pytest.raises(ValueError, match=rf"^Profile\.{words}"):
        Profile(points=points, names=NAMES)


def test_the_cure_for_clockwise_points_is_the_profile():
    assert Profile(points=POINTS[::-1][::-1], names=NAMES) == STEPPED.profile
    given, names = POINTS[::-1], ("tread", "wall side", "top", "front", "floor", "riser")
    assert Profile(points=given[::-1], names=names[-2::-1] + names[-1:]) == STEPPED.profile


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"width": 30 * mm}, r"width of 30 mm leaves no room between boards of 18 and 18 mm"),
        ({"width": 275}, r"width must be between 0\.03 and 5 m .* did you mean 275 \* mm"),
        ({"order": ("cheeks", "frnt")}, r"order\[1\] must be one of .* did you mean 'front'"),
        ({"order": ("front", "front")}, r"order has 'front' twice"),
        ({"joints": {("front", "riser"): "mitre"}}, r"joints must name two neighbours"),
        (
            {"joints": {("front", "top"): "mitre", ("top", "front"): "butt"}},
            r"joints name .* which are one: leave one",
        ),
        ({"joints": {("front", "top"): "dovetail"}}, r"joints\[\('front', 'top'\)\] must be one of butt, mitre"),
        ({"boards": {"lid": BOARD}}, r"boards must be one of left cheek, right cheek, floor"),
        ({"view": "above"}, r"view must be one of side, plan"),
    ],
)
def test_a_wrong_box_is_refused_by_name(changed, words):
    with pytest.raises((ValueError, TypeError), match=rf"^Carcass\.{words}"):
        named(**changed)


def test_board_of_three_quarters_is_meant_in_inches():
    with pytest.raises(ValueError, match=r"Board\.thickness must be .* did you mean 0\.75 \* inch\?"):
        Board(thickness=0.75)


def test_a_mitre_of_boards_of_different_thickness_is_refused_where_no_saw_tilts_so_far():
    """18 and 6 mm at 170 degrees: the inner planes meet far from the corner, so the joint runs along the boards."""
    bend = 0.3 * np.tan(np.deg2rad(10))
    points = ((0, 0), (0.3, 0), (0.3 + bend, 0.3), (0.3 + bend, 0.6), (0, 0.6))
    profile = Profile(points=points, names=("floor", "low", "high", "top", "back"))
    with pytest.raises(
        ValueError, match=r"'low' meets 'high' at 170\.0 degrees.*over 45: a mitre wants boards of like"
    ):
        Carcass(profile=profile, width=0.3, board=BOARD, boards={"high": Board(thickness=6 * mm)})
