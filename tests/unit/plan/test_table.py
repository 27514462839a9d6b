"""An order as a table, and a stage in words."""

from pathlib import Path

import numpy as np
import pytest

from lumpedbox.plan import change, figures, table
from lumpedbox.plan.__main__ import main

SEAL, FILTER, AMPLIFIER, BOX = "seal the step wells", "keep bass from the roof", "amplifier", "bass box"


def test_a_row_for_each_stage_with_what_it_costs_and_what_is_heard(plan):
    found = table(plan, (SEAL, AMPLIFIER, BOX))
    assert found.index.tolist() == ["as found", SEAL, AMPLIFIER, BOX]
    assert found["so far [credits]"].tolist() == [0, 0, 28, 153]
    last = figures(plan.after(SEAL, AMPLIFIER, BOX))
    row = found.iloc[-1]
    assert row["clean, 40 to 80 Hz [dB]"] == last.clean
    assert row["800 to 2000 Hz [dB]"] == last.bands[800, 2000]
    assert row["gives first"] == last.first
    assert row["music that loud, a day [min]"] == last.exposure.minutes
    assert "bass +12 dB" in row["set"]
    assert "58 mm deep" in row["does not fit"]


@pytest.mark.parametrize(("order", "told"), [
    ("team three", r"did you mean 'team (one|two)'"),
    (("amplifer",), "did you mean 'amplifier'"),
    ((SEAL, SEAL), "twice"),
    ((BOX, AMPLIFIER), "before 'amplifier', which it comes after"),
])  # fmt: skip
def test_an_order_that_is_not_possible_is_refused(plan, order, told):
    with pytest.raises(ValueError, match=rf"^table\.order.*{told}"):
        table(plan, order)


def test_a_stage_in_words(plan):
    found = change(plan.after(SEAL), FILTER)
    before, after = (figures(plan.after(*done)) for done in ((SEAL,), (SEAL, FILTER)))
    assert found.clean == pytest.approx(after.clean - before.clean)
    gained = after.bands[40, 80] - before.bands[40, 80]
    assert found.heard[0] == f"40 to 80 Hz {gained:.1f} dB louder"
    assert found.limit.startswith("the cone runs out of travel (roof left")
    assert "then the cone runs out of travel (step well left" in found.limit
    assert (found.cost, found.buy) == (0, ())
    assert "A filter is turned off again." in found.undo
    assert any("Is this filter there?" in line for line in found.check)


def test_the_checklist_of_a_stage_looks_at_its_openings_wires_and_sensors(plan):
    small = change(plan.after(), "small drivers in the step wells")
    told = " ".join(small.check)
    assert small.buy == ("2 x step-well drivers, 78 credits",)
    for words in ("a ring, from 185 to 115 mm", "step well right: 2 mm to spare", "no factory wire", "airbags"):
        assert words in told
    assert "The old driver goes back" in small.undo[0]
    tweeters = change(plan.after(), "tweeters at the middle row")
    assert tweeters.undo[0] == "A new driver comes out again; a hole that was cut for it stays."
    assert "Mount resistors away" in " ".join(tweeters.check)
    assert "sensors" in " ".join(change(plan.after(), SEAL).check)
    power = " ".join(change(plan.after(), AMPLIFIER).check)
    for words in ("drains the battery", "accessory tap", "is it filtered", "12 V"):
        assert words in power
    box = change(plan.after(AMPLIFIER), BOX)
    assert box.buy == ("1 x bass driver, 95 credits", "1 x board and damping, 30 credits")
    assert "friction holds nothing in a crash" in " ".join(box.check)


def test_a_stage_that_is_done_or_too_early_is_refused(plan):
    with pytest.raises(ValueError, match="twice"):
        change(plan.after(SEAL), SEAL)
    with pytest.raises(ValueError, match="which it comes after"):
        change(plan.after(), BOX)


def test_the_command_prints_the_best_order_and_the_proposed_ones(capsys, tmp_path):
    assert main([]) == 0
    guide = Path(__file__).resolve().parents[3] / "DEVELOPERS.md"
    assert f"```text\n{capsys.readouterr().out}```" in guide.read_text(encoding="utf-8")
    path = tmp_path / "mine.toml"
    path.write_text("[plan]\nnam = 3\n")
    assert main([str(path)]) == 1
    assert "did you mean 'name'" in capsys.readouterr().err
    path.write_text("".join(f"[stage.s{number}]\n" for number in range(15)))
    assert main([str(path)]) == 1
    assert "at most 14 stages" in capsys.readouterr().err
    path.write_text("[orders]\nlater = []\n")
    assert main([str(path)]) == 0
    assert "later" not in capsys.readouterr().out


def test_figures_of_a_plan_without_sound_are_empty_and_say_so(tmp_path):
    from lumpedbox.plan import read_plan

    path = tmp_path / "mine.toml"
    path.write_text("")
    found = figures(read_plan(path).after())
    assert np.isnan([found.clean, found.drive, found.at, found.f3, found.f10, found.thinness, *found.curve]).all()
    assert found.bands == found.loads == found.levels == {}
    assert (found.gives, found.who, found.unknown) == ("", "", ())
    assert found.first == "nothing plays"
    assert repr(found) == "Figures(after nothing)"
    assert found.exposure is None
    assert table(read_plan(path), ()).index.tolist() == ["as found"]
