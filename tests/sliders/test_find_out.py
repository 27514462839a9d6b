"""The page that finds out what one has: gates first, then what each reading means, told at once."""

import random
import re
import shutil
import time

import pytest

from lumpedbox.plan import figures, read_plan
from lumpedbox.sliders.kit.words import UNEXPECTED
from lumpedbox.sliders.lessons.find_out import find_out
from lumpedbox.sliders.lessons.find_out.cards import CARDS, GATE_FIELDS
from lumpedbox.sliders.lessons.find_out.fields import WORDS
from lumpedbox.sliders.lessons.find_out.page import ALL_READ, FIRST, HIGH_VOLTAGE, MILD, STOP_HERE
from lumpedbox.tables.my_parts import keep, read
from lumpedbox.tables.shipped import data_folder

GATES = {"voltage": "12 V", "high": "no", "doors": "none, says the maker", "seats": "none, says the maker"}
# Readings of each check that can be true, with the answer that they must give.
DONE = {
    1: ({"leads": "0.2", "pair": "1,9", "without": "3.6"}, "In parallel: coils of 3.40 ohm and 3.40 ohm."),
    2: ({"kind": "woofer", "moved": "in"}, "It is reversed"),
    3: ({"front left": "door + dash"}, "front left feeds door and dash together."),
    4: ({"third 50": "1", "third 315": "1", "most 50": "1", "most 315": "4"}, "It cuts bass by 12.0 dB at 50 Hz"),
    5: ({"steps": "9.1", "rated": "4 ohm"}, "9.1 V before it clips: 20.7 W into 4 ohm."),
    6: ({"off": "12.6"}, "12.6 V with the engine off: a charged 12 V battery."),
    7: ({"spots": "60, 58, 61", "driver": "56", "window": "down"}, "2 mm to spare: less than the error."),
    8: (
        {"length": "500", "width": "350", "height": "120", "board": "15"},
        "13.5 litres inside its boards, of 21 litres",
    ),
    9: ({"length": "5", "width": "1.8", "height": "1.6"}, "34 Hz along its length, 96 Hz along its width, 107 Hz"),
    10: (
        {"hole": "3", "tissue": "it flutters at one spot"},
        "3 cm²: air moves at 17.0 m/s there, so a tissue flutters.",
    ),
    11: ({"current": "50 mA", "usable": "30", "waited": "40"}, "0.050 A drains it in 25 days."),
    12: ({"cancelling": "fitted"}, "Noise cancelling may work against a new bass box"),
}


@pytest.fixture
def page():
    made = find_out()
    made.put("gates", **GATES)
    return made


def put(page, card, typed):
    page.put(card, **typed)
    return lines(page, card)


def lines(page, card, kind=None):
    told = page.board.told.get(str(card), [])
    return [line["text"] for line in told if kind in (None, line["kind"])]


def all_of(page, card, kind=None):
    return " ".join(lines(page, card, kind))


def test_nothing_is_advised_before_the_four_questions_are_answered():
    page = find_out()
    for card, (typed, _) in DONE.items():
        assert put(page, card, typed) == [FIRST]
    assert (page.board.headline, page.board.ranked["rows"], page.board.fills) == (FIRST, [], {})
    for key, text in list(GATES.items())[:-1]:
        page.put("gates", **{key: text})
        assert page.board.headline == FIRST
        assert all(lines(page, card) == [FIRST] for card in DONE)
    page.put("gates", seats="not known")
    assert page.board.headline == ALL_READ  # what was typed before counts now


@pytest.mark.parametrize("card", DONE)
def test_each_reading_says_at_once_what_it_means_and_how_sure(page, card):
    typed, answer = DONE[card]
    put(page, card, typed)
    assert answer in all_of(page, card, "answer")
    assert all_of(page, card, "sure").startswith("How sure: ")
    assert lines(page, card, "wrong") == []
    assert page.meanings[card].answers


def test_the_page_names_what_to_measure_next_until_all_is_read(page):
    assert page.board.headline == "Measure this next: 1. Series or parallel?"
    assert [row["number"] for row in page.board.ranked["rows"]] == [1, 4, 7]
    put(page, 1, DONE[1][0])
    assert page.board.headline == "Measure this next: 4. Does the source cut bass?"
    for card, (typed, _) in DONE.items():
        put(page, card, typed)
    assert page.board.headline == ALL_READ
    assert "litres by 10 % (0.5 dB)" in page.board.ranked["said"]


