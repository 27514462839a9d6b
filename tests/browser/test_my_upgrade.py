"""My upgrade in a real browser: by labels alone, by keyboard alone, on every size of screen and on paper."""

import re
import unicodedata

import numpy as np
import pytest

from lumpedbox.plan import demo_plan, figures, read_plan, search
from lumpedbox.tables.text_file import tables_of
from tests.browser.test_pages import complaints, on_paper, tabbed
from tests.browser.test_tasks import Person

pytestmark = [pytest.mark.browser, pytest.mark.long]

PAGE = "my_upgrade.ipynb"
SIZES = {"desk": (1366, 638), "full": (1920, 1080), "zoom": (683, 384), "phone": (390, 844)}
OVERFLOW = "document.documentElement.scrollWidth - innerWidth"
STICKING_OUT = """() => [...document.querySelectorAll(".lb-upgrade :is(button, dd, dt, li, p, svg, select, input)")]
  .filter((one) => one.checkVisibility() && one.getBoundingClientRect().right > innerWidth + 1)
  .map((one) => one.outerHTML.slice(0, 120))"""
COVERED = """() => [...document.querySelectorAll(".lb-card dl > div")].filter((row) => {
  const [name, value] = [...row.children].map((one) => {
    const range = document.createRange();
    range.selectNodeContents(one);
    return range.getBoundingClientRect();
  });
  const side = value.top < name.bottom - 2 && value.bottom > name.top + 2;
  return row.checkVisibility() && side && value.left < name.right - 1;
}).map((row) => row.textContent)"""

COVERED_WORDS = """() => [...document.querySelectorAll(".lb-plan-svg > text")].filter((words) => {
  const box = words.getBoundingClientRect();
  return [...document.querySelectorAll(".lb-spot circle")].some((one) => {
    const spot = one.getBoundingClientRect();
    return spot.left < box.right && spot.right > box.left && spot.top < box.bottom - 2 && spot.bottom > box.top + 2;
  });
}).map((one) => one.textContent)"""


@pytest.fixture
def plan_file(running):
    """One's own plan; gone again afterwards."""
    path = running.folder / "my_plan.toml"
    yield path
    path.unlink(missing_ok=True)


@pytest.fixture
def opened(visit):
    """Function that opens the page, and waits until all of it is worked out."""

    def opened(colours="light", size="desk"):
        visitor = visit(colours)
        width, height = SIZES[size]
        visitor.page.set_viewport_size({"width": width, "height": height})
        visitor.open_live(PAGE)
        worked_out(visitor.page)
        return visitor

    return opened


def worked_out(page):
    page.locator(".lb-headline", has_text="Do this first").wait_for()
    page.locator(".lb-worth, .lb-picture .lb-span").first.wait_for()
    page.wait_for_function("!document.querySelector('.lb-waiting')")


def in_use(page):
    return page.evaluate("document.activeElement.getAttribute('aria-label') ?? document.activeElement.textContent")


def order(page):
    return page.locator(".lb-deck").first.locator("h3 button").all_inner_texts()[1:]


def button(page, name):
    return page.get_by_role("button", name=name, exact=True).first


@pytest.mark.parametrize("size", ["desk", "phone"])
def test_no_place_covers_a_word_of_the_plan_and_the_heads_stand_on_one_line(opened, size):
    page = opened(size=size).page
    assert page.evaluate(COVERED_WORDS) == []
    heads = page.locator(".lb-facts thead th")
    assert heads.all_inner_texts() == ["as found", "after that", "at the end"]
    assert len({round(one.bounding_box()["height"]) for one in heads.all()}) == 1
    assert heads.last.bounding_box()["height"] < 30


def test_from_nothing_to_what_to_do_first_in_a_dozen_steps(visit, plan_file):
    visitor = visit()
    visitor.open_live("start.ipynb")
    person = Person(visitor)
    person.follow("The plan")
    person.press("Start my own")
    person.see("Nothing known yet. Pick the shape of your vehicle: that is enough to begin.")
    person.press("small car, about 2.3 m long and 1.35 m wide inside")
    person.see("Nothing plays yet: choose a place, and say what is in it.")
    person.press("front door left: empty")
    person.choose("What is in it", "a usual 165 mm woofer")
    person.press("Keep")
    person.see("front door left and front door right: kept.")
    person.press("Show me the usual steps")
    person.see("Do this first, for 25 credits: ask about sensors and seal the doors")
    plan = read_plan(plan_file)
    assert search(plan).next == "seal the doors"
    gain = figures(plan.after("seal the doors")).clean - figures(plan.after()).clean
    person.read(person.headline, r".*seal the doors: ([\d.]+) dB more\.", gain)
    person.read(person.fact("clean bass", "as found"), r"([\d.]+) dB", figures(plan.after()).clean)
    person.is_done()


