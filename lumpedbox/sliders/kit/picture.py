"""A figure that is drawn once for the room it has, and then only where it changes."""

from __future__ import annotations

import io

import numpy as np
from matplotlib.colors import to_rgb
from PIL import Image

from ...figures.style import DARK, LIGHT, paint

DESK = {"width": 980, "height": 340, "density": 1.0, "dark": False}  # until the browser tells what room there is


class LivePicture:
    """Redraws only the artists of a matplotlib figure that move.

    Everything that does not move is drawn once and kept. The lines are put back over that background. That gives
    exactly what a full redraw gives, in a fraction of the time, so long as nothing else is drawn over them.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        With an Agg canvas.
    moving : sequence of artists
        What changes from one move to the next.
    fit : callable
        Takes width and height [inch], and lays the figure out.
    """

    def __init__(self, figure, moving, fit):
        self.figure, self._fit, self.room = figure, fit, DESK
        self._moving = sorted(moving, key=lambda artist: artist.get_zorder())
        for artist in self._moving:
            artist.set_animated(True)
        self._background = None
        self.suit(DESK)

    def suit(self, room):
        """Fit the figure to its room: width and height [px], density [device px per px], and whether it is dark."""
        self.room = room
        self.figure.set_dpi(100 * room["density"])
        self._fit(room["width"] / 100, room["height"] / 100)
        self.colours = DARK if room["dark"] else LIGHT
        paint(self.figure, self.colours)
        self._background = None

    def forget(self):
        """Draw everything anew the next time: limits, labels or colours have changed."""
        self._background = None

    def draw(self):
        """Return the picture as PNG bytes: what has moved over what has not."""
        canvas = self.figure.canvas
        if self._background is None:
            canvas.draw()
            self._background = canvas.copy_from_bbox(self.figure.bbox)
            self._palette = self._mixed()
        canvas.restore_region(self._background)
        for artist in self._moving:
            if artist.get_animated():
                self.figure.draw_artist(artist)
        return self.png()

    def pixels(self):
        """Return the picture as an array of shape (height, width, 4)."""
        return np.array(self.figure.canvas.buffer_rgba())

    def png(self):
        """Return the picture as PNG bytes, in the few colours that it has: a third of the time of all colours."""
        buffer = io.BytesIO()
        picture = self._image().quantize(palette=self._palette, dither=Image.Dither.NONE)
        picture.save(buffer, format="png", compress_level=1)
        return buffer.getvalue()

    def _image(self):
        canvas = self.figure.canvas
        size, pixels = canvas.get_width_height(), canvas.buffer_rgba()
        return Image.frombuffer("RGBA", size, pixels, "raw", "RGBA", 0, 1).convert("RGB")

    def _mixed(self):
        """Return a palette of the paper, and of every colour in the axes as it fades into it."""
        paper = np.array(to_rgb(self.figure.get_facecolor()))
        around = to_rgb(self.colours["ink"]), to_rgb(self.colours["grid"])  # of labels, ticks and grid
        drawn = (artist for axes in self.figure.axes for artist in axes.get_children())
        inks = {to_rgb(artist.get_color()) for artist in drawn if hasattr(artist, "get_color")} | {*around}
        fades = [paper + share * (np.array(ink) - paper) for ink in sorted(inks) for share in np.arange(1, 17) / 16]
        # colours next to the paper's own would be taken for it: the nearest colour is looked up in coarse steps
        apart = [colour for colour in fades if np.max(np.abs(colour - paper)) > 0.04]
        palette = Image.new("P", (1, 1))
        palette.putpalette([int(value) for value in np.round(255 * np.array([paper, *apart])).ravel()])
        return palette