def test_what_was_computed_and_is_done_leaves_the_checks_that_cannot_be_computed(page):
    """Sensors have no rank: once all that has one is read, that check is named, and not that every one is read."""
    page.rank()
    assert page.worth
    for card, (typed, _) in DONE.items():
        if card != 12:
            put(page, card, typed)
    assert page.board.headline == "Measure this next: 12. Sensors, noise cancelling, emergency call"
    put(page, 12, DONE[12][0])
    assert page.board.headline == ALL_READ


@pytest.mark.parametrize("high", ["yes", "not known"])
def test_a_high_voltage_vehicle_is_for_the_maker_or_a_qualified_person(page, high):
    page.put("gates", high=high)
    assert page.board.headline == HIGH_VOLTAGE
    for card in CARDS:
        put(page, card.number, DONE[card.number][0])
        assert (lines(page, card.number) == [STOP_HERE]) is card.wires
    assert {card.number for card in CARDS if card.wires} == {1, 2, 4, 5, 6, 11}
    assert not page.board.ranked["possible"]


def test_48_volts_stop_and_24_are_told_first(page):
    page.put("gates", voltage="48 V")
    assert page.board.headline == MILD
    assert put(page, 5, DONE[5][0]) == [MILD]
    page.put("gates", voltage="24 V")
    assert page.board.headline.startswith("24 V: everything that you connect must be made for it. Measure this next")


def test_a_meter_that_reads_another_system_than_was_answered_stops_the_page(page):
    put(page, 6, {"running": "27.6"})
    assert page.board.headline.startswith("Stop: 27.6 V is a 24 V system")
    assert "You answered 12 V above: believe the meter." in all_of(page, 6, "doubt")
    page.put("gates", voltage="24 V")
    assert not page.board.headline.startswith("Stop")
    put(page, 6, {"running": "14.2"})
    assert "You answered 24 V above." in all_of(page, 6, "doubt")


def test_where_doors_may_have_sensors_nobody_is_told_to_seal(page):
    put(page, 10, {"hole": "120"})
    assert "Ask the maker first" not in all_of(page, 10)
    for doors in ("fitted", "not known"):
        page.put("gates", doors=doors)
        assert "Ask the maker first: a sensor may read the air in there. Seal nothing" in all_of(page, 10, "doubt")
        put(page, 12, {"call": "not known"})
        assert "Doors: ask the maker before you seal, cut or fill." in all_of(page, 12)


# Card, what is typed, what must be told; these are no answers.
NOT_TRUE = [
    (1, {"pair": "-0.4"}, "The pair: -0.4 is negative. There are volts on these wires."),
    (1, {"pair": "3.4 V"}, "The pair: 'V' cannot be converted to ohm. Is the meter on the range"),
    (1, {"pair": "3400"}, "is the meter on its k range"),
    (1, {"pair": "0.2", "leads": "1.5"}, "The leads alone read more than the pair"),
    (1, {"leads": "20"}, "Leads read less"),
    (4, {"third 50": "-1"}, "Volume one third, 50 Hz: -1 is negative. AC volts are never negative"),
    (4, {"third 50": "1", "third 80": "1"}, "Read 315 Hz too"),
    (4, {"third 50": "0", "third 315": "1"}, "A reading of 0 V tells nothing"),
    (5, {"steps": "OL"}, "OL is no answer here: choose the next higher range"),
    (5, {"steps": "9100"}, "is it in mV?"),
    (5, {"steps": "4 2"}, "fall as the volume rises"),
    (6, {"off": "-12.6"}, "The leads are swapped: red goes to +."),
    (6, {"off": "350"}, "That is a high-voltage system, or mV: stop"),
    (6, {"drop": "12.6"}, "A feed that loses 2 V is faulty"),
    (7, {"spots": "0.058"}, "is not between 5 and 600 mm"),
    (8, {"length": "20", "width": "350", "height": "120", "board": "15"}, "nothing is left inside"),
    (8, {"maker": "30 to 15 L"}, "write the smaller number first"),
    (8, {"maker": "15 to 20 to 30 L"}, "two with to between them"),
    (9, {"length": "160"}, "Is it in cm or mm?"),
    (9, {"ear": "2.6, 0.5"}, "Write three lengths"),
    (11, {"current": "50"}, "is it in mA?"),
    (11, {"current": "-0.05"}, "The clamp is round the wire the other way."),
]


