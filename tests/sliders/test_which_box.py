"""What the page on which box answers, against the textbook's closed form and what is measured with a tape."""

import dataclasses
import re

import numpy as np
import pytest

from lumpedbox import Air, recommend
from lumpedbox.parts.spread import USUAL, USUAL_BUILD
from lumpedbox.sliders.kit import facts
from lumpedbox.sliders.kit.scene import DRAWN
from lumpedbox.sliders.kit.systems import SYSTEMS
from lumpedbox.sliders.lessons.which_box.answering import HELD, LESS_POWER, NET, PEAK, TUNED
from lumpedbox.sliders.lessons.which_box.every_driver import EveryDriver
from lumpedbox.sliders.lessons.which_box.page import ANOTHER, LIMITS, OWN, which_box
from lumpedbox.tables import demo_amplifiers, demo_cabins, demo_drivers
from lumpedbox.tables.shipped import notebooks_folder
from lumpedbox.units import cm2, cubic_foot, litre, mm
from tests.sliders.conftest import ask, details, moves

AMPLIFIER = demo_amplifiers()["four channels from the stores"]
BASS = demo_drivers()["200 mm bass"]
LOUDEST = "loudest at 40 Hz"
FINE = np.geomspace(15, 400, 3000)


@pytest.fixture(scope="module")
def made():
    return which_box()


def wired(driver):
    """The driver behind the amplifier's output resistance."""
    return dataclasses.replace(driver, Re=driver.Re + AMPLIFIER.output_resistance)


def solved(closed_form, page, kind, frequency=FINE, driver=None, **other):
    """The textbook's box of what the facts tell of a kind, at the power that is set."""
    driver = driver or wired(demo_drivers()[page.values["driver"]])
    box = {"volume": page.answer[NET][kind]["net"], "Ql": 7.0}
    if kind == "vented":
        box["fb"] = page.answer[TUNED]["vented"]["fb"]
    return closed_form(driver, frequency, page.values["voltage"], **box | other)


def over(closed_form, page, kind, frequency=FINE, **other):
    """Level over that of the pass-band: where the formula without the coil's inductance ends up. [dB]"""
    bare = dataclasses.replace(wired(demo_drivers()[page.values["driver"]]), Le=0.0)
    return (
        solved(closed_form, page, kind, frequency, **other).level
        - solved(closed_form, page, kind, 1e6, driver=bare, **other).level
    )


def fallen(frequency, level):
    """Where a level, going down, first lies half the power under the pass-band. [Hz]"""
    below = np.flatnonzero(level[frequency < 100] < -10 * np.log10(2))
    last = below[-1]
    return np.exp(np.interp(-10 * np.log10(2), level[last : last + 2], np.log(frequency[last : last + 2])))


def paragraph(page, kind):
    """What the details tell of a kind of box first."""
    return next(said for said in page.answer.details if said.text("metric").startswith(f"{kind.capitalize()}: the"))


STATES = [
    {},
    {"volume": 18 * litre, "depth": 250 * mm, "voltage": 8.0},
    {"volume": 45 * litre, "voltage": 8.0, "port_area": 50 * cm2},
    {"driver": "250 mm bass", "volume": 50 * litre, "limits": OWN, "aim": "a low peak"},
    {"driver": "200 mm bass", "limits": OWN, "aim": "a small box", "f3": 66.0},
]


@pytest.mark.parametrize("places", STATES)
def test_every_fact_is_the_textbook_s(page, closed_form, places):
    """f3, peak and level of the box that the facts name; Small 1973, fig. 1, from memory (`conftest.textbook`)."""
    page.put(**places)
    assert page.scene.designs
    for kind in page.scene.designs:
        level = over(closed_form, page, kind)
        assert page.answer[facts.REACH][kind]["f3"] == pytest.approx(fallen(FINE, level), rel=2e-3)
        assert page.answer[PEAK][kind]["peak"] == pytest.approx(max(0.0, level[FINE < 400].max()), abs=0.02)
        loudest = solved(closed_form, page, kind, 40.0).level
        assert page.answer[LOUDEST][kind]["level"] == pytest.approx(loudest, abs=0.02)


