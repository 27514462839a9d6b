"""Feeds worked by hand, each bound of a fuse, and what is refused with its reason."""

import dataclasses

import pytest

from lumpedbox.build import Cable, Draw, Feed, awg
from lumpedbox.build.feed import (
    NoFuse,
    SecondBattery,
    alternator_reserve,
    engine_off_time,
    share_of_sine,
)
from lumpedbox.units import ampere_hour, mm2

SHEET = "the cable's data sheet"
CLAD = "copper-clad aluminium 10 %"


def cable(area=25.0, length=5.0, rating=110.0, metal="copper", source=SHEET):
    return Cable(area=area * mm2, length=length, current_rating=rating, metal=metal, source=source)


def feed(**changed):
    """A feed of one amplifier: 550 W at 0.65."""
    usual = {"voltage": 13.8, "cable": cable(), "draws": Draw(power=550, efficiency=0.65)}
    return Feed(**{**usual, **changed})


# --- worked by hand -------------------------------------------------------------------------------------------------


def test_one_amplifier():
    """By hand: 550 / (0.65 * 13.8) = 61.315 A; 5 m of 0.780 ohm/km are 3.9 milliohm and lose 0.2391 V.

    61.315 / 0.8 = 76.6 A, and 80 A is the next fuse.
    """
    one = feed()
    assert one.current == pytest.approx(61.315, abs=5e-4)
    assert one.drop == pytest.approx(0.2391, abs=5e-5)
    assert one.fuse == 80


def test_way_back_as_measured():
    """By hand: 2 milliohm more make 5.9: 61.3155 A lose 0.36176 V, and 13.43824 V arrive."""
    one = feed(return_resistance=2e-3)
    assert one.drop == pytest.approx(0.36176, abs=5e-6)
    assert one.voltage_at_load == pytest.approx(13.43824, abs=5e-6)


def test_copper_against_clad():
    """By hand, 5 m of 25 mm2: copper by IEC 60228 3.9 milliohm; clad 0.0274 * 5 / 25 = 5.48, and 5.36 with 15 %.

    61.3155 A lose 0.2391, 0.3360 and 0.3287 V: 41 and 37 % more.
    """
    drops = [feed(cable=cable(metal=metal)).drop for metal in ("copper", CLAD, "copper-clad aluminium 15 %")]
    assert drops == pytest.approx([0.23913, 0.33601, 0.32865], abs=5e-6)


def test_warm_wire():
    """By hand: 40 K more add 0.00393 * 40 = 15.72 % to 3.9 milliohm: 4.513."""
    assert dataclasses.replace(cable(), temperature=333.15).resistance == pytest.approx(4.51308e-3, rel=1e-6)


@pytest.mark.parametrize(
    ("volts", "rated", "amperes", "lost", "told"),
    [
        (13.8, (10.8, 16), 61.3155, 0.239130, 80),
        (27.6, (20, 32), 30.6577, 0.119565, 40),
        (55.2, (36, 60), 15.3289, 0.059783, 20),
    ],
)
def test_12_24_and_48_volts(volts, rated, amperes, lost, told):
    """By hand: twice the volts halve 61.3155 A and the 0.23913 V; 30.6577 / 0.8 = 38.3 and 15.3289 / 0.8 = 19.2 A."""
    one = feed(voltage=volts, draws=Draw(power=550, efficiency=0.65, rated_voltage=rated))
    assert (one.current, one.drop) == pytest.approx((amperes, lost), abs=1e-4)
    assert one.fuse == told


