"""An extension of the kernel: imports what every lesson draws with, while the server still waits for the kernel."""

from __future__ import annotations

import importlib
import threading


def load_ipython_extension(_shell):
    """Begin the imports; a cell that needs one of them waits for it."""
    threading.Thread(target=importlib.import_module, args=("lumpedbox.sliders.page",), daemon=True).start()