@pytest.mark.parametrize(("card", "typed", "said"), NOT_TRUE)
def test_what_cannot_be_true_is_told_by_name_and_is_no_answer(page, card, typed, said):
    put(page, card, typed)
    assert said in all_of(page, card, "wrong")
    assert card not in page.meanings or not page.meanings[card].answers
    if page.board.wrong:  # else they do not go together, and no single one is marked
        assert set(page.board.wrong) == {f"{card} {key}" for key in typed}


# What can be true, and yet may mean something else.
DOUBTS = [
    (1, {"pair": "1.7"}, "The leads are not taken off"),
    (1, {"pair": "1"}, "Some meters show a lone 1 at the left for OL"),
    (1, {"pair": "OL"}, "Read each loudspeaker by itself"),
    (1, {"pair": "3.4"}, "A tweeter behind a capacitor does not show."),
    (1, {"pair": "6.8", "without": "3.4"}, "A cone that moved, or a bad contact"),
    (2, {"kind": "tweeter", "moved": "out"}, "A tweeter moves 0.04 mm on a cell"),
    (2, {"kind": "tweeter", "louder": "as it was"}, "A tweeter plays no 50 Hz"),
    (2, {"kind": "tweeter"}, "A cell tells nothing about a tweeter"),
    (2, {"kind": "woofer", "moved": "it did not move"}, "is the cell empty, or a capacitor in line?"),
    (3, {"front left": "door", "rear left": "door"}, "Surround processing leaks"),
    (4, {"range": "meter, 200 V only", "third 50": "1", "third 315": "5"}, "off: choose a lower one."),
    (4, {"third 50": "1", "third 315": "1"}, "Read a second volume too"),
    (5, {"steps": "14"}, "More than 10.2 V takes a converter"),
    (5, {"steps": "0.2"}, "does the source mute"),
    (5, {"steps": "2 2.8 4"}, "No step is smaller yet"),
    (6, {"drop": "0.4"}, "A meter shows an average: bursts lose more."),
    (7, {"spots": "58", "window": "up"}, "The window was up"),
    (7, {"spots": "58"}, "Measure three spots"),
    (8, {"poured": "20"}, "Take off what stands inside"),
    (8, {"size": "10 in"}, "A size alone is a stand-in"),
    (9, {"length": "1.6", "width": "5", "height": "1.8"}, "did two change places?"),
    (
        9,
        {"boot": "closed behind seat and shelf", "length": "4"},
        "A closed boot behind seat and shelf is a space of its own",
    ),
    (9, {"length": "5", "width": "1.8", "height": "1.6", "ear": "2.6, 0.5, 1.8"}, "The ear at 1.80 m is outside"),
    (10, {"hole": "0", "peaks": "two"}, "contradict each other"),
    (11, {"current": "0.05", "usable": "30", "waited": "5"}, "30 minutes to sleep"),
    (11, {"fuse": "1"}, "0.1 mV is 13 to 60 mA"),
    (11, {"idle": "12.8"}, "Smart charging misleads here"),
]


@pytest.mark.parametrize(("card", "typed", "said"), DOUBTS)
def test_doubtful_readings_are_told(page, card, typed, said):
    put(page, card, typed)
    assert said in all_of(page, card, "doubt")
    assert lines(page, card, "wrong") == []


def test_a_window_that_was_up_and_a_closed_boot_give_no_depth_and_no_cabin(page):
    put(page, 7, {"spots": "58", "window": "up"})
    put(page, 9, {"boot": "closed behind seat and shelf", "length": "4"})
    assert page.board.fills == {}
    assert not page.meanings[7].answers
    assert not page.meanings[9].answers


def test_ten_millimetres_under_a_cushion_are_litres_and_a_seat_may_hold_sensors(page):
    """By hand: 10 mm over 500 x 300 mm are 1.5 litres."""
    put(page, 7, {"sag": "10", "length": "500", "width": "300"})
    assert "takes 1.5 litres of the room under it." in all_of(page, 7, "answer")
    assert "unplug nothing" not in all_of(page, 7)
    page.put("gates", seats="not known")
    assert "That seat may hold sensors or airbags: unplug nothing" in all_of(page, 7, "doubt")


