"""What the page on which box does at its limits: of an amplifier, of a flat space, and where no box is left."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import recommend
from lumpedbox.sliders.lessons.which_box.answering import HELD, NET, TUNED, refused
from lumpedbox.sliders.lessons.which_box.page import ANOTHER, LOADS, OWN, which_box
from lumpedbox.tables import demo_drivers
from lumpedbox.units import cm2, litre, mm
from tests.sliders.conftest import ask, details, moves

BASS = demo_drivers()["200 mm bass"]
TIGHT = {"volume": 10 * litre, "port_area": 20 * cm2}  # no vented box fits


@pytest.fixture(scope="module")
def made():
    return which_box()


def test_the_power_ends_where_the_amplifier_does(page):
    ask(page, typed=["voltage", "200"])
    assert page.board.refused == {"voltage": "200 is more than it gives: 75 W is taken."}
    assert page.values["voltage"] == pytest.approx(np.sqrt(75 * 4))
    (spec,) = (spec for spec in page.board.controls if spec["name"] == "voltage")
    assert (spec["texts"][-1], spec["stops"][-1]) == ("75", pytest.approx(np.sqrt(300)))
    page.put(amplifier="head unit of the minibus")  # of 9.1 V, for no less than 4 ohm
    assert page.text("voltage") == "20.7 W (9.1 V into 4 ohm)"
    assert page.scene.brief(page.values).drive == pytest.approx(9.1)
    page.put(amplifier="four channels from the stores")
    assert page.text("voltage").startswith("75 W")


@pytest.mark.parametrize("load", LOADS)
def test_an_amplifier_of_one_s_own_is_its_watts_into_its_load(page, load):
    page.put(amplifier=ANOTHER, load=load, voltage=10.0)
    ohm = float(load.split()[0])
    assert page.text("voltage") == f"{100 / ohm:.3g} W (10 V into {ohm:.2g} ohm)"
    amplifier = page.scene.brief(page.values).amplifier
    assert (amplifier.voltage, amplifier.minimum_load) == pytest.approx((10.0, ohm))
    page.put(voltage=100.0)
    assert page.text("voltage").startswith(f"{10_000 / ohm:.0f} W (100 V"), "written as nobody says it"
    page.put(voltage=10.0)
    if ohm == 8.0:  # 0.8 of it is more than the coil's 3.3 ohm
        assert page.answer.headline.text("metric") == "No box: the coil's 3.3 ohm is too low a load for this amplifier."


def test_in_a_flat_box_the_port_is_short_and_the_driver_must_go_in(page):
    """The sheet of the 200 mm bass prints 110 mm."""
    page.put(depth=290 * mm)
    assert page.answer[TUNED]["vented"]["length"] == pytest.approx(290 * mm, rel=1e-3)
    page.put(depth=150 * mm, volume=60 * litre)
    assert page.answer[TUNED]["vented"]["length"] <= 150 * mm * (1 + 1e-6)
    page.put(depth=100 * mm)
    assert page.answer.headline.text("metric") == (
        "The driver is too deep: it reaches 110 mm behind its panel, and there are only 100 mm."
    )
    assert "It reaches 110 mm behind its panel; there are 100 mm inside." in details(page)


def test_a_kind_that_is_out_says_what_it_needs_and_that_does_it(page):
    page.put(**TIGHT)
    assert sorted(page.scene.designs) == ["sealed"]
    assert page.answer[NET]["vented"].text("metric") == "none"
    assert page.answer[HELD]["vented"].text("metric") == "peak"
    assert np.isnan(page.scene.stack.values("vented", "level")[1]).all()
    assert np.isnan(page.scene.stack.bands["vented", "level"].get_xy()).all()
    said = next(said for said in page.answer.details if said.words.startswith("A vented box would fit with"))
    ways = {name: way[name] for way in said.numbers.values() for name in way.numbers}
    assert len(ways) == 3
    for name, value in ways.items():
        page.put(**{**TIGHT, "limits": OWN, name: np.sqrt(value * 4) if name == "voltage" else value})
        assert sorted(page.scene.designs) == ["sealed", "vented"], name


def test_where_no_box_does_it_nothing_is_drawn_and_a_way_is_told(page):
    page.put(limits=OWN, ripple=0.2)
    assert (page.scene.designs, page.answer.facts) == ({}, ())
    assert page.answer.headline.text("metric") == "No box can do it. What would help: a peak of 0.4 dB."
    assert "How sure" not in details(page)
    page.put(ripple=page.answer.headline.numbers["way"]["ripple"])
    assert page.scene.designs != {}


def test_while_the_hand_moves_no_way_out_is_looked_for(page):
    moves(page, page.start | {"limits": OWN, "ripple": 0.2})
    assert page.answer.headline.text("metric") == "No box found at a first look: looking closer."
    page.rest()
    assert page.answer.headline.text("metric").startswith("No box can do it.")


def test_an_amplifier_that_the_driver_is_too_low_for(page):
    page.put(driver="165 mm panel of 2 ohm", amplifier="head unit of the minibus")
    assert page.answer.headline.text("metric") == "No box: the coil's 1.7 ohm is too low a load for this amplifier."
    assert "No box: its coil has 1.7 ohm, and the amplifier is made for no less than 3.2 ohm." in details(page)
    assert len(page.scene.trade.curves["sealed"].get_xdata()) == 0


def test_a_driver_of_unknown_travel_says_so(page):
    name = next(name for name, driver in demo_drivers().items() if driver.xmax is None and driver.fs < 100)
    page.put(driver=name)
    assert page.answer.headline.text("metric") == (
        "No box can be judged: the linear travel of this driver is not known."
    )


def test_a_way_out_that_no_slider_reaches_is_not_told_where_another_is():
    driver = dataclasses.replace(BASS, Bl=3.0, name="weak")
    page = which_box({"weak": driver})
    page.put(port_area=20 * cm2)
    refusal = recommend(driver, page.scene.brief(page.values), candidates=900).refused["weak"]
    peak = refusal.relaxed["ripple"].ripple
    assert peak > 6
    assert "That is more than can be set here." in details(page)
    told = refused(refusal, {"ripple": (0.1, peak + 1)}).text("metric")
    assert told == f"No box can do it. What would help: a peak of {peak:.1f} dB."


def test_where_one_limit_is_not_enough_all_are_told_and_do_it(page):
    places = {"limits": OWN, "f3": 30.0, "ripple": 0.1, "lowest": 20.0, "volume": 6 * litre}
    page.put(**places, amplifier=ANOTHER, voltage=28.0)
    assert page.answer.headline.text("metric") == "No box can do it: several limits would have to give at once."
    said = next(said for said in page.answer.details if "takes several looser limits" in said.words)
    wanted = {name: number.value for name, number in said.numbers.items()}
    if "voltage" in wanted:
        wanted["voltage"] = np.sqrt(4.0 * wanted["voltage"])
    names = [name for name in wanted if name in page.controls]
    assert len(names) > 1
    assert ("more than can be set here" in said.words) == any(
        name not in names or page.controls[name].nearest(value) != value for name, value in wanted.items()
    )
    brief = dataclasses.replace(page.scene.brief(page.values), **wanted)
    assert recommend(BASS, brief, candidates=900).designs
