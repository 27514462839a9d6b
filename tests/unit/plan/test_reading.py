"""A plan from its file: what is read, and what is refused by name."""

import numpy as np
import pytest

from lumpedbox import Door, HighPass, InfiniteBaffle, LowPass, SealedBox
from lumpedbox.circuit.transfer import transfer
from lumpedbox.plan import Unreadable, causes, figures, read_plan
from lumpedbox.plan.wires import filter_of, fitted_of, network_of
from lumpedbox.tables import demo_amplifiers, demo_cabins, demo_drivers
from lumpedbox.tables.shipped import data_folder

EXAMPLE = (data_folder() / "upgrade_plan.toml").read_text(encoding="utf-8")
SMALL = """
[opening.door]
volume = "30 litres"
[channel.front]
source = "head unit of the minibus"
feeds = ["door"]
[have]
door = "165 mm panel"
"""


@pytest.fixture
def written(tmp_path):
    """Function that writes a plan and reads it."""

    def read(text, name="plan.toml"):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return read_plan(path)

    return read


def test_the_example_says_what_it_says(written):
    plan = written(EXAMPLE)
    assert (plan.name, plan.currency, plan.voltage) == ("minibus of the college, team one", "credits", 2.83)
    assert plan.cabin.law == "modes"
    assert plan.cabin.ear == (2.6, 0.5, 1.15)
    assert plan.openings["step well right"]["depth"] == pytest.approx(0.058)
    assert plan.openings["step well right"]["hole"] == pytest.approx(0.012)
    assert plan.have["roof left"] == demo_drivers()["100 mm roof"]
    assert plan.items["four channels"].amplifier == demo_amplifiers()["four channels from the stores"]
    assert plan.items["pads"].pad == 6
    box = plan.stages["bass box"]
    assert box.after == ("amplifier",)
    assert box.box["wheel arch"] == SealedBox(volume=0.04, Ql=7)
    assert box.filter["bass"] == (LowPass(frequency=80, order=4),)
    assert box.filter["front left"] == (HighPass(frequency=80, order=2),)
    assert plan.orders["team two"][0] == "seal the step wells"


@pytest.mark.parametrize(("old", "new", "told"), [
    ("voltage = ", "volts = ", ["[plan]: volts is not known: did you mean 'voltage'?"]),
    ('depth = "58 mm"', 'depth = "58"', ['[opening."step well right"]: depth = \'58\'', "58 mm"]),
    ('depth = "58 mm"', "depth = 58", ['[opening."step well right"]: depth = 58', "unit"]),
    ('depth = "58 mm"', 'depth = "58 m"', ['[opening."step well right"]: depth', "did you mean 58 mm?"]),
    ('depth = "58 mm"', 'depht = "58 mm"', ["depht is not known: did you mean 'depth'?"]),
    ('use = "sixteen-seat minibus"', 'use = "sixteen-seat minbus"', ["[cabin]: use", "'sixteen-seat minibus'?"]),
    ('place = ["4.60 m"', 'place = ["5.60 m"', ["[cabin]", "wheel arch", "5 m there"]),
    ('"roof left" = "100 mm roof"', '"roof left" = "100 mm rof"', ["[have]: roof left", "'100 mm roof'?"]),
    ('"roof left" = "100 mm roof"', '"roof lef" = "100 mm roof"', ["[have]: roof lef", "'roof left'?"]),
    ('feeds = ["wheel arch"]', 'feeds = ["wheel arc"]', ["[channel.\"bass\"]: feeds", "'wheel arch'?"]),
    ('feeds = ["wheel arch"]', 'feeds = ["roof left"]', ["feeds it already"]),
    ('wiring = "parallel"', 'wiring = "paralel"', ["did you mean 'parallel'?"]),
    ('cost = 95', 'cost = -95', ['[part."bass driver"]: cost = -95']),
    ('cost = 95', 'cost = "a lot"', ['[part."bass driver"]: cost', "not a number"]),
    ('after = ["amplifier"]', 'after = ["amplifer"]', ['[stage."bass box"]: after', "'amplifier'?"]),
    ('after = ["amplifier"]', 'after = ["bass box"]', ["after goes in a circle"]),
    ('uses = ["bass driver"', 'uses = ["bas driver"', ['[stage."bass box"]: uses', "'bass driver'?"]),
    ('"low-pass 80 Hz, 24 dB/octave"', '"low-pass 80, 24 dB/octave"', ["bass = ", "Write the unit too, as in 80 Hz"]),
    ('"low-pass 80 Hz, 24 dB/octave"', '"low-pass 80 Hz, 25 dB/octave"', ["6, 12, 18 or 24 dB/octave"]),
    ('"low-pass 80 Hz, 24 dB/octave"', '"lowpas 80 Hz"', ["write it as in high-pass 80 Hz"]),
    ('["6.8 uF in series", "6 dB pad"], "middle', '["6.8 mF in series"], "middle', ["write uF"]),
    ('volume = "40 litres", Ql = 7', 'volume = "40 litres", Qll = 7', ["'Qll' is not known: did you mean 'Ql'?"]),
    ('"step well left".hole = "0 cm2"', '"step well left" = "0 cm2"', ["write what is set"]),
    ("[orders]", "[order]", ["[order] is not known: did you mean 'orders'?"]),
    ('"team one" = ["tweeters', '"team one" = ["bass box", "tweeters', ["bass box' stands there twice"]),
    ('"amplifier", "bass box", "tw', '"bass box", "amplifier", "tw', ["'bass box' comes after 'amplifier'"]),
    ('[stage."amplifier"]', '[stage.amplifier', ["not written as TOML", "the heading has no ] at its end"]),
    ('put = { "wheel arch" = "250 mm bass" }', 'put = "250 mm bass"', ["put = '250 mm bass': write the opening"]),
])  # fmt: skip
def test_what_is_wrong_is_told_with_its_place_and_the_likely_slip(written, old, new, told):
    assert EXAMPLE.count(old) >= 1
    with pytest.raises(ValueError, match=r"^plan\.toml") as refused:
        written(EXAMPLE.replace(old, new, 1))
    for words in told:
        assert words in str(refused.value)