def test_a_phone_at_the_cone_tells_a_cut_between_two_volumes(page):
    """By hand: 60 of 72 dB, then 66 of 90: 12 dB less at 50 Hz. Its own droop of 12 dB is no filter of the source."""
    put(page, 4, {"range": "phone at the cone, in dB", "third 50": "60", "third 315": "72 dB"})
    assert lines(page, 4, "answer") == []
    assert "Read a second volume too" in all_of(page, 4, "doubt")
    put(page, 4, {"most 50": "66", "most 315": "90"})
    assert lines(page, 4, "answer") == ["It cuts bass by 12 dB at 50 Hz as you turn it up."]
    assert "if 6 dB less reads 6 dB less" in all_of(page, 4, "sure")
    put(page, 4, {"most 50": "-6"})
    assert "counted from full scale" in all_of(page, 4, "wrong")


def test_one_that_is_unplugged_and_changes_nothing_sends_to_listen(page):
    put(page, 1, {"pair": "3.4", "without": "3.4"})
    assert "behind a capacitor" in all_of(page, 1, "answer")
    assert "falls silent only in series" in all_of(page, 1, "answer")
    put(page, 1, {"pair": "6.8", "without": "OL"})
    assert "In series, or the one left has a capacitor in line." in all_of(page, 1, "answer")


def test_a_makers_range_and_a_bare_size_are_taken_as_what_they_are(page):
    put(page, 8, {"maker": "15 to 30 L"})
    assert lines(page, 8, "answer") == [
        "The maker asks for 15 litres to 30 litres: taken as that, with no more behind it."
    ]
    put(page, 8, {"poured": "13"})
    assert "That is less than what the maker asks for: 15 litres to 30 litres." in all_of(page, 8, "answer")
    put(page, 8, {"maker": "0.5 ft³", "poured": "14.2"})  # 14.16 litres
    assert "That is more than what the maker asks for: 14.2 litres." in all_of(page, 8, "answer")
    put(page, 8, {"maker": "", "poured": "", "size": "10 in"})
    assert "litres sealed is typical, no more." in all_of(page, 8, "answer")


def test_customary_units_where_people_type_and_read(page):
    page.board.system = "US customary"
    labels = {field["label"] for card in page.board.cards for field in card["fields"]}
    assert {"Length [in]", "Depths [in]", "Holes, all together [in²]", "Length [ft]"} <= labels
    put(page, 8, {"length": "20", "width": "14", "height": "5"})  # 1400 cubic inches are 0.81 cubic feet
    assert lines(page, 8, "answer") == ["0.810 cubic feet outside."]
    page.board.system = "metric"
    assert "must" not in all_of(page, 8)
    assert all_of(page, 8, "wrong").count("is not between") == 2  # 14 and 5 mm are no sides


def test_clearing_a_field_takes_its_meaning_away(page):
    put(page, 5, DONE[5][0])
    assert put(page, 5, {"steps": "", "rated": ""}) == []
    assert "5" not in page.board.fills


def test_every_check_has_its_tools_its_caution_and_a_drawing_in_words(page):
    assert [card.number for card in CARDS] == list(range(1, 13))
    for card in page.board.cards:
        assert card["tools"]
        assert card["caution"]
        assert len(card["alternative"].split()) >= 8
        assert card["drawing"].startswith("<svg")
    caution = {card.number: card.caution for card in CARDS}
    said = {
        1: "Never measure ohms on a live output",
        2: "Never use 9 or 12 V",
        3: "Never turn balance and fader on the move",
        4: "never ground a meter or an oscilloscope",
        5: "harms ears",
        6: "fuse it with 1 A at the battery",
        7: "Keep hands clear",
        8: "Never fill it with water",
        9: "airbags stay armed",
        10: "Seal nothing yet",
        11: "Never an ampere range in line while you lock or crank",
        12: "Never test by sealing, unplugging or calling",
    }
    assert [number for number, words in said.items() if words not in caution[number]] == []
    assert not any("safe" in " ".join((*card.how, card.caution)) for card in CARDS)


