"""A guess before the sliders wake."""

from __future__ import annotations

import html

import ipywidgets


class Guess:
    """Asks for a guess; only then do the sliders of a page move.

    Parameters
    ----------
    question : str
    options : sequence of str
        What may be guessed.
    page : Page
        Whose sliders sleep until then.
    look : str
        Where to look once they are awake.
    """

    def __init__(self, question, options, page, look):
        self.page, self.look = page, look
        self.options = ipywidgets.RadioButtons(options=list(options), value=None, layout={"width": "auto"})
        self.mark = ipywidgets.Button(description="Mark my guess", disabled=True)
        self.said = ipywidgets.HTML()
        self.options.observe(self._chosen, "value")
        self.mark.on_click(self._marked)
        asked = ipywidgets.HTML(f"<b>Predict.</b> {html.escape(question, quote=False)}")
        self.widget = ipywidgets.VBox([asked, self.options, self.mark, self.said])
        page.sleep("Mark your guess first: the sliders wake then.")

    def _chosen(self, _change):
        self.mark.disabled = self.options.value is None

    def _marked(self, _button=None):
        self.options.disabled = self.mark.disabled = True
        self.said.value = (
            f"You guessed: {html.escape(self.options.value, quote=False)}. {html.escape(self.look, quote=False)}"
        )
        self.page.wake()

    def _ipython_display_(self):
        from IPython.display import display

        display(self.widget)
