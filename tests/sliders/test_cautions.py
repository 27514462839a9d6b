"""Each line of what must be refused or warned of, with where the library and the pages do so.

The table is copied here line by line; it is common practice, no source, unless a line names one.
"""

import re
from pathlib import Path

import pytest

from lumpedbox.build import Cable, Draw, Feed
from lumpedbox.build.feed import NoFuse, SecondBattery, alternator_reserve, engine_off_time
from lumpedbox.build.feed import words as feed_words
from lumpedbox.design.shared_channel import full_voltage
from lumpedbox.figures.cautions import CAUTIONS
from lumpedbox.figures.garage.cautions import OF_THE_BOX
from lumpedbox.parts.box import InfiniteBaffle
from lumpedbox.parts.loudspeaker import Loudspeaker
from lumpedbox.parts.system import Channel
from lumpedbox.plan import read_plan
from lumpedbox.sliders.lessons.find_out import find_out
from lumpedbox.sliders.lessons.wire_and_fuse.options import COPPER, LIGHTS, NOBODY
from lumpedbox.tables import demo_drivers
from lumpedbox.tables.entries import known_of, part_of
from lumpedbox.units import ampere_hour, mm2

pytestmark = pytest.mark.long  # pages are made

ROOT = Path(__file__).resolve().parents[2]
CLAD = "copper-clad aluminium 10 %"


def cable(**changed):
    usual = {"area": 25 * mm2, "length": 5, "current_rating": 110, "source": "the cable's data sheet"}
    return Cable(**(usual | changed))


def feed(**changed):
    return Feed(**({"voltage": 13.8, "cable": cable(), "draws": Draw(power=550, efficiency=0.65)} | changed))


def resistor_without_watts():
    speaker = Loudspeaker(driver=demo_drivers()["165 mm panel"], box=InfiniteBaffle())
    return full_voltage(Channel(loudspeakers=(speaker,)))


def closed_boot():
    sizes = {"length": "2 m", "width": "1.4 m", "height": "1.1 m", "boot": "closed"}
    return part_of("cabin", "one", known_of("cabin", sizes))


