"""A thousand forms filled in with what people mistype: each value is shown as read or refused by its label."""

import html
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lumpedbox.sliders.lessons.my_parts import my_parts
from lumpedbox.tables.entries import KINDS, known_of

TYPED = st.one_of(
    st.builds(
        "{}{}{}".format,
        st.one_of(
            st.floats(0.1, 400).map("{:.3g}".format),
            st.integers(-5, 10**5).map(str),
            st.sampled_from(["1,5", "1 1/2", "½", "nan", "1e999", "--3", "٣", "0x1F", "3.4.5", "<b>", "1/0"]),
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
        form.fill("mine", typed)
        report = html.unescape(form.report.value)
        assert "should not have happened" not in report
        assert "Traceback" not in report
        for key, text in ((key, text.strip()) for key, text in typed.items() if text.strip()):
            complaints = re.findall(r'<div class="lb-wrong">(.*?)</div>', report, re.DOTALL)
            named = [said for said in complaints if said.startswith(f"{form.labels[key]}: ")]
            try:
                known = known_of(kind, {key: text})
            except ValueError:
                assert named, (key, text)
                refused.append(text)
            else:
                assert not named
                assert not known or f"<td>{form.labels[key]}</td>" in report
                read.append(text)

    each()
    assert len(read) > 200
    assert len(refused) > 200


@pytest.mark.parametrize("typed", ["35  Herzen", "3" * 200])
def test_a_complaint_stands_under_the_label_alone_however_the_entry_is_written(page, typed):
    form = page.forms["driver"]
    form.fill("mine", {"fs": typed})
    complaint = re.search(r'<div class="lb-wrong">(.*?)</div>', form.report.value, re.DOTALL)[1]
    assert complaint.startswith(f"{form.labels['fs']}: ")
    assert "fs =" not in complaint


def test_of_many_ways_to_complete_a_driver_three_are_shown(page):
    form = page.forms["driver"]
    form.fill("mine", {"fs": "35 Hz", "Qms": "5", "Vas": "60 L", "Sd": "330 cm^2", "Re": "3.4 ohm"})
    ways = form.report.value.partition("add one of these")[2]
    assert ways.count("<li>") == 3