def test_steps_are_moved_by_keyboard_told_and_undone(opened):
    visitor = opened()
    page, before = visitor.page, order(visitor.page)
    page.evaluate("document.activeElement.blur()")
    for _ in range(80):
        page.keyboard.press("Tab")
        if in_use(page) == "Earlier: seal the step wells":
            break
    page.keyboard.press("Enter")
    page.get_by_text("seal the step wells is now the first.").wait_for()
    assert in_use(page) == "Earlier: seal the step wells"
    assert order(page)[0] == "seal the step wells"
    page.keyboard.press("Alt+ArrowRight")
    page.get_by_text("seal the step wells is now number 2").wait_for()
    assert order(page) == before
    assert in_use(page) == "Earlier: seal the step wells"
    button(page, "Later: amplifier").focus()
    page.keyboard.press("Enter")
    page.get_by_text("amplifier stays: bass box can only come after amplifier.").wait_for()
    assert order(page) == before
    button(page, "Earlier: keep bass from the roof").click()
    page.get_by_text("keep bass from the roof is now number 5").wait_for()
    page.reload()
    visitor.wait_for_live()
    page.wait_for_function("document.querySelectorAll('.lb-deck h3 button')[5]?.textContent.startsWith('keep bass')")
    assert visitor.wrong == []


def test_a_card_is_dragged(opened):
    visitor = opened()
    page = visitor.page
    cards = page.locator(".lb-deck").first.locator(".lb-card")
    cards.nth(6).drag_to(cards.nth(1))
    page.get_by_text("keep bass from the roof is now the first.").wait_for()
    assert order(page)[0] == "keep bass from the roof"
    button(page, "Undo").click()
    page.get_by_text("Undone.").wait_for()
    assert order(page)[-1] == "keep bass from the roof"
    assert visitor.wrong == []


def test_the_best_order_is_offered_and_the_readers_own_stays_until_it_is_used(opened):
    visitor = opened()
    page, mine, best = visitor.page, order(visitor.page), search(demo_plan())
    button(page, "Find the best order").click()
    button(page, "Use it").wait_for()
    assert order(page) == mine
    assert f"averages {best.value:.1f} dB" in page.locator(".lb-result").inner_text()
    button(page, "Keep mine").click()
    page.get_by_text("Your order stays.").wait_for()
    button(page, "Find the best order").click()
    button(page, "Use it").click()
    page.get_by_text("This is the order that was found.").wait_for()
    assert tuple(order(page)) == best.best
    assert button(page, "Take in: small drivers in the step wells").is_visible()
    assert visitor.wrong == []


def test_a_long_search_shows_how_far_it_is_and_is_stopped(visit, plan_file):
    stages = "".join(f'[stage."filter {n}"]\nfilter = {{ front = ["peak -1 dB at {50 + n} Hz"] }}\n' for n in range(11))
    plan_file.write_text(
        '[cabin]\nuse = "sixteen-seat minibus"\n[opening.door]\nvolume = "30 L"\nplace = ["1 m", "0.1 m", "0.4 m"]\n'
        '[channel.front]\nsource = "head unit of the minibus"\nfeeds = ["door"]\n'
        f'[have]\ndoor = "165 mm panel"\n{stages}',
        encoding="utf-8",
    )
    visitor = visit()
    visitor.open_live(PAGE)
    page = visitor.page
    page.wait_for_function("!document.querySelector('.lb-waiting')")
    before = order(page)
    button(page, "Find the best order").click()
    bar = page.get_by_role("progressbar", name="How far the search is")
    bar.wait_for()
    page.wait_for_function("document.querySelector('.lb-result progress').value > 20")
    button(page, "Later: filter 0").click()  # the page stays alive
    page.get_by_text("filter 0 is now number 2").wait_for()
    button(page, "Cancel").click()
    page.get_by_text("Stopped. Your order is as it was.").wait_for()
    assert order(page) == [before[1], before[0], *before[2:]]
    assert visitor.wrong == []