def test_all_that_is_wrong_is_told_at_once(written):
    text = EXAMPLE.replace('depth = "58 mm"', 'depth = "58"').replace("cost = 95", "cost = -1").replace("uses", "use")
    with pytest.raises(Unreadable) as refused:
        written(text)
    assert len(refused.value.problems) == 2 + EXAMPLE.count("uses")
    assert str(refused.value).splitlines() == list(refused.value.problems)


def test_two_stages_that_put_something_into_one_opening_must_say_which_comes_first(written):
    second = '\n[stage.again]\nput = { "step well left" = "165 mm panel" }\n'
    with pytest.raises(ValueError, match="small drivers in the step wells") as refused:
        written(EXAMPLE + second)
    assert "put 'step well left'" in str(refused.value)
    assert "after = [" in str(refused.value)
    plan = written(EXAMPLE + second.replace("put", 'after = ["small drivers in the step wells"]\nput'))
    state = plan.after("again", "small drivers in the step wells")
    assert state.drivers["step well left"] == demo_drivers()["165 mm panel"]


@pytest.mark.parametrize("change", ['set = { door.hole = "1 cm2" }', 'box = { door = { volume = "20 L" } }',
                                    'line = { door = "6 dB pad" }', 'move = { front = "nothing" }'])  # fmt: skip
def test_what_two_stages_replace_must_have_an_order_too(written, change):
    with pytest.raises(ValueError, match="either could come first"):
        written(f"{SMALL}[stage.one]\n{change}\n[stage.two]\n{change}\n")


def test_an_opening_at_the_ear_is_refused_with_the_channel(written):
    text = EXAMPLE.replace('place = ["2.20 m", "0.45 m", "1.58 m"]', 'place = ["2.62 m", "0.50 m", "1.15 m"]')
    with pytest.raises(ValueError, match=r'\[channel."roof and middle left"\].*roof left .* within the ear'):
        written(text)


@pytest.mark.parametrize(("text", "open_"), [
    ("", "No channel is written"),
    ("[plan]\nname = \"mine\"\n", "No channel is written"),
    ('[opening.door]\n[channel.front]\nfeeds = ["door"]\n', "No channel has a source"),
    (SMALL, "The cabin is not known"),
    (SMALL + '[cabin]\nuse = "small hatchback"\n', "Where door sits is not known"),
    (SMALL.replace('volume = "30 litres"', ""), "What is behind door is not known"),
])  # fmt: skip
def test_what_is_missing_is_left_open_and_said(written, text, open_):
    plan = written(text)
    found = figures(plan.after())
    assert open_ in " ".join(found.open)
    assert (found.clean > 60) == (text.count("165 mm") == 1)


