"""A figure that is drawn once, and then only where it changes."""

from __future__ import annotations

import io

import ipywidgets
import numpy as np
from matplotlib.colors import to_rgb
from PIL import Image


class LivePicture:
    """Shows a matplotlib figure as an image and redraws only the artists that move.

    Everything that does not move is drawn once and kept. Lines, and what is drawn over them, are put back over that
    background: exactly what a full redraw gives, at a fraction of its time.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        With an Agg canvas, laid out for good.
    moving : sequence of artists
        What changes from one move to the next.
    alternative_text : str
        What the picture shows, for who cannot see it.
    """

    def __init__(self, figure, moving, alternative_text):
        self.figure = figure
        self._moving = [*moving, *_drawn_over(figure, moving)]
        for artist in self._moving:
            artist.set_animated(True)
        self._background = None
        self.widget = ipywidgets.Image(format="png", layout={"width": "100%", "max_width": "820px"})
        self.widget.alt = alternative_text

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
        for artist in sorted(self._moving, key=lambda artist: artist.get_zorder()):
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
        """Return a palette of what stands still, and of every moving colour as it fades into the paper."""
        paper = np.array(to_rgb(self.figure.get_facecolor()))
        inks = [np.array(to_rgb(a.get_color())) for a in self._moving if hasattr(a, "get_color")]
        fades = {
            tuple(np.round(255 * (paper + share * (ink - paper)))) for ink in inks for share in np.linspace(0, 1, 9)
        }
        still = self._image().reduce(2).quantize(256 - len(fades), dither=Image.Dither.NONE).getpalette()
        # colours next to the paper's own would be taken for it: the nearest colour is looked up in coarse steps
        apart = [c for c in np.reshape(still, (-1, 3)) if np.max(np.abs(c - 255 * paper)) > 8]
        palette = Image.new("P", (1, 1))
        palette.putpalette([int(value) for colour in (*sorted(fades), *apart) for value in colour])
        return palette


def _drawn_over(figure, moving):
    """What a full redraw draws after the moving artists: frames, legends and texts of their axes."""
    lowest = min(artist.get_zorder() for artist in moving)
    fixed = [a for axes in figure.axes for a in axes.get_children() if a.get_zorder() > lowest and a is not axes.patch]
    return [a for a in fixed if a not in moving and a.get_visible()]
