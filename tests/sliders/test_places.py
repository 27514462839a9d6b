"""Every page on which a cabin can be chosen offers it by its places: what comes of it there."""

import json
import re

import numpy as np
import pytest

from lumpedbox import Air, Cabin, SealedBox, solve
from lumpedbox.parts.loudspeaker import Loudspeaker
from lumpedbox.response.remarks import BOX_REMARK
from lumpedbox.sliders.kit.places import BY_PLACES, EAR, by_places
from lumpedbox.sliders.kit.words import OPEN_AIR
from lumpedbox.sliders.lessons.bass_meets_panels import bass_meets_panels
from lumpedbox.sliders.lessons.cabin_gain import cabin_gain
from lumpedbox.sliders.lessons.closed_box import LEVEL_THERE, closed_box
from lumpedbox.sliders.lessons.crossing_over import crossing_over
from lumpedbox.sliders.lessons.how_loud import how_loud
from lumpedbox.sliders.lessons.loud_tweeter import loud_tweeter
from lumpedbox.sliders.lessons.sealed_door import sealed_door
from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented
from lumpedbox.sliders.lessons.set_the_levels import set_the_levels
from lumpedbox.sliders.lessons.small_woofers import small_woofers
from lumpedbox.sliders.lessons.which_box import which_box
from lumpedbox.tables import demo_cabins, demo_drivers
from lumpedbox.tables.my_parts import keep
from tests.sliders.conftest import details, fact_of

AIR = Air()
HATCHBACK, MINIBUS = "small hatchback", "sixteen-seat minibus"
SIZES = {"length": "3 m", "width": "1.6 m", "height": "1.2 m"}
PAGES = (closed_box, sealed_or_vented, small_woofers, how_loud, sealed_door, bass_meets_panels)


@pytest.fixture(scope="module", params=PAGES, ids=lambda make: make.__name__)
def page(request):
    return request.param()


def places_of(page):
    return [name for name in page.controls if name == "place" or name.endswith("_place")]


def choices_of(page, name):
    return next(spec["options"] for spec in page.board.controls if spec["name"] == name)


@pytest.mark.parametrize("name", [HATCHBACK, MINIBUS])
def test_every_page_answers_at_every_place_and_says_what_is_left_out(page, name):
    page.reset()
    page.put(cabin=name + BY_PLACES)
    cabin = demo_cabins()[name]
    for control in places_of(page):
        assert choices_of(page, control) == [place for place, _ in cabin.places]
        for place, _ in cabin.places:
            page.put(**{control: place})
            assert (page.message, page.values[control]) == ("", place)
            assert BOX_REMARK in details(page)
            assert place in page.answer.conditions.text("metric")
            assert not re.search(r"\bnan\b", json.dumps(page.board.answer))


def test_the_choice_of_a_place_shows_only_where_places_matter_and_moves_the_level(page):
    page.reset()
    page.put(**({"show": "what plays"} if "show" in page.controls else {}))
    for cabin, matters in ((HATCHBACK + BY_PLACES, True), (HATCHBACK, False), (OPEN_AIR, False)):
        page.put(cabin=cabin)
        assert [name for name in places_of(page) if name in page.board.hidden] == places_of(page) * (not matters)
    page.put(cabin=HATCHBACK + BY_PLACES)
    for control in places_of(page):
        first, *_, last = choices_of(page, control)
        page.put(**{control: first})
        before = page.board.picture
        page.put(**{control: last})
        assert page.board.picture != before


def test_a_place_that_another_cabin_lacks_gives_way_to_one_that_it_has(page):
    page.put(cabin=MINIBUS + BY_PLACES, **dict.fromkeys(places_of(page), "roof right"))
    page.put(cabin=HATCHBACK + BY_PLACES)
    for control in places_of(page):
        assert page.values[control] in dict(demo_cabins()[HATCHBACK].places)
    page.put(cabin=OPEN_AIR)
    for control in places_of(page):
        assert page.values[control] == page.start[control]


def test_by_places_the_axis_names_the_ear_and_the_page_says_what_a_head_that_moves_changes(page):
    """A band of four of five heads, or how far they lie apart; against 2,000 heads drawn in the ear's cube."""
    page.reset()
    page.put(cabin=HATCHBACK + BY_PLACES)
    for axes in (page.scene.stack.axes["level"].yaxis.label, page.scene.stack.titles["level"]):
        assert "at the ear" in axes.get_text()
    (said,) = (said for said in page.answer.details if said.words.startswith("A head moves"))
    assert said["edge"] == pytest.approx(0.15)
    if "spread" in said.numbers:
        parts = page.scene.parts(page.values)
        response = solve(parts, said["at"])
        first = getattr(response, "responses", (response,))[0]
        cube = np.random.default_rng(5).uniform(-0.075, 0.075, (2000, 3))
        low, high = np.quantile(response.levels_at(np.array(first.ear) + cube), [0.1, 0.9])
        assert said["spread"] == pytest.approx(high - low, abs=0.15, rel=0.1)
    else:
        drawn = page.scene.stack.bands
        bands = [band for (_, key), band in drawn.items() if key == "level" and len(band.get_xy()) > 2]
        assert bands
    page.put(cabin=OPEN_AIR)
    assert "A head moves" not in details(page)
    assert "at 1 m" in page.scene.stack.axes["level"].yaxis.label.get_text() or places_of(page) != ["place"]