def test_amplifier_converter_and_lights():
    """By hand at 12.5 V. Trunk 4 m of 35 mm2 (0.554 ohm/km: 2.216 milliohm).

    Amplifier 400 W at 0.8: 40 A through 1 m of 10 mm2 (1.91). Converter 150 W at 0.75: 16 A through 2 m of 4 mm2
    (9.9). Lights 25 W: 2 A through 3 m of 1.5 mm2 (39.9). Trunk 58 A: 0.128528 V lost; at the ends 0.204928,
    0.286928 and 0.208328 V. Fuses: 58 / 0.8 = 72.5: 80; 50: 50; 20: 20; 2.5: 3 A.
    """
    thin = [(10.0, 1.0, 60.0), (4.0, 2.0, 30.0), (1.5, 3.0, 10.0)]
    draws = [
        Draw(power=400, efficiency=0.8, maker_fuse=60, name="amplifier"),
        Draw(power=150, efficiency=0.75, kind="converter", name="converter"),
        Draw(power=25, efficiency=1, kind="lights", name="lights"),
    ]
    branches = [Feed(voltage=12.5, cable=cable(*wire), draws=draw) for wire, draw in zip(thin, draws, strict=True)]
    trunk = Feed(voltage=12.5, cable=cable(35.0, 4.0, 130.0), branches=branches)
    assert [place.feed.current for place in trunk.places] == pytest.approx([58, 40, 16, 2])
    assert [place.drop for place in trunk.places] == pytest.approx([0.128528, 0.204928, 0.286928, 0.208328], abs=1e-9)
    assert [place.fuse for place in trunk.places] == [80, 50, 20, 3]
    assert trunk.fuse == 80, "no maker's figure caps a feed that branches: each branch has a fuse of its own"


def test_two_amplifiers_in_branches():
    """By hand at 14 V: 560 W at 0.8 and 280 W at 0.5 draw 50 and 40 A; 90 / 0.8 = 112.5: 125 A on the trunk.

    Branches: 62.5 and 50 A: 70 and 50. Trunk 0.386 * 3 = 1.158 milliohm loses 0.10422 V; 2 m of 16 mm2 (2.42
    milliohm) lose 0.121 and 0.0968 V more.
    """
    two = [Draw(power=560, efficiency=0.8, maker_fuse=80), Draw(power=280, efficiency=0.5, maker_fuse=60)]
    branches = [Feed(voltage=14, cable=cable(16.0, 2.0, 75.0), draws=one) for one in two]
    trunk = Feed(voltage=14, cable=cable(50.0, 3.0, 180.0), branches=branches)
    assert [place.fuse for place in trunk.places] == [125, 70, 50]
    assert [place.drop for place in trunk.places] == pytest.approx([0.10422, 0.22522, 0.20102], abs=1e-9)


def test_a_branch_of_a_branch_with_its_ways_back():
    """By hand at 24 V: lights of 24 W draw 1 A, a converter of 240 W at 0.5 draws 20 A.

    Trunk 10 mm2, 2 m: 3.82 + 1.18 back = 5 milliohm at 21 A: 0.105 V. Middle 6 mm2, 1 m: 3.3 + 1.7 = 5 at 21 A: 0.21.
    End 2.5 mm2, 1 m: 7.98 + 2.02 = 10 at 1 A: 0.22 V, so 23.78 V arrive.
    """
    wide = (20, 32)
    end = Feed(
        voltage=24,
        cable=cable(2.5, 1.0, 15.0),
        draws=Draw(power=24, efficiency=1, kind="lights", rated_voltage=wide),
        return_resistance=2.02e-3,
    )
    middle = Feed(
        voltage=24,
        cable=cable(6.0, 1.0, 40.0),
        draws=Draw(power=240, efficiency=0.5, kind="converter", rated_voltage=wide),
        branches=end,
        return_resistance=1.7e-3,
    )
    trunk = Feed(voltage=24, cable=cable(10.0, 2.0, 50.0), branches=middle, return_resistance=1.18e-3)
    assert [place.voltage for place in trunk.places] == pytest.approx([23.895, 23.79, 23.78], abs=1e-12)
    assert [place.fuse for place in trunk.places] == [30, 30, 2]


# --- which bound binds ----------------------------------------------------------------------------------------------


def refusal(build):
    with pytest.raises(NoFuse) as caught:
        build()
    return caught.value


def test_the_cable_binds():
    error = refusal(lambda: feed(cable=cable(rating=70)).fuse)
    assert error.binds == ("cable",)
    assert error.needed == pytest.approx(76.644, abs=1e-3)
    assert str(error) == (
        "Feed.cable.current_rating must be at least 80 A, the first fuse above 76.6 A (a draw of 61.3 A over 0.8), "
        "got 70 A. The cable binds: take thicker wire with a higher rating, or draw less"
    )


def test_the_cable_binds_though_the_maker_allows_more():
    amplifier = Draw(power=550, efficiency=0.65, maker_fuse=100)
    assert refusal(lambda: feed(cable=cable(rating=70), draws=amplifier).fuse).binds == ("cable",)


