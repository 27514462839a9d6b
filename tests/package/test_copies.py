"""The reader's copies of the lessons: what was edited stays, what was not follows."""

import json
import os
from pathlib import Path

import nbformat
import pytest

from lumpedbox.serve.copies import bring_up_to_date, first_lesson

LINK = "[Without code](/voila/render/a_lesson.ipynb)"
NEWER = "a_lesson (new version).ipynb"


@pytest.fixture
def folders(tmp_path):
    return tmp_path / "shipped", tmp_path / "mine"


@pytest.fixture
def ship(folders, notebook):
    """Function that ships a version of the lesson and returns what the reader is told."""

    def ship(*texts):
        notebook(folders[0] / "a_lesson.ipynb", *texts)
        return bring_up_to_date(*folders)

    return ship


def texts(path):
    return [cell["source"] for cell in nbformat.read(path, 4).cells]


def edit(path, text="# my own words"):
    mine = nbformat.read(path, 4)
    mine.cells[0].source = text
    nbformat.write(mine, path)


def lessons(folder):
    return sorted(path.name for path in folder.glob("*.ipynb"))


def test_first_copy_is_the_shipped_file_byte_by_byte(folders, ship):
    assert ship("# one", LINK) == []
    assert (folders[1] / "a_lesson.ipynb").read_bytes() == (folders[0] / "a_lesson.ipynb").read_bytes()


def test_unedited_copy_is_replaced_silently(folders, ship):
    ship("# one")
    assert ship("# two") == []
    assert texts(folders[1] / "a_lesson.ipynb") == ["# two"]
    assert lessons(folders[1]) == ["a_lesson.ipynb"]


def test_edited_copy_stays_and_the_new_version_appears_beside_it(folders, ship):
    ship("# one")
    edit(folders[1] / "a_lesson.ipynb")
    mine = (folders[1] / "a_lesson.ipynb").read_bytes()
    (note,) = ship("# two")
    assert (folders[1] / "a_lesson.ipynb").read_bytes() == mine
    assert texts(folders[1] / NEWER) == ["# two"]
    assert NEWER in note


def test_edited_copy_without_a_newer_version_stays_alone(folders, ship):
    ship("# one")
    edit(folders[1] / "a_lesson.ipynb")
    assert ship("# one") == []
    assert lessons(folders[1]) == ["a_lesson.ipynb"]


def test_new_version_is_offered_once(folders, ship):
    ship("# one")
    edit(folders[1] / "a_lesson.ipynb")
    ship("# two")
    (folders[1] / NEWER).unlink()
    assert ship("# two") == []
    assert lessons(folders[1]) == ["a_lesson.ipynb"]


def test_unedited_new_version_is_replaced_by_a_still_newer_one(folders, ship):
    ship("# one")
    edit(folders[1] / "a_lesson.ipynb")
    ship("# two")
    ship("# three")
    assert texts(folders[1] / NEWER) == ["# three"]
    assert lessons(folders[1]) == [NEWER, "a_lesson.ipynb"]


def test_edited_new_version_stays_too(folders, ship):
    ship("# one")
    edit(folders[1] / "a_lesson.ipynb")
    ship("# two")
    edit(folders[1] / NEWER, "# more words")
    (note,) = ship("# three")
    assert "a_lesson (new version 2).ipynb" in note
    assert texts(folders[1] / NEWER) == ["# more words"]
    assert texts(folders[1] / "a_lesson (new version 2).ipynb") == ["# three"]


def test_link_of_a_new_version_leads_to_its_own_live_page(folders, ship):
    ship("# one", LINK)
    edit(folders[1] / "a_lesson.ipynb")
    ship("# two", LINK)
    assert texts(folders[1] / NEWER)[1] == "[Without code](/voila/render/a_lesson%20%28new%20version%29.ipynb)"


def test_new_version_taken_over_by_renaming_counts_as_unedited(folders, ship):
    ship("# one", LINK)
    edit(folders[1] / "a_lesson.ipynb")
    ship("# two", LINK)
    (folders[1] / NEWER).replace(folders[1] / "a_lesson.ipynb")
    assert ship("# three", LINK) == []
    assert texts(folders[1] / "a_lesson.ipynb") == ["# three", LINK]
    assert lessons(folders[1]) == ["a_lesson.ipynb"]


def test_running_a_lesson_is_not_editing_it(folders, ship):
    ship("# one", "1 + 1")
    mine = nbformat.read(folders[1] / "a_lesson.ipynb", 4)
    mine.cells[1].execution_count = 1
    mine.cells[1].outputs = [nbformat.v4.new_output("execute_result", {"text/plain": "2"}, execution_count=1)]
    mine.metadata.language_info = {"name": "python"}
    mine.cells.append(nbformat.v4.new_code_cell(""))  # what the editor adds after the last cell
    nbformat.write(mine, folders[1] / "a_lesson.ipynb")
    assert ship("# two", "1 + 1") == []
    assert texts(folders[1] / "a_lesson.ipynb") == ["# two", "1 + 1"]


