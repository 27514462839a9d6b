"""An extension of the kernel: it loads what every lesson needs while the server still waits for the kernel."""

from __future__ import annotations

import importlib
import threading


def load_ipython_extension(_shell):
    """Start loading; a cell that needs a part of it waits for that part."""
    threading.Thread(target=_make_ready, daemon=True).start()


def _make_ready():
    importlib.import_module("lumpedbox.plan")  # whole: a cell that needs it meanwhile would find half of it
    importlib.import_module("lumpedbox.sliders.kit.page")
    importlib.import_module("lumpedbox.tables").demo_drivers()