def test_the_makers_figure_binds_and_thicker_wire_is_no_cure():
    error = refusal(lambda: feed(draws=Draw(power=550, efficiency=0.65, maker_fuse=60)).fuse)
    assert error.binds == ("maker",)
    assert "maker's figure binds: draw less, or give it a feed of its own. Thicker wire does not help" in str(error)
    assert "take thicker" not in str(error)


def test_both_bind():
    error = refusal(lambda: feed(cable=cable(rating=70), draws=Draw(power=550, efficiency=0.65, maker_fuse=60)).fuse)
    assert error.binds == ("cable", "maker")
    assert "Thicker wire alone does not help" in str(error)


def test_a_rating_between_two_fuses_that_are_sold():
    """76.6 A are needed and the cable takes 79, but no fuse lies between: the cable binds."""
    assert refusal(lambda: feed(cable=cable(rating=79)).fuse).binds == ("cable",)
    assert feed(cable=cable(rating=79), rating_of_fuses=(60, 78, 90)).fuse == 78


def test_no_fuse_is_large_enough():
    error = refusal(lambda: feed(rating_of_fuses=(5, 10)).fuse)
    assert error.binds == ("sold",)
    assert "split the feed" in str(error)


def test_one_makers_figure_does_not_cap_a_feed_of_several_amplifiers():
    two = [Draw(power=300, efficiency=0.65, maker_fuse=40), Draw(power=300, efficiency=0.65)]
    assert feed(draws=two).fuse == 100  # 66.9 / 0.8 = 83.6
    assert any("fuse of its own" in remark for remark in feed(draws=two).remarks)


def test_one_makers_figure_does_not_cap_a_feed_that_branches():
    """By hand: 66.9 A over 0.8 are 83.6, so 100 A for the trunk; 33.4 over 0.8 are 41.8, so 50 in each branch."""
    two = [Draw(power=300, efficiency=0.65, maker_fuse=60), Draw(power=300, efficiency=0.65)]
    trunk = feed(draws=(), branches=[feed(draws=one) for one in two])
    assert [place.fuse for place in trunk.places] == [100, 50, 50]


def test_a_converter_alone_stays_within_its_makers_figure():
    """By hand: 150 / 0.65 / 13.8 = 16.7 A, over 0.8 20.9: 25 A would be more than the 10 A that its maker allows."""
    converter = Draw(power=150, efficiency=0.65, maker_fuse=10, kind="converter")
    assert refusal(lambda: feed(draws=converter).fuse).binds == ("maker",)
    assert feed(draws=dataclasses.replace(converter, maker_fuse=25)).fuse == 25


def test_one_amplifier_beside_lights_stays_within_its_makers_figure():
    shared = [Draw(power=300, efficiency=0.65, maker_fuse=40), Draw(power=60, efficiency=1, kind="lights")]
    assert refusal(lambda: feed(draws=shared).fuse).binds == ("maker",)  # 37.8 / 0.8 = 47.3 A


# --- refused, with the reason ---------------------------------------------------------------------------------------

AMPLIFIER = Draw(power=550, efficiency=0.65)
LITHIUM = {"capacity": 60 * ampere_hour, "usable_share": 0.8, "current": 20, "chemistry": "lithium"}