def test_a_slip_stays_in_the_form_with_its_reason(visit, plan_file):
    plan_file.write_bytes(demo_plan().path.read_bytes())
    visitor = visit()
    visitor.open_live(PAGE)
    page = visitor.page
    worked_out(page)
    page.get_by_role("button", name=re.compile("^step well right:")).first.focus()
    page.keyboard.press("Enter")
    assert page.get_by_label("What is in it").evaluate("one => one === document.activeElement")
    page.get_by_label("Depth").fill("58 Herz")
    page.keyboard.press("Enter")
    page.get_by_text("'Herz' is not a known unit").wait_for()
    assert page.get_by_label("Depth").input_value() == "58 Herz"
    page.get_by_label("Depth").fill("80")
    page.keyboard.press("Enter")
    page.get_by_text("step well right: kept.").wait_for()
    assert in_use(page).startswith("step well right:")
    assert 'depth = "80 mm"' in plan_file.read_text(encoding="utf-8")
    assert "# a heater duct" in plan_file.read_text(encoding="utf-8")
    worked_out(page)
    assert "step well right is" not in page.locator(".lb-card").first.inner_text()
    page.get_by_role("button", name=re.compile("^roof left:")).first.click()
    page.keyboard.press("Escape")
    page.locator(".lb-open-form").wait_for(state="hidden")
    assert visitor.wrong == []


def test_everything_is_reached_by_tab_and_has_a_name(opened):
    visitor = opened()
    page = visitor.page
    wanted = [
        one.get_attribute("aria-label") or one.inner_text() for one in page.locator(".lb-upgrade button:visible").all()
    ]
    wanted += [one.get_attribute("aria-label") for one in page.locator(".lb-spot").all()]
    page.evaluate("document.activeElement.blur()")
    names = tabbed(page, len(wanted) + 30)
    assert set(filter(None, wanted)) - set(names) == set()
    pictures = page.locator("svg[role=img]").evaluate_all("all => all.map(one => one.getAttribute('aria-label'))")
    assert len(pictures) == 3
    assert all(len(told) > 40 for told in pictures)


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_nothing_keeps_people_from_using_it(opened, colours):
    visitor = opened(colours)
    page = visitor.page
    assert complaints(page) == []
    button(page, "Add a step").click()
    button(page, "Copy it as mine").wait_for()
    page.get_by_text("Places as a list").click()
    button(page, "Find the best order").click()
    button(page, "Use it").wait_for()
    assert complaints(page) == []
    button(page, "Start my own").click()
    page.get_by_text("Nothing known yet.").first.wait_for()
    assert complaints(page) == []
    assert visitor.wrong == []


@pytest.mark.parametrize("size", SIZES)
def test_it_fits_every_screen(opened, size):
    visitor = opened(size=size)
    page = visitor.page
    assert page.evaluate(OVERFLOW) <= 0
    assert page.evaluate(STICKING_OUT) == []
    assert page.evaluate(COVERED) == []
    if size == "desk":
        for part in (".lb-headline", ".lb-facts table", ".lb-vehicle svg", ".lb-search"):
            place = page.locator(part).first.bounding_box()
            assert place["y"] + place["height"] <= SIZES["desk"][1], part


def test_on_paper_stands_what_is_to_be_done_and_no_button(opened):
    page = opened().page
    lines = [line for lines in on_paper(page) for line in lines]
    printed = unicodedata.normalize("NFKD", " ".join(lines))  # without ligatures
    words = " ".join(printed.split())
    for name in (*demo_plan().stages, "What the money buys on the way", "Do this first", "Hearing does not grow back"):
        assert name in words
    page.emulate_media(media="print")
    left = page.locator(".lb-upgrade button:not(.lb-plain):visible").all_inner_texts()  # but for names
    assert left == []


def test_what_is_taken_away_is_saved(opened):
    visitor = opened()
    page = visitor.page
    for kind, start in (
        ("sheet as PDF", b"%PDF"),
        ("steps as CSV", "\ufeffstage,".encode()),
        ("plan as a file", b"# A plan"),
    ):
        with page.expect_download() as waiting:
            if kind == "sheet as PDF":
                button(page, "Take away").click()
            button(page, kind).click()
        assert waiting.value.path().read_bytes().startswith(start)
    assert visitor.wrong == []


def test_two_stages_that_are_chosen_stay_chosen(opened):
    page = opened().page
    picks = page.get_by_label("First stage"), page.get_by_label("Second stage")
    assert [pick.evaluate("one => one.selectedIndex") for pick in picks] == [0, 6]
    picks[0].select_option(index=2)
    button(page, "Earlier: keep bass from the roof").click()
    page.get_by_text("keep bass from the roof is now number 5").wait_for()
    assert picks[0].evaluate("one => one.selectedIndex") == 2
    assert np.isfinite(page.locator(".lb-picture svg").nth(1).bounding_box()["height"])