@pytest.mark.parametrize("places", STATES)
def test_what_the_cone_and_the_port_do_is_the_textbook_s(page, closed_form, places):
    page.put(**places)
    played = FINE[FINE >= LIMITS["lowest"]]
    for kind, design in page.scene.designs.items():
        box = solved(closed_form, page, kind, played)
        said = paragraph(page, kind)
        assert said["travel"] == pytest.approx(box.excursion.max(), rel=5e-3)
        assert said["travel"] <= design.loudspeaker.driver.xmax * 1.001
        if kind == "vented":
            across = page.answer[TUNED]["vented"]["across"]
            assert said["speed"] == pytest.approx(box.port_flow.max() / (np.pi * across**2 / 4), rel=5e-3)
            assert said["speed"] <= 17.02


@pytest.mark.parametrize("places", STATES)
def test_the_port_is_helmholtz_s_and_all_of_it_goes_in(page, places):
    """L = (c / w)^2 S / V less both ends; net volume, port and driver fill what is said."""
    page.put(**places)
    for kind in page.scene.designs:
        taken = page.answer[NET][kind]["net"] + page.scene._drivers[page.values["driver"]].displacement
        if kind == "vented":
            said = page.answer[TUNED]["vented"]
            area = np.pi * said["across"] ** 2 / 4
            ends = (0.6127 + 0.82167) * said["across"] / 2
            stiff = (Air().sound_speed / (2 * np.pi * said["fb"])) ** 2 / page.answer[NET]["vented"]["net"]
            assert said["length"] == pytest.approx(stiff * area - ends, rel=1e-3)
            assert said["length"] <= page.scene.limits(page.values)["port_length"] * (1 + 1e-6)
            assert area <= page.values["port_area"] * (1 + 1e-6)
            taken += area * said["length"]
        assert taken <= page.values["volume"] * (1 + 1e-9)
        assert paragraph(page, kind)["taken"] == pytest.approx(taken, rel=1e-4)


def test_the_headline_says_what_to_build(page):
    said = page.answer.headline
    assert said.text("metric") == "Build it vented, all 30 litres: bass down to 33 Hz."
    assert said["f3"] == pytest.approx(page.answer[facts.REACH]["vented"]["f3"], rel=1e-6)
    page.put(amplifier=ANOTHER, load="2 ohm", voltage=500**0.5, volume=10 * litre, depth=250 * mm)
    net, taken = page.answer[NET]["sealed"]["net"], page.answer.headline["taken"]
    assert page.answer.headline.text("metric").startswith(f"Build it sealed, {taken / litre:.1f} of the 10 litres:")
    assert taken == pytest.approx(net + BASS.displacement)


def test_what_the_lesson_asks_to_guess(page, closed_form):
    """The best sealed box leaves some of the 30 litres free, and a larger one is no better: its f3 turns there."""
    net = page.answer[NET]["sealed"]["net"]
    assert net + BASS.displacement < 29 * litre
    smaller, best, larger = (
        fallen(FINE, over(closed_form, page, "sealed", volume=volume)) for volume in (0.7 * net, net, 1.7 * net)
    )
    assert best < min(smaller, larger)
    assert page.answer[HELD]["sealed"].text("metric") == "at its best"
    assert "Sealed: a bigger box would gain almost nothing." in details(page)


def test_more_space_would_lower_the_bass_of_what_it_holds_back(page, closed_form):
    """Of a vented box a hundredth larger and tuned as before; of the peak it makes there is enough left."""
    assert page.answer[HELD]["vented"].text("metric") == "the space inside"
    net = page.answer[NET]["vented"]["net"]
    now, larger = (over(closed_form, page, "vented", volume=volume) for volume in (net, 1.05 * net))
    assert fallen(FINE, larger) < fallen(FINE, now) - 0.1
    assert larger.max() < LIMITS["ripple"]


