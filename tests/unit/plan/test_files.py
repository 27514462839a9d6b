"""A plan written back: nothing is lost, nothing is half written, and what changed meanwhile is noticed."""

import difflib
import re
import tomllib

import pytest

from lumpedbox.plan import demo_plan, drop, keep, read_plan
from lumpedbox.plan.files import begin, keep_together, put_back

SEAL = "seal the step wells"


@pytest.fixture
def plan(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_bytes(demo_plan().path.read_bytes())
    return read_plan(path)


def changed_lines(before, after):
    lines = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line for line in lines if line[:2] in ("+ ", "- ")]


def table(plan, *keys):
    found = tomllib.loads(plan.path.read_text(encoding="utf-8"))
    for key in keys:
        found = found[key]
    return found


def test_one_value_changes_one_line_and_keeps_its_remark(plan):
    known = table(plan, "opening", "step well left")
    after = keep(plan, "opening", known | {"depth": "80 mm"}, "step well left")
    assert after.openings["step well left"]["depth"] == pytest.approx(0.08)
    assert changed_lines(plan.text, plan.path.read_text(encoding="utf-8")) == [
        '- depth = "84 mm"                        # to the nearest obstacle',
        '+ depth = "80 mm"                        # to the nearest obstacle',
    ]


def test_writing_what_stands_there_changes_nothing(plan):
    before = plan.path.read_bytes()
    for name in ("plan", "cabin", "have", "orders"):
        plan = keep(plan, name, table(plan, name))
    for kind in ("opening", "channel", "part", "stage"):
        for name in table(plan, kind):
            plan = keep(plan, kind, table(plan, kind, name), name)
    assert plan.path.read_bytes() == before


def test_stages_orders_and_openings_come_and_go(plan):
    remarks = set(re.findall(r"# .*", plan.text))
    after = keep(
        plan, "stage", {"uses": [], "set": {"step well left": {"hole": "5 cm2"}}, "after": [SEAL]}, "leave a slit"
    )
    after = keep(after, "orders", {"mine": [SEAL, "leave a slit"]})
    assert after.orders == {"mine": (SEAL, "leave a slit")}
    after = keep(after, "orders", {})
    after = drop(after, "stage", "leave a slit")
    assert "leave a slit" not in after.stages
    assert remarks <= set(re.findall(r"# .*", after.path.read_text(encoding="utf-8")))


def test_an_order_that_takes_values_away_keeps_their_remarks(plan):
    after = keep(plan, "opening", {"place": ["0.60 m", "0.10 m", "0.35 m"]}, "step well left")
    assert after.openings["step well left"].keys() == {"place"}
    assert "what leaks from behind the cone into the cabin" in after.text


@pytest.mark.parametrize(("change", "told"), [
    (lambda plan: keep(plan, "opening", {"depth": "58"}, "roof left"), r'\[opening."roof left"\]: depth'),
    (lambda plan: drop(plan, "opening", "roof left"), "no opening of that name"),
    (lambda plan: drop(plan, "stage", "amplifier"), 'no stage of that name'),
    (lambda plan: keep(plan, "stage", {"after": ["amplifier", "bass box"]}, "bass box"), "circle"),
    (lambda plan: keep(plan, "opening", {"depth": object()}, "roof left"), "change it in an editor"),
    (lambda plan: keep(plan, "opening", {}), "needs the name of one"),
    (lambda plan: keep(plan, "orders", {}, "mine"), "has no names"),
])  # fmt: skip
def test_a_refusal_leaves_the_file_as_it_was(plan, change, told):
    before = plan.path.read_bytes()
    with pytest.raises(ValueError, match=told):
        change(plan)
    assert plan.path.read_bytes() == before
    assert [path.name for path in plan.path.parent.iterdir()] == ["plan.toml"]


