"""The list of all lessons."""

import json

from lumpedbox.serve.contents import lessons


def notebook(folder, name, *texts):
    cells = [{"cell_type": "markdown", "source": [text]} for text in texts]
    (folder / name).write_text(json.dumps({"cells": cells}), encoding="utf-8")


def test_in_the_order_of_the_start_and_by_their_questions(tmp_path):
    notebook(tmp_path, "start.ipynb", "# Start here\n\n[Second](b.ipynb), [first](a.ipynb)", "and [gone](gone.ipynb)")
    notebook(tmp_path, "a.ipynb", "no heading yet", "# Why?")
    notebook(tmp_path, "b.ipynb", "## How much?")
    notebook(tmp_path, "0 mine.ipynb", "words")
    (tmp_path / "broken.ipynb").write_text("{", encoding="utf-8")
    notebook(tmp_path, ".hidden.ipynb", "# Hidden")
    assert lessons(tmp_path) == [
        ("start.ipynb", "Start here"),
        ("b.ipynb", "How much?"),
        ("a.ipynb", "Why?"),
        ("0 mine.ipynb", "0 mine.ipynb"),
        ("broken.ipynb", "broken.ipynb"),
    ]


def test_a_folder_without_a_start(tmp_path):
    notebook(tmp_path, "z.ipynb", "# Z")
    notebook(tmp_path, "y.ipynb", "# Y")
    assert [question for _, question in lessons(tmp_path)] == ["Y", "Z"]