def test_a_channel_whose_wiring_is_not_known_says_what_is_taken(written):
    text = SMALL.replace('["door"]', '["door", "roof"]').replace("[channel", "[opening.roof]\n[channel")
    assert "How front is wired is not known" in " ".join(written(text).after().open)


def test_a_driver_of_unknown_travel_is_listed_as_a_limit_that_is_not_applied(written):
    plan = written(SMALL.replace("165 mm panel", "150 x 230 mm oval shelf"))
    assert any("door" in said and "xmax" in said for said in figures(plan.after()).unknown)


def test_numbers_may_stand_in_the_place_of_a_name(written):
    driver = '{ fs = "58 Hz", Qes = 0.6, Qms = 4.5, Vas = "15 L", Sd = "137 cm2", Re = "3.4 ohm", xmax = "4 mm" }'
    text = SMALL.replace('"165 mm panel"', driver).replace('"head unit of the minibus"', '{ voltage = "9.1 V" }')
    speaker = written(text).after().system.loudspeakers[0]
    assert speaker.driver.fs == pytest.approx(58)
    assert speaker.box == SealedBox(volume=0.03)
    with pytest.raises(ValueError, match=r"door = .*too little is written"):
        written(SMALL.replace('"165 mm panel"', '{ fs = "58 Hz" }'))


def test_a_cabin_may_be_written_by_its_sizes(written):
    sizes = '[cabin]\nlength = "2.3 m"\nwidth = "1.4 m"\nheight = "1.2 m"\near = ["1.2 m", "0.4 m", "0.9 m"]\n'
    placed = SMALL.replace('volume = "30', 'place = ["0.7 m", "0 m", "0.35 m"]\nvolume = "30')
    plan = written(placed + sizes)
    assert (plan.heard_in.law, plan.heard_in.length) == ("modes", 2.3)
    with pytest.raises(ValueError, match=r"\[cabin\]: height = '1.2': Write the unit too"):
        written(placed + sizes.replace('height = "1.2 m"', 'height = "1.2"'))
    with pytest.raises(ValueError, match=r"\[cabin\]: a closed boot"):
        written(placed + '[cabin]\nuse = "small hatchback"\nboot = "closed"\n')
    with pytest.raises(ValueError, match=r"\[cabin\]: too little is written: add height"):
        written(placed + sizes.replace('height = "1.2 m"\n', ""))


def test_own_parts_beside_the_plan_are_found(tmp_path, written):
    (tmp_path / "my_parts.toml").write_text('[driver.mine]\nsize = "165 mm"\nkind = "woofer"\n[driver.half]\n')
    assert written(SMALL.replace("165 mm panel", "mine")).have["door"].name == "mine, stand-in"
    with pytest.raises(ValueError, match="that driver is kept, but not complete"):
        written(SMALL.replace("165 mm panel", "half"))


def test_a_driver_of_the_plan_is_found_by_the_name_of_its_part(written):
    text = f'{SMALL}[part."the new one"]\ndriver = {{ size = "200 mm", kind = "woofer" }}\n'
    stage = '[stage.swap]\nuses = ["the new one"]\nput = { door = "the new one" }\n'
    assert written(text + stage).after("swap").drivers["door"].name.startswith("driver of the plan")


@pytest.mark.parametrize(("content", "told"), [
    (b"\xff\xfe[plan]", "not text in UTF-8"),
    (b"[plan]\nname = \"\x00\"\n", "not written as TOML"),
    (b"a = " + b"[" * 5000, "not written as TOML"),
    (b"plan = 3\n", r"plan = 3: write a heading, \[plan\]"),
    (b"[opening]\ndoor = 3\n", r'write a heading, \[opening\."its name"\]'),
    (b'[opening.""]\n', "give it a name"),
    (b'[opening."a b"]\n[opening."a  b"]\n', "this name stands there twice"),
])  # fmt: skip
def test_what_is_no_plan_is_refused(written, content, told):
    with pytest.raises(ValueError, match=told):
        written(content)


def test_a_file_that_is_not_there_is_named(tmp_path):
    with pytest.raises(ValueError, match=r"none\.toml is not there"):
        read_plan(tmp_path / "none.toml")


def test_a_mark_at_the_start_and_other_line_ends_do_no_harm(written):
    assert written(b"\xef\xbb\xbf" + EXAMPLE.replace("\n", "\r\n").encode()).orders == written(EXAMPLE).orders


