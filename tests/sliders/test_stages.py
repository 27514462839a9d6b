"""From a stage of a plan to a page, and back."""

import pytest

from lumpedbox.plan import demo_plan
from lumpedbox.sliders.kit.stages import at_stage, link_to

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
    at = at_stage("stage=a+box&place=here")
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
