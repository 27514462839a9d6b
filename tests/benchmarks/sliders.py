"""How quickly a slider answers, in a real browser: `python -m tests.benchmarks.sliders`. Prints, asserts nothing.

Measured in one run, one after the other in headless Chromium:

* from an arrow key to the changed picture, of a lesson's page and of the same figure, in as many pixels, drawn anew
  by `ipywidgets.interact`;
* how long after the last of twenty moves in a second the right picture stands;
* from opening a page to its live slider, against a bare page of one slider.
"""

import base64
import importlib.util
import shutil
import statistics
import tempfile
import time
from pathlib import Path

import nbformat
from playwright.sync_api import TimeoutError, sync_playwright

from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented

ROOT = Path(__file__).resolve().parents[2]
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
NOTEBOOKS = {
    "ours": ["from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented\nsealed_or_vented()"],
    "interact": [
        "import ipywidgets\n"
        "from lumpedbox.tables import demo_drivers\n"
        "from lumpedbox.sliders.lessons.sealed_or_vented import SealedOrVented, sealed_or_vented\n"
        "page = sealed_or_vented()\n"
        "def draw(volume):\n"
        "    scene = SealedOrVented(demo_drivers(), {})\n"
        "    scene.figure.set_dpi(100)\n"
        "    scene.use('metric')\n"
        "    scene.move({**page.values, 'volume': volume / 1000})\n"
        "    return scene.stack\n"
        "ipywidgets.interact(draw, volume=ipywidgets.FloatSlider(20, min=6, max=80, step=0.5))"
    ],
    "bare": ["import ipywidgets\nipywidgets.FloatSlider(description='bare')"],
}
# the message to oneself is answered right after the frame that shows the picture has been painted
ANSWER = """(key) => new Promise((done) => {
  const painted = new MessageChannel();
  const picture = () => [...document.querySelectorAll("img")].map((image) => image.src).join();
  const before = picture(), start = performance.now();
  const look = () => {
    const images = [...document.querySelectorAll("img")];
    if (picture() !== before && images.length && images.every((image) => image.complete && image.naturalWidth))
      painted.port2.postMessage("");
    else requestAnimationFrame(look);
  };
  painted.port1.onmessage = () => done(performance.now() - start);
  const handle = document.querySelector(".noUi-handle");
  handle.dispatchEvent(new KeyboardEvent("keydown", { key: key, bubbles: true, cancelable: true }));
  requestAnimationFrame(look);
})"""
BURST = """() => new Promise((done) => {
  const handle = document.querySelector(".noUi-handle"), changes = [];
  let last = 0, pressed = 0, shown = document.querySelector("img").src;
  const watch = () => {
    const now = document.querySelector("img").src;
    if (now !== shown) { shown = now; changes.push(performance.now()); }
    if (last && performance.now() - last > 1500) done([changes.length, changes.at(-1) - last]);
    else requestAnimationFrame(watch);
  };
  const press = () => {
    handle.dispatchEvent(new KeyboardEvent("keydown", { key: "ArrowRight", bubbles: true, cancelable: true }));
    pressed += 1;
    if (pressed < 20) setTimeout(press, 50); else last = performance.now();
  };
  requestAnimationFrame(watch);
  press();
})"""
BYTES = """async () => {
  const blob = await (await fetch(document.querySelector("img").src)).blob();
  return new Promise((done) => {
    const reader = new FileReader();
    reader.onload = () => done(reader.result.split(",")[1]);
    reader.readAsDataURL(blob);
  });
}"""


def served(place, *options):
    path = ROOT / "tests" / "package" / "served.py"
    spec = importlib.util.spec_from_file_location(path.stem, path)
    loaded = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(loaded)
    return loaded.Served(place, *options)


def write_notebooks(folder):
    folder.mkdir()
    for name, sources in NOTEBOOKS.items():
        cells = [nbformat.v4.new_markdown_cell(f"# {name}"), *map(nbformat.v4.new_code_cell, sources)]
        python = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
        nbformat.write(nbformat.v4.new_notebook(cells=cells, metadata=python), folder / f"{name}.ipynb")


def open_page(page, running, name):
    """Open a live page; return how long until its slider is there. [s]"""
    for _ in range(3):  # pages with an output widget, as interact makes them, now and then stay empty: again then
        start = time.perf_counter()
        page.goto(f"{running.base}/voila/render/{name}.ipynb?token={running.token}")
        try:
            page.locator(".noUi-handle").first.wait_for(timeout=20000)
        except TimeoutError:
            continue
        return time.perf_counter() - start
    raise RuntimeError(f"the page {name} does not open")


def answers(page, count=25):
    """Return how long each of some arrow keys takes to change the picture. [ms]"""
    page.locator("img").first.wait_for(timeout=60000)
    page.wait_for_timeout(1500)
    found = []
    for index in range(count):
        found.append(page.evaluate(ANSWER, "ArrowRight" if index % 20 < 10 else "ArrowLeft"))
        page.wait_for_timeout(150)
    return found[3:]


def main():
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        place = Path(name)
        write_notebooks(place / "lessons")
        chromium = shutil.which("chromium")
        with served(place, "--notebooks", place / "lessons") as running:
            browser = playwright.chromium.launch(executable_path=chromium, args=FLAGS)
            page = browser.new_page(viewport={"width": 1366, "height": 768})
            open_page(page, running, "interact")
            other = answers(page)
            opened = {key: [] for key in ("ours", "bare")}
            for _ in range(5):
                for key, times in opened.items():
                    times.append(open_page(page, running, key))
            open_page(page, running, "ours")
            ours = answers(page)
            frames, lag = page.evaluate(BURST)
            right = is_right(page)
            browser.close()
            running.stop()
    report(ours, other, frames, lag, right, opened)


def is_right(page):
    """Whether the picture is what a page of our own draws for the value that the slider stands at."""
    value = float(page.locator(".widget-readout").first.inner_text())
    ours = sealed_or_vented()
    ours.picture.suit({"density": 1, "dark": False})
    ours.controls["volume"].widget.value = value
    return base64.b64decode(page.evaluate(BYTES)) == ours.picture.widget.value


def report(ours, other, frames, lag, right, opened):
    """Print medians and ratios."""
    median = {key: statistics.median(times) for key, times in opened.items()}
    print(f"arrow key to changed picture: median {statistics.median(ours):.0f} ms (at most 50 is the target)")
    print(f"    the same figure by interact: median {statistics.median(other):.0f} ms")
    print(f"    {statistics.median(other) / statistics.median(ours):.1f} times as long (at least 5 is the target)")
    print(f"twenty moves in a second: {frames} pictures shown, the last {lag:.0f} ms after the last key (at most 100)")
    print(f"    the picture that stands is {'the right one' if right else 'NOT the right one'}")
    print(f"page to live slider: {median['ours']:.2f} s, bare page {median['bare']:.2f} s")
    print(f"    ratio {median['ours'] / median['bare']:.2f} (at most 1.5 is the target)")


if __name__ == "__main__":
    main()
