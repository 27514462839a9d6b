"""No curve runs under the label of its panel, in any room that a screen leaves for the picture."""

import numpy as np
import pytest

from lumpedbox.sliders.kit.picture import DESK

pytestmark = pytest.mark.long  # every page is drawn for every screen

# px: screens of 1366, of 1920, of 683 (a zoom of 200 %) and of 390 (a phone)
ROOMS = [(980, 300), (1100, 560), (643, 270), (350, 380)]
SHARE = 0.25  # of a label's width that a curve may pass under, such as a steep limit on its way out of the panel: ours


def covered(stack, key, renderer):
    """The largest share of a label's width that one curve of its panel runs under."""
    label, axes = stack.titles[key].get_window_extent(renderer), stack.axes[key]
    inside = [0.0]
    for (name, of), line in stack.lines.items():
        x, y = (np.asarray(values, float) for values in line.get_data())
        if of != key or name in stack.uprights or not len(x):
            continue
        across, up = axes.transData.transform(np.column_stack([x, y])).T
        known = np.isfinite(across) & np.isfinite(up)
        under = np.linspace(label.x0, label.x1, 60)
        height = np.interp(under, across[known], up[known], left=np.nan, right=np.nan)
        inside.append(np.mean((height > label.y0) & (height < label.y1)))
    return max(inside)


def test_no_curve_runs_under_a_label_at_the_start(page_name, pages):
    page = pages(page_name)
    page.rest()
    figure = page.scene.figure
    for width, height in ROOMS:
        page.board.room = DESK | {"width": width, "height": height}
        figure.canvas.draw()
        renderer = figure.canvas.get_renderer()
        for key, axes in page.scene.stack.axes.items():
            label = page.scene.stack.titles[key].get_window_extent(renderer)
            assert label.x0 >= axes.get_window_extent(renderer).x0 - 1, (width, key, "wider than its panel")
            assert covered(page.scene.stack, key, renderer) <= SHARE, (width, height, key)
    page.board.room = DESK
