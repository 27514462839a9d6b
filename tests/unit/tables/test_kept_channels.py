"""Channels among one's own parts: what feeds what, by names, and how it is wired."""

import re

import pytest

from lumpedbox.design.wiring import meter_reading
from lumpedbox.tables import demo_amplifiers, demo_drivers, demo_head_units
from lumpedbox.tables.my_parts import forget, keep, read, read_what_is_right
from lumpedbox.units import uF

PANEL, TWEETER, UNIT = "165 mm panel", "25 mm pillar tweeter", "head unit of the minibus"
MINE = {"Re": "3.0 ohm", "fs": "50 Hz", "Qes": "0.6", "Qms": "4", "Vas": "20 L", "Sd": "137 cm^2"}
OTHER = MINE | {"Re": "6.0 ohm"}
FRONT = {"feeds": f"{PANEL} + {TWEETER}", "wiring": "series", "line": f"{TWEETER} = 6.8 µF", "source": UNIT}


@pytest.fixture
def path(tmp_path):
    return tmp_path / "my_parts.toml"


def written(path, lines, before=""):
    path.write_text(f'{before}\n[channel."front left"]\n{lines}\n', encoding="utf-8")
    return path


def test_a_channel_is_kept_in_the_keys_of_a_plan_of_stages_and_read_back(path):
    keep("channel", "front left", FRONT, path)
    text = path.read_text(encoding="utf-8")
    assert f'feeds = ["{PANEL}", "{TWEETER}"]\nwiring = "series"\nsource = "{UNIT}"' in text
    assert f'"{TWEETER}" = ["6.8 µF in series"]' in text
    channel = read(path).parts["channel"]["front left"]
    wired = channel.wired()
    assert [one.driver for one in wired.each] == [demo_drivers()[PANEL], demo_drivers()[TWEETER]]
    assert (wired.wiring, wired.amplifier, wired.name) == ("series", demo_head_units()[UNIT], "front left")
    woofer, tweeter = wired.each
    assert woofer.network is None
    assert tweeter.network.branches[0].components[0].capacitance == pytest.approx(6.8 * uF)
    assert tweeter.network.branches[0].placed == "in series"


@pytest.mark.parametrize(
    ("lines", "reads"),
    [
        ('feeds = [["a", "b"], ["a", "b"]]', (3 + 6) / 2),  # as a plan writes it: inner lists in series, outer parallel
        ('feeds = [["a", "b"], ["a", "b"]]\nwiring = "parallel"', (3 + 6) / 2),
        ('feeds = [["a", "b"], ["a", "b"]]\nwiring = "series"', 2 * 3 * 6 / (3 + 6)),
        ('feeds = [["a", "b"], "b"]\nwiring = "parallel"', (3 + 6) * 6 / (3 + 6 + 6)),
        ('feeds = ["a", "b"]\nwiring = "series"', 3 + 6),
        ('feeds = ["a", "b"]\nwiring = "parallel"', 3 * 6 / (3 + 6)),
        ('feeds = ["a"]', 3),
        ('feeds = "b"', 6),
    ],
)
def test_it_is_wired_as_it_is_written(path, lines, reads):
    """The coils of a and b by Ohm's law: resistances in series add, their inverses do in parallel."""
    keep("driver", "a", MINE, path)
    keep("driver", "b", OTHER, path)
    written(path, lines, path.read_text(encoding="utf-8"))
    kept = read(path)
    assert kept.unfinished == {}
    assert meter_reading(kept.parts["channel"]["front left"].wired()) == pytest.approx(reads)


def test_the_channel_may_stand_before_what_it_names(path):
    driver = '[driver.mine]\nRe = "3 ohm"\nfs = "50 Hz"\nQes = "0.6"\nQms = "4"\nVas = "20 L"\nSd = "137 cm^2"\n'
    amplifier = '[amplifier.stores]\npower = "40 W"\nrated_impedance = "4 ohm"\n'
    path.write_text(f'[channel.rear]\nfeeds = ["mine"]\nsource = "stores"\n{driver}{amplifier}', encoding="utf-8")
    kept = read(path)
    channel = kept.parts["channel"]["rear"]
    assert channel.loudspeakers[0].driver == kept.parts["driver"]["mine"].driver
    assert channel.source == kept.parts["amplifier"]["stores"]


