"""How a board in a real browser begins and ends: what comes late is drawn, and what is taken away leaves nothing."""

import base64

import pytest

from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented

pytestmark = pytest.mark.browser

# renders a board from what its page has told, and counts the frames that it asks for and the pictures that it holds
SHOW = """async ({script, traits, bytes}) => {
  const state = new Map(Object.entries(traits));
  const decoded = (text) =>
    typeof text === "string" ? new DataView(Uint8Array.from(atob(text), (one) => one.charCodeAt(0)).buffer) : text;
  for (const [name, text] of Object.entries(bytes)) state.set(name, decoded(text));
  const listeners = [], on = (name, then) => listeners.push([name, then]);
  const model = { get: (name) => state.get(name), set() {}, save_changes() {}, send() {}, on };
  window.frames = window.pictures = 0;
  const [frame, made, revoked] = [requestAnimationFrame, URL.createObjectURL, URL.revokeObjectURL];
  window.requestAnimationFrame = (then) => { window.frames += 1; return frame(then); };
  URL.createObjectURL = (blob) => { window.pictures += 1; return made.call(URL, blob); };
  URL.revokeObjectURL = (address) => { window.pictures -= 1; return revoked.call(URL, address); };
  const { default: { render } } = await import(`data:text/javascript;base64,${script}`);
  const el = document.body.appendChild(document.createElement("div"));
  el.style.width = "900px";
  const end = render({ model, el });
  window.tell = (later) => {
    for (const name of Object.keys(later)) state.set(name, decoded(later[name]));
    for (const [name, then] of listeners) if (name.replace("change:", "") in later) then();
  };
  window.takeAway = () => { el.remove(); end(); };
}"""


def encoded(content):
    return base64.b64encode(content).decode()


def frames_asked(page, wait=500):
    before = page.evaluate("frames")
    page.wait_for_timeout(wait)
    return page.evaluate("frames") - before


@pytest.fixture
def show(browser):
    """Function that renders a board of which some traits are told late; returns the page and what is told later."""
    page = browser.new_page()
    page.set_content("<body></body>")

    def show(late=()):
        state = sealed_or_vented().board.get_state()
        bytes_ = {name: encoded(value) for name, value in state.items() if isinstance(value, bytes)}
        traits = {name: value for name, value in state.items() if name not in bytes_ and not name.startswith("_")}
        later = {name: (traits | bytes_)[name] for name in late}
        traits |= {name: [] for name in late if name in traits}
        soon = {name: value for name, value in bytes_.items() if name not in late}
        page.evaluate(SHOW, {"script": encoded(state["_esm"].encode()), "traits": traits, "bytes": soon})
        return page, later

    yield show
    page.close()


def test_loudspeakers_that_come_after_the_page_are_drawn_at_the_frequency_that_is_looked_at(show):
    page, later = show(late=("things", "motions"))
    page.evaluate("later => tell(later)", later)
    cones = page.locator(".lb-thing-cone")
    assert cones.count() == 2
    assert all(cone.get_attribute("transform") for cone in cones.all())
    assert page.locator(".lb-thing-words").inner_text().startswith("At 40 Hz")


def test_a_page_that_is_taken_away_leaves_nothing_running(show):
    page, _ = show()
    page.wait_for_function("frames > 3")
    assert page.evaluate("pictures") == 1
    page.evaluate("takeAway()")
    page.wait_for_timeout(200)
    assert frames_asked(page) == 0
    assert page.evaluate("pictures") == 0