def test_a_change_in_another_tab_is_noticed_and_nothing_of_it_is_lost(plan):
    other = read_plan(plan.path)
    keep(other, "orders", {"theirs": [SEAL]})
    with pytest.raises(ValueError, match=r"\[orders\] was changed meanwhile"):
        keep(plan, "orders", {"mine": [SEAL]})
    known = table(plan, "opening", "step well left")
    both = keep(plan, "opening", known | {"depth": "80 mm"}, "step well left")  # another table: both changes stay
    assert both.orders == {"theirs": (SEAL,)}
    assert both.openings["step well left"]["depth"] == pytest.approx(0.08)


def test_the_line_ends_and_the_mark_of_another_editor_stay(plan):
    plan.path.write_bytes(b"\xef\xbb\xbf" + plan.text.replace("\n", "\r\n").encode())
    plan = keep(read_plan(plan.path), "orders", {"mine": [SEAL]})
    written = plan.path.read_bytes()
    assert written.startswith(b"\xef\xbb\xbf")
    assert written.count(b"\n") == written.count(b"\r\n")


@pytest.mark.parametrize("remark", ["a day in the garage", "heater duct"])  # another reads "a heater duct"
def test_a_remark_within_a_list_is_not_lost_without_a_word(plan, remark):
    inside = f'"mine" = [\n    "seal the step wells",  # {remark}\n    "amplifier",\n]\n'
    plan.path.write_text(plan.text + inside, encoding="utf-8")
    plan = read_plan(plan.path)
    before = plan.path.read_bytes()
    with pytest.raises(ValueError, match="change it in an editor"):
        keep(plan, "orders", table(plan, "orders") | {"mine": ["amplifier"]})
    assert plan.path.read_bytes() == before


def test_a_file_that_is_gone_is_not_made_anew(plan):
    plan.path.unlink()
    with pytest.raises(ValueError, match="is not there"):
        keep(plan, "orders", {})
    assert not plan.path.exists()


def test_what_belongs_together_is_written_together_or_not_at_all(plan):
    shelf, before = {"place": ["4 m", "0.3 m", "0.9 m"], "baffle": "infinite"}, plan.path.read_bytes()
    have = table(plan, "have") | {"shelf": "100 mm roof"}
    after = keep_together(plan, [("have", "", have), ("opening", "shelf", shelf)])  # neither could be read by itself
    assert after.have["shelf"].name == "100 mm roof"
    assert put_back(after, plan.text).have.keys() == plan.have.keys()
    assert plan.path.read_bytes() == before
    with pytest.raises(ValueError, match=r"depth = '9 Herz'"):
        keep_together(plan, [("have", "", have), ("opening", "shelf", shelf | {"depth": "9 Herz"})])
    with pytest.raises(ValueError, match="needs the name of one"):
        keep_together(plan, [("have", "", have), ("opening", "", shelf)])
    assert plan.path.read_bytes() == before


def test_a_change_is_taken_back_to_the_last_byte_unless_there_is_another(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_bytes(b"\xef\xbb\xbf" + demo_plan().path.read_bytes().replace(b"\n", b"\r\n"))
    before, plan = path.read_bytes(), read_plan(path)
    after = keep(plan, "plan", {"name": "another"})
    assert path.read_bytes() != before
    put_back(after, plan.text)
    assert path.read_bytes() == before
    after = keep(plan, "plan", {"name": "another"})
    path.write_bytes(path.read_bytes() + b"# mine\r\n")
    with pytest.raises(ValueError, match="was changed meanwhile"):
        put_back(after, plan.text)
    assert path.read_bytes().endswith(b"# mine\r\n")


def test_a_new_plan_never_takes_the_place_of_another(tmp_path):
    path = tmp_path / "new.toml"
    with pytest.raises(ValueError, match="depth = 58"):
        begin(path, "[opening.door]\ndepth = 58\n")
    assert not path.exists()
    assert begin(path, '[opening.door]\ndepth = "58 mm"\n').openings["door"]["depth"] == pytest.approx(0.058)
    with pytest.raises(ValueError, match="is there already: nothing was written"):
        begin(path, "")
    assert path.read_text(encoding="utf-8") == '[opening.door]\ndepth = "58 mm"\n'
