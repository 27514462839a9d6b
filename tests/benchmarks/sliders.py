"""How quickly a page answers, in a real browser: `python -m tests.benchmarks.sliders [PAGE ...]`.

Prints, asserts nothing. Measured in one run, one after the other in headless Chromium:

* from an arrow key to the changed picture, of lessons' pages and of one of their figures, in as many pixels, drawn
  anew by `ipywidgets.interact`;
* how long after the last of twenty moves in a second the right picture stands;
* a pointer over the picture: frames, and messages to the kernel;
* the loudspeaker that moves: share of a core, in sight and out of it, each less what the page takes with it stopped;
* from opening each page, or those that are named, to its live slider, against a bare page of one slider.
"""

import base64
import pkgutil
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import TimeoutError, sync_playwright

from lumpedbox.sliders import lessons
from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented
from tests.browser.conftest import COUNT_FRAMES, FLAGS, write
from tests.package.served import Served
from tests.sliders.conftest import NO_SLIDERS

ROOT = Path(__file__).resolve().parents[2]
INTERACT = """
import ipywidgets
from lumpedbox.sliders.lessons.sealed_or_vented import SealedOrVented, sealed_or_vented
from lumpedbox.sliders.kit.along import figure_of
page = sealed_or_vented()
def draw(volume):
    page.scene.move({**page.values, 'volume': volume / 1000})
    figure = figure_of(page, WIDTH / 100, HEIGHT / 100)
    figure.set_dpi(100)
    return figure
ipywidgets.interact(draw, volume=ipywidgets.FloatSlider(20, min=6, max=80, step=0.5))"""
ON_THEIR_WAY = "pictures and sliders are on their way"
BARE = "import ipywidgets\nipywidgets.FloatSlider(description='bare')"
SLIDER = ".noUi-handle, .lb-board input[type=range]"
# From each key that is pressed to the frame that shows another picture; a message to oneself is answered right after
# that frame has been painted.
WATCH = """() => {
  window.took = [];
  const picture = () => [...document.querySelectorAll("img")].map((image) => image.src).join();
  addEventListener("keydown", () => {
    const before = picture(), start = performance.now(), painted = new MessageChannel();
    painted.port1.onmessage = () => window.took.push(performance.now() - start);
    const look = () => {
      const images = [...document.querySelectorAll("img")];
      if (picture() !== before && images.length && images.every((image) => image.complete && image.naturalWidth))
        painted.port2.postMessage("");
      else if (performance.now() - start < 5000) requestAnimationFrame(look);
    };
    requestAnimationFrame(look);
  }, true);
}"""
CHANGES = """() => {
  [window.changed, window.watched] = [[], true];
  let shown = document.querySelector("img.widget-image").src;
  const watch = () => {
    const now = document.querySelector("img.widget-image").src;
    if (now !== shown) window.changed.push(performance.now());
    shown = now;
    if (window.watched) requestAnimationFrame(watch);
  };
  watch();
}"""
POINTED = """() => {
  window.moved = [];
  const text = () => document.querySelector(".lb-stage").getAttribute("aria-valuetext");
  addEventListener("pointermove", () => {
    const start = performance.now();
    requestAnimationFrame(() => window.moved.push([performance.now() - start, text()]));
  }, true);
}"""
BYTES = """async () => {
  const blob = await (await fetch(document.querySelector("img.widget-image").src)).blob();
  return new Promise((done) => {
    const reader = new FileReader();
    reader.onload = () => done(reader.result.split(",")[1]);
    reader.readAsDataURL(blob);
  });
}"""


def open_page(page, running, name):
    """Open a live page; return how long until its slider is there. [s]"""
    for _ in range(3):  # pages with an output widget, as interact makes them, now and then stay empty: again then
        start = time.perf_counter()
        page.goto(f"{running.base}/voila/render/{name}.ipynb?token={running.token}")
        try:
            page.locator(SLIDER).locator("visible=true").first.wait_for(timeout=30000)
        except TimeoutError:
            continue
        took = time.perf_counter() - start
        if (at_once := page.get_by_role("button", name="Show me at once")).count() and at_once.is_visible():
            at_once.click()
        return took
    raise RuntimeError(f"the page {name} does not open")