# What is asked for, why it is refused: then (call of the library, what it says) ...
LIBRARY = {
    "wire or fuse without the system's voltage: ask first": [
        (lambda: feed(voltage=None), "voltage is missing: measure it first"),
        (lambda: SecondBattery(cable=cable(), current=60), "voltage is missing: measure it first"),
    ],
    "a 12 V amplifier on 24 V or 48 V: 27.6 is not 12": [
        (lambda: feed(voltage=27.6), "a 24 or 48 V vehicle destroys an amplifier made for 12"),
        (lambda: feed(voltage=48), "a 24 or 48 V vehicle destroys an amplifier made for 12"),
    ],
    "wiring of a high-voltage vehicle, or an alternator's reserve there: maker or qualified person only": [
        (lambda: feed(vehicle="high voltage"), "qualified person only"),
        (lambda: feed(voltage=400), "qualified person only"),
        (lambda: alternator_reserve(90, vehicle_draws=40, vehicle="high voltage"), "qualified person only"),
        (
            lambda: SecondBattery(cable=cable(), current=60, voltage=13.8, vehicle="high voltage"),
            "qualified person only",
        ),
    ],
    "an amplifier's supply from an accessory tap: it switches, it does not supply": [
        (lambda: feed(taken_from="accessory tap"), "it switches, it does not supply, and its own fuse's limit stands"),
    ],
    "a branch without a fuse of its own": [
        (
            lambda: feed(draws=(), branches=feed(cable=cable(current_rating=None))).fuse,
            "branches[0].cable.current_rating is",
        ),
    ],
    "a second battery without fuses at both ends": [
        (lambda: SecondBattery(cable=cable(), current=60, voltage=13.8, fuses="one end"), "must be at both ends"),
        (lambda: SecondBattery(cable=cable(), current=60, voltage=13.8, fuses="none"), "must be at both ends"),
    ],
    "a fuse size without the cable's rating: nothing to compute from": [
        (lambda: feed(cable=cable(current_rating=None)).fuse, "current_rating is missing: a fuse protects the cable"),
    ],
    "clad wire from a copper table": [
        (lambda: feed(cable=cable(metal=CLAD, source="a table of copper")).fuse, "no copper table stands for it"),
        (lambda: feed(cable=cable(metal=CLAD, source="")).fuse, "no copper table stands for it"),
    ],
    "a chassis return that was not measured": [
        (lambda: feed().voltage_at_load, "return_resistance is missing: a way back that was not measured"),
    ],
    '"thicker wire" where the maker\'s figure binds: say which of the two': [
        (
            lambda: feed(draws=Draw(power=550, efficiency=0.65, maker_fuse=60)).fuse,
            "The maker's figure binds: draw less, or give it a feed of its own. Thicker wire does not help",
        ),
    ],
    "engine-off minutes from a battery's full capacity": [
        (lambda: engine_off_time(80 * ampere_hour, 1.0, current=10), "must be given, and less than 1"),
        (lambda: engine_off_time(80 * ampere_hour, current=10), "must be given, and less than 1"),
        (
            lambda: engine_off_time(60 * ampere_hour, 0.8, current=20, chemistry="lithium"),
            "maker_current is missing",
        ),
    ],
    "a resistor without its watts at the channel's full sine: it can pass 200 C": [
        (resistor_without_watts, "a resistor without its watts at the channel's full sine may burn"),
    ],
    "a one-volume cabin for a closed boot: two volumes": [
        (closed_boot, "a space of its own, and nothing here holds for two spaces"),
    ],
}
# ... and (where the controls of the page on wire and fuse stand, what its headline says).
PAGE = {
    "a 12 V amplifier on 24 V or 48 V: 27.6 is not 12": [
        ({"battery": 27.6}, "the amplifier is made for 12 V"),
        ({"battery": 48.0}, "the amplifier is made for 12 V"),
    ],
    "wiring of a high-voltage vehicle, or an alternator's reserve there: maker or qualified person only": [
        ({"vehicle": "high voltage"}, "only the maker or a qualified person"),
        ({"vehicle": "unknown"}, "Find out first what vehicle it is"),
        ({"vehicle": "mild hybrid", "battery": 48.0, "made_for": "48 V"}, "only the 12 V side may be used"),
    ],
    "an amplifier's supply from an accessory tap: it switches, it does not supply": [
        ({"taken_from": "accessory tap"}, "An accessory tap only switches"),
    ],
    "a branch without a fuse of its own": [
        ({"more": LIGHTS, "branch_rating": 0.0}, "No fuse without the wire's rating"),
        ({"more": LIGHTS, "branch_rating": 5.0}, "The branch's wire may carry 5 A: take thicker wire"),
    ],
    "a fuse size without the cable's rating: nothing to compute from": [
        ({"rating": 0.0}, "No fuse without the wire's rating"),
        ({"source": NOBODY}, "No fuse without the wire's rating"),
    ],
    "clad wire from a copper table": [
        ({"metal": "clad, 10 % copper", "source": COPPER}, "A table of copper does not hold for clad wire"),
    ],
    '"thicker wire" where the maker\'s figure binds: say which of the two': [
        ({"maker": 40.0}, "the maker allows 40 A. Draw less; thicker wire is no help"),
    ],
}
ELSEWHERE = {  # rows that another test holds on a page, or that are warned of there
    "wire or fuse without the system's voltage: ask first": "test_what_the_page_takes_until_it_is_told",
    "a second battery without fuses at both ends": "test_what_is_refused_of_batteries",
    "a chassis return that was not measured": "test_what_arrives_is_not_told",
    "engine-off minutes from a battery's full capacity": "test_what_is_refused_of_batteries",
    "a resistor without its watts at the channel's full sine: it can pass 200 C": (
        "test_every_resistor_that_the_page_names_has_its_watts"
    ),
    "a one-volume cabin for a closed boot: two volumes": "test_a_closed_boot_is_refused_where_it_is_written",
}