def test_each_kind_of_box_follows_from_what_is_known_of_an_opening(written):
    def box(known):
        return written(SMALL.replace('volume = "30 litres"', known)).after().system.loudspeakers[0].box

    assert box('baffle = "infinite"') == InfiniteBaffle()
    assert box('volume = "30 litres"\nhole = "120 cm2"') == Door(volume=0.03, hole_area=0.012)
    assert box('box = { volume = "20 litres", Ql = 7 }') == SealedBox(volume=0.02, Ql=7)


@pytest.mark.parametrize("text", [
    "high-pass 80 Hz, 12 dB/octave", "LOW-PASS at 2.5 kHz, 24 dB/oct, Linkwitz-Riley", "level -3 dB", "gain 3 dB",
    "delay 2 ms", "reversed", "peak -6 dB at 60 Hz, Q 2", "peak 3 dB at 60 Hz", "shelf 3 dB below 100 Hz",
])  # fmt: skip
def test_filters_are_read_as_people_write_them(text):
    assert filter_of(text)


def test_what_a_source_does_is_read_as_levels_of_tones():
    table = filter_of("measured -6.0 dB at 50 Hz, -3 dB at 80 Hz, 0 dB at 315 Hz")
    assert table.points == ((50.0, -6.0), (80.0, -3.0), (315.0, 0.0))
    # what is written is what plays: at the tones themselves
    assert 20 * np.log10(np.abs(transfer((table,), np.array([50.0, 80.0, 315.0])))) == pytest.approx([-6, -3, 0])
    for wrong in (
        "measured",
        "measured -6 dB",
        "measured -6 dB at 50 Hz, later",
        "measured -6 dB at 50 Hz; 0 dB at 80 Hz",
    ):
        with pytest.raises(ValueError, match="write it as in"):
            filter_of(wrong)
    with pytest.raises(ValueError, match="ris"):
        filter_of("measured -6 dB at 80 Hz, -3 dB at 50 Hz")


def test_what_a_meter_read_at_the_battery_is_kept(written):
    plan = written(SMALL + '[plan]\nbattery = "12.6 V"\nfeed_drop = "0.4 V"\n')
    assert (plan.battery, plan.feed_drop) == (12.6, 0.4)
    with pytest.raises(ValueError, match=r"\[plan\]: battery = '126 V'"):
        written(SMALL + '[plan]\nbattery = "126 V"\n')


def test_what_is_fitted_in_a_line_is_a_network():
    driver = demo_drivers()["19 mm dash tweeter"]
    made = network_of([fitted_of(t) for t in ("6.8 uF in series", "0.3 mH across", "6 dB pad")], driver)
    placed = [(branch.placed, type(branch.components[0]).__name__) for branch in made.branches]
    assert placed[:2] == [("in series", "Capacitor"), ("across", "Inductor")]
    # the textbook pad for 4 ohm: 2 ohm in series, 4 ohm across (6.02 dB)
    in_line, beside = (branch.components[0].resistance for branch in made.branches[2:])
    assert (in_line, beside) == (pytest.approx(2.0, rel=0.01), pytest.approx(4.0, rel=0.01))


def test_a_named_cabin_keeps_its_own_sizes(written):
    assert written(EXAMPLE).cabin.length == demo_cabins()["sixteen-seat minibus"].length


# A door in a cabin whose ear is at 1.15, 0.4, 0.9 m.
PLACED = SMALL.replace("volume", 'place = ["0.7 m", "0 m", "0.4 m"]\nhole = "100 cm2"\nvolume') + (
    '[cabin]\nuse = "small hatchback"\n'
)
EAR = '"1.15 m", "0.4 m", "0.9 m"'


def test_a_hole_of_unknown_place_is_below_the_cone_or_above_a_low_one_and_that_is_said(written):
    state = written(PLACED).after()
    assert state.system.loudspeakers[0].place_of("hole") == pytest.approx((0.7, 0, 0.05))
    assert "Where door leaks is not written" in " ".join(state.open)
    low = written(PLACED.replace('"0.4 m"]', '"0.2 m"]')).after()
    assert low.system.loudspeakers[0].place_of("hole") == pytest.approx((0.7, 0, 0.55))
    lowered = '[stage.a]\nset = { door = { place = ["0.7 m", "0 m", "0.2 m"], hole = "20 cm2" } }\n'
    moved = written(PLACED + lowered)
    found = causes(moved.after().system, moved.after("a").system, [50])
    assert sum(found.parts.values()) == pytest.approx(found.difference, abs=1e-9)
    known = written(PLACED.replace("hole =", 'hole_place = ["0.9 m", "0 m", "0.6 m"]\nhole =')).after()
    assert known.system.loudspeakers[0].place_of("hole") == (0.9, 0, 0.6)
    assert known.open == ()
    assert written(PLACED.replace("100 cm2", "0 cm2")).after().open == ()


