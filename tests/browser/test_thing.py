"""The thing itself in a real browser: what moves, how far, which way, and that it rests when nobody looks."""

import base64
import dataclasses
import io
import json
import re

import numpy as np
import pypdf
import pytest

from lumpedbox import Loudspeaker, SealedBox, VentedBox, frequencies, solve
from lumpedbox.sliders.kit.board import joined
from lumpedbox.sliders.kit.systems import TRAVEL
from lumpedbox.sliders.kit.thing import curves, motion, things
from lumpedbox.tables import demo_drivers
from lumpedbox.units import cm2, litre

pytestmark = [pytest.mark.browser, pytest.mark.long]

GRID = frequencies(9, 450, per_octave=48)
DRIVER = demo_drivers()["200 mm bass"]
TUNING = 36.0
BOXES = {
    "sealed": SealedBox(volume=40 * litre),
    "vented": VentedBox(volume=40 * litre, fb=TUNING, port_area=50 * cm2),
}
# counts what asks for a frame, and notes how long each takes; curves come as the middle of a larger buffer
PAGE = """<!doctype html><meta name="viewport" content="width=device-width"><style>
:root {{ color-scheme: light dark; }}
body {{ margin: 8px; font-family: sans-serif; background: Canvas; color: CanvasText; }}
{looks}</style><div id="host"></div><div style="height: 3000px"></div><script>
window.frames_asked = 0;
window.frame_times = [];
const ask = window.requestAnimationFrame.bind(window);
window.requestAnimationFrame = (then) => {{
  window.frames_asked += 1;
  return ask((time) => {{
    const from = performance.now();
    then(time);
    window.frame_times.push(performance.now() - from);
  }});
}};
{script}
const bytes = (text) => Uint8Array.from(atob(text), (one) => one.charCodeAt(0));
const curves = bytes("AAAA{curves}"), grid = new Float32Array(bytes("{grid}").buffer);
window.thing = createThing(document.getElementById("host"));
thing.show({things}, new DataView(curves.buffer, 3), grid);
</script>"""
# where cone and port air of the vented box stand at each frame that is drawn, for some seconds [px, outwards]
FOLLOW = """(seconds) => new Promise((resolve) => {
  const parts = ["cone", "port"].map((part) => document.querySelector(`[data-of=vented][data-part=${part}]`));
  const at = (node) => -Number(node.getAttribute("transform").match(/translate\\(([-0-9.]+)/)[1]);
  const seen = [];
  const watch = new MutationObserver(() => seen.push(parts.map(at)));
  watch.observe(parts[0], { attributeFilter: ["transform"] });
  setTimeout(() => { watch.disconnect(); resolve(seen); }, 1000 * seconds);
})"""


@pytest.fixture
def shown(browser):
    """Function that opens a page with the sealed and the vented box, and looks at a frequency."""
    pages = []

    def shown(frequency, wish="no-preference", width=560, system="metric", colours="light"):
        responses = {name: solve(Loudspeaker(driver=DRIVER, box=box), GRID, 8.0) for name, box in BOXES.items()}
        page = browser.new_page()
        pages.append(page)
        page.wrong = []
        page.on("pageerror", lambda error: page.wrong.append(str(error)))
        page.emulate_media(reduced_motion=wish, color_scheme=colours)
        page.set_viewport_size({"width": width, "height": 600})
        page.set_content(
            PAGE.format(
                looks=joined(["thing"], "css"),
                script=joined(["elements", "reading", "thing"], "js"),
                curves=base64.b64encode(curves(responses)).decode(),
                grid=base64.b64encode(GRID.astype("<f4").tobytes()).decode(),
                things=json.dumps(things(responses, system), allow_nan=False),
            )
        )
        page.evaluate("frequency => thing.look(frequency)", frequency)
        page.locator("[data-of=vented]").first.wait_for(state="attached")
        return page

    yield shown
    for page in pages:
        assert page.wrong == []
        page.close()


def follow(page, seconds=2.5):
    """Return how cone and port air of the vented box move, about their middle. [px]"""
    moved = np.array(page.evaluate(FOLLOW, seconds))
    assert len(moved) > 5
    return moved.T - (moved.max(axis=0) + moved.min(axis=0))[:, np.newaxis] / 2