ROUND_TRIPS = {
    "Choose the box for this place: bass box": ("Give back: sealed", r"box = .*litres"),
    "Tame this tweeter: tweeters at the middle row": ("Give back: 2 ohm in series, ", r"3\.9 ohm across"),
    "Set the levels: bass box": ("Give back: bass", r"level 0 dB"),
}


@pytest.mark.parametrize("way", ROUND_TRIPS)
def test_from_a_stage_to_its_page_and_back(visit, plan_file, way):
    plan_file.write_text(demo_plan().text, encoding="utf-8")
    visitor = visit()
    visitor.open_live(PAGE)
    page, (give, written) = visitor.page, ROUND_TRIPS[way]
    page.get_by_role("link", name=way).first.click()
    visitor.wait_for_live()
    page.locator(".lb-from-stage", has_text=way.split(": ")[1]).wait_for()
    page.get_by_role("button", name=give).first.click()
    page.get_by_text("Written into my_plan.toml").wait_for()
    after = plan_file.read_text(encoding="utf-8")
    before = demo_plan().text.split("\n")
    (changed,) = (line for line, old in zip(after.split("\n"), before, strict=True) if line != old)
    assert re.search(written, changed)
    page.get_by_role("button", name="Undo").first.click()
    page.get_by_text("Undone: the stage is as it was.").wait_for()
    assert plan_file.read_text(encoding="utf-8") == demo_plan().text
    page.get_by_role("button", name=give).first.click()
    page.get_by_text("Written into my_plan.toml").wait_for()
    page.reload()  # the link still holds the stage
    visitor.wait_for_live()
    page.get_by_role("link", name="Back to my upgrade").click()
    visitor.wait_for_live()
    worked_out(page)
    assert plan_file.read_text(encoding="utf-8") == after
    visitor.until(lambda: in_use(page) == way.split(": ")[1], "the way back does not lead to the stage's card")
    assert in_view(page.locator(":focus"))
    assert not visitor.wrong


def in_view(element):
    """Whether some of an element is on the screen."""
    box = element.bounding_box()
    return box["y"] + box["height"] > 0 and box["y"] < element.page.viewport_size["height"]


def test_a_stage_is_settled_page_by_page_and_nothing_is_asked_again(visit, running, plan_file):
    """The wire and the box of a stage, there and back, and on to the garage, where both are printed."""
    plan_file.write_text(demo_plan().text, encoding="utf-8")
    boxes, parts = (running.folder / name for name in ("my_boxes.toml", "my_parts.toml"))
    visitor = visit()
    visitor.open_live(PAGE)
    page = visitor.page
    try:
        page.get_by_role("link", name="Wire and fuse: amplifier").click()
        visitor.wait_for_live()
        page.get_by_role("button", name="Give back: fuse 25 A").click()
        page.get_by_text("Written into my_plan.toml, amplifier: fuse 25 A").wait_for()
        page.get_by_role("link", name="Back to my upgrade").click()
        visitor.wait_for_live()
        worked_out(page)
        page.get_by_text("wire and fuse were settled for 150 W").first.wait_for()  # on the card of the bass box
        page.get_by_role("link", name="Draw the box: bass box").click()
        visitor.wait_for_live()
        page.get_by_role("button", name="Make it 40.0 litres by the width").click()
        page.get_by_role("button", name="Give back: sealed, 40.0 litres, as drawn").click()
        page.get_by_text("Written into my_plan.toml, bass box, wheel arch: sealed, 40.0 litres").wait_for()
        page.get_by_role("button", name="Undo").click()
        page.get_by_text("Undone: the stage is as it was.").wait_for()
        page.get_by_role("button", name="Keep it, or start from another").click()
        page.get_by_role("button", name="Keep this drawing").click()
        page.locator(".lb-ways").get_by_role("link", name="Take it to the garage").click()
        visitor.wait_for_live()
        done = page.get_by_label("Wiring and levels")
        visitor.until(lambda: done.input_value() == "up to bass box, in my plan", "the stage is asked again")
        assert page.get_by_label("Box", exact=True).input_value() == "bass box"
        page.get_by_label("Wiring and levels").select_option("up to amplifier, in my plan")
        page.locator("summary", has_text="Why, and how sure").click()
        page.get_by_text("Fuse and wire as settled: 25 A before 16 mm²").wait_for()
        assert not visitor.wrong
    finally:
        for path in (boxes, parts):
            path.unlink(missing_ok=True)


# The places and channels of the example, as a minibus begins on the page.
CALLED = {"step well": "front door", "middle row": "rear side", "wheel arch": "at the back"}
CHANNELS = {f"{one} {side}": f"front door {side}" for one, side in (("front", "left"), ("front", "right"))}
CHANNELS |= {f"roof and middle {side}": f"roof {side}" for side in ("left", "right")} | {"bass": "at the back"}


