"""From a stage of a plan to a page, and back."""

import re

import numpy as np
import pytest

from lumpedbox.parts.filters import Gain
from lumpedbox.plan import demo_plan, read_plan
from lumpedbox.sliders.kit.stages import at_stage, link_to
from lumpedbox.sliders.lessons.my_upgrade.pages import BOX, BUILT, DRAW, LEVELS, NOTEBOOKS, SHARED, TAME, WIRE, pages
from lumpedbox.units import mm2
from tests.sliders.conftest import made

PLAN = """
[opening.here]
volume = "30 litres"
space = "60 litres"
[opening.there]
baffle = "infinite"
[have]
there = "165 mm panel"
[stage."a box"]
put = { here = "250 mm bass" }
box = { here = { volume = "30 litres", Ql = 7 } }
[stage."a hole"]
set = { here.hole = "300 cm2" }
[orders]
first = ["a hole", "a box"]
"""


@pytest.fixture
def mine(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "my_plan.toml").write_text(PLAN, encoding="utf-8")
    return tmp_path / "my_plan.toml"


def test_a_link_leads_to_the_stage_of_ones_own_plan_and_to_what_is_done_before(mine):
    at = at_stage("stage=a+box&at=here")
    assert (at.name, at.place, at.before, at.is_example) == ("a box", "here", ("a hole",), False)
    assert at.state.done == {"a hole", "a box"}
    assert at.state.drivers["here"].name == "250 mm bass"