def asked(page, wait=400):
    """Return how many frames are asked for while one waits."""
    before = page.evaluate("frames_asked")
    page.wait_for_timeout(wait)
    return page.evaluate("frames_asked") - before


def words(page):
    return page.locator(".lb-thing-words").inner_text()


def factor_told(page):
    return float(re.search(r"Drawn (\d+) times as far", words(page)).group(1))


def test_at_the_tuning_the_cone_stands_still_and_the_port_breathes(shown):
    page = shown(TUNING)
    cone, port = follow(page)
    assert np.ptp(port) > 10
    assert np.ptp(cone) < 0.05 * np.ptp(port)
    assert "the cone hardly moves, the port breathes" in words(page)


@pytest.mark.parametrize(("frequency", "sign", "said"), [(22, -1, "against each other"), (60, 1, "together")])
def test_below_they_work_against_each_other_above_together(shown, frequency, sign, said):
    page = shown(frequency)
    cone, port = follow(page)
    assert sign * np.corrcoef(cone, port)[0, 1] > 0.99
    assert f"they work {said}" in words(page)


def test_what_comes_first_in_time_comes_first(shown, monkeypatch):
    """With losses the port's air leads the cone at the tuning; for cos(a) and cos(a + phi) the sum is -sin(phi)."""
    lossy = dataclasses.replace(BOXES["vented"], Ql=7)
    monkeypatch.setitem(BOXES, "vented", lossy)
    moved = motion(vented(TUNING))
    lead = np.angle(moved[1, 0] / moved[0, 0])
    assert np.sin(lead) > 0.5
    cone, port = follow(shown(TUNING))
    assert np.sum(cone[:-1] * port[1:] - cone[1:] * port[:-1]) < 0


def test_it_moves_as_far_as_the_words_say(shown):
    """The scale is read off the drawn depth of the box, the travel is the solved one."""
    page = shown(22)
    cone, port = follow(page, 4)
    (thing,) = things({"vented": vented(22)}, "metric")
    scale = page.locator(".lb-thing-air").last.bounding_box()["width"] / thing["box"]["depth"]
    response = vented(22)
    expected = (
        np.array([response.excursion[0], response.port_velocity[0] / (2 * np.pi * 22)]) * scale * factor_told(page)
    )
    assert [np.ptp(cone) / 2, np.ptp(port) / 2] == pytest.approx(expected, rel=0.03)


def vented(frequency):
    return solve(Loudspeaker(driver=DRIVER, box=BOXES["vented"]), [frequency], 8.0)


def test_it_draws_no_more_than_thirty_frames_a_second(shown):
    page = shown(30)
    moved = page.evaluate(FOLLOW, 2)
    assert 5 < len(moved) <= 2 * 31 + 2
    times = page.evaluate("frame_times.slice(10)")
    print(f"a frame takes {np.median(times):.2f} ms, at most {np.max(times):.1f}")


def test_it_stops_and_moves_on_request(shown):
    page = shown(22)
    assert asked(page) > 3
    page.get_by_role("button", name="Stop the drawing").click()
    at = page.locator("[data-of=vented][data-part=cone]").get_attribute("transform")
    assert asked(page) == 0
    assert page.locator("[data-of=vented][data-part=cone]").get_attribute("transform") == at
    assert "slowed down" not in words(page)
    page.get_by_role("button", name="Move the drawing").press("Enter")
    assert asked(page) > 3
    assert "slowed down" in words(page)


def test_who_asks_for_less_motion_gets_one_picture_with_the_parts_off_their_rest(shown):
    page = shown(22, wish="reduce")
    assert asked(page) == 0
    page.evaluate("thing.look(24)")
    assert asked(page) == 0
    where = "node => Number(node.getAttribute('transform').match(/\\(([-0-9.]+)/)[1])"
    cone, port = (page.locator(f"[data-of=vented][data-part={part}]").evaluate(where) for part in ("cone", "port"))
    face = page.locator("[data-of=vented]").first.evaluate(
        "node => node.ownerSVGElement.querySelector('.lb-thing-board').x.baseVal.value"
    )
    assert abs(cone - face) > 2
    assert (cone - face) * (port - face) < 0
    page.get_by_role("button", name="Move the drawing").click()
    assert asked(page) > 3