def test_your_own_part_comes_before_one_of_the_demonstration_with_its_name(path):
    stores = "four channels from the stores"
    keep("driver", PANEL, MINE, path)
    keep("amplifier", stores, {"power": "40 W", "rated_impedance": "4 ohm"}, path)
    keep("channel", "rear", {"feeds": PANEL, "source": stores}, path)
    channel = read(path).parts["channel"]["rear"]
    assert channel.loudspeakers[0].driver.Re == pytest.approx(3.0)
    assert channel.source != demo_amplifiers()[stores]


def test_a_wiring_that_is_not_known_yet_makes_no_channel(path):
    keep("channel", "front left", FRONT | {"wiring": "not known yet", "source": "nothing"}, path)
    channel = read(path).parts["channel"]["front left"]
    assert channel.source is None
    with pytest.raises(ValueError, match=r"KeptChannel.wiring is not known yet \(front left\): find out"):
        channel.wired()


PAIR = f'feeds = ["{PANEL}", "{TWEETER}"]\nwiring = "series"\n'


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("feeds = []", "feeds = []: write the names of the drivers"),
        ("feeds = 5", "feeds = 5: write the names of the drivers"),
        ("feeds = [5]", 'write each name in quotes, as in feeds = ["165 mm panel", "25 mm pillar tweeter"], got 5'),
        ('feeds = [" "]', "write each name in quotes"),
        ("feeds = [[]]", "a group is empty"),
        ('feeds = [["a", ["b"]], "c"]', 'a group holds names only, as in feeds = [["a", "b"], ["c", "d"]]'),
        ('feeds = [["a", "b"]]', "there is one group only: leave out the inner brackets"),
        ("feeds = { a = 1 }", "write the names of the drivers"),
        (f'feeds = "{PANEL}"\nwiring = "serial"', "wiring = 'serial': must be one of"),
        (f'feeds = "{PANEL}"\nwiring = "serial"', "did you mean 'series'?"),
        (f'feeds = "{PANEL}"\nwired = "series"', "'wired' is not known: did you mean 'wiring'?"),
        (PAIR + "source = 4", "source = 4: write its name in quotes, got 4"),
        (PAIR + "line = 6.8", "line = 6.8: write a line for each driver"),
        (PAIR + "line = {}", "write a line for each driver"),
        (PAIR + 'line = { "25 mm piler tweeter" = "6.8 uF" }', f"this channel: did you mean '{TWEETER}'?"),
        (PAIR + f'line = {{ "{TWEETER}" = ["6.8 uF in series", "6 dB pad"] }}', "each driver has one capacitor here"),
        (PAIR + f'line = {{ "{TWEETER}" = "6 dB pad" }}', "each driver has one capacitor here"),
        (PAIR + f'line = {{ "{TWEETER}" = "6.8 F" }}', f"{TWEETER}: must be between 0.01 and 10000 µF"),
        (PAIR + f'line = {{ "{TWEETER}" = "6.8 F" }}', "got 6.8 F: did you mean 6.8 µF?"),
        (PAIR + f'line = {{ "{TWEETER}" = 6.8 }}', "each driver has one capacitor here"),
        (PAIR + f'line = {{ "{TWEETER}" = "6.8" }}', "Write the unit too"),
    ],
)
def test_a_malformed_table_is_named_with_its_key_value_and_slip(path, lines, said):
    written(path, lines)
    with pytest.raises(ValueError, match=re.escape(said)) as caught:
        read(path)
    assert str(caught.value).startswith('my_parts.toml, [channel."front left"]: ')


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (
            'feeds = ["165 mm panell"]',
            f"feeds = '165 mm panell': no driver of that name is kept: did you mean '{PANEL}'?",
        ),
        (f'feeds = "{PANEL}, {TWEETER}"', "these are 2: write each name by itself"),
        (
            PAIR + 'source = "head unit of the minbus"',
            "source = 'head unit of the minbus': no amplifier or head unit of",
        ),
        (PAIR + 'source = "head unit of the minbus"', f"did you mean '{UNIT}'?"),
        ('feeds = ["half told"]', "feeds = 'half told': that driver is kept, but not complete: "),
        ('feeds = [["half told", "b"], ["c", "d"]]\nwiring = "not known yet"', "groups tell how it is wired"),
    ],
)
def test_a_name_that_is_not_kept_leaves_only_its_channel_unfinished(path, lines, said):
    """All else of the file can still be kept and changed: else nobody could forget a driver that a channel names."""
    written(path, lines, '[driver."half told"]\nRe = "3 ohm"\n')
    error = str(read(path).unfinished["channel", "front left"])
    assert error.startswith('my_parts.toml, [channel."front left"]: ')
    assert said in error
    keep("box", "any", {"volume": "20 L"}, path)
    assert list(read(path).parts["box"]) == ["any"]