@pytest.mark.parametrize("kind", ["sealed", "vented"])
def test_how_sure_the_reach_is(page, closed_form, kind):
    """Drawn anew, with random numbers of our own, and solved by the textbook: the 10th and the 90th percentile."""
    random, net = np.random.default_rng(7), page.answer[NET][kind]["net"]
    grid, found = np.geomspace(18, 100, 150), []
    for _ in range(300):
        names = ("Re", "Bl", "Mms", "Cms", "Rms", "Sd", "Le")
        factors = {name: np.exp(getattr(USUAL, name) * random.standard_normal()) for name in names}
        driver = wired(dataclasses.replace(BASS, **{name: getattr(BASS, name) * k for name, k in factors.items()}))
        large, long, tight = np.exp(
            [USUAL_BUILD.volume, USUAL_BUILD.port_length, USUAL_BUILD.losses] * random.standard_normal(3)
        )
        box = {"volume": net * large, "Ql": 7.0 * tight}
        if kind == "vented":
            said = page.answer[TUNED]["vented"]
            ends = (0.6127 + 0.82167) * said["across"] / 2
            stretched = (said["length"] * long + ends) / (said["length"] + ends)
            box["fb"] = said["fb"] / np.sqrt(large * stretched)
        level = closed_form(driver, grid, 1.0, **box).level
        found.append(fallen(grid, level - closed_form(dataclasses.replace(driver, Le=0.0), 1e6, 1.0, **box).level))
    low, high = np.percentile(found, [10, 90])
    said = page.answer[facts.REACH][kind]
    width = high - low
    assert said["low"] == pytest.approx(low, abs=0.25 * width)
    assert said["high"] == pytest.approx(high, abs=0.25 * width)


def test_it_is_what_the_search_recommends(page):
    """With four times as many boxes tried."""
    found = recommend(BASS, page.scene.brief(page.values), candidates=3600).designs
    expected = {design.kind: design.values["f3"] for design in found}
    assert {kind: design.values["f3"] for kind, design in page.scene.designs.items()} == pytest.approx(
        expected, rel=2e-3
    )


def test_bands_are_of_driver_and_build(page):
    response = page.scene.responses["vented"]
    assert response.loudspeaker.driver.spread == USUAL
    assert response.loudspeaker.box.spread == USUAL_BUILD
    outline = page.scene.stack.bands["vented", "level"].get_xy()[:-1, 1]
    low, high = response.band("level", members=DRAWN)
    assert outline == pytest.approx(np.concatenate([low, high[::-1]]))
    assert "The bands hold four of five boxes and drivers of one type" in details(page)
    assert "stand-in" not in details(page)


# What a walk visits: every control of the page, at places of which some leave no box.
WALK = [
    {"volume": 10 * litre, "port_area": 20 * cm2},
    {"limits": OWN, "ripple": 0.2},
    {"volume": 41 * litre, "limits": OWN, "aim": "little cone travel", "lowest": 25.0},
    {"amplifier": ANOTHER, "load": "2 ohm", "voltage": 500**0.5, "volume": 18 * litre, "depth": 250 * mm},
    {"driver": "300 mm bass", "volume": 55 * litre, "voltage": 5.0},
    {"driver": "165 mm panel of 2 ohm", "amplifier": "head unit of the minibus"},
]


def shown(page):
    """Everything that the page shows."""
    curves = [np.array(line.get_data()).tobytes() for line in page.scene.stack.lines.values()]
    trade = [np.array(line.get_data(), float).tobytes() for line in page.scene.trade.curves.values()]
    return curves, trade, page.answer.said("metric")


@pytest.mark.parametrize("seed", range(2))
def test_the_answer_does_not_depend_on_the_way_there(page, seed):
    """Bit for bit, roughly and finely: at once from a page just opened, and after every other place in any order."""
    random, rough, fine = np.random.default_rng(seed), {}, {}
    steps = random.permutation(np.tile(np.arange(len(WALK)), 2))
    for step in steps[np.append(True, np.diff(steps) != 0)]:
        moves(page, page.start | WALK[step])
        assert page.scene.coarse
        assert rough.setdefault(step, shown(page)) == shown(page)
        if random.random() < 0.6:
            ask(page, rest=True)
            assert not page.scene.coarse
            assert fine.setdefault(step, shown(page)) == shown(page)
    assert len(fine) > 3
    for step in list(fine)[:2]:
        fresh = which_box()
        fresh.put(**WALK[step])
        curves, trade, said = shown(fresh)
        assert (curves, trade, said) == fine[step]