def test_nothing_runs_where_nobody_sees_it(shown):
    page = shown(22)
    assert asked(page) > 3
    page.mouse.wheel(0, 2500)
    page.wait_for_function("document.querySelector('#host').getBoundingClientRect().bottom < -50")
    page.wait_for_timeout(200)
    assert asked(page) == 0
    page.mouse.wheel(0, -2500)
    page.wait_for_function("scrollY === 0")
    page.wait_for_timeout(200)
    assert asked(page) > 3


def test_nothing_runs_on_a_hidden_page(shown):
    page = shown(22)
    hide = """(hidden) => {
      Object.defineProperty(document, "hidden", { configurable: true, get: () => hidden });
      document.dispatchEvent(new Event("visibilitychange"));
    }"""
    page.evaluate(hide, True)
    assert asked(page) == 0
    page.evaluate(hide, False)
    assert asked(page) > 3


def test_nothing_is_left_once_it_is_removed(shown):
    page = shown(22)
    page.evaluate("thing.remove()")
    assert asked(page) == 0
    assert page.locator("#host").inner_html() == ""


@pytest.mark.parametrize(("system", "unit"), [("metric", "mm"), ("US customary", "inches")])
def test_the_words_are_those_of_the_kernel(shown, system, unit):
    page = shown(20, wish="reduce", system=system)
    shown_as = TRAVEL.shown(system)
    for frequency in GRID[::20]:
        page.evaluate("frequency => thing.look(frequency)", float(frequency))
        response = vented(frequency)
        air = float(response.port_velocity[0] / (2 * np.pi * frequency))
        cone, port = (shown_as.in_words(value) for value in (float(response.excursion[0]), air))
        assert re.search(
            rf"Vented: the cone moves {re.escape(cone)} each way(, past its linear travel of .*?)?, "
            rf"the port air {re.escape(port)};",
            words(page),
        )
        assert unit in words(page)


def test_past_its_linear_travel_is_said_and_the_limit_is_marked(shown):
    page = shown(12, wish="reduce")
    assert vented(12).excursion[0] > DRIVER.xmax
    assert "past its linear travel of 8 mm" in words(page)
    page.evaluate("thing.look(60)")
    assert vented(60).excursion[0] < DRIVER.xmax
    assert "past" not in words(page).partition("vented")[2]


def test_what_moves_further_half_an_octave_away_would_still_have_room(shown):
    """Else a cone at rest would be enlarged until it seems to move."""
    page = shown(120, wish="reduce")
    responses = {name: solve(Loudspeaker(driver=DRIVER, box=box), GRID, 8.0) for name, box in BOXES.items()}
    near = (GRID > 120 / 2**0.5) & (GRID < 120 * 2**0.5)
    most = max(np.max(response.excursion[near]) for response in responses.values())
    driver = things(responses, "metric")[0]["driver"]
    room = min(0.3 * driver["rim"], driver["depth"] / 4)
    here = max(float(solve(r.loudspeaker, [120], 8.0).excursion[0]) for r in responses.values())
    assert room / 3 < factor_told(page) * most <= room
    assert factor_told(page) * 2 * here < room  # there would be room for more at this frequency alone


@pytest.mark.parametrize("colours", ["light", "dark"])
@pytest.mark.parametrize("width", [1000, 560, 360])
def test_it_fits_its_place_and_can_be_read(shown, width, colours):
    page = shown(30, wish="reduce", width=width, colours=colours)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    for text in page.locator(".lb-thing text").all():
        box = text.bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= width
        assert min(box["height"], box["width"]) >= 11
    shade = "node => getComputedStyle(node).fill.match(/[0-9]+/g).slice(0, 3).reduce((a, b) => a + Number(b), 0)"
    fill = page.locator(".lb-thing text").first.evaluate(shade)
    assert fill > 600 if colours == "dark" else fill < 165


