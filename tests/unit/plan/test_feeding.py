"""Wire and fuse in a plan's stages: read, written, and rated anew; numbers worked by hand."""

import pytest

from lumpedbox.build import Cable, Draw, Feed, awg
from lumpedbox.plan import keep, read_plan
from lumpedbox.plan.feeding import entries_of, feed_of
from lumpedbox.units import mm2

TRUNK = {"area": "16 mm2", "length": "6 m", "current_rating": "75 A", "source": "the data sheet of this wire"}
AMPLIFIER = {"name": "small", "power": "100 W", "efficiency": "65 %", "maker_fuse": "30 A"}
ALONE = {"voltage": "13.8 V", "vehicle": "engine", **TRUNK, "return_resistance": "0.5 milliohm", "draws": [AMPLIFIER]}
PLAN = """
[opening.left]
[opening.right]
[opening.floor]
[channel.left]
source = "head unit of the minibus"
feeds = ["left"]
[channel.right]
source = "head unit of the minibus"
feeds = ["right", "floor"]   # a remark
[have]
left = "165 mm panel"
right = "165 mm panel"
floor = "165 mm panel"
[part.small]
amplifier = { power = "50 W", rated_impedance = "4 ohm", minimum_load = "2 ohm", channels = 2, name = "small" }
[part.large]
amplifier = { power = "50 W", rated_impedance = "4 ohm", minimum_load = "2 ohm", channels = 2, name = "large" }
[stage.one]
uses = ["small"]
move = { left = "small" }
[stage.both]
after = ["one"]
move = { right = "small" }
wiring = { right = "series" }
[stage.other]
after = ["both"]
move = { left = "large", right = "large" }
"""


@pytest.fixture
def read(tmp_path):
    def read(text):
        (tmp_path / "my_plan.toml").write_text(text, encoding="utf-8")
        return read_plan(tmp_path / "my_plan.toml")

    return read


@pytest.fixture
def kept(read):
    plan = read(PLAN)
    stage = {"uses": ["small"], "move": {"left": "small"}, "feed": ALONE}
    return keep(plan, "stage", stage, "one")


def test_a_feed_is_read_and_written_as_it_was():
    feed = feed_of(ALONE)
    assert feed == Feed(
        voltage=13.8,
        vehicle="engine",
        cable=Cable(area=16 * mm2, length=6.0, current_rating=75.0, source="the data sheet of this wire"),
        return_resistance=0.5e-3,
        draws=Draw(power=100.0, efficiency=0.65, maker_fuse=30.0, name="small"),
    )
    # 100 W at 0.65 and 13.8 V draw 11.15 A: over 0.8 13.9, so 15 A
    assert feed.current == pytest.approx(100 / 0.65 / 13.8)
    assert feed.fuse == 15
    branches = tuple(
        Feed(voltage=24.5, vehicle="start-stop", cable=Cable(area=awg(8), length=1.0, current_rating=40.0), draws=draw)
        for draw in (
            Draw(power=55.0, efficiency=1.0, kind="lights", rated_voltage=(20.0, 32.0)),
            Draw(power=300.0, efficiency=0.7, rated_voltage=(20.0, 32.0), minimum_voltage=21.0),
        )
    )
    clad = Cable(area=awg("1/0"), length=4.5, metal="copper-clad aluminium 10 %")
    grown = Feed(voltage=24.5, vehicle="start-stop", cable=clad, branches=branches)
    for one in (feed, grown):
        again = feed_of(entries_of(one))
        assert again.current == pytest.approx(one.current, rel=1e-9)
        for place, before in zip(again.places, one.places, strict=True):
            assert place.feed.cable.area == pytest.approx(before.feed.cable.area, rel=1e-9)
            for draw, as_before in zip(place.feed.draws, before.feed.draws, strict=True):
                for name in ("power", "efficiency", "rated_voltage"):
                    assert getattr(draw, name) == pytest.approx(getattr(as_before, name), rel=1e-9)
                for name in ("kind", "name", "minimum_voltage"):
                    assert getattr(draw, name) == getattr(as_before, name)
            assert (place.feed.vehicle, place.feed.cable.metal) == (one.vehicle, before.feed.cable.metal)