def test_without_a_plan_it_is_a_stage_of_the_example(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    at = at_stage("stage=bass+box")
    assert (at.is_example, at.place) == (True, "")
    assert at.before == ("tweeters at the middle row", "seal the step wells", *at.before[2:])
    page, _, text = link_to("which_box", demo_plan(), "bass box", "wheel arch").partition("#")
    assert page == "which_box.ipynb"
    assert (at_stage(text).name, at_stage(text).place) == ("bass box", "wheel arch")


def test_ones_own_order_goes_before_those_that_were_proposed(mine):
    mine.write_text(PLAN + '"my order" = ["a box"]\n', encoding="utf-8")
    assert at_stage("stage=a+box").before == ()
    assert at_stage("stage=a+hole").before == ()  # left out: with what it needs, which is nothing


def test_a_link_about_no_stage_or_to_what_is_gone_is_told(mine):
    assert at_stage("volume=0.03") is None
    with pytest.raises(ValueError, match=r"my_plan.toml has no stage 'a bx' any more"):
        at_stage("stage=a+bx")
    for elsewhere in ("../my_plan.toml", "my_parts.txt", "/tmp/plan.toml"):
        with pytest.raises(ValueError, match=r"ends in \.toml"):
            at_stage(f"stage=a+box&plan={elsewhere}")
    with pytest.raises(ValueError, match=r"other\.toml is not there"):
        at_stage("stage=a+box&plan=other.toml")


@pytest.fixture
def example(tmp_path, monkeypatch):
    """The demonstration's plan as one's own."""
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "my_plan.toml"
    path.write_text(demo_plan().text, encoding="utf-8")
    return path


def opened(name, stage, at=""):
    page = made(name)
    page._do("link", f"stage={stage.replace(' ', '+')}&at={at.replace(' ', '+')}")
    assert page.message == ""
    return page


def given(page, key):
    """What is said once a result is given back, and the lines of the file that differ then."""
    before = page.returning._at.plan.text.split("\n")
    page._do("give", key)
    after = page.returning._at.plan.text.split("\n")
    assert len(before) == len(after)
    return page.board.stage["said"], [line for line, old in zip(after, before, strict=True) if line != old]


@pytest.mark.long
def test_the_box_of_a_stage_is_chosen_and_given_back(example):
    page = opened("which_box", "bass box", "wheel arch")
    assert page.values["driver"] == "250 mm bass"
    # 60 litres are free: a cube of 391.5 mm a side, less twice 18 mm of board
    assert page.values["volume"] == pytest.approx((0.060 ** (1 / 3) - 0.036) ** 3)
    assert (page.values["voltage"] ** 2 / 4) == pytest.approx(75.0, rel=1e-3)  # the sheet of the stores' amplifier
    assert page.values["cabin"] == "as in the plan"
    keys = [key for key, _ in page.board.stage["gives"]]
    assert keys == ["sealed", "vented"]
    for key in keys:
        said, (line,) = given(page, key)
        assert said.startswith(f"Written into my_plan.toml, bass box, wheel arch: {key}, ")
        box = read_plan(example).stages["bass box"].box["wheel arch"]
        wanted = page.scene.designs[key].loudspeaker.box
        assert box.volume == pytest.approx(wanted.volume, rel=0.005)
        assert float(box.Ql) == 7.0
        if key == "vented":
            # a Helmholtz resonator of the port that is told, f = c/(2 pi) sqrt(S/(V l)), l with its two ends
            assert box.fb == pytest.approx(wanted.port.tuning(wanted.volume), rel=0.005)
            assert f'tuning = "{box.fb:g} Hz"' in line
    page._do("take_back", True)
    assert page.board.stage["said"].startswith("Undone")
    sealed = read_plan(example).stages["bass box"].box["wheel arch"]
    assert not hasattr(sealed, "fb")


@pytest.mark.long
def test_what_is_undone_leaves_the_file_as_it_was_byte_by_byte(example):
    before = example.read_bytes()
    page = opened("which_box", "bass box", "wheel arch")
    given(page, "sealed")
    assert example.read_bytes() != before
    page._do("take_back", True)
    assert example.read_bytes() == before


@pytest.mark.long
def test_another_driver_than_the_stages_gives_nothing_back(example):
    before = example.read_bytes()
    page = opened("which_box", "bass box", "wheel arch")
    page.put(driver="200 mm bass")
    page._do("give", "sealed")
    assert page.board.note.startswith("Driver is not that of the stage any more, so nothing is written. Put 250 mm")
    assert example.read_bytes() == before


@pytest.mark.long
def test_a_change_in_another_tab_is_not_written_over(example):
    page = opened("which_box", "bass box", "wheel arch")
    changed = example.read_text("utf-8").replace('volume = "40 litres", Ql = 7', 'volume = "39 litres", Ql = 7')
    example.write_text(changed, encoding="utf-8")
    page._do("give", "sealed")
    assert "was changed meanwhile" in page.board.note
    assert example.read_text("utf-8") == changed


def test_the_tweeter_of_a_stage_is_tamed_and_the_resistors_given_back(example):
    page = opened("loud_tweeter", "tweeters at the middle row", "middle row left")
    wanted = {"tweeter": "19 mm dash tweeter", "woofer": "100 mm roof", "wiring": "parallel", "lift": 0.0}
    assert {name: page.values[name] for name in wanted} == wanted
    assert page.values["capacitor"] == pytest.approx(6.8e-6)
    assert page.values["pad"] == pytest.approx(6.0)
    assert [key for key, _ in page.board.stage["gives"]] == ["none", "as set"]
    _, (line,) = given(page, "as set")
    assert line.count('["6.8 uF in series", "2 ohm in series", "3.9 ohm across"]') == 2  # left and right
    # two resistors before 4 ohm: 20 lg(1 + Rs/Rp + Rs/Z), as lumpedbox.parts.network.l_pad has it
    assert 20 * np.log10(1 + 2 / 3.9 + 2 / 4) == pytest.approx(6.0, abs=0.15)
    _, (line,) = given(page, "none")
    assert line.count('["6.8 uF in series"]') == 2
    page.put(wiring="series")
    assert page.board.stage["gives"] == []


def test_the_channel_of_a_stage_is_shown_with_its_two_drivers(example):
    page = opened("shared_channel", "tweeters at the middle row", "roof and middle left")
    wanted = {"woofer": "100 mm roof", "second": "19 mm dash tweeter", "wiring": "parallel"}
    assert {name: page.values[name] for name in wanted} == wanted
    assert page.values["capacitor"] == pytest.approx(6.8e-6)
    assert page.values["amplifier"] == "head unit of the minibus"
    assert page.board.stage["gives"] == []  # it is as the plan has it, and no cure is set
    assert "only the capacitor counts here" in page.board.note


def test_a_channel_whose_tweeter_has_nothing_in_its_line_offers_nothing_until_something_is_fitted(example):
    lines = example.read_text(encoding="utf-8").split("\n")
    bare = [line for line in lines if not line.startswith('line = { "middle row left"')]
    assert len(bare) == len(lines) - 1
    example.write_text("\n".join(bare), encoding="utf-8")
    page = opened("shared_channel", "tweeters at the middle row", "roof and middle left")
    assert page.values["fitted"] == "none"
    assert page.board.stage["gives"] == []
    page.put(fitted="in series with it")
    ((_, label),) = page.board.stage["gives"]
    assert label == f"{page.values['capacitor'] / 1e-6:.3g} uF in series"


def test_a_capacitor_that_is_taken_out_is_given_back_under_a_name(example):
    page = opened("shared_channel", "tweeters at the middle row", "roof and middle left")
    page.put(fitted="none")
    assert page.board.stage["gives"] == [["line", "nothing before the tweeter"]]
    said, (line,) = given(page, "line")
    assert said.endswith("nothing before the tweeter.")
    assert line == 'line = { "middle row left" = [], "middle row right" = [] }'


@pytest.mark.long
def test_wiring_and_cure_of_a_channel_are_given_back_on_both_sides(example):
    before = example.read_bytes()
    page = opened("shared_channel", "tweeters at the middle row", "roof and middle left")
    page.put(wiring="series", cure="across tweeter and capacitor", resistor=4.7)
    (_, wired), (_, cured) = page.board.stage["gives"]
    assert wired == "wired in series"
    # by hand: 9.1 V r.m.s. of the head unit on 4.7 ohm after the woofer in series take less than 82.8 / 4.7 = 17.6 W
    assert re.fullmatch(r"4\.7 ohm across, (5|10|15|20) W; 6\.8 uF in series", cured)
    for key in ("wiring", "line"):
        page._do("give", key)
    plan = read_plan(example)
    stage = plan.stages["tweeters at the middle row"]
    assert stage.wiring == {"roof and middle left": "series", "roof and middle right": "series"}
    for line in plan.after("tweeters at the middle row").lines[2:4]:
        assert line.channel.wiring == "series"
        tweeter = next(one for one in line.channel.each if one.driver.name == "19 mm dash tweeter")
        assert tweeter.network == page.scene.cured(page.values).each[1].network
    assert page.board.stage["undo"]
    page._do("take_back", True)  # the last of the two
    assert "ohm across" not in example.read_text(encoding="utf-8")
    assert example.read_bytes() != before
    again = opened("shared_channel", "tweeters at the middle row", "roof and middle left")
    assert again.values["wiring"] == "series"


@pytest.mark.long
@pytest.mark.parametrize("cure", ["pad before the capacitor", "across tweeter alone"])
def test_each_cure_makes_in_the_plan_the_network_that_the_page_has(example, cure):
    page = opened("shared_channel", "tweeters at the middle row", "roof and middle left")
    page.put(cure=cure, resistor=6.8, pad=5.0)
    page._do("give", "line")
    line = read_plan(example).after("tweeters at the middle row").lines[2]
    assert line.name == "roof and middle left"
    tweeter = next(one for one in line.channel.each if one.driver.name == "19 mm dash tweeter")
    assert tweeter.network == page.scene.cured(page.values).each[1].network


@pytest.mark.long
def test_the_levels_of_a_stage_are_set_and_given_back(example):
    page = opened("set_the_levels", "bass box")
    wanted = {"front": "130 mm step well", "rear": "100 mm roof", "bass": "250 mm bass", "bass_place": "wheel arch"}
    assert {name: page.values[name] for name in wanted} == wanted
    assert float(page.scene.system.loudspeakers[-1].box.volume) == pytest.approx(0.040)  # as the plan has it
    ((key, label),) = page.board.stage["gives"]
    _, (line,) = given(page, key)
    # a knob stands at the volts that make full power, of the same amplifier: the gains differ as the knobs do
    knobs = {name: output.knob for name, output in page.scene.levels.outputs.items()}
    level = 20 * np.log10(knobs["front"] / knobs["bass"])
    assert float(re.search(r"bass \+?([-\d.]+) dB", label)[1]) == pytest.approx(level, abs=0.25)
    assert f'"level {round(2 * level) / 2:g} dB"' in line
    for side in ("left", "right"):
        assert f'"front {side}" = ["high-pass 80 Hz, 12 dB/octave", "level 0 dB"]' in line
    after = read_plan(example).after(*read_plan(example).stages)
    assert {name: round(20 * np.log10(gain)) for name, gain in zip(after.levels, after.gains, strict=True)}["bass"] == 0
    filters = next(one.channel.filters for one in after.playing if one.name == "bass")
    assert [one.level for one in filters if isinstance(one, Gain)] == [round(2 * level) / 2]
    once = example.read_bytes()
    page._do("give", key)  # once more writes the same
    assert example.read_bytes() == once


@pytest.mark.long
def test_levels_are_set_with_the_crossover_of_the_plan(example):
    """Butterworth of second order: |H| = 1 / sqrt(1 + (fc/f)^4) of a high-pass at fc."""
    text = example.read_text(encoding="utf-8")
    assert text.count('"high-pass 80 Hz, 12 dB/octave"') == 2
    curves = {}
    for corner in (80, 120):
        example.write_text(text.replace("high-pass 80 Hz", f"high-pass {corner} Hz"), encoding="utf-8")
        page = opened("set_the_levels", "bass box")
        frequency, volts = page.scene.stack.values("front", "volts")
        curves[corner] = volts / np.interp(800.0, frequency, volts)
        assert f"Filters as in the plan: front high-pass {corner} Hz, 12 dB/octave" in page.answer.conditions.text(
            "metric"
        )
    expected = np.sqrt((1 + (80 / frequency) ** 4) / (1 + (120 / frequency) ** 4))
    norm = np.sqrt((1 + (80 / 800) ** 4) / (1 + (120 / 800) ** 4))
    assert curves[120] / curves[80] == pytest.approx(expected / norm, rel=1e-3)


@pytest.mark.long
def test_parts_that_are_neither_shipped_nor_kept_are_carried_in_by_name(mine):
    text = PLAN.replace('"250 mm bass"', '{ size = "300 mm", kind = "bass", name = "my old bass" }')
    mine.write_text(text, encoding="utf-8")
    page = opened("which_box", "a box", "here")
    assert page.values["driver"] == read_plan(mine).stages["a box"].put["here"].name
    assert page.values["driver"].startswith("my old bass")
    assert page.values["driver"] in next(one for one in page.board.controls if one["name"] == "driver")["options"]
    assert "Nothing drives it in the plan yet" in page.board.note


@pytest.mark.long
def test_the_example_is_shown_and_nothing_is_written_into_it(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    page = opened("which_box", "bass box", "wheel arch")
    assert page.board.stage["gives"] == []
    assert page.board.stage["said"].startswith("The invented example stays as it is")


def test_a_page_opened_by_itself_shows_nothing_of_a_stage(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert made("closed_box").board.stage == {}


def test_a_stage_offers_the_pages_that_fit_what_it_does(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for page in NOTEBOOKS.values():
        (tmp_path / f"{page}.ipynb").touch()
    offered = {name: [label for label, _ in pages(demo_plan(), name)] for name in demo_plan().stages}
    assert offered == {
        "seal the step wells": [BUILT],
        "small drivers in the step wells": [BUILT],
        "tweeters at the middle row": [TAME, SHARED, BUILT],
        "keep bass from the roof": [BUILT],
        "amplifier": [LEVELS, WIRE, BUILT],
        "bass box": [BOX, DRAW, LEVELS, BUILT],
    }
    for _, address in pages(demo_plan(), "bass box"):
        assert at_stage(address.partition("#")[2]).name == "bass box"
    (tmp_path / "which_box.ipynb").unlink()
    assert [label for label, _ in pages(demo_plan(), "bass box")] == [DRAW, LEVELS, BUILT]


def test_what_is_built_in_a_stage_is_held_against_its_box_driver_and_cabin(example):
    page = opened("as_planned", "bass box", "wheel arch")
    wanted = {"measured": "impedance of the box", "planned": "after: bass box", "speaker": "wheel arch"}
    assert {name: page.values[name] for name in wanted} == wanted
    (speaker,) = page.scene.system.loudspeakers
    assert (speaker.driver.name, speaker.box.volume, speaker.box.Ql) == ("250 mm bass", pytest.approx(0.040), 7.0)
    assert page.board.stage["name"] == "bass box, wheel arch"
    assert (page.board.stage["gives"], page.board.stage["said"]) == ([], "")
    page = opened("as_planned", "amplifier")  # it builds no box: what is heard tells how it came out
    assert (page.values["measured"], page.values["planned"]) == ("level in the vehicle", "after: amplifier")
    assert "wheel arch" not in page.scene.system.names
    assert page.scene.system.listener == pytest.approx((2.60, 0.50, 1.15))


def test_a_stage_is_read_as_its_file_stands_when_the_link_is_followed(example):
    page = opened("as_planned", "bass box", "wheel arch")
    _, curve = page.scene.stack.values("plan", "curve")
    before = np.nanmax(curve), page.scene.edges["curve"][1].max()
    text = example.read_text(encoding="utf-8").replace('volume = "40 litres", Ql = 7', 'volume = "20 litres", Ql = 7')
    other = example.with_name("other.toml")
    other.write_text(text, encoding="utf-8")
    page._do("link", "stage=bass+box&plan=other.toml&at=wheel+arch")
    (speaker,) = page.scene.system.loudspeakers
    assert speaker.box.volume == pytest.approx(0.020)
    _, curve = page.scene.stack.values("plan", "curve")
    assert np.nanmax(curve) != pytest.approx(before[0], rel=0.01)
    assert page.scene.edges["curve"][1].max() != pytest.approx(before[1], rel=0.01), "the band is of the new plan too"


def test_the_invented_example_is_compared_with_and_nothing_is_said_of_giving_back(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    page = opened("as_planned", "bass box", "wheel arch")
    assert page.values["planned"] == "after: bass box"
    assert page.board.stage["said"] == ""


@pytest.mark.long
def test_the_feed_begins_with_the_draws_of_the_cards_stage(example):
    """Three of the four channels of 75 W play after the bass box: 225 W."""
    page = opened("wire_and_fuse", "bass box", "wheel arch")
    assert page.values["stage_done"] == "after stage 5, bass box"
    assert page.values["power"] == pytest.approx(225)
    assert page.board.note.startswith("bass box, wheel arch: ")
    assert "asks for something else" not in page.board.note
    (given_back,) = page.board.stage["gives"]
    # 225 W at 0.65 and 13.8 V draw 25.08 A, over 0.8 31.4: 40 A; 16 mm2 are a little less than gauge 4
    assert given_back[0] == "feed"
    assert given_back[1].startswith("fuse 40 A, wire 16 mm²")
    assert page.board.stage["link"]["stage"] == "bass box"


SETTLED = {"area": 25 * mm2, "length": 5.0, "rating": 110.0, "back": 0.8e-3, "maker": 60.0, "efficiency": 0.7}


def opened_feed(stage="amplifier"):
    page = opened("wire_and_fuse", stage)
    page.put(**SETTLED, vehicle="start-stop", battery=14.1)
    return page


@pytest.mark.long
def test_a_feed_is_given_back_with_its_stage_and_found_there_again(example):
    """Two channels of 75 W at 0.7 and 14.1 V draw 15.2 A, over 0.8 19.0: 20 A. The bass box brings a third: 30 A."""
    before = example.read_bytes()
    page = opened_feed()
    page._do("give", "feed")
    said = page.board.stage["said"]
    assert said.startswith("Written into my_plan.toml, amplifier: fuse 20 A, wire 25 mm²")
    plan = read_plan(example)
    feed = plan.stages["amplifier"].feed
    assert (feed.fuse, feed.vehicle, feed.voltage, feed.return_resistance) == (20, "start-stop", 14.1, 0.8e-3)
    (draw,) = feed.draws
    assert (draw.name, draw.power) == ("four channels from the stores", pytest.approx(150))
    again = opened("wire_and_fuse", "amplifier")
    for name, value in {**SETTLED, "vehicle": "start-stop", "battery": 14.1}.items():
        assert again.values[name] == (pytest.approx(value) if isinstance(value, float) else value), name
    assert again.values["stage_done"] == "after stage 4, amplifier"
    later = opened("wire_and_fuse", "bass box")  # the wire is as it was settled, the draws are those of this stage
    assert (later.values["area"], later.values["power"]) == (pytest.approx(25 * mm2), pytest.approx(225))
    assert later.scene.fuses == (30,)
    state = plan.after("amplifier", "bass box")
    told = "feed: 225 W of amplifiers are on it now, and wire and fuse were settled for 150 W: settle it anew."
    assert told in state.unfit
    page._do("take_back", True)
    assert example.read_bytes() == before


@pytest.mark.long
def test_a_page_opened_by_itself_gives_the_feed_to_the_stage_whose_draws_it_takes(example):
    page = made("wire_and_fuse")
    assert page.board.stage == {}
    page.put(step="from my upgrade", stage_done="after stage 4, amplifier", battery=14.1, efficiency=0.7)
    assert page.board.stage["name"] == "amplifier"
    page.put(stage_done="after stage 5, bass box")  # what is laid in stage 4 may serve stage 5
    page._do("give", "feed")
    feed = read_plan(example).stages["amplifier"].feed
    assert (feed.fuse, feed.draws[0].power) == (30, pytest.approx(225))


@pytest.mark.long
def test_a_feed_settled_for_a_later_stage_stands_as_it_was(example):
    page = opened_feed()
    page.put(stage_done="after stage 5, bass box")
    page._do("give", "feed")
    again = opened("wire_and_fuse", "amplifier")
    assert (again.values["stage_done"], again.values["power"]) == ("by hand", pytest.approx(225))
    assert "It stands as it was settled." in again.board.note
    assert not [one for one in read_plan(example).after("amplifier", "bass box").unfit if one.what == "feed"]


@pytest.mark.long
def test_a_second_amplifier_and_its_branch_come_back_too(example):
    page = opened_feed()
    page.put(more="a second amplifier", branch_power=200.0, branch_maker=40.0, branch_area=6 * mm2, branch_rating=40.0)
    told = {
        name: page.values[name] for name in ("branch_power", "branch_maker", "branch_area", "branch_rating", "more")
    }
    page._do("give", "feed")
    assert len(read_plan(example).stages["amplifier"].feed.branches) == 2
    again = opened("wire_and_fuse", "amplifier")
    assert {name: again.values[name] for name in told} == {
        name: value if isinstance(value, str) else pytest.approx(value) for name, value in told.items()
    }


@pytest.mark.long
@pytest.mark.parametrize(
    "wrong", [{"source": "nobody yet"}, {"rating": 10.0}, {"vehicle": "unknown"}, {"battery": 27.6}]
)
def test_a_feed_without_a_fuse_is_not_given_back(example, wrong):
    page = opened_feed()
    page.put(**wrong)
    assert page.board.stage["gives"] == []


@pytest.mark.long
@pytest.mark.parametrize(("read", "noted"), [("14.2 V", False), ("12.6 V", True)])
def test_the_battery_that_was_read_is_not_asked_again(example, read, noted):
    text = example.read_text(encoding="utf-8").replace('voltage = "2.83 V"', f'battery = "{read}"\nvoltage = "2.83 V"')
    example.write_text(text, encoding="utf-8")
    page = opened("wire_and_fuse", "amplifier")
    assert page.values["battery"] == float(read.removesuffix(" V"))
    assert ("read with the engine off" in page.board.note) == noted


@pytest.mark.long
def test_a_stage_without_an_amplifier_leaves_the_feed_as_it_is(example):
    page = opened("wire_and_fuse", "seal the step wells")
    assert (page.values["stage_done"], page.values["power"]) == ("by hand", 300)
    assert "No draws of seal the step wells are offered here" in page.board.note


@pytest.mark.long
@pytest.mark.parametrize("name", ["loud_tweeter", "set_the_levels"])
def test_what_is_answered_for_another_driver_is_not_given_back(example, name):
    """Of a tweeter and a bass that are known by size and kind alone the pages know no sensitivity."""
    kind = {"loud_tweeter": '"25 mm", kind = "tweeter"', "set_the_levels": '"250 mm", kind = "bass"'}[name]
    text = example.read_text(encoding="utf-8")
    old = {"loud_tweeter": '"19 mm dash tweeter"', "set_the_levels": '"250 mm bass"'}[name]
    assert old in text
    example.write_text(text.replace(old, f"{{ size = {kind} }}"), encoding="utf-8")
    stage, at = {"loud_tweeter": ("tweeters at the middle row", "middle row left"), "set_the_levels": ("bass box", "")}[
        name
    ]
    page = opened(name, stage, at)
    assert page.board.stage["gives"] == []
    assert re.match(r"Nothing to give back: .* cannot be counted here", page.board.stage["said"])
