"""What a board leaves running in a real browser once its page is taken away: nothing."""

import base64

import pytest

from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented

pytestmark = pytest.mark.browser

# renders a board from what its page has told, and counts the frames that it asks for and the pictures that it holds
SHOW = """async ({script, traits, bytes}) => {
  const state = new Map(Object.entries(traits));
  for (const [name, text] of Object.entries(bytes))
    state.set(name, new DataView(Uint8Array.from(atob(text), (one) => one.charCodeAt(0)).buffer));
  const model = { get: (name) => state.get(name), set() {}, save_changes() {}, send() {}, on() {} };
  window.frames = window.pictures = 0;
  const [frame, made, revoked] = [requestAnimationFrame, URL.createObjectURL, URL.revokeObjectURL];
  window.requestAnimationFrame = (then) => { window.frames += 1; return frame(then); };
  URL.createObjectURL = (blob) => { window.pictures += 1; return made.call(URL, blob); };
  URL.revokeObjectURL = (address) => { window.pictures -= 1; return revoked.call(URL, address); };
  const { default: { render } } = await import(`data:text/javascript;base64,${script}`);
  const el = document.body.appendChild(document.createElement("div"));
  el.style.width = "900px";
  const end = render({ model, el });
  window.takeAway = () => { el.remove(); end(); };
}"""


def encoded(content):
    return base64.b64encode(content).decode()


def frames_asked(page, wait=500):
    before = page.evaluate("frames")
    page.wait_for_timeout(wait)
    return page.evaluate("frames") - before


def test_a_page_that_is_taken_away_leaves_nothing_running(browser):
    state = sealed_or_vented().board.get_state()
    bytes_ = {name: encoded(value) for name, value in state.items() if isinstance(value, bytes)}
    traits = {name: value for name, value in state.items() if name not in bytes_ and not name.startswith("_")}
    page = browser.new_page()
    page.set_content("<body></body>")
    page.evaluate(SHOW, {"script": encoded(state["_esm"].encode()), "traits": traits, "bytes": bytes_})
    page.wait_for_function("frames > 3")
    assert page.evaluate("pictures") == 1
    page.evaluate("takeAway()")
    page.wait_for_timeout(200)
    assert frames_asked(page) == 0
    assert page.evaluate("pictures") == 0
    page.close()