def test_the_place_of_a_hole_without_that_of_its_cone_is_read(written):
    text = SMALL.replace("volume", 'hole = "100 cm2"\nhole_place = ["0.9 m", "0 m", "0.6 m"]\nvolume')
    assert figures(written(text).after()).clean > 60


@pytest.mark.parametrize(("old", "new", "told"), [
    ("hole =", f"hole_place = [{EAR}]\nhole =", r'\[channel."front"\]: the hole of door lies within the ear'),
    ('"0.7 m", "0 m", "0.4 m"', '"1.15 m", "0.4 m", "0.55 m"', "door, taken as 0.35 m from the cone, lies within the"),
    ("hole =", 'hole_place = ["9 m", "0 m", "0.5 m"]\nhole =', r"\[cabin\]: door, hole_place = 9, 0, 0.5 m"),
    ("[have]", '[stage.a]\nset = { door.place = ["9 m", "0 m", "0 m"] }\n[have]', "a, set, door, place = 9, 0, 0 m"),
])  # fmt: skip
def test_a_hole_or_a_later_place_that_cannot_be_is_refused_by_name(written, old, new, told):
    low_ear = '[cabin]\near = ["1.15 m", "0.4 m", "0.2 m"]' if "0.55" in new else "[cabin]"
    with pytest.raises(ValueError, match=told):
        written(PLACED.replace(old, new).replace("[cabin]", low_ear))


def test_two_stages_that_only_together_reach_into_the_ear_are_refused_when_the_plan_is_read(written):
    # half of the ear's 150 mm and of the root of Sd: 134 mm apart for 137 cm2, 168 mm for 346 cm2
    away = f'"1.15 m", "0.4 m", "{0.9 + 0.2:.2f} m"'
    text = PLACED.replace('"0.7 m", "0 m", "0.4 m"', away).replace('"100 cm2"', '"0 cm2"')
    bigger = '[stage.a]\nput = { door = "250 mm bass" }\n'
    nearer = '[stage.b]\nset = { door.place = ["1.15 m", "0.4 m", "1.06 m"] }\n'
    assert written(text + bigger).stages
    assert written(text + nearer).stages
    with pytest.raises(ValueError, match=r"""\[channel."front"\], after 'a' and 'b': door lies within the ear"""):
        written(text + bigger + nearer)


@pytest.mark.parametrize(("old", "new", "told"), [
    ("volume", 'baffle = "infinite"\nvolume', "The volume behind door does not count: its baffle is infinite"),
    ("volume", 'baffle = "infinite"\nhole = "9 cm2"\nvolume', "The hole of door does not count"),
    ('volume = "30 litres"', 'hole = "9 cm2"', "The hole of door does not count"),
    ('volume = "30 litres"', 'box = { volume = "20 L" }', "What a sets behind door does not count: a box stands there"),
])  # fmt: skip
def test_what_does_not_count_is_said(written, old, new, told):
    text = SMALL.replace(old, new) + '[stage.a]\nset = { door.hole = "8 cm2" }\n'
    assert told in " ".join(written(text).after("a").open)


def test_names_are_compared_without_needless_spaces_and_none_is_lost(written):
    text = SMALL.replace("door", '"the  door"').replace('""', '"')
    assert written(text).have.keys() == {"the door"}
    twice = '[stage.a]\nput = { "the door" = "200 mm panel", "the  door" = "120 mm panel" }\n'
    with pytest.raises(ValueError, match=r"\[stage.\"a\"\], put: 'the door': this name stands there twice"):
        written(text + twice)


def test_a_part_of_the_plan_comes_before_a_shipped_one_of_the_same_name(written):
    mine = '[part."165 mm panel"]\ndriver = { size = "200 mm", kind = "woofer" }\n'
    assert written(SMALL + mine).have["door"].name.startswith("driver of the plan")


def test_a_misspelt_power_is_that_of_an_amplifier(written):
    typed = '{ powr = "75 W", rated_impedance = "4 ohm" }'
    with pytest.raises(ValueError, match="'powr' is not known: did you mean 'power'"):
        written(SMALL.replace('"head unit of the minibus"', typed))


def test_no_voltage_has_no_level(written):
    with pytest.raises(ValueError, match=r"\[plan\]: voltage = '0 V': must be between 0.001"):
        written('[plan]\nvoltage = "0 V"\n')