@pytest.mark.parametrize(("typed", "said"), [
    ({"area": "16 m"}, "area = '16 m': 'm' cannot be converted to mm2"),
    ({"area": 16}, 'area = 16: write it in quotes with its unit, as in "16 mm2"'),
    ({"aera": "16 mm2"}, "aera is not known: did you mean 'area'?"),
    ({"area": "16 cm2"}, "Cable.area must be between"),
    ({"voltage": "400 V"}, "Feed.voltage must be at most 60 V"),
    ({"vehicle": "high voltage"}, "no wire or fuse is told for it"),
    ({"draws": AMPLIFIER}, "write them in brackets"),
    ({"draws": [{"power": "100 W"}]}, "add efficiency"),
    ({"draws": [AMPLIFIER | {"efficiency": "650 %"}]}, "Draw.efficiency must be between"),
    ({"branches": [{"voltage": "12 V", "area": "4 mm2", "length": "1 m"}]}, "voltage is not known"),
    ({"metal": "gold"}, "Cable.metal must be"),
])  # fmt: skip
def test_what_is_wrong_with_a_feed_is_said_by_name(read, typed, said):
    table = str(ALONE | typed).replace("': ", "' = ").replace("{'", "{ '").replace("'", '"')
    with pytest.raises(ValueError, match=r'my_plan\.toml, \[stage\."one"\]: feed = ') as error:
        read(PLAN.replace("[stage.one]\n", f"[stage.one]\nfeed = {table}\n"))
    assert said in str(error.value).replace("\\", "")


def test_a_feed_is_kept_with_its_stage_and_goes_on_after_it(kept):
    assert kept.after().feed is None
    assert kept.after("one").feed == kept.after("one", "both").feed == feed_of(ALONE)
    assert '"30 A"' in kept.path.read_text(encoding="utf-8")
    assert "# a remark" in kept.path.read_text(encoding="utf-8")


def test_what_has_grown_on_a_feed_is_said(kept):
    """50 W into 4 ohm on one channel, settled for 100 W; two channels give 100; two others' are another amplifier's."""

    def feed_of_stage(*done):
        return [str(one) for one in kept.after(*done).unfit if one.what == "feed"]

    assert feed_of_stage("one") == feed_of_stage("one", "both") == []
    told = "feed: large is on it now, and it was settled without: settle it anew."
    assert feed_of_stage("one", "both", "other") == [told]
    text = kept.text.replace('power = "100 W"', 'power = "60 W"')
    kept.path.write_text(text, encoding="utf-8")
    told = "feed: 100 W of amplifiers are on it now, and wire and fuse were settled for 60 W: settle it anew."
    assert [str(one) for one in read_plan(kept.path).after("one", "both").unfit if one.what == "feed"] == [told]


@pytest.mark.parametrize(("battery", "told"), [("14.4 V", False), ("12.0 V", False), ("27.6 V", True), ("48 V", True)])
def test_a_feed_settled_at_other_volts_than_the_batterys_is_told(kept, battery, told):
    kept.path.write_text(f'[plan]\nbattery = "{battery}"\n{kept.text}', encoding="utf-8")
    said = f"feed: the battery reads {battery}, and wire and fuse were settled at 13.8 V"
    found = [str(one) for one in read_plan(kept.path).after("one").unfit if one.what == "feed"]
    assert found == ([f"{said}: settle it anew."] if told else [])


def test_two_stages_with_a_feed_must_say_which_comes_first(kept):
    with pytest.raises(ValueError, match=r"feed 'from the battery': \[stage.\"one\"\] changes that too"):
        keep(kept, "stage", {"feed": ALONE}, "another")
    assert keep(kept, "stage", {"feed": ALONE, "after": ["one"]}, "another").stages["another"].feed is not None


def test_a_stage_wires_a_channel_anew(read):
    """Two of 4 ohm on one channel: 2 ohm as found, 8 in series; and it is not known how, as nobody has written it."""
    plan = read(PLAN)
    found, then = plan.after("one"), plan.after("one", "both")
    for state, wiring in ((found, "parallel"), (then, "series")):
        (line,) = (one for one in state.lines if one.name == "right")
        assert line.channel.wiring == wiring
    assert "How right is wired is not known: taken as parallel." in found.open
    assert not any("is wired is not known" in one for one in then.open)
    with pytest.raises(ValueError, match="wiring: right = 'sereis'"):
        read(PLAN.replace('right = "series"', 'right = "sereis"'))
