"""A button that goes to the best way to hand over from a bass box to the panels."""

from __future__ import annotations

import ipywidgets


class GoToBest:
    """Moves a page's controls to the best way to hand over.

    Parameters
    ----------
    scene : BassMeetsPanels
    """

    title = "Go to the best way"

    def __init__(self, scene):
        self.scene = scene
        said = ipywidgets.HTML(
            "Of many corners, slopes and delays, with the wires either way round, this is the one where both together "
            "stray least from a straight line."
        )
        said.add_class("lb-note")
        self.go = ipywidgets.Button(description="Set the best way", layout={"width": "auto"})
        self.go.on_click(self.set)
        self.widget = ipywidgets.VBox([said, self.go])

    def attach(self, page):
        """Take the controls of a page to be those that are moved."""
        self._page = page

    def set(self, _button=None):
        """Move the controls to the best that there is for what else they stand at."""
        self._page.wake()
        self._page.put(**self.scene.best_places(self._page.values))