REFUSED = {
    "no system voltage": (lambda: feed(voltage=None), r"^Feed\.voltage is missing: measure it first"),
    "system voltage left out": (lambda: Feed(cable=cable()), r"^Feed\.voltage is missing: measure it first"),
    "12 V amplifier on 24 V": (
        lambda: feed(voltage=27.6),
        r"^Feed\.voltage must be between 10\.8 and 16 V.*got 27\.6 V.*24 or",
    ),
    "12 V amplifier on 48 V": (
        lambda: feed(voltage=48),
        r"^Feed\.voltage must be between 10\.8 and 16 V.*got 48 V.*destroys",
    ),
    "its current there": (lambda: AMPLIFIER.current(27.6), r"^Draw\.current\.voltage must be between .* got 27\.6 V"),
    "12 V amplifier in a branch": (
        lambda: Feed(voltage=27.6, cable=cable(), branches=feed()),
        r"^Feed\.branches\[0\]\.voltage must be 27\.6 V, that of the whole system",
    ),
    "high-voltage vehicle": (
        lambda: feed(vehicle="high voltage"),
        r"^Feed\.vehicle is 'high voltage'.*qualified person only",
    ),
    "48 V side of a mild hybrid": (
        lambda: feed(voltage=48, vehicle="mild hybrid", draws=Draw(power=550, efficiency=0.65, rated_voltage=(36, 60))),
        r"^Feed\.vehicle is 'mild hybrid', and only its 12 V side may be used, got 48 V",
    ),
    "its battery": (
        lambda: feed(voltage=400),
        r"^Feed\.voltage must be at most 60 V, got 400 V.*qualified person only",
    ),
    "its alternator's reserve": (
        lambda: alternator_reserve(90, vehicle_draws=40, vehicle="high voltage"),
        r"^alternator_reserve\.vehicle is 'high voltage'.*qualified person only",
    ),
    "accessory tap": (
        lambda: feed(taken_from="accessory tap"),
        r"^Feed\.taken_from must not be an accessory tap: it switches",
    ),
    "branch that no fuse can protect": (
        lambda: Feed(voltage=13.8, cable=cable(50.0, rating=180), branches=feed(cable=cable(rating=None))).fuse,
        r"^Feed\.branches\[0\]\.cable\.current_rating is missing: a fuse protects the cable",
    ),
    "second battery with one fuse": (
        lambda: SecondBattery(cable=cable(), current=60, voltage=13.8, fuses="one end"),
        r"^SecondBattery\.fuses must be at both ends, got 'one end': each battery can burn",
    ),
    "second battery without a fuse": (
        lambda: SecondBattery(cable=cable(), current=60, voltage=13.8, fuses="none"),
        r"^SecondBattery\.fuses must be at both ends, got 'none'",
    ),
    "second battery without the system's voltage": (
        lambda: SecondBattery(cable=cable(), current=60),
        r"^SecondBattery\.voltage is missing: measure it first",
    ),
    "second battery in a high-voltage vehicle": (
        lambda: SecondBattery(cable=cable(), current=60, voltage=13.8, vehicle="high voltage"),
        r"^SecondBattery\.vehicle is 'high voltage'.*qualified person only",
    ),
    "second battery on 48 V of a mild hybrid": (
        lambda: SecondBattery(cable=cable(), current=60, voltage=48, vehicle="mild hybrid"),
        r"^SecondBattery\.vehicle is 'mild hybrid', and only its 12 V side may be used",
    ),
    "fuse without the cable's rating": (
        lambda: feed(cable=cable(rating=None)).fuse,
        r"^Feed\.cable\.current_rating is missing: a fuse protects the cable",
    ),
    "clad wire, rating of nobody": (
        lambda: feed(cable=cable(metal=CLAD, source="")).fuse,
        r"^Feed\.cable\.source of 110 A says not whose it is, and clad wire carries less",
    ),
    "clad wire from a copper table": (
        lambda: feed(cable=cable(metal=CLAD, source="table of copper wire")).fuse,
        r"^Feed\.cable\.source .* no copper table stands for it",
    ),
    "clad wire from a table that names no metal": (
        lambda: feed(cable=cable(metal=CLAD, source="a table for 25 mm2")).fuse,
        r"^Feed\.cable\.source .* no copper table stands for it",
    ),
    "clad wire from a standard of copper": (
        lambda: feed(cable=cable(metal=CLAD, source="IEC 60228, class 5")).fuse,
        r"^Feed\.cable\.source .* no copper table stands for it",
    ),
    **{
        f"clad wire by {source}": (
            lambda source=source: feed(cable=cable(metal=CLAD, source=source)).fuse,
            r"^Feed\.cable\.source .* no copper table stands for it",
        )
        for source in (
            *("the internet", "?", "NEC 310.16", "BS 7671", "ISO 6722", "chart on the drum", "my friend"),
            *("CCA, but by the copper chart", "copper table, this wire is clad", "not clad: data sheet"),
            "sheet with a table of all sizes",
        )
    },
    "a gauge number for an area": (lambda: Cable(area=4, length=5), r"^Cable\.area .*that of gauge 4 is awg\(4\)"),
    "clad wire without its share": (
        lambda: cable(metal="copper-clad aluminium"),
        r"^Cable\.metal must be one of .* did you mean 'copper-clad aluminium 1[05] %'",
    ),
    "rating that no such wire carries": (
        lambda: feed(cable=cable(area=1.0, length=1.0, rating=100)).fuse,
        r"^Feed\.cable\.current_rating of 100 A is more than 1 mm2 can carry",
    ),
    "what arrives by an unmeasured way": (
        lambda: feed().voltage_at_load,
        r"^Feed\.return_resistance is missing: a way back that was not measured",
    ),
    "what arrives in a branch": (
        lambda: Feed(voltage=13.8, cable=cable(), branches=feed(), return_resistance=1e-3).places[1].voltage,
        r"^Feed\.branches\[0\]\.return_resistance is missing",
    ),
    "all of a battery": (
        lambda: engine_off_time(80 * ampere_hour, 1.0, current=10),
        r"^engine_off_time\.usable_share must be given, and less than 1",
    ),
    "no usable share": (
        lambda: engine_off_time(80 * ampere_hour, current=10),
        r"^engine_off_time\.usable_share must be given, and less than 1",
    ),
    "lithium without its maker's current": (
        lambda: engine_off_time(**LITHIUM),
        r"^engine_off_time\.maker_current is missing: a lithium battery's maker",
    ),
    "more than its maker allows": (
        lambda: engine_off_time(**LITHIUM, maker_current=10),
        r"^engine_off_time\.current must be at most the maker_current of 10 A",
    ),
    "reserve without the output at idle": (
        lambda: alternator_reserve(vehicle_draws=40),
        r"^alternator_reserve\.output_at_idle is missing: the current printed",
    ),
    "music at full efficiency and more": (
        lambda: AMPLIFIER.music_current(13.8, 12, 0.7),
        r"^Draw\.music_current\.efficiency at low output must be at most that at full power",
    ),
    "nothing drawn": (lambda: feed(draws=()).fuse, r"^Feed\.draws is empty: a fuse is chosen by what is drawn"),
    "wire that loses it all": (
        lambda: feed(cable=cable(area=0.5, length=10.0)),
        r"^Feed\.cable cannot carry 61\.3 A: on the way there all of 13\.8 V are lost",
    ),
    "millimetres": (lambda: cable(length=5000), r"^Cable\.length must be .*: did you mean 5000 \* mm\?"),
    "square millimetres": (
        lambda: Cable(area=25, length=5),
        r"^Cable\.area must be .*got 25: did you mean 25 \* mm2\?",
    ),
    "per cent": (lambda: Draw(power=550, efficiency=65), r"^Draw\.efficiency must be .*did you mean 65 \* percent\?"),
    "rated volts turned round": (
        lambda: Draw(power=550, efficiency=0.65, rated_voltage=(16, 10.8)),
        r"^Draw\.rated_voltage must be lowest first",
    ),
    "switches off above all that it takes": (
        lambda: Draw(power=550, efficiency=0.65, minimum_voltage=20),
        r"^Draw\.minimum_voltage must not be above",
    ),
    "fuses out of order": (lambda: feed(rating_of_fuses=(20, 10)), r"^Feed\.rating_of_fuses must be in rising order"),
}


