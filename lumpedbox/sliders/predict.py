"""A guess before the curves appear."""

from __future__ import annotations

import html

import ipywidgets


class Guess:
    """Asks for a guess, and goes on when it is marked.

    Parameters
    ----------
    question : str
    options : sequence of str
        What may be guessed.
    look : str
        Where to look once it is marked.
    then : callable
        What to do once it is marked.
    """

    def __init__(self, question, options, look, then):
        self.look, self.then = look, then
        self.options = ipywidgets.RadioButtons(options=list(options), value=None, layout={"width": "auto"})
        self.mark = ipywidgets.Button(description="Mark my guess", disabled=True)
        self._question = html.escape(question, quote=False)
        self.said = ipywidgets.HTML(
            f"<b>Predict.</b> {self._question} The curves and the sliders wake when you have marked your guess."
        )
        self.said.add_class("lb-says")
        self.options.observe(self._chosen, "value")
        self.mark.on_click(self._marked)
        self.widget = ipywidgets.VBox([self.said, self.options, self.mark])

    def _chosen(self, _change):
        self.mark.disabled = self.options.value is None

    def _marked(self, _button=None):
        self.widget.children = [self.said]
        guess, look = html.escape(self.options.value, quote=False), html.escape(self.look, quote=False)
        self.said.value = f"{self._question} <b>You guessed: {guess}.</b> {look}"
        self.then()