def test_whatever_is_typed_is_answered_in_words(page):
    """Three hundred random states of the page: nothing breaks, and no card says what it should not."""
    draw = random.Random(18)
    texts = "|OL|-1|1|0|3,4|1e9|58 mm|10 in|12 V|inf|nan|a + b|{x}|1 2 3|5;|½|1 to 2".split("|")
    fields = [(card.number, one) for card in CARDS for one in card.fields] + [("gates", one) for one in GATE_FIELDS]
    for _ in range(300):
        typed = dict(page.board.typed)
        for number, one in draw.sample(fields, 6):
            names = ["door + dash", "{x}", "a;b"] if one.takes == WORDS else texts
            typed[f"{number} {one.key}"] = draw.choice([*one.options, "nonsense"] if one.options else names)
        page.board.typed = {name: text for name, text in typed.items() if text}
        told = " ".join(line["text"] for lines in page.board.told.values() for line in lines)
        assert UNEXPECTED not in told
        assert not re.search(r"(?<!')\bnan\b", told)


PLAN = """# mine
[opening."door left"]
# the duct
cutout = "165 mm"
[channel."front left"]
source = "head unit of the minibus"
feeds = ["door left"]  # tape on it
[have]
"door left" = "165 mm panel"
"""


def write(page, card, fill=0, name="door left"):
    page.board._handle_custom_msg({"write": {"card": card, "fill": fill, "name": name}}, [])
    return page.board.written[str(card)]


@pytest.fixture
def own(place):
    path = place.with_name("my_plan.toml")
    path.write_text(PLAN, encoding="utf-8")
    made = find_out()
    made.put("gates", **GATES)
    return made


def test_findings_are_written_into_ones_own_plan_and_no_remark_is_lost(own, place):
    path = place.with_name("my_plan.toml")
    put(own, 7, DONE[7][0])
    assert own.board.fills["7"] == [{"text": 'depth = "58 mm"', "names": ["door left"]}]
    assert write(own, 7) == 'Written into my_plan.toml, door left: depth = "58 mm".'
    for card, name in ((2, "door left"), (10, "door left"), (9, "the plan, cabin"), (11, "the plan, plan")):
        put(own, card, DONE[card][0])
        assert write(own, card, name=name).startswith("Written into my_plan.toml")
    put(own, 1, {"pair": "6.8", "without": "OL"})
    assert write(own, 1, name="front left") == 'Written into my_plan.toml, front left: wiring = "series".'
    plan = read_plan(path)
    known = plan.openings["door left"]
    assert (known["depth"], known["hole"]) == pytest.approx((0.058, 3e-4))
    assert (known["polarity"], plan.channels["front left"]["wiring"]) == ("reversed", "series")
    assert (plan.cabin.length, plan.cabin.width, plan.cabin.height) == (5.0, 1.8, 1.6)
    text = path.read_text(encoding="utf-8")
    assert all(remark in text for remark in ("# mine", "# the duct", "# tape on it"))


def test_what_a_source_does_and_what_the_battery_reads_have_a_place_in_the_plan(own, place):
    path = place.with_name("my_plan.toml")
    before = read_plan(path)
    volts = {"third 50": "0.50", "third 315": "0.50", "most 50": "1.00", "most 80": "1.41", "most 315": "2.00"}
    own.put(4, **{key.replace(" ", "_"): text for key, text in volts.items()})
    wanted = "measured -6.0 dB at 50 Hz, -3.0 dB at 80 Hz, 0.0 dB at 315 Hz"  # half the volts, and 0.707 of them
    assert own.board.fills["4"][0]["text"] == f'filter = ["{wanted}"]'
    for _ in range(2):  # the second time in the place of the first
        assert write(own, 4, name="front left").startswith("Written into my_plan.toml, front left")
    plan = read_plan(path)
    ((table,),) = [plan.channels["front left"]["filter"]]
    assert table.points == ((50.0, -6.0), (80.0, -3.0), (315.0, 0.0))
    lost = figures(before.after()).clean - figures(plan.after()).clean
    assert lost != 0.0  # it is heard
    put(own, 6, {"off": "12.6", "drop": "0.4"})
    assert [fill["text"] for fill in own.board.fills["6"]] == ['battery = "12.6 V"', 'feed_drop = "0.4 V"']
    for fill in range(2):
        assert write(own, 6, fill=fill, name="the plan, plan").startswith("Written into my_plan.toml, plan")
    assert (read_plan(path).battery, read_plan(path).feed_drop) == (12.6, 0.4)
    assert all(remark in path.read_text("utf-8") for remark in ("# mine", "# the duct", "# tape on it"))