@pytest.mark.long
@pytest.mark.parametrize(("make", "curve"), [(how_loud, "moving head"), (bass_meets_panels, "sum")])
def test_the_band_drawn_holds_four_of_five_of_2000_heads(make, curve):
    """Heads drawn in the ear's cube, each a point; what a head hears over the ear is alike at every drive."""
    page = make()
    page.put(cabin=HATCHBACK + BY_PLACES)
    some = slice(5, None, 20)
    line = page.scene.stack.values("loudest" if make is how_loud else "sum", "level")[1]
    edges = (outline(page.scene, curve) - line)[:, some]
    response = solve(page.scene.parts(page.values), page.scene.grid[some])
    first = getattr(response, "responses", (response,))[0]
    cube = np.random.default_rng(5).uniform(-0.075, 0.075, (2000, 3))
    heads = np.quantile(response.levels_at(np.array(first.ear) + cube), [0.1, 0.9], axis=0) - response.level
    spread = heads[1] - heads[0]
    assert np.max(spread) > 2
    assert np.all(abs(edges - heads) < 0.15 + 0.1 * spread)
    page.put(cabin=HATCHBACK)
    assert outline(page.scene, curve).size == 0


@pytest.mark.parametrize("make", [bass_meets_panels, set_the_levels], ids=lambda make: make.__name__)
def test_two_at_one_place_are_doubted_by_the_names_of_their_controls(make):
    page = make()
    page.put(cabin=MINIBUS + BY_PLACES)
    first, second, *_ = places_of(page)
    doubt = "Two cones cannot stand at one place"
    assert doubt not in str(page.board.answer["cautions"])
    page.put(**{first: "wheel arch", second: "wheel arch"})
    labels = [page.controls[name].label for name in (first, second)]
    assert page.message == ""
    assert f"{doubt}: see “{labels[0]}” and “{labels[1]}" in str(page.board.answer["cautions"])
    page.put(cabin=MINIBUS)
    assert doubt not in str(page.board.answer["cautions"])