def test_every_row_has_its_place():
    assert set(LIBRARY) == {*PAGE, *ELSEWHERE}
    tests = "".join(path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_*.py"))
    assert [name for name in ELSEWHERE.values() if f"def {name}(" not in tests] == []


@pytest.mark.parametrize("row", LIBRARY)
def test_the_library_refuses(row):
    for call, said in LIBRARY[row]:
        with pytest.raises(ValueError, match=re.escape(said)):
            call()


@pytest.mark.parametrize("row", PAGE)
def test_the_page_refuses_and_tells_no_fuse(pages, row):
    for places, said in PAGE[row]:
        page = pages("wire_and_fuse")
        page.put(**places)
        assert said in page.answer.headline.text("metric")
        assert "fuse" not in [fact.name for fact in page.answer.facts]
        assert [piece for piece in page.board.feed if piece["kind"] == "buy"] == []


def test_what_the_page_takes_until_it_is_told(pages):
    """It begins with a 12 V system and an engine: that is said, until somebody says what there is."""
    page, taken = pages("wire_and_fuse"), "Taken: an engine alone, and 13.8 V. Say what yours is, and measure."
    assert taken in map(str, page.answer.cautions)
    page.put(battery=13.9)
    assert taken not in map(str, page.answer.cautions)


def test_what_arrives_is_not_told(pages):
    page = pages("wire_and_fuse")
    assert str(page.answer["arrives"][""]) == "not known: measure the way back"
    assert "highest level" not in [fact.name for fact in page.answer.facts]


def test_thicker_wire_is_told_only_where_the_cable_binds():
    with pytest.raises(NoFuse, match=r"The cable binds: take thicker wire") as caught:
        _ = feed(cable=cable(current_rating=70)).fuse
    assert caught.value.binds == ("cable",)


def test_a_feed_of_several_amplifiers_is_not_capped_by_one_makers_figure():
    two = [Draw(power=300, efficiency=0.65, maker_fuse=40), Draw(power=300, efficiency=0.65, maker_fuse=40)]
    assert feed(draws=two).fuse == 100
    assert feed_words.SEVERAL in feed(draws=two).remarks


def test_a_closed_boot_is_refused_where_it_is_written():
    (card,) = [one for one in find_out().board.cards if any(field["key"] == "boot" for field in one["fields"])]
    assert "boot" in str(card["fields"]).lower()
    test_the_library_refuses("a one-volume cabin for a closed boot: two volumes")


PADS = """
[opening.dash]
[channel.front]
source = "four channels from the stores"
feeds = ["dash"]
[have]
dash = "19 mm dash tweeter"
[part.pads]
pad = "6 dB"
{power}
[stage.pad]
uses = ["pads"]
line = {{ dash = ["6 dB pad"] }}
"""


@pytest.mark.parametrize(("power", "asked"), [("", True), ('power = "10 W"', False)])
def test_a_plan_asks_for_the_watts_of_a_resistor(tmp_path, power, asked):
    path = tmp_path / "my_plan.toml"
    path.write_text(PADS.format(power=power), encoding="utf-8")
    plan = read_plan(path)
    said = "What the resistors at dash may take is not written: add power to the part, in watts."
    assert (said in plan.after("pad").open) == asked
    assert said not in plan.after().open


# What is warned of: the words, and where they stand.
USUAL, CUT_LIST = " ".join(CAUTIONS.values()), " ".join((*CAUTIONS.values(), *OF_THE_BOX))
FEED = " ".join(
    [
        *(text for name, text in vars(feed_words).items() if name.isupper() and isinstance(text, str)),
        *feed_words.BY_VEHICLE.values(),
    ]
)
WARNED = {
    "doors: sensors, find out first; drains, vapour barrier, window": (
        USUAL,
        ["sensor that feels a side impact", "Find out first", "drain holes", "vapour barrier", "room for the window"],
    ),
    "seats and trim: never unplug live": (USUAL, ["Seats, roof edges and doors", "never unplug them live"]),
    "belt tensioners": (CUT_LIST, ["belt tensioners and their sensors"]),
    "seat rails chew wires": (FEED + CUT_LIST, ["clear of seat rails", "Seat rails chew wires"]),
    "battery: ground at the named point": (FEED, ["connect the ground where the vehicle's maker says"]),
    "battery: registration": (FEED, ["whether it must be registered"]),
    "fuse close to the battery, breaking capacity, grommet": (
        FEED,
        ["as close to the battery as it goes", "breaking capacity", "grommet at every metal edge"],
    ),
    "bridged outputs float": (USUAL, ["No wire is grounded at bridged outputs", "never to the body"]),
    "what may stop working": (USUAL, ["warnings, hands-free calls or noise cancelling", "after every change"]),
    "noise wakes an amplifier": (FEED, ["Noise on the wires can wake an amplifier", "drain the battery"]),
    "amplifier and resistors: heat": (USUAL, ["a resistor at its watts over 200 °C", "off plastic, foam and cloth"]),
    "box: friction holds nothing": (USUAL + CUT_LIST, ["friction holds nothing", "does not say that any fixing"]),
    "dust, saw, lifting": (USUAL, ["mask against the dust", "the saw", "Lift it with help"]),
    "hearing": (USUAL, ["harms hearing for good", "low tones too although they do not sound as loud"]),
    "driving": (USUAL, ["sirens and the vehicle's chimes", "Never adjust anything on the move"]),
}


@pytest.mark.parametrize("what", WARNED)
def test_warned_of(what):
    where, said = WARNED[what]
    assert [words for words in said if words not in where] == []


def test_nothing_is_called_safe():
    """Neither in the library, nor on a page, nor in a lesson."""
    kinds = ("*.py", "*.js", "*.css", "*.toml", "*.csv")
    files = [path for kind in kinds for path in (ROOT / "lumpedbox").rglob(kind)]
    files += [*(ROOT / "notebooks").rglob("*.ipynb"), *(ROOT / "data").iterdir()]
    found = {str(path): re.findall(r"(?i)\b(?:un)?safe(?:ly|r|ty)?\b", path.read_text("utf-8")) for path in files}
    assert {path: words for path, words in found.items() if words} == {}