def test_what_it_was_at_the_start_is_what_was_found_there():
    """Not the first rough look: of every fact the words of the start are those of the answer that was found."""
    page = which_box()
    page.rest()
    found = {line["name"]: [cell["text"] for cell in line["values"]] for line in page.answer.said("metric")["facts"]}
    curve = np.array(page.scene.stack.values("vented", "level")[1])
    page.put(volume=24 * litre)
    assert np.array_equal(page.scene.stack.values("vented at the start", "level")[1], curve)
    was = {line["name"]: [cell["was"] for cell in line["values"]] for line in page.board.answer["facts"]}
    assert sum(bool(cell) for cells in was.values() for cell in cells) > 3
    for name, cells in was.items():
        assert all(cell in ("", text) for cell, text in zip(cells, found[name], strict=True))


@pytest.mark.parametrize("seed", range(8))
def test_the_first_look_comes_near_to_the_answer(page, seed):
    """What matters most is within a hundredth of what is found once the hand rests; its reasons are left to that."""
    random = np.random.default_rng(seed)
    drivers = [name for name in page.controls["driver"].options if demo_drivers()[name].xmax]
    aims = page.controls["aim"].options
    places = {"driver": drivers[random.integers(len(drivers))], "aim": aims[random.integers(len(aims))], "limits": OWN}
    for name in ("volume", "port_area", "port_length", "voltage", "lowest"):
        control = page.controls[name]
        high = page.scene.most(page.values) if name == "voltage" else control.high
        places[name] = random.uniform(control.low, high)
    moves(page, page.start | places)
    rough = dict(page.scene.designs)
    for kind in rough:
        assert page.answer[HELD][kind].text("metric") == "..."
        assert "–" not in page.answer[facts.REACH][kind].text("metric")
    page.rest()
    assert set(rough) == set(page.scene.designs)
    for kind, design in page.scene.designs.items():
        aim = design.brief.aim
        assert design.values[aim] <= rough[kind].values[aim] <= design.values[aim] * 1.01 + 1e-3
        assert page.answer[HELD][kind].text("metric") != "..."


@pytest.mark.parametrize("system", SYSTEMS)
def test_what_holds_a_box_back_is_never_folded_away(page, system):
    """It is what the lesson asks for: at any power and in any space another row goes first."""
    page.board.system = system
    for volume in (11.5 * litre, 37 * litre, 60 * litre):
        for voltage in (5.0, page.scene.most(page.values)):
            page.put(volume=volume, voltage=voltage)
            rows = [line["name"] for line in page.board.answer["facts"]]
            assert HELD in rows, (volume, voltage, rows)


@pytest.mark.parametrize("system", SYSTEMS)
def test_links_speak_the_units_of_the_page(page, monkeypatch, system):
    monkeypatch.chdir(notebooks_folder())
    page.board.system = system
    page.put(volume=30 * litre)
    labels = [label for label, _ in page.board.stage["ways"]]
    assert len(labels) == 2
    assert all(("cubic feet" in label) == (system == SYSTEMS[1]) for label in labels)


def typed(page, label, text):
    name = next(name for name, control in page.controls.items() if control.label == label)
    ask(page, typed=[name, text])
    assert page.board.refused == {}


def chosen(page, label, option):
    name = next(name for name, control in page.controls.items() if control.label == label)
    moves(page, {name: option})
    ask(page, rest=True)