def test_it_follows_the_width_of_its_place(shown):
    page = shown(30, wish="reduce", width=900)
    before = page.locator(".lb-thing svg[role=img]").last.bounding_box()["width"]
    page.set_viewport_size({"width": 360, "height": 600})
    page.wait_for_timeout(200)
    assert page.locator(".lb-thing svg[role=img]").last.bounding_box()["width"] < before
    assert page.locator(".lb-thing svg[role=img]").count() == 2


def test_the_drawing_is_to_scale_and_one_scale_serves_both(shown):
    page = shown(30, wish="reduce")
    responses = {name: solve(Loudspeaker(driver=DRIVER, box=box), GRID, 8.0) for name, box in BOXES.items()}
    drawn = [air.bounding_box() for air in page.locator(".lb-thing-air").all()]
    scales = []
    for box, thing in zip(drawn, things(responses, "metric"), strict=True):
        scales += [box["width"] / thing["box"]["depth"], box["height"] / thing["box"]["height"]]
    assert scales == pytest.approx([scales[0]] * 4, rel=1e-3)
    pictures = page.get_by_role("img")
    assert [pictures.nth(i).get_attribute("aria-label").partition(",")[0] for i in range(2)] == ["sealed", "vented"]
    assert "40.0 litres of air" in pictures.nth(0).get_attribute("aria-label")


def test_the_air_is_stretched_while_the_sealed_cone_is_out(shown):
    page = shown(15)
    of_sealed = """() => {
      const cone = document.querySelector("[data-of=sealed]"), air = document.querySelector(".lb-thing-air");
      const face = document.querySelector(".lb-thing-board").x.baseVal.value;
      const out = face - Number(cone.getAttribute("transform").match(/\\(([-0-9.]+)/)[1]);
      return [out, air.classList.contains("lb-thing-squeezed")];
    }"""
    seen = []
    for _ in range(30):
        seen.append(page.evaluate(of_sealed))
        page.wait_for_timeout(70)
    far = [(out > 0, squeezed) for out, squeezed in seen if abs(out) > 1.5]
    assert {out for out, _ in far} == {True, False}
    assert all(out != squeezed for out, squeezed in far)


def test_a_port_that_is_too_long_is_drawn_dashed_out_of_the_back(shown, monkeypatch):
    monkeypatch.setitem(BOXES, "vented", dataclasses.replace(BOXES["vented"], fb=20.0, port_area=100 * cm2))
    page = shown(30, wish="reduce")
    port, back = page.locator(".lb-thing-long"), page.locator(".lb-thing-air").last
    box = back.bounding_box()
    assert port.bounding_box()["x"] + port.bounding_box()["width"] > box["x"] + 1.2 * box["width"]
    assert port.evaluate("node => getComputedStyle(node).strokeDasharray") != "none"
    (thing,) = things({"vented": vented(20)}, "metric")
    assert thing["texts"]["length"] in page.locator(".lb-thing text").all_text_contents()
    assert page.get_by_text("The port does not fit straight.").is_visible()


def test_on_paper_what_is_set_lies_below_what_is_said_of_the_section(visit):
    """Where the section moves to the second sheet: the words under it, and the controls, by their places there."""
    visitor = visit()
    visitor.open_live("sealed_door.ipynb")
    visitor.page.get_by_role("button", name="Show me at once").click()
    visitor.page.locator(".lb-board:not(.lb-asleep)").wait_for(state="attached")
    places = {}
    for number, sheet in enumerate(pypdf.PdfReader(io.BytesIO(visitor.page.pdf())).pages):

        def note(text, matrix, place, *_, number=number):
            for words in ("squeezed", "Side-impact sensors"):
                if words in text:
                    places.setdefault(words, (number, place[5] * matrix[3] + matrix[5]))

        sheet.extract_text(visitor_text=note)
    (sheet, section), (there, controls) = places["squeezed"], places["Side-impact sensors"]
    height = pypdf.PdfReader(io.BytesIO(visitor.page.pdf())).pages[0].mediabox.height
    assert sheet * height - section < there * height - controls - 5
