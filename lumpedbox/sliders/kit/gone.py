"""Says on a page that its server has stopped, and that nothing is kept any more."""

from __future__ import annotations

from pathlib import Path

import anywidget

STYLE = """
.lb-gone { position: fixed; inset: auto 0 0 0; z-index: 10000; padding: 8px 16px; font-size: 15px; line-height: 1.4;
  color: #000; background: #FFE5CC; border-bottom: 4px solid #D55E00; }
[data-voila] > .lb-gone { position: sticky; inset: 0 0 auto 0; } /* above the links, which it pushes down */
.lb-gone:empty { display: none; }
.lb-nothing-kept .lb-kept { display: none; }
"""


class Gone(anywidget.AnyWidget):
    """Watches the connection to the server; while there is none, says so and hides what says that something is kept.

    A widget that says so has the class `lb-kept`.
    """

    _esm = Path(__file__).with_name("gone.js")
    _css = STYLE