def test_eighteen_litres_250_watts_into_2_ohm_and_250_mm_deep(page, closed_form):
    """A person's question, by labels alone and in five moves: sealed or vented, and how loud?"""
    typed(page, "Space inside", "18")
    typed(page, "Depth inside", "25 cm")
    chosen(page, "Amplifier", ANOTHER)
    chosen(page, "Into", "2 ohm")
    typed(page, "Power used", "250")
    assert "load" not in page.board.hidden
    assert page.values["voltage"] == pytest.approx(np.sqrt(250 * 2))
    assert page.text("voltage") == "250 W (22.4 V into 2 ohm)"
    instead = page.answer.headline
    assert instead.text("metric") == (
        "Build it sealed: bass down to 66 Hz. With at most 54.6 W a vented box reaches 42 Hz."
    )
    loud = closed_form(BASS, 40.0, np.sqrt(500), volume=page.answer[NET]["sealed"]["net"], Ql=7.0).level
    assert page.answer[LOUDEST]["sealed"]["level"] == pytest.approx(loud, abs=0.02)
    way = next(said for said in page.answer.details if said.words.startswith("A vented box would fit with"))
    watts = next(way.numbers[name]["voltage"] for name in way.numbers if "voltage" in way.numbers[name].numbers)
    less = page.answer[LESS_POWER]["vented"]
    assert watts == less["power"] == instead["power"]
    typed(page, "Power used", f"{watts:.1f}")
    assert sorted(page.scene.designs) == ["sealed", "vented"]
    assert LESS_POWER not in [fact.name for fact in page.answer.facts]
    assert instead["low"] == less["f3"] == pytest.approx(fallen(FINE, over(closed_form, page, "vented")), rel=2e-3)
    loud = solved(closed_form, page, "vented", 40.0, driver=BASS).level
    assert less["level"] == pytest.approx(loud, abs=0.02)


@pytest.mark.parametrize(("litres", "told"), [(8, False), (10, True)])
def test_less_power_does_not_lead_where_it_plays_softer(page, closed_form, litres, told):
    """In 10 litres it reaches lower and is 7 dB softer at 40 Hz, by the textbook; in 8 no power alone lets it in."""
    page.put(amplifier=ANOTHER, load="2 ohm", voltage=500**0.5, volume=litres * litre, depth=250 * mm)
    assert set(page.scene.designs) == {"sealed"}
    assert "With at most" not in page.answer.headline.words
    assert (LESS_POWER in [fact.name for fact in page.answer.facts]) == told
    if told:
        sealed, less = page.answer[LOUDEST]["sealed"]["level"], page.answer[LESS_POWER]["vented"]
        page.put(voltage=(less["power"] * 2) ** 0.5)
        vented = solved(closed_form, page, "vented", 40.0, driver=BASS).level
        assert less["level"] == pytest.approx(vented, abs=0.02)
        assert vented < sealed - 5


def test_limits_out_of_view_are_the_usual_ones(page):
    before = shown(page)
    page.put(ripple=1.0, lowest=60.0, aim="a small box", port_length=200 * mm)
    assert page.scene.designs["vented"].brief == page.scene.brief(page.start)
    assert shown(page)[:2] == before[:2]
    assert {"ripple", "lowest", "aim", "port_length", "f3", "port_speed", "load"} == set(page.board.hidden)
    page.put(limits=OWN)
    brief = page.scene.brief(page.values)
    assert (brief.ripple, brief.lowest, brief.aim, brief.port_length) == (1.0, 60.0, "volume", 0.2)
    assert page.board.hidden == ["load"]
    assert "loudest at 60 Hz" in [fact.name for fact in page.answer.facts]


def test_a_driver_of_unknown_displacement_takes_up_room_and_the_page_says_how_much(page):
    """25/54 of a cylinder of 214 cm2 and 105 mm (`tests/unit/parts/test_displacement.py`)."""
    assert "assumed" not in details(page)
    page.put(driver="200 mm bass, misprinted Q")
    room = 25 / 54 * 214 * 10.5 / 1000
    assert f"The driver takes up about {room:.1f} litres of the box (assumed from its diameter and depth;" in details(
        page
    )
    taken = next(said["taken"] for said in page.answer.details if "taken" in said.numbers)
    assert taken - page.answer[NET]["sealed"]["net"] == pytest.approx(room * litre, rel=2e-3)