@pytest.mark.parametrize("what", REFUSED)
def test_refused_by_name_and_with_the_reason(what):
    build, said = REFUSED[what]
    with pytest.raises((ValueError, TypeError), match=said):
        build()


# --- batteries, music, remarks --------------------------------------------------------------------------------------


def test_engine_off():
    """By hand: half of 80 Ah at 10 A are 4 hours, 14,400 s; 80 % of 60 Ah of lithium at 20 A 2.4 hours."""
    assert engine_off_time(80 * ampere_hour, 0.5, current=10) == pytest.approx(14_400)
    assert engine_off_time(**LITHIUM, maker_current=50) == pytest.approx(8_640)


def test_reserve_at_idle():
    """By hand: 55 A at idle, 40 taken: 15 left; 35 would lack 5."""
    assert alternator_reserve(55, vehicle_draws=40) == 15
    assert alternator_reserve(35, vehicle_draws=40, vehicle="engine") == -5


def test_both_ends_of_a_second_battery():
    """By hand: 60 / 0.8 = 75 A: 80 A at both ends."""
    assert SecondBattery(cable=cable(), current=60, voltage=13.8).fuse == 80


def test_share_of_music():
    """12 dB of crest leave 0.126 of the sine's power (10^-0.899); a sine, 3.01 dB, all of it."""
    assert share_of_sine(12) == pytest.approx(0.126, abs=5e-4)
    assert share_of_sine(3.0103) == pytest.approx(1, rel=1e-6)


