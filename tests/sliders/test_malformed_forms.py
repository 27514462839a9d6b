"""A thousand forms filled in with what people mistype: each value is shown as read or refused by its label."""

import html
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lumpedbox.sliders.kit.forms import several, tidy
from lumpedbox.sliders.kit.systems import SYSTEMS
from lumpedbox.sliders.lessons.my_parts import my_parts
from lumpedbox.tables.entries import KINDS, known_of
from lumpedbox.tables.quantity_text import with_point, with_unit

TYPED = st.one_of(
    st.builds(
        "{}{}{}".format,
        st.one_of(
            st.floats(0.1, 400).map("{:.3g}".format),
            st.integers(-5, 10**5).map(str),
            st.sampled_from(
                [
                    "1,5",
                    "1 1/2",
                    "½",
                    "nan",
                    "1e999",
                    "--3",
                    "٣",
                    "0x1F",
                    "3.4.5",
                    "<b>",
                    "1/0",
                    "6x9",
                    "15 × 23",
                    "🔊",
                    "9" * 5000,
                ]
            ),
        ),
        st.sampled_from(["", " "]),
        st.sampled_from(["", "L", "Hz", "ohm", "mm", "in", '"', "ft^3", "cm^2", "mH", "W", "dB", "g", "T m", "%"]),
    ),
    st.text(max_size=8),
)


def with_unit_of(example):
    """Numbers with the unit of the example that stands in an empty field."""
    unit = re.sub(r"^[\d.]+ ?", "", re.split(" or |, if ", example)[0])
    return st.floats(0.1, 400).map(lambda number: f"{number:.3g} {unit}")


@pytest.fixture(scope="module")
def page():
    return my_parts()


def test_a_malformed_form_is_refused_by_label_or_read_as_it_stands(page):
    read, refused = [], []

    @settings(max_examples=1000, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
    @given(st.sampled_from(list(KINDS)), st.data())
    def each(kind, data):
        form = page.forms[kind]
        fields = [key for key, field in form.fields.items() if not getattr(field, "options", ())]
        chosen = data.draw(st.lists(st.sampled_from(fields), min_size=1, max_size=3, unique=True))
        typed = {key: data.draw(st.one_of(TYPED, with_unit_of(form.fields[key].placeholder))) for key in chosen}
        form.fill("mine", {})
        for key, text in typed.items():
            form.fields[key].value = text
        report = html.unescape(form.report.value)
        assert "should not have happened" not in report
        assert "Traceback" not in report
        for key, text in ((key, text.strip()) for key, text in typed.items() if text.strip()):
            named = form.browser.wrong.get(key, "")
            unit = form.units(SYSTEMS[0])[key]
            text = tidy(kind, key, text, unit) if several(kind, key) else with_unit(with_point(text), unit)
            assert form.typed[key] == text
            try:
                known = known_of(kind, {key: text})
            except ValueError:
                assert named, (key, text)
                assert not named.lower().startswith(key.lower())
                refused.append(text)
            else:
                nothing_taken_up = key == "displacement" and known.get(key) == 0
                assert bool(named) is nothing_taken_up
                assert not known or nothing_taken_up or f"<td>{form.labels[key]}" in report
                read.append(text)

    each()
    assert len(read) > 200
    assert len(refused) > 200


@pytest.mark.parametrize("typed", ["35  Herzen", "3" * 200, "🔊", "0", "1e999", "58 58", "30 kHz", "\u202e85"])
def test_a_complaint_stands_at_its_field_without_the_key(page, typed):
    form = page.forms["driver"]
    form.fill("mine", {})
    form.fields["fs"].value = typed
    (complaint,) = form.browser.wrong.values()
    assert complaint
    assert "fs" not in complaint
    assert len(complaint) < 250


def test_of_many_ways_to_complete_a_driver_three_are_shown(page):
    form = page.forms["driver"]
    form.fill("mine", {"fs": "35 Hz", "Qms": "5", "Vas": "60 L", "Sd": "330 cm^2", "Re": "3.4 ohm"})
    ways = form.report.value.partition("add one of these")[2]
    assert ways.count("<li>") == 3
