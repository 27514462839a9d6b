"""What is typed into a form: remembered by the browser until it is kept, and told at its field if it cannot be read."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

HERE = Path(__file__).parent


class Typed(anywidget.AnyWidget):
    """Remembers in the browser what is typed into a form, also while the server is gone.

    It stands inside an element of the class `lb-typed`, and says in one of the class `lb-state` whether it remembers
    something. A field has the class `lb-field-` and its key; the key of the name is "name".

    Sends `{"bring_back": {key: text}, "system": system}` when the reader wants that back, and `{"look": True}` when
    another window may have kept something.

    Attributes
    ----------
    form : str
        Under which it is remembered.
    system : str
        In whose units bare numbers are read now.
    kept : dict
        Name: {key: text} of what is kept already, and need not be remembered.
    wrong : dict
        Key: what is wrong in that field.
    filled : int
        How often the form was filled with something else than what is typed there.
    """

    _esm = HERE / "typed.js"
    _css = HERE / "typed.css"
    form = traitlets.Unicode().tag(sync=True)
    system = traitlets.Unicode("metric").tag(sync=True)
    kept = traitlets.Dict().tag(sync=True)
    wrong = traitlets.Dict().tag(sync=True)
    filled = traitlets.Int(0).tag(sync=True)