def test_a_coil_that_may_burn_and_ears_are_warned_of(page):
    """200 volts squared over 3.3 ohm against the 150 W of the sheet; 115 dB is where ears suffer at any frequency."""
    assert page.answer.cautions == ()
    page.put(amplifier=ANOTHER, load="2 ohm", voltage=25.0, limits=OWN, lowest=80.0)
    (burn,) = page.answer.cautions
    assert (burn["most"], burn["power"]) == (pytest.approx(25**2 / 3.3), 150.0)
    page.put(voltage=60.0, driver="300 mm bass", cabin=next(iter(demo_cabins())))
    loud = [said for said in page.answer.cautions if "protect your ears" in said.words]
    assert len(loud) == (max(response.level.max() for response in page.scene.responses.values()) >= 115.0)


def test_us_customary_units(page):
    metric = page.answer[NET]["vented"]["net"]
    page.board.system = "US customary"
    assert page.answer[NET]["vented"].text("US customary") == f"{metric / cubic_foot:.3f} cubic feet"
    assert re.fullmatch(r"32 Hz, 2\.5\d × 1[12]\.\d inches", page.answer[TUNED]["vented"].text("US customary"))
    assert page.answer.headline.text("US customary").startswith("Build it vented, all 1.06 cubic feet")
    assert page.scene.trade.axes.get_xlabel() == "box with port and driver [cubic feet]"
    assert page.scene.trade.available.get_xdata()[0] == pytest.approx(30 * litre / cubic_foot)
    page.board.system = "metric"
    assert page.scene.trade.available.get_xdata()[0] == pytest.approx(30)


def test_the_dots_lie_where_the_answer_says(page):
    for kind in ("sealed", "vented"):
        x, y = (values[0] for values in page.scene.trade.points[kind].get_data())
        said = paragraph(page, kind)
        assert (x, y) == pytest.approx((said["taken"] / litre, page.answer[facts.REACH][kind]["f3"]), rel=1e-4)


ROOMS = [
    {"width": 980, "height": 340, "density": 1.0, "dark": False},
    {"width": 643, "height": 320, "density": 2.0, "dark": False},
    {"width": 350, "height": 390, "density": 2.0, "dark": False},
]


@pytest.mark.parametrize("room", ROOMS)
@pytest.mark.parametrize("places", [{}, WALK[0], {"volume": 60 * litre, "limits": OWN, "f3": 40.0}])
def test_no_words_of_bass_against_size_meet(page, room, places):
    """On a desk, at 200 % and on a phone: no text lies on another, and none runs out of the picture."""
    page.board.room = room
    page.put(**places)
    figure, axes = page.scene.figure, page.scene.trade.axes
    page.picture.draw()
    renderer = figure.canvas.get_renderer()
    words = [axes.xaxis.label, axes.yaxis.label, *axes.get_xticklabels(), *axes.get_yticklabels()]
    words += page.scene.trade.reasons.values()
    boxes = [(text.get_text(), text.get_window_extent(renderer)) for text in words if text.get_text()]
    assert len(boxes) > 6
    for index, (text, box) in enumerate(boxes):
        assert figure.bbox.x0 <= box.x0 < box.x1 <= figure.bbox.x1, text
        assert figure.bbox.y0 <= box.y0 < box.y1 <= figure.bbox.y1, text
        for other, there in boxes[index + 1 :]:
            assert not box.shrunk(0.97, 0.9).overlaps(there), (text, other)
    panels = [other.get_position() for other in page.scene.stack.axes.values()]
    assert not any(axes.get_position().overlaps(panel) for panel in panels)
    page.board.room = ROOMS[0]


def helper_of(page):
    return next(helper for helper in page.helpers if isinstance(helper, EveryDriver))


def test_a_driver_may_have_braces_in_its_name():
    driver = demo_drivers()["250 mm bass"]
    helper = helper_of(which_box(drivers={"the {old} one": driver}))
    helper.search()
    assert "the {old} one: " in helper.answer