def test_music_never_chooses_the_fuse():
    """By hand: 0.126 * 550 W at 0.35 and 13.8 V are 14.4 A, a quarter of 61.3; the fuse stays that of the sine."""
    assert AMPLIFIER.music_current(13.8, 12, 0.35) == pytest.approx(14.37, abs=0.05)
    assert feed().fuse >= AMPLIFIER.current(13.8) / 0.8


SAID = {
    "defers": ({}, "Local codes"),
    "unknown vehicle": ({}, "Find out first whether the vehicle is a hybrid"),
    "start-stop": ({"vehicle": "start-stop"}, "connect the ground where the vehicle's maker says"),
    "mild hybrid": ({"vehicle": "mild hybrid"}, "use only the 12 V side"),
    "grommet": ({}, "A grommet at every metal edge"),
    "breaking capacity": ({}, "breaking capacity"),
    "unmeasured": ({}, "The way back is not in these volts"),
    "zero is no measurement": ({"return_resistance": 0.0}, "0 ohm was not measured"),
    "nobody's rating": ({"cable": cable(source="")}, "Nobody is named"),
    "gauge by resistivity": ({"cable": cable(area=awg(4) / mm2)}, "may have 10 to 16 % more"),
    "clad": ({"cable": cable(metal=CLAD)}, "Clad wire loses more"),
    "by a table": ({"cable": cable(source="a table for houses")}, "One for houses does not hold"),
    "by a chart": ({"cable": cable(source="chart on the drum")}, "does not know this wire's insulation"),
    "two batteries in series": ({}, "measure across both, and feed nothing from one of them"),
    "hotter than its insulation": (
        {"cable": Cable(area=25 * mm2, length=5, temperature=380)},
        "hotter than the 105 °C that usual insulation takes",
    ),
    "doubtful": ({"cable": cable(rating=200)}, "A rating is high for its wire"),
    "temperature": ({}, "at 20 °C"),
    "switches off": (
        {"draws": dataclasses.replace(AMPLIFIER, minimum_voltage=13.7)},
        "at most 13.56 V arrive; the amplifier switches off below 13.7 V",
    ),
    "below its range": (
        {"voltage": 11.0, "draws": dataclasses.replace(AMPLIFIER, name="rear amplifier"), "return_resistance": 2e-3},
        "10.55 V arrive; rear amplifier is made for 10.8 V and more",
    ),
    "regulated": ({"return_resistance": 2e-3}, "the amplifier draws 63 A at the 13.44 V that arrive"),
    "no maker's figure": ({}, "No largest fuse is named for an amplifier"),
    "all power out": ({"draws": Draw(power=550, efficiency=1)}, "No amplifier gives out nearly all that it takes"),
    "as it is laid": ({}, "in a bundle, in heat or under carpet it carries less"),
    "split": ({"branches": feed()}, "its fuse where it begins, at the split"),
    "music": ({}, "the fuse is for a steady sine"),
}


@pytest.mark.parametrize("what", SAID)
def test_remarks(what):
    changed, said = SAID[what]
    assert any(said in remark for remark in feed(**changed).remarks)


@pytest.mark.parametrize(
    "what",
    [
        "start-stop",
        "mild hybrid",
        "doubtful",
        "hotter than its insulation",
        "by a table",
        "zero is no measurement",
        "nobody's rating",
        "clad",
        "split",
        "all power out",
    ],
)
def test_remarks_stand_only_where_they_apply(what):
    assert not any(SAID[what][1] in remark for remark in feed(return_resistance=2e-3).remarks)


