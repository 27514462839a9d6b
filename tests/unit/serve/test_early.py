"""What a kernel loads before its first cell."""

import subprocess
import sys

FIRST_CELL = """
import gc
from IPython.core.interactiveshell import InteractiveShell
shell = InteractiveShell()
shell.extension_manager.load_extension("lumpedbox.serve.early")
shell.run_cell("import gc, sys; loaded = hasattr(sys.modules.get('lumpedbox.sliders.kit.page'), 'Page')")
shell.run_cell("left = [one for one in gc.get_objects() if type(one).__module__.startswith('matplotlib')]")
print(shell.user_ns["loaded"], gc.get_freeze_count() > 10_000, len(shell.user_ns["left"]))
"""


def test_the_first_cell_begins_once_all_is_loaded():
    """Else cell and loading thread load packages at once that need each other: now and then that is a traceback.

    What is loaded is kept out of the search for garbage, which would hold up pages that are built.
    """
    run = subprocess.run([sys.executable, "-c", FIRST_CELL], capture_output=True, text=True, check=True)
    loaded, frozen, left = run.stdout.split()
    assert (loaded, frozen) == ("True", "True"), run.stderr
    assert left == "0"  # that every search for garbage would look at
