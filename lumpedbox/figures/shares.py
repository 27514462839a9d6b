"""Where the bass went, as bars: the shares of its causes in third octaves."""

from __future__ import annotations

import numpy as np

from .style import LIGHT, PENS

# A colour and a hatch for each cause, so that they differ in a grey print too.
BARS = {
    "cone": (PENS["first"].color, ""),
    "suspension": (PENS["third"].color, "//"),
    "motor": (PENS["second"].color, "\\\\"),
    "stroke": (PENS["limit"].color, ".."),
    "box": ("#F0E442", "xx"),
    "leak": ("#56B4E9", "--"),
    "electrical": ("#999999", "++"),
    "place": ("#E69F00", "oo"),
    "listening place": ("#E69F00", "///"),
    "polarity": ("#CC79A7", "**"),
    "added": ("#009E73", "||"),
    "taken out": ("#999999", "||||"),
    "channel": ("#999999", "\\\\\\"),
    "voltage": ("#999999", "xxx"),
}


def shares(axes, found, colours=LIGHT):
    """Draw the shares of a difference in third octaves, louder above the line and softer below it.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
    found : Causes
    colours : dict
        Of ink and paper.

    Returns
    -------
    axes : matplotlib.axes.Axes
    artists : dict
        Name of each cause that has a share: its bars. "difference": the points of the whole difference.
    """
    rows = found.bands()
    places, artists = np.arange(len(rows)), {}
    up, down = np.zeros(len(rows)), np.zeros(len(rows))
    for name, part in found.parts.items():
        heights = np.array([share[name] for _, _, share in rows])
        if not np.any(np.abs(part) > 1e-9):
            continue
        colour, hatch = BARS[name.rpartition(": ")[2]]
        bottoms = np.where(heights >= 0, up, down)
        looks = {"color": colour, "hatch": hatch, "edgecolor": colours["ink"], "linewidth": 0.4}
        artists[name] = axes.bar(places, heights, bottom=bottoms, label=name, **looks)
        up, down = up + np.maximum(heights, 0), down + np.minimum(heights, 0)
    (whole,) = axes.plot(places, [row[1] for row in rows], "D", color=colours["ink"], label="difference")
    artists["difference"] = whole
    axes.axhline(0.0, color=colours["ink"], linewidth=0.8)
    axes.set_xticks(places, [nominal(row[0]) for row in rows])
    axes.set_xlabel("third octave [Hz]", fontsize=8)
    axes.set_ylabel("share of the difference [dB]", fontsize=8)
    axes.tick_params(labelsize=8)
    axes.legend(fontsize=7, ncols=5, loc="lower left", bbox_to_anchor=(0.0, 1.0), frameon=False)
    return axes, artists


def nominal(frequency):
    """Return the nominal name of a third octave (IEC 61260: 31.5, 63, 160 Hz ...)."""
    scale = 10.0 ** np.floor(np.log10(frequency / 9.0))
    known = (10, 12.5, 16, 20, 25, 31.5, 40, 50, 63, 80)
    return f"{min(known, key=lambda middle: abs(np.log(middle * scale / frequency))) * scale:g}"