def test_an_answer_leads_to_the_page_that_goes_on_with_it(own, place):
    assert own.board.leads == {"": []}  # the pages are not there
    for page in ("my_upgrade", "wire_and_fuse", "shared_channel"):
        place.with_name(f"{page}.ipynb").touch()
    put(own, 1, DONE[1][0])
    put(own, 6, {"off": "12.6"})
    put(own, 7, DONE[7][0])
    shared, feed = ["Two speakers on one channel", "shared_channel.ipynb"], ["Wire and fuse", "wire_and_fuse.ipynb"]
    upgrade = ["See it on My upgrade", "my_upgrade.ipynb"]
    assert own.board.leads == {"": [upgrade], "1": [shared], "6": [feed]}
    write(own, 7)
    assert own.board.leads["7"] == [upgrade]


def test_what_cannot_be_written_is_told_and_changes_nothing(own, place):
    path = place.with_name("my_plan.toml")
    put(own, 3, {"front left": "boot"})
    said = write(own, 3, name="front left")
    assert said.startswith("Nothing is written. my_plan.toml")
    assert path.read_text(encoding="utf-8") == PLAN
    assert write(own, 7, fill=5).startswith("Nothing is written.")
    put(own, 7, DONE[7][0])
    assert "is not in my_plan.toml any more" in write(own, 7, name="boot")
    path.write_text(PLAN + "[colour]\n", encoding="utf-8")
    put(own, 7, {"spots": "57"})
    assert own.board.fills["7"][0]["names"] == []
    assert "[colour] is not known" in own.board.ranked["said"]


def test_without_a_plan_the_lines_are_there_to_copy(page, place):
    put(page, 7, DONE[7][0])
    assert page.board.fills["7"] == [{"text": 'depth = "58 mm"', "names": []}]
    assert not place.with_name("my_plan.toml").exists()


def test_volts_and_coils_go_to_ones_own_parts(page, place):
    keep("head_unit", "old one", {"minimum_load": "4 ohm"})
    keep("driver", "door", {"fs": "58 Hz"})
    put(page, 5, DONE[5][0])
    assert page.board.fills["5"] == [{"text": 'voltage = "9.1 V"', "names": ["old one"]}]
    assert write(page, 5, name="old one") == 'Written into my_parts.toml, old one: voltage = "9.1 V".'
    put(page, 1, DONE[1][0])
    assert [fill["names"] for fill in page.board.fills["1"]] == [[], ["door"]]
    write(page, 1, fill=1, name="door")
    kept = read()
    assert kept.parts["head_unit"]["old one"].voltage == 9.1
    assert kept.typed["driver"]["door"] == {"fs": "58 Hz", "Re": "3.4 ohm"}
    assert write(page, 5, name="another").startswith("Nothing is written.")


def test_the_ranking_follows_ones_own_plan_and_what_is_found_leaves_it(own):
    own.rank()
    heads, rows = own.board.ranked["heads"], own.board.ranked["rows"]
    assert heads == ["Check", "Regret a minute", "Swing", "Spent in vain", "Fits or not"]
    assert own.board.ranked["said"].startswith("Worked out for your plan.")
    numbers = [row["number"] for row in rows]
    assert set(numbers) == {2, 4, 5, 10}
    assert own.board.headline.startswith(f"Measure this next: {numbers[0]}. ")
    put(own, 4, DONE[4][0])
    assert 4 not in [row["number"] for row in own.board.ranked["rows"]]
    put(own, 10, DONE[10][0])
    assert 10 in [row["number"] for row in own.board.ranked["rows"]]  # other doors may leak too
    write(own, 10)
    assert 10 not in [row["number"] for row in own.board.ranked["rows"]]


def test_a_ranking_runs_beside_the_page_and_can_be_cancelled(place):
    shutil.copy(data_folder() / "upgrade_plan.toml", place.with_name("my_plan.toml"))
    page = find_out()
    page.put("gates", **GATES)
    page.board._handle_custom_msg({"rank": True}, [])
    assert page.board.ranked["running"]
    page.board._handle_custom_msg({"cancel": True}, [])
    end = time.monotonic() + 60
    while page.board.ranked["running"] and time.monotonic() < end:
        time.sleep(0.02)
    assert page.board.ranked["said"].startswith("Cancelled.")
    assert page.board.headline == "Measure this next: 1. Series or parallel?"