@pytest.mark.parametrize(
    ("lines", "ways"), [('source = "nothing"', "feeds"), (f'feeds = ["{PANEL}", "{TWEETER}"]', "wiring")]
)
def test_what_is_missing_is_said_as_data(path, lines, ways):
    assert read(written(path, lines)).unfinished["channel", "front left"].ways == ((ways,),)


def test_forgetting_a_driver_leaves_its_channel_unfinished_until_it_is_back(path):
    keep("driver", "mine", MINE, path)
    keep("channel", "rear", {"feeds": "mine"}, path)
    forget("driver", "mine", path)
    assert "no driver of that name is kept" in str(read(path).unfinished["channel", "rear"])
    keep("driver", "mine", MINE, path)
    assert list(read(path).parts["channel"]) == ["rear"]


def test_remarks_outlive_a_change(path):
    lines = (
        '# left door\nfeeds = [  # as found\n  ["165 mm panel", "25 mm pillar tweeter"],\n  ["165 mm panel", '
        '"25 mm pillar tweeter"],\n]\nwiring = "parallel"  # listened\nline = { "25 mm pillar tweeter" = '
        '["6.8 uF in series"] }  # printed on it\n# to be bought\nsource = "nothing"  # yet'
    )
    written(path, lines, "# mine\n")
    changed = {
        "feeds": f"{PANEL} + {TWEETER}\n{PANEL} + {TWEETER}",
        "wiring": "parallel",
        "line": f"{TWEETER} = 4.7 uF",
    }
    keep("channel", "front left", changed | {"source": UNIT}, path)
    text = path.read_text(encoding="utf-8")
    for remark in ("# mine", "# left door", "# as found", "# listened", "# printed on it", "# to be bought", "# yet"):
        assert remark in text
    channel = read(path).parts["channel"]["front left"].wired()
    assert [len(group) for group in channel.groups] == [2, 2]
    assert channel.each[1].network.branches[0].components[0].capacitance == pytest.approx(4.7 * uF)
    forget("channel", "front left", path)
    assert read(path).typed["channel"] == {}
    assert "# left door" in path.read_text(encoding="utf-8")


def test_a_capacitor_that_goes_leaves_the_other_in_a_line_of_an_editor(path):
    line = f'line = {{ "{TWEETER}" = "6.8 uF", "{PANEL}" = "47 uF" }}  # both printed'
    written(path, f"{PAIR}{line}")
    keep(
        "channel", "front left", {"feeds": f"{PANEL} + {TWEETER}", "wiring": "series", "line": f"{PANEL} = 47 uF"}, path
    )
    assert "# both printed" in path.read_text(encoding="utf-8")
    assert read(path).typed["channel"]["front left"]["line"] == {PANEL: ["47 uF in series"]}


def test_groups_on_lines_of_their_own_are_no_headings_of_a_file_with_another_mistake(path):
    lines = 'feeds = [\n  ["165 mm panel", "165 mm panel"],\n  ["165 mm panel", "165 mm panel"],\n]'
    written(path, lines, "[box.bad]\nvolume = 20 L\n")
    kept, wrong = read_what_is_right(path)
    assert len(wrong) == 1
    assert len(kept.parts["channel"]["front left"].loudspeakers) == 2