def test_a_changed_line_of_code_is_an_edit(folders, ship):
    ship("# one", "1 + 1")
    mine = nbformat.read(folders[1] / "a_lesson.ipynb", 4)
    mine.cells[1].source = "1 + 2"
    nbformat.write(mine, folders[1] / "a_lesson.ipynb")
    assert len(ship("# two", "1 + 1")) == 1
    assert texts(folders[1] / "a_lesson.ipynb") == ["# one", "1 + 2"]


def test_the_same_words_in_a_new_file_keep_the_readers_outputs_out(folders, ship):
    ship("# one")
    shipped = nbformat.read(folders[0] / "a_lesson.ipynb", 4)
    shipped.cells[0].metadata.tags = ["changed"]
    nbformat.write(shipped, folders[0] / "a_lesson.ipynb")
    assert bring_up_to_date(*folders) == []
    assert nbformat.read(folders[1] / "a_lesson.ipynb", 4).cells[0].metadata.tags == ["changed"]


def test_readers_own_notebook_of_the_same_name_is_never_touched(folders, ship, notebook):
    notebook(folders[1] / "a_lesson.ipynb", "# mine")
    assert len(ship("# one")) == 1
    assert texts(folders[1] / "a_lesson.ipynb") == ["# mine"]
    assert texts(folders[1] / NEWER) == ["# one"]


def test_deleted_copy_comes_back(folders, ship):
    ship("# one")
    (folders[1] / "a_lesson.ipynb").unlink()
    ship("# one")
    assert texts(folders[1] / "a_lesson.ipynb") == ["# one"]


@pytest.mark.parametrize("record", ["", "{", "[]", '{"a_lesson.ipynb": 3}', "\xff"])
def test_without_a_readable_record_every_copy_counts_as_edited(folders, ship, record):
    ship("# one")
    (folders[1] / ".lumpedbox" / "shipped.json").write_text(record, encoding="latin-1")
    assert len(ship("# two")) == 1
    assert texts(folders[1] / "a_lesson.ipynb") == ["# one"]


def test_a_copy_that_is_no_notebook_any_more_stays(folders, ship):
    ship("# one")
    (folders[1] / "a_lesson.ipynb").write_text("<<<<<<< mine")
    assert len(ship("# two")) == 1
    assert (folders[1] / "a_lesson.ipynb").read_text() == "<<<<<<< mine"


def test_pictures_come_along_under_the_same_rules(folders, ship):
    picture = Path("pictures") / "box.png"
    (folders[0] / "pictures").mkdir(parents=True)
    (folders[0] / picture).write_bytes(b"one")
    ship("# one")
    assert (folders[1] / picture).read_bytes() == b"one"
    (folders[0] / picture).write_bytes(b"two")
    assert ship("# one") == []
    assert (folders[1] / picture).read_bytes() == b"two"
    (folders[1] / picture).write_bytes(b"mine")
    (folders[0] / picture).write_bytes(b"three")
    assert len(ship("# one")) == 1
    assert (folders[1] / picture).read_bytes() == b"mine"
    assert (folders[1] / "pictures" / "box (new version).png").read_bytes() == b"three"


def test_hidden_files_and_drafts_stay_behind(folders, ship, notebook):
    for name in (".hidden.ipynb", "_draft.ipynb", ".ipynb_checkpoints/a_lesson-checkpoint.ipynb"):
        notebook(folders[0] / name, "# text")
    ship("# one")
    assert sorted(os.listdir(folders[1])) == [".lumpedbox", "a_lesson.ipynb"]


def test_an_interrupted_write_leaves_the_old_file_and_nothing_else(folders, ship, monkeypatch):
    ship("# one")

    def interrupted(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", interrupted)
    with pytest.raises(KeyboardInterrupt):
        ship("# two")
    assert texts(folders[1] / "a_lesson.ipynb") == ["# one"]
    assert sorted(os.listdir(folders[1])) == [".lumpedbox", "a_lesson.ipynb"]


def test_an_interrupted_round_is_made_up_for_by_the_next(folders, ship, notebook, monkeypatch):
    """A lesson was replaced, but the record was not written: the copy must not count as edited afterwards."""
    ship("# one")
    record = (folders[1] / ".lumpedbox" / "shipped.json").read_text()
    ship("# two")
    (folders[1] / ".lumpedbox" / "shipped.json").write_text(record)
    assert ship("# two") == []
    assert ship("# three") == []
    assert texts(folders[1] / "a_lesson.ipynb") == ["# three"]


def test_record_knows_nothing_but_digests(folders, ship):
    ship("# one")
    record = json.loads((folders[1] / ".lumpedbox" / "shipped.json").read_text())
    assert set(record) == {"a_lesson.ipynb"}
    assert str(folders[0].parent) not in json.dumps(record)


def test_first_lesson(tmp_path, notebook):
    with pytest.raises(FileNotFoundError, match="no notebook"):
        first_lesson(tmp_path)
    for name in ("b.ipynb", "a.ipynb", "_draft.ipynb"):
        notebook(tmp_path / name, "# text")
    assert first_lesson(tmp_path) == "a.ipynb"
    notebook(tmp_path / "start.ipynb", "# text")
    assert first_lesson(tmp_path) == "start.ipynb"
