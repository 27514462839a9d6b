"""A server with every lesson, a browser, and visitors that note what goes wrong on their pages."""

import json
import os
import shutil
import time
from pathlib import Path
from urllib.parse import quote

import nbformat
import pytest
from playwright.sync_api import sync_playwright

from tests.package.served import Served

ROOT = Path(__file__).resolve().parents[2]
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SCREEN = {"width": 1366, "height": 768 - 130}  # less what the browser's own bars take
PATIENCE = 40  # s; most things take 1 to 5, on a busy machine far longer

IN_VIEW = "e => { const box = e.getBoundingClientRect(); return box.top >= 0 && box.bottom <= innerHeight; }"
# counts the frames that are asked for from now on
COUNT_FRAMES = """() => {
  const ask = window.requestAnimationFrame.bind(window);
  window.asked = 0;
  window.requestAnimationFrame = (then) => ask(then, (window.asked += 1));
}"""
# has the link of a page wait from now on (STILL in visit.js), as if it were loaded again right after the last move
LINK_WAITS = """() => {
  const later = window.setTimeout.bind(window);
  window.setTimeout = (does, pause, ...more) => later(does, pause === 400 ? 1e6 : pause, ...more);
}"""
ALL_CELLS_ANSWERED = """() => {
  const cells = [...document.querySelectorAll("[cell-index]")];
  return cells.length && cells.every((cell) => cell.querySelector(".jp-Cell-outputArea"));
}"""

# a lesson of no content whose parts are known
TRIAL = [
    "# A trial\n\n[Without its code](/voila/render/trial.ipynb)\n\nAn equation: $f = 1 / T$",
    """import io
import ipywidgets
import matplotlib.figure
figure = matplotlib.figure.Figure(figsize=(4, 3))
line, = figure.subplots().plot([0, 1], [0, 1])
picture, slider = ipywidgets.Image(width=400), ipywidgets.FloatSlider(description="Slope", max=1)""",
    """def draw(change=None):
    line.set_ydata([0, slider.value])
    file = io.BytesIO()
    figure.savefig(file)
    picture.value = file.getvalue()

slider.observe(draw, "value")
draw()
ipywidgets.VBox([slider, picture])""",
]


@pytest.fixture(scope="module")
def chromium():
    """Path of Chromium; without it the test is skipped, but fails in continuous integration."""
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if found is None and os.environ.get("CI") == "true":
        pytest.fail("chromium is not installed, and continuous integration must run it")
    if found is None:
        pytest.skip("chromium is not installed")
    return found


@pytest.fixture(scope="module")
def running(chromium, tmp_path_factory):
    """The command, serving all lessons, the trial and a broken one; when it stops nothing is left."""
    place = tmp_path_factory.mktemp("served")
    shutil.copytree(ROOT / "notebooks", place / "lessons", ignore=shutil.ignore_patterns(".*"))
    write(place / "lessons" / "trial.ipynb", TRIAL)
    write(
        place / "lessons" / "broken.ipynb",
        ["# Broken", "1 / 0", "__import__('ipywidgets').FloatSlider(description='Slope')"],
    )
    with Served(place, "--notebooks", place / "lessons") as running:
        yield running
        assert running.stop() == (0, [])


@pytest.fixture
def kept(running):
    """The file in which things are kept; gone again afterwards, for the other tests of this module."""
    path = running.folder / "my_parts.toml"
    yield path
    path.unlink(missing_ok=True)


def write(path, texts):
    kinds = nbformat.v4.new_markdown_cell, nbformat.v4.new_code_cell
    cells = [kinds[not text.startswith("#")](text) for text in texts]
    python = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    nbformat.write(nbformat.v4.new_notebook(cells=cells, metadata=python), path)


@pytest.fixture(scope="module")
def browser(chromium):
    """A browser window. For one module only: while it lives, nothing else in this process can run an event loop."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=FLAGS)
        window = browser.new_context(viewport=SCREEN)
        window.set_default_timeout(PATIENCE * 1000)
        yield window
        browser.close()


class Visitor:
    """Someone who visits pages of the server, one after the other."""

    def __init__(self, browser, running, colours):
        self.running = running
        self.wrong, self.reached = [], set()
        self.page = browser.new_page()
        self.page.emulate_media(color_scheme=colours)
        self.watch(self.page)

    def watch(self, page):
        """Note what goes wrong on a page, and what it asks for."""
        page.on("console", lambda message: message.type == "error" and self.wrong.append(message.text))
        page.on("pageerror", lambda error: self.wrong.append(str(error)))
        page.on("request", lambda request: self.reached.add(request.url))

    def open(self, path):
        """Open a page of the server."""
        self.page.goto(f"{self.running.base}{path}?token={self.running.token}")

    def open_live(self, name):
        """Open a lesson as a live page, and wait until each of its cells has given what it gives."""
        self.open(f"/voila/render/{quote(name)}")
        self.wait_for_live()

    def wait_for_live(self):
        """Wait until each cell of a live page has given what it gives."""
        self.page.wait_for_function(ALL_CELLS_ANSWERED)
        assert self.page.locator("#rendered_cells").is_visible()

    def open_code(self, name):
        """Open a lesson as a notebook, run all of it, save it, and return it as saved."""
        saved = self.running.folder / name
        self.open(f"/doc/tree/{quote(name)}")
        self.page.locator(".jp-Notebook .jp-Cell").first.wait_for()
        if not is_run(saved):
            # in the status line, of the kernel: the notebook's own indicator says idle before there is a kernel
            self.page.get_by_text("| Idle").wait_for()
            self.page.get_by_role("menuitem", name="Run", exact=True).click()
            self.page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
            self.until(lambda: self._saves(saved), "not every cell was run")
        return nbformat.read(saved, 4)

    def leave(self):
        """Leave the page, end the kernels of the notebooks, and close the page."""
        self.page.goto("about:blank")
        _, sessions = self.running.ask("/api/sessions")
        for session in json.loads(sessions):
            self.running.ask(f"/api/sessions/{session['id']}", "DELETE")
        self.page.close()

    @property
    def outside(self):
        """The addresses that were reached outside the server."""
        ours = (
            self.running.base,
            self.running.base.replace("http", "ws"),
            "blob:" + self.running.base,
            "data:",
            "about:",
        )
        return {url for url in self.reached if not url.startswith(ours)}

    @property
    def kernel(self):
        """The number of the live page's kernel."""
        return json.loads(self.page.locator("#jupyter-config-data").text_content())["kernelId"]

    def until(self, done, otherwise):
        """Wait until something is so."""
        end = time.monotonic() + PATIENCE
        while not done():
            assert time.monotonic() < end, otherwise
            self.page.wait_for_timeout(200)

    def _saves(self, path):
        """Once the notebook rests, save it; return whether all of its code has been run by now."""
        self.page.wait_for_timeout(500)
        if not self.page.locator('.jp-Notebook-ExecutionIndicator[data-status="idle"]').count():
            return False
        self.page.keyboard.press("Control+s")
        self.page.wait_for_timeout(500)
        return is_run(path)


def is_run(path):
    """Return whether all code of a saved notebook has been run; one that is being written has not."""
    try:
        cells = nbformat.read(path, 4).cells
    except nbformat.reader.NotJSONError:
        return False
    return all(cell.execution_count for cell in cells if cell.cell_type == "code" and cell.source.strip())


@pytest.fixture
def visit(browser, running):
    """Function that brings a visitor whose screen is light or dark."""
    visitors = []

    def visit(colours="light"):
        visitors.append(Visitor(browser, running, colours))
        return visitors[-1]

    yield visit
    for visitor in visitors:
        visitor.leave()
