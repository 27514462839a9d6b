"""An extension of the kernel: it loads what every lesson needs while the server still waits for the kernel."""

from __future__ import annotations

import gc
import importlib
import threading


def load_ipython_extension(shell):
    """Start loading; the first cell waits until it is done.

    Two threads that load packages which need each other can meet half a package, and then the page is a traceback.
    """
    loading = threading.Thread(target=_make_ready, daemon=True)
    loading.start()
    shell.events.register("pre_execute", loading.join)


def _make_ready():
    importlib.import_module("lumpedbox.plan")  # whole: a cell that needs it meanwhile would find half of it
    importlib.import_module("lumpedbox.sliders.kit.page")
    importlib.import_module("lumpedbox.tables").demo_drivers()
    gc.freeze()  # all this stays: a search for garbage among it takes some 90 ms, in the middle of a page's first build
