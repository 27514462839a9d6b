"""What a kernel loads before its first cell."""

import subprocess
import sys

FIRST_CELL = """
from IPython.core.interactiveshell import InteractiveShell
shell = InteractiveShell()
shell.extension_manager.load_extension("lumpedbox.serve.early")
shell.run_cell("import sys; loaded = hasattr(sys.modules.get('lumpedbox.sliders.kit.page'), 'Page')")
print(shell.user_ns["loaded"])
"""


def test_the_first_cell_begins_once_all_is_loaded():
    """Else cell and loading thread load packages at once that need each other: now and then that is a traceback."""
    run = subprocess.run([sys.executable, "-c", FIRST_CELL], capture_output=True, text=True, check=True)
    assert run.stdout.split() == ["True"], run.stderr
