"""The command `lumpedbox`: serves the lessons in the browser, as live pages and as notebooks."""

from __future__ import annotations

import argparse
import signal
import sys
from pathlib import Path

from ..tables.shipped import notebooks_folder
from .copies import bring_up_to_date, data_home, first_lesson
from .server import STOPS, serve


def parser():
    """Return the parser of the command line."""
    it = argparse.ArgumentParser(
        prog="lumpedbox",
        description="Open the lessons in the browser: as pages with live sliders, and as notebooks with their code. "
        "Everything stays on this computer. Stop with Ctrl-C.",
    )
    it.add_argument("--folder", type=Path, default=data_home(), help="where your copies are (%(default)s)")
    it.add_argument(
        "--notebooks", type=Path, default=notebooks_folder(), help="the lessons to copy (default: those shipped)"
    )
    it.add_argument("--port", type=int, default=8760, help="the first port to try (%(default)s)")
    it.add_argument("--no-browser", action="store_true", help="print the address, but open no browser")
    return it


def main(arguments=None):
    """Run the command `lumpedbox`."""
    wanted = parser().parse_args(arguments)
    for stop in STOPS:  # until the server is up and takes over
        signal.signal(stop, lambda *_: sys.exit(0))
    source, folder = (path.expanduser().resolve() for path in (wanted.notebooks, wanted.folder))
    try:
        lesson = first_lesson(source)
        notes = bring_up_to_date(source, folder)
    except OSError as problem:
        sys.exit(f"lumpedbox: {problem}. Use --folder to keep your copies somewhere else.")
    print(f"Your copies of the lessons are in {folder}", *notes, sep="\n", flush=True)
    serve(folder, lesson, wanted.port, browser=not wanted.no_browser)