def test_a_hot_way_back():
    """By hand: 61.32 A through 12 milliohm lose 0.736 V of 13.8 (5 % are 0.69) and heat with 45 W; 11 lose 0.675."""
    assert any("The way back loses 0.74 V: 45 W of heat." in said for said in feed(return_resistance=12e-3).remarks)
    assert not any("heat. A bad joint" in said for said in feed(return_resistance=11e-3).remarks)


@pytest.mark.parametrize(("volts", "said"), [(6.3, False), (13.8, False), (28.8, False), (32.5, True), (52.0, True)])
def test_a_blade_fuse_is_made_for_32_volts(volts, said):
    """ISO 8820-3 (from memory): blade fuses for 32 V; what is made for less than the system may not break it."""
    supplied = feed(voltage=volts, draws=Draw(power=100, efficiency=0.65, rated_voltage=(5, 60)))
    assert any("a common blade fuse cannot break that" in remark for remark in supplied.remarks) == said


@pytest.mark.parametrize(
    "source",
    ["data sheet of this CCA wire", "its data sheet", "copper-clad cable, maker's sheet", "printed on the reel"],
)
def test_clad_wire_by_its_own_sheet(source):
    assert feed(cable=cable(metal=CLAD, source=source)).fuse == 80


def test_no_word_of_a_missing_figure_where_it_is_given():
    named = feed(draws=Draw(power=550, efficiency=0.65, maker_fuse=80), cable=cable(rating=None))
    assert not any("No largest fuse" in remark or "in a bundle" in remark for remark in named.remarks)


def test_a_short_at_the_end_of_a_long_thin_wire():
    """By hand: 15 m of 1 mm2 (19.5) are 0.2925 ohm; 13.8 V drive 47.2 A through it, less than twice 25 A.

    250 W take 18.1 A: 22.6 over 0.8, so 25 A. With 5 m the short draws 141.5 A, and nothing is said.
    """
    draw = Draw(power=250, efficiency=1, kind="lights")
    long, short = (feed(cable=cable(1.0, metres, 25.0), draws=draw) for metres in (15.0, 5.0))
    said = "A short at its end draws at most 47.2 A, and a fuse of 25 A may be slow: shorten the wire."
    assert said in long.remarks
    assert not any("A short" in remark for remark in short.remarks)


def test_a_short_behind_two_wires_counts_both():
    """By hand: trunk and branch are 5 m of 1 mm2, 0.0975 ohm each, and 0.3 and 0.2 ohm back."""
    lights = Draw(power=100, efficiency=1, kind="lights")
    branch = Feed(voltage=13.8, cable=cable(1.0, 5.0, 25.0), draws=lights, return_resistance=0.2, name="the lights")
    trunk = Feed(voltage=13.8, cable=cable(1.0, 5.0, 25.0), branches=branch, return_resistance=0.3)
    # 13.8 / (0.0975 + 0.3 + 0.0975 + 0.2) = 19.86 A; 100 / 13.8 / 0.8 = 9.06: 10 A, of which twice is 20
    assert any("the end of the lights draws at most 19.9 A" in remark for remark in trunk.remarks)


def test_nothing_is_called_safe():
    said = [remark for changed, _ in SAID.values() for remark in feed(**changed).remarks]
    for build, _ in REFUSED.values():
        with pytest.raises((ValueError, TypeError)) as caught:
            build()
        said.append(str(caught.value))
    assert [one for one in said if "safe" in one.casefold()] == []


def test_what_a_wire_can_carry_in_air():
    """By hand for 16 mm2: sqrt(15 pi 1.6 180 / 0.0172414e-6) (16e-6)^0.75 = 224.5 A; 65 K in place of 180: 134.9 A."""
    wire = cable(area=16.0, rating=134.0)
    assert wire.ceiling == pytest.approx(224.5, abs=0.1)
    assert not wire.doubtful
    assert dataclasses.replace(wire, current_rating=136.0).doubtful


@pytest.mark.parametrize(("volts", "said"), [(13.8, False), (28.8, False), (52.0, True)])
def test_a_second_battery_over_32_volts_is_told_of_its_fuses(volts, said):
    """ISO 8820-3 (from memory): blade fuses are made for 32 V."""
    pair = SecondBattery(cable=cable(), current=60.0, voltage=volts)
    assert any("a common blade fuse cannot break that" in remark for remark in pair.remarks) == said