def test_every_driver_is_searched_by_the_brief_of_the_page():
    """Of each the best box is told, the best one first, in the units of the page; of the others why they have none."""
    names = ("250 mm bass", "165 mm panel of 2 ohm", "200 mm bass", "200 mm bass, misprinted Q")
    drivers = {name: demo_drivers()[name] for name in names}
    page = which_box(drivers)
    page.board.system = "US customary"
    page.put(volume=40 * litre, amplifier="head unit of the minibus")
    helper = helper_of(page)
    helper.search()
    first = {}
    for design in recommend(drivers, page.scene.brief(page.values), best=100, candidates=900).designs:
        first.setdefault(design.name, design)
    told = re.findall("<p>(.*?)</p>", helper.answer)
    assert [entry.partition(":")[0] for entry in told] == [*first, "165 mm panel of 2 ohm"]
    for entry, design in zip(told, first.values(), strict=False):
        net, reach = re.search(r"(\d\.\d+) cubic feet net.*bass down to (\d+) Hz", entry).groups()
        assert float(net) * cubic_foot == pytest.approx(design.loudspeaker.box.volume, abs=0.51e-2 * cubic_foot)
        assert float(reach) == pytest.approx(design.values["f3"], abs=0.51)
        assumed = " The driver takes up about 0.037 cubic feet of the box (assumed from its diameter and depth; "
        assert (assumed in entry) == (design.name == "200 mm bass, misprinted Q")
    too_low = "No box: its coil has 1.7 ohm, and the amplifier is made for no less than 3.2 ohm."
    assert told[3] == f"165 mm panel of 2 ohm: {too_low}"
    page.put(volume=30 * litre)
    assert helper.answer == ""


def test_in_a_vehicle_it_says_whose_peak_it_is(page):
    assert "heard in the vehicle" not in details(page)
    name, cabin = next(iter(demo_cabins().items()))
    page.put(cabin=name)
    assert "Peak, droop and group delay are as heard in the vehicle." in details(page)
    lifts = next(said for said in page.answer.details if "the cabin lifts" in said.words)
    assert lifts["length"] == pytest.approx(Air().sound_speed / (2 * cabin.length))


def test_the_level_drawn_is_the_textbook_s(page, closed_form):
    grid, level = (np.asarray(values) for values in page.scene.stack.values("sealed", "level"))
    assert level == pytest.approx(solved(closed_form, page, "sealed", grid).level, abs=0.02)


@pytest.mark.parametrize("depth", [0.2, 0.25, 0.4])
def test_no_box_is_drawn_deeper_than_the_space(page, depth):
    """And it holds what it is said to hold: the litres, with what driver and port take up, as in any shape."""
    page.put(volume=18 * litre, depth=depth)
    assert page.board.things
    for thing in page.board.things:
        box = thing["box"]
        assert box["depth"] <= depth * (1 + 1e-9)
        assert box["height"] * box["width"] * box["depth"] >= box["volume"]


def test_no_peak_and_no_droop_are_not_told_as_0_dB(page):
    told = [said for said in page.answer.details if "peaks" in said.words or "droops" in said.words]
    assert {said.numbers["kind"].words for said in told} == {"Sealed", "Vented"}
    for said in told:
        assert ("droops" in said.words) == (said["droop"] >= 0.05)
        assert ("peaks by" in said.words) == (said["peak"] >= 0.05)
        assert "by 0 dB" not in said.text("metric")


def test_watts_are_typed_into_the_load_that_was_chosen_just_before():
    """The choice may still wait for the kernel when the watts arrive; it comes along, and is not taken twice."""
    page = which_box()
    chosen = {"number": 1, "places": {"amplifier": "another: say its watts", "load": "2 ohm"}}
    ask(page, typed=["voltage", "250"], moved=chosen)
    assert page.values["load"] == "2 ohm"
    assert page.values["voltage"] == pytest.approx((250 * 2) ** 0.5)
    page.board.moved = chosen
    assert page.text("voltage") == "250 W (22.4 V into 2 ohm)"
    ask(page, typed=["voltage", "200"], moved=chosen)
    assert page.values["voltage"] == pytest.approx((200 * 2) ** 0.5)
