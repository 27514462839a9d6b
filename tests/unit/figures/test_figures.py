"""A figure that ends a cell of a notebook is shown, with words for who cannot see it; `levels` draws all or refuses."""

import base64
import dataclasses
import io
import itertools
import re

import numpy as np
import pytest
from IPython.core.formatters import DisplayFormatter
from PIL import Image

from lumpedbox import (
    Cabin,
    Channel,
    InfiniteBaffle,
    Loudspeaker,
    SealedBox,
    System,
    VentedBox,
    frequencies,
    solve,
)
from lumpedbox.design.causes import causes
from lumpedbox.design.ladders import ladder
from lumpedbox.figures.levels import levels
from lumpedbox.figures.schematic import schematic
from lumpedbox.figures.shares import shares
from lumpedbox.figures.stack import Panel, stack
from lumpedbox.figures.style import few_ticks, new_figure
from lumpedbox.tables import demo_drivers

GRID = frequencies(20, 200, per_octave=3)


@pytest.fixture(scope="module")
def speakers():
    drivers = demo_drivers()
    names = ("200 mm step well, tired", "130 mm step well")
    return tuple(Loudspeaker(driver=drivers[name], box=InfiniteBaffle()) for name in names)


def shown(figure):
    """What IPython shows of the last line of a cell: (words, picture)."""
    data, _ = DisplayFormatter().format(figure)
    picture = re.fullmatch(r'<img alt="([^"]+)" .*src="data:image/png;base64,([^"]+)">', data["text/html"])
    return picture[1], Image.open(io.BytesIO(base64.b64decode(picture[2])))


def test_bars_are_shown(speakers):
    figure = new_figure(width=6, height=3, dpi=110)
    shares(figure.subplots(), causes(*speakers, GRID))
    words, picture = shown(figure)
    assert words == "share of the difference [dB] against third octave [Hz]: difference, cone, suspension, motor"
    grey = np.asarray(picture.convert("L"))
    assert len(np.unique(grey)) > 20, "something is drawn"
    edges = np.concatenate([grey[0], grey[-1], grey[:, 0], grey[:, -1]])
    assert np.all(edges == 255), "no label is cut off"


def test_a_schematic_is_shown(speakers):
    network = ladder(arm="low-pass", family="Butterworth", order=2, frequency=1000.0, load=4.0)
    figure = new_figure(width=6, height=3, dpi=110)
    schematic(figure.subplots(), Loudspeaker(driver=speakers[0].driver, box=InfiniteBaffle(), network=network))
    # Butterworth of order 2: L = sqrt(2) R / w, C = 1 / (sqrt(2) R w): 0.900 mH and 28.1 uF
    assert shown(figure)[0] == (
        "Circuit from the amplifier; inductor in series, 0.9 mH; capacitor across, 28.1 µF; then the driver, "
        "200 mm step well, tired"
    )


def test_levels_are_shown(speakers):
    words, picture = shown(levels({"old": solve(speakers[0], GRID), "<new>": solve(speakers[1], GRID)}))
    assert words == ("level [dB re 20 µPa] 2.83 V r.m.s., 1 m, half space against frequency [Hz]: old, &lt;new&gt;")
    assert picture.width == pytest.approx(1640, rel=0.05)


def test_dollar_signs_in_a_name_make_no_formula(speakers):
    """As mathtext this is no formula at all: matplotlib would refuse to draw it."""
    cabin = Cabin(length=4, width=1.7, height=1.6, name=r"van, $\for$ 900 $")
    speaker = dataclasses.replace(speakers[0], cabin=cabin)
    words, picture = shown(levels({r"$\old$": solve(speaker, GRID)}))
    assert r"van, $\for$ 900 $" in words
    assert words.endswith(r": $\old$")
    assert len(np.unique(np.asarray(picture.convert("L")))) > 20


def test_stacked_panels_share_the_frequency():
    panels = [Panel("level", "level\n[dB]", 60, 100), Panel("delay", "delay [ms]", 0, 40)]
    words, _ = shown(stack(panels, {"box": ("sealed", "sealed")}, 20, 200))
    assert words == "level [dB] against frequency [Hz]: sealed; delay [ms] against frequency [Hz]: sealed"


@pytest.mark.parametrize(("limits", "ticks"), [((-0.7, 1.05), [-0.5, 0, 0.5, 1]), ((0, 40), [0, 10, 20, 30, 40])])
def test_ticks_lie_within_their_limits(limits, ticks):
    """Those on a limit count; matplotlib adds one more on either side, which it makes and never draws."""
    axes = new_figure().add_subplot()
    axes.set_ylim(*limits)
    few_ticks(axes.yaxis)
    assert axes.get_yticks() == pytest.approx(ticks)


def test_levels_draws_all_or_refuses(speakers):
    one = solve(speakers[0], GRID)
    three = levels(dict.fromkeys("abc", one))
    assert {name for name, _ in three.lines} == set("abc")
    for some in (dict.fromkeys("abcde", one), {}):
        with pytest.raises(ValueError, match=f"levels.responses must hold one to 3 responses, got {len(some)}"):
            levels(some)


def test_levels_refuses_what_has_not_one_level(speakers):
    driver = speakers[0].driver
    family = solve(Loudspeaker(driver=driver, box=SealedBox(volume=[0.01, 0.02, 0.04])), GRID)
    with pytest.raises(ValueError, match=r"levels.responses\['boxes'\] must be .* single loudspeaker, got a family of"):
        levels({"boxes": family})
    tunings = solve(Loudspeaker(driver=driver, box=VentedBox(volume=0.02, fb=[30])), GRID)
    with pytest.raises(ValueError, match=r"family of shape \(1,\): solve its loudspeaker.member\(0\)"):
        levels({"one tuning": tunings})
    system = solve(System(channels=(Channel(loudspeakers=speakers),)), GRID)
    with pytest.raises(TypeError, match=r"levels.responses\['both'\] must be .*, got SystemResponse"):
        levels({"both": system})
    with pytest.raises(TypeError, match=r"levels.responses must be a dict of names and responses, got Response"):
        levels(solve(speakers[0], GRID))


@pytest.mark.parametrize("width", [3.3, 4.5, 9.0])
def test_the_numbers_along_the_axis_never_run_together(width):
    """On a phone 1000 and 2000 would; as drawn, in pixels."""
    drawn = stack([Panel("level", "level [dB]", 50.0, 100.0)], {"box": ("sealed", "sealed")}, 20, 20_000)
    drawn.fit(width, 3.0)
    drawn.figure.canvas.draw()
    labels = [label for label in drawn.axes["level"].get_xticklabels() if label.get_text()]
    boxes = [label.get_window_extent() for label in labels]
    assert all(left.x1 < right.x0 for left, right in itertools.pairwise(boxes))
    assert len(labels) == 10