def there_and_back(page, moves=10):
    """Put the focus on the first slider with room for some moves; return the keys that move it there and back."""
    for slider in page.locator(SLIDER).locator("visible=true").all():
        at, low, high = slider.evaluate("""it => it.matches("input") ? [it.value, it.min, it.max].map(Number)
            : ["now", "min", "max"].map((name) => Number(it.getAttribute(`aria-value${name}`)))""")
        if max(high - at, at - low) >= moves:
            slider.focus()
            return ("ArrowRight", "ArrowLeft") if high - at >= moves else ("ArrowLeft", "ArrowRight")
    raise RuntimeError(f"no slider has room for {moves} moves")


def answers(page, count=25):
    """Return how long each of some arrow keys takes to change the picture. [ms]"""
    page.locator("img").first.wait_for(timeout=60000)
    page.get_by_text(ON_THEIR_WAY).wait_for(state="hidden", timeout=60000)  # the kernel is at the cells below
    page.wait_for_timeout(2000)
    page.evaluate(WATCH)
    there, back = there_and_back(page)
    for index in range(count):
        page.keyboard.press(there if index % 20 < 10 else back)
        page.wait_for_timeout(400)
    try:
        page.wait_for_function("count => window.took.length === count", arg=count, timeout=5000)
    except TimeoutError:
        print(f"    {count - page.evaluate('window.took.length')} of {count} keys changed no picture")
    return page.evaluate("window.took")[3:]


def burst(page):
    """Press twenty keys in a second; return how many pictures were shown, and how long after it all the last. [ms]"""
    page.evaluate(CHANGES)
    page.locator(SLIDER).first.focus()
    for _ in range(20):
        page.keyboard.press("ArrowRight")
        page.wait_for_timeout(45)
    last = page.evaluate("performance.now()")
    page.wait_for_timeout(1500)
    changed = page.evaluate("(window.watched = false, window.changed)")
    return len(changed), changed[-1] - last


def pointed(page):
    """Move the pointer over the picture; return the time to the frame with other values [ms], and messages sent."""
    sent, box = [], page.locator("img.widget-image").bounding_box()
    page.on("websocket", lambda socket: socket.on("framesent", lambda frame: sent.append(frame)))
    page.evaluate(POINTED)
    for step in range(40):
        page.mouse.move(box["x"] + 60 + 20 * step, box["y"] + 80)
        page.wait_for_timeout(30)
    moved = page.evaluate("window.moved")
    assert len({text for _, text in moved}) > 20
    return statistics.median(time for time, _ in moved), len(sent)


def rest(page, screen, seconds=1.5):
    """Return how much of a core the page takes while nobody touches it [1], and how many frames it asks for. [1/s]

    Medians of seven spans: now and then the browser collects what is garbage, whatever the page does.
    """

    def busy():
        metrics = {entry["name"]: entry["value"] for entry in screen.send("Performance.getMetrics")["metrics"]}
        return metrics["TaskDuration"]

    def span(_):
        before, asked = busy(), page.evaluate("window.asked")
        page.wait_for_timeout(1000 * seconds)
        return (busy() - before) / seconds, (page.evaluate("window.asked") - asked) / seconds

    return map(statistics.median, zip(*map(span, range(7)), strict=True))


def section_at_rest(page):
    """Return what the page takes with its section in sight and out of it, moving and stopped: as `rest` tells."""
    screen, found = page.context.new_cdp_session(page), {}
    screen.send("Performance.enable")
    page.evaluate(COUNT_FRAMES)
    page.evaluate("scrollTo(0, document.body.scrollHeight)")  # what is seen for the first time is painted first
    page.wait_for_timeout(2000)
    for state in ("moving", "stopped"):
        page.locator(".lb-thing-drawings").scroll_into_view_if_needed()
        if state == "stopped":
            page.get_by_role("button", name="Stop the drawing").click()
        for place, line in (("in sight", None), ("out of sight", "scrollTo(0, document.body.scrollHeight)")):
            if line:
                page.evaluate(line)
            page.wait_for_timeout(1000)
            found[state, place] = tuple(rest(page, screen))
    return found