def as_typed(name):
    """The name of a place or channel of the example, as it is called where someone began with a minibus."""
    for old, new in CALLED.items():
        name = name.replace(old, new)
    return CHANNELS.get(name, name)


def doing(plan):
    """What the stages do, as it is written: {kind: {place or channel: what}} of each; what drives a channel apart."""
    kinds, tables = ("put", "set", "box", "line", "filter"), tables_of(plan.text, "")["stage"].values()
    done = [{k: {as_typed(n): v for n, v in one[k].items()} for k in kinds if k in one} for one in tables]
    return sorted(map(str, map(sorted_by_name, done))), {as_typed(n) for one in tables for n in one.get("move", ())}


def sorted_by_name(done):
    return {kind: dict(sorted(values.items())) for kind, values in done.items()}


def put_down(person, place, **typed):
    """Fill in the form that is open: each thing chosen or typed is a step, and Enter in the last one keeps it."""
    *first, last = typed.items()
    for label, text in first:
        label = label.replace("_", " ")
        field = person.page.get_by_label(label, exact=True).first
        person.steps += 1
        field.select_option(text) if field.evaluate("one => one.tagName") == "SELECT" else field.fill(text)
        person.page.wait_for_timeout(300)  # another kind of step has other fields
    person.fill_in(last[0].replace("_", " "), last[1])
    person.see(place)


def test_the_whole_example_from_an_empty_page_in_at_most_forty_steps(visit, plan_file):
    visitor = visit()
    visitor.open_live(PAGE)
    person = Person(visitor)
    person.press("Start my own")
    person.press("minibus, about 5 m long and 1.8 m wide inside")
    person.press("front door left: empty")
    tired = {"What_is_in_it": "200 mm step well, tired", "Litres_behind": "32", "Area_of_the_leak": "120"}
    put_down(person, "front door left and front door right: kept.", **tired, Depth="84", **{"Driver's_hole": "185"})
    person.press("front door right: 200 mm, 200 mm step well, tired")
    put_down(person, "front door right: kept.", Other_side_alike="no", Depth="58")
    person.press("roof left: empty")
    put_down(
        person, "roof left and roof right: kept.", What_is_in_it="100 mm roof", Depth="50", **{"Driver's_hole": "95"}
    )
    person.press("rear side left: empty")
    shared = {"Driven_by": "with roof left, in parallel"}
    put_down(person, "rear side left and rear side right: kept.", **shared, Depth="30", **{"Driver's_hole": "50"})
    person.press("Show me the usual steps")
    person.see("The usual steps stand in a usual order.")
    person.press("Add a step")
    small = {"What_to_do": "put in a driver", "Driver": "130 mm step well"}
    put_down(person, "130 mm step well in front door left and front door right: added.", **small, Costs="78")
    person.press("Add a step")
    new = {"What_to_do": "put in a driver", "Where": "rear side left and right", "Driver": "19 mm dash tweeter"}
    put_down(
        person,
        "19 mm dash tweeter in rear side left and rear side right: added.",
        **new,
        In_the_line="6.8 uF in series; 6 dB pad",
        Costs="58",
    )
    for step, costs in (("amplifier", "28"), ("seal the doors", "0")):
        person.press(f"Change: {step}")
        put_down(person, f"{step}: kept.", Costs=costs)
    person.press("Change: bass box")
    put_down(
        person,
        "bass box: kept.",
        **{"Driver,_at_the_back": "250 mm bass", "Litres_inside,_at_the_back": "40", "Do_more_in_it": "add a filter"},
        Costs="125",
    )
    assert person.steps <= 40, f"it takes {person.steps} steps"
    made, example = read_plan(plan_file), demo_plan()
    assert {place: one.name for place, one in made.have.items()} == {
        as_typed(place): one.name for place, one in example.have.items()
    }
    assert {name: (set(one["feeds"]), one.get("wiring")) for name, one in made.channels.items()} == {
        as_typed(name): (set(map(as_typed, one["feeds"])), one.get("wiring")) for name, one in example.channels.items()
    }
    for known in ("depth", "cutout", "space", "hole"):
        assert {p: one[known] for p, one in made.openings.items() if known in one} == {
            as_typed(p): one[known] for p, one in example.openings.items() if known in one
        }
    assert doing(made) == doing(example)
    costs = sorted(example.cost_of((name,)) for name in example.stages)
    assert sorted(made.cost_of((name,)) for name in made.stages) == costs
    assert not visitor.wrong