@pytest.mark.parametrize("make", [closed_box, how_loud, cabin_gain], ids=lambda make: make.__name__)
def test_a_cabin_that_rings_like_a_hall_is_doubted(make, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    keep("cabin", "hall", SIZES | {"reverberation_time": "3 s"})
    page = make()
    assert "a hall rings that long" not in details(page)
    page.put(cabin="hall")
    assert "The cabin's reverberation time is 3 s: a hall rings that long, not a vehicle." in details(page)


def test_the_band_is_the_same_whichever_way_one_came():
    straight, round_about = bass_meets_panels(), bass_meets_panels()
    straight.put(cabin=HATCHBACK + BY_PLACES, volume=0.04)
    moves = ({"volume": 0.04}, *({"cabin": name + BY_PLACES} for name in (MINIBUS, HATCHBACK)))
    for number, places in enumerate(moves):
        round_about._on_moved({"number": number, "places": places})
    assert outline(round_about.scene, "sum").size == 0, "while the hand moves"
    round_about.rest()
    assert np.array_equal(outline(round_about.scene, "sum"), outline(straight.scene, "sum"))
    assert round_about.answer == straight.answer


def outline(scene, curve):
    """The lower and the upper edge of the level's band as drawn; nothing where there is none."""
    drawn = scene.stack.bands[curve, "level"].get_xy()[:-1, 1]  # the last point closes the outline
    drawn = drawn[np.isfinite(drawn)]
    return np.array([drawn[: len(drawn) // 2], drawn[len(drawn) // 2 :][::-1]])


def heard_by_modes(frequency, cabin, source):
    """Pressure at the ear over that of the same flow in half space at 1 m; a point, and the mean over the ear's cube.

    Source: P. M. Morse, K. U. Ingard, "Theoretical Acoustics" (1968), chap. 9 (from memory), summed mode by mode. The
    softness of the panels and the leak act on the uniform pressure alone.
    """
    sizes, s = np.array([cabin.length, cabin.width, cabin.height]), 2j * np.pi * frequency
    n = np.stack(np.meshgrid(*[np.arange(50)] * 3, indexing="ij"), axis=-1).reshape(-1, 3)[1:]
    k = np.pi * n / sizes
    weight = np.where(n, 2, 1).prod(axis=-1) * np.cos(k * source).prod(axis=-1) * np.cos(k * cabin.ear).prod(axis=-1)
    weight = weight * np.sinc(k * cabin.ear_box / 2 / np.pi).prod(axis=-1)
    lag = (s**2 + 13.816 / cabin.reverberation_time * s) / AIR.sound_speed**2
    volume = sizes.prod()
    modes = (weight / (np.square(k).sum(axis=-1) + lag)).sum() / volume
    uniform = AIR.sound_speed**2 / (cabin.flex * volume * (s**2 + 2 * np.pi * cabin.leak * s))
    return 2 * np.pi * (modes + uniform)  # over rho s U / (2 pi 1 m)


@pytest.mark.parametrize(
    ("name", "place"), [(HATCHBACK, "boot floor"), (HATCHBACK, "front door left"), (MINIBUS, "wheel arch")]
)
def test_the_level_is_that_of_half_space_times_what_the_modes_add(name, place):
    """Half space first, then 20 log10 of the transfer over that of half space.

    The page takes a square as large as the cone for a source: within 0.2 dB of a point at 40 Hz.
    """
    page = closed_box()
    page.put(cabin=name + BY_PLACES, place=place, volume=0.02)
    box = SealedBox(volume=0.02, Ql=page.values["Ql"])
    plain = Loudspeaker(driver=demo_drivers()[page.values["driver"]], box=box)
    half_space = float(solve(plain, 40.0, page.values["voltage"]).level[0])
    cabin = demo_cabins()[name]
    added = 20 * np.log10(abs(heard_by_modes(40.0, cabin, dict(cabin.places)[place])))
    assert abs(added) > 1  # else half space alone would pass
    assert fact_of(page, LEVEL_THERE)["level"] == pytest.approx(half_space + added, abs=0.2)


def test_two_places_of_one_page_are_those_of_its_loudspeakers():
    """One panel is where it is said to be, its twin opposite."""
    page = bass_meets_panels()
    page.put(cabin=HATCHBACK + BY_PLACES, bass_place="boot floor", panels_place="front door left")
    bass, *panels = page.scene.parts(page.values).loudspeakers
    assert bass.position == (2.1, 0.9, 0.2)
    assert [panel.position for panel in panels] == [(0.7, 0.0, 0.35), (0.7, 1.35, 0.35)]
    assert {"bass_way", "panels_way"} <= set(page.board.hidden)


def test_the_search_says_why_it_takes_no_cabin_by_its_places():
    page = which_box()
    assert not any(option.endswith(BY_PLACES) for option in page.controls["cabin"].options)
    assert "cabins by their places (the search counts f3" in page.controls["cabin"].left_out


def test_ear_and_places_of_a_cabin_that_tells_none_are_assumed_and_said_to_be():
    keep("cabin", "van", SIZES)
    page = closed_box()
    page.put(cabin="van" + BY_PLACES)
    cabin = page.scene.parts(page.values).cabin
    assert cabin.ear == pytest.approx(np.multiply(EAR, (3, 1.6, 1.2)))
    assert "(assumed)" in page.values["place"]
    assert "assumed (ours)" in details(page)
    page.put(cabin=HATCHBACK + BY_PLACES)
    assert "assumed (ours)" not in details(page)


def test_a_cabin_counted_by_places_is_offered_as_one_volume_too_and_a_measured_one_as_measured():
    keep("cabin", "van", SIZES | {"law": "modes", "ear": "1.5, 0.4, 0.9 m", "places": "shelf = 2.9, 0.8, 0.9 m"})
    keep("cabin", "box", SIZES | {"law": "measured", "table": "20 Hz, 12 dB; 40 Hz, 8 dB"})
    page = closed_box()
    page.put(cabin="van")
    assert page.scene.parts(page.values).cabin.law == "volume"
    page.put(cabin="van" + BY_PLACES)
    assert page.scene.parts(page.values).position == (2.9, 0.8, 0.9)
    page.put(cabin="box")  # at 40 Hz it is 8 dB over half space, by its table
    lifted = fact_of(page, LEVEL_THERE)["level"]
    page.put(cabin=OPEN_AIR)
    assert lifted - fact_of(page, LEVEL_THERE)["level"] == pytest.approx(8.0, abs=1e-6)


def test_a_closed_boot_is_left_out_with_the_reason():
    keep("cabin", "saloon", SIZES | {"boot": "closed"})
    page = closed_box()
    assert not any("saloon" in option for option in page.controls["cabin"].options)
    assert "saloon (a closed boot behind seat and shelf is a space of its own" in page.controls["cabin"].left_out


def test_a_loudspeaker_at_the_ear_is_refused_in_words():
    cabins = {"van": Cabin(length=3, width=1.6, height=1.2, ear=(1.5, 0.4, 0.9), places={"seat": (1.5, 0.4, 0.9)})}
    page = closed_box(cabins=cabins)
    page.put(cabin="van" + BY_PLACES)
    assert "lies within the ear" in page.message


@pytest.mark.parametrize("make", [loud_tweeter, crossing_over])
def test_pages_that_ask_no_place_say_why(make):
    """Near 3 kHz resonances crowd: 2000 sqrt(T / V) is 204 Hz in the minibus (Schroeder 1962, from memory)."""
    page = make()
    assert "cabin" not in page.controls
    assert "No place in a cabin is asked" in details(page)


def test_by_places_changes_the_law_and_nothing_that_is_known():
    hatchback = demo_cabins()[HATCHBACK]
    cabin = by_places(hatchback)
    assert (cabin.law, cabin.ear, cabin.places) == ("modes", hatchback.ear, hatchback.places)
