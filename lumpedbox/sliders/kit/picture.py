"""A figure that is drawn once, and then only where it changes."""

from __future__ import annotations

import io

import ipywidgets
import numpy as np
from matplotlib.colors import to_rgb
from PIL import Image

from ...figures.style import DARK, LIGHT, paint


class LivePicture:
    """Shows a matplotlib figure as an image and redraws only the artists that move.

    Everything that does not move is drawn once and kept. The lines are put back over that background: exactly what a
    full redraw gives, at a fraction of its time, so long as nothing else is drawn over them.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        With an Agg canvas, laid out for good.
    moving : sequence of artists
        What changes from one move to the next.
    """

    def __init__(self, figure, moving):
        self.figure = figure
        self._moving = sorted(moving, key=lambda artist: artist.get_zorder())
        for artist in self._moving:
            artist.set_animated(True)
        self._background = None
        self.widget = ipywidgets.Image(format="png", layout={"width": "100%", "max_width": "820px"})

    def suit(self, screen):
        """Draw for the screen that it is seen on: {"density": device pixels per pixel of a page, "dark": bool}."""
        self.figure.set_dpi(100 * screen["density"])
        paint(self.figure, DARK if screen["dark"] else LIGHT)
        self.redraw()

    def cover(self, covered):
        """Show the axes without any curve or word in them, or all again."""
        for artist in (artist for axes in self.figure.axes for artist in (*axes.lines, *axes.patches, *axes.texts)):
            artist.set_visible(not covered)
        self.redraw()

    def redraw(self):
        """Draw everything anew: the first time, and when limits, labels or colours have changed."""
        canvas = self.figure.canvas
        canvas.draw()
        self._background = canvas.copy_from_bbox(self.figure.bbox)
        self._palette = self._colours()
        self.update()

    def update(self):
        """Draw what has moved, and show it."""
        canvas = self.figure.canvas
        if self._background is None:
            return self.redraw()
        canvas.restore_region(self._background)
        for artist in self._moving:
            if artist.get_animated():
                self.figure.draw_artist(artist)
        self.widget.value = self.png()
        return None

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

    def _colours(self):
        """Return a palette of the paper, and of every colour of the figure as it fades into it."""
        paper = np.array(to_rgb(self.figure.get_facecolor()))
        inks = {
            to_rgb(artist.get_color()) for artist in self.figure.findobj(lambda artist: hasattr(artist, "get_color"))
        }
        fades = [paper + share * (np.array(ink) - paper) for ink in sorted(inks) for share in np.arange(1, 17) / 16]
        # colours next to the paper's own would be taken for it: the nearest colour is looked up in coarse steps
        apart = [colour for colour in fades if np.max(np.abs(colour - paper)) > 0.04]
        palette = Image.new("P", (1, 1))
        palette.putpalette([int(value) for value in np.round(255 * np.array([paper, *apart])).ravel()])
        return palette