def main():
    wanted = sys.argv[1:] or [
        page.name for page in pkgutil.iter_modules(lessons.__path__) if page.name not in NO_SLIDERS
    ]
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        place = Path(name)
        shutil.copytree(ROOT / "notebooks", place / "lessons")
        write(place / "lessons" / "bare.ipynb", ["# bare", BARE])
        with Served(place, "--notebooks", place / "lessons") as running:
            browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
            page = browser.new_page(viewport={"width": 1366, "height": 638})
            open_page(page, running, "sealed_or_vented")
            ours = answers(page)
            size = page.locator("img.widget-image").evaluate("image => [image.naturalWidth, image.naturalHeight]")
            shown, lag = burst(page)
            right = is_right(page)
            frame, messages = pointed(page)
            section = section_at_rest(page)
            source = INTERACT.replace("WIDTH", str(size[0])).replace("HEIGHT", str(size[1]))
            write(place / "lessons" / "interact.ipynb", ["# interact", source])
            write(running.folder / "interact.ipynb", ["# interact", source])
            open_page(page, running, "interact")
            other = answers(page)
            report(ours, other, size, (shown, lag, right), (frame, messages), section)
            each(page, running, wanted)
            browser.close()
            running.stop()


def each(page, running, wanted):
    """Print of every page how soon its slider lives, and how soon a key changes its picture."""
    bare = statistics.median(open_page(page, running, "bare") for _ in range(5))
    print(f"bare page of one slider: {bare:.2f} s until it lives; at most 1.5 times that is the target")
    for lesson in wanted:
        opened = statistics.median(open_page(page, running, lesson) for _ in range(3))
        answer = statistics.median(answers(page, 12))
        print(f"    {lesson:20} {opened:.2f} s, ratio {opened / bare:.2f}; key to picture {answer:.0f} ms")


def is_right(page):
    """Whether the picture is what a page of our own draws for where the slider stands."""
    ours = sealed_or_vented()
    ours._on_room(
        page.evaluate("""() => { const image = document.querySelector("img.widget-image");
        return { width: image.naturalWidth, height: image.naturalHeight, density: 1, dark: false }; }""")
    )
    ours.put(volume=float(page.get_by_label("Net volume [litres], typed").input_value()) / 1000)
    return base64.b64decode(page.evaluate(BYTES)) == ours.board.picture


def report(ours, other, size, after_burst, pointer, section):
    """Print medians and ratios."""
    print(f"arrow key to changed picture of {size}: median {statistics.median(ours):.0f} ms (at most 50 is the target)")
    print(f"    the same figure by interact: median {statistics.median(other):.0f} ms")
    print(f"    {statistics.median(other) / statistics.median(ours):.1f} times as long (at least 5 is the target)")
    shown, lag, right = after_burst
    print(f"twenty moves in a second: {shown} pictures shown, the last {lag:.0f} ms after the last key (at most 100)")
    print(f"    the picture that stands is {'the right one' if right else 'NOT the right one'}")
    print(f"pointer to the frame with its values: median {pointer[0]:.0f} ms, {pointer[1]} messages (none)")
    for place, target in (("in sight", "at most 10"), ("out of sight", "none")):
        (moving, frames), (stopped, others) = (section[state, place] for state in ("moving", "stopped"))
        print(f"loudspeakers {place}: {moving:.1%} of a core moving, {stopped:.1%} stopped")
        print(f"    they alone take {moving - stopped:.1%} ({target})")
        print(f"    they ask for {frames:.0f} frames a second, stopped for {others:.0f}")


if __name__ == "__main__":
    main()
