"""The list of all lessons."""

import json

from lumpedbox.serve.contents import lessons


def notebook(folder, name, *texts, code=()):
    cells = [{"cell_type": "markdown", "source": [text]} for text in texts]
    cells += [{"cell_type": "code", "source": [text]} for text in code]
    (folder / name).write_text(json.dumps({"cells": cells}), encoding="utf-8")


def test_section_by_section_as_the_start_links_to_them_and_by_their_questions(tmp_path):
    texts = (
        "# Start here\n\n[Here](/voila/render/start.ipynb), [door](#One)",
        "## One\n\n[Second](b.ipynb), [first](a.ipynb)",
        "and [gone](gone.ipynb), [second](b.ipynb)\n\n## Two\n\nNothing.",
        "## Three\n\n[b](b.ipynb), [below](sub/c.ipynb)",
    )
    notebook(tmp_path, "start.ipynb", *texts, code=["# [no](broken.ipynb)"])
    notebook(tmp_path, "a.ipynb", "no heading yet", "# Why?")
    notebook(tmp_path, "b.ipynb", "## How much?")
    notebook(tmp_path, "0 mine.ipynb", "words")
    (tmp_path / "sub").mkdir()
    notebook(tmp_path, "sub/c.ipynb", "# Below")
    (tmp_path / "broken.ipynb").write_text("{", encoding="utf-8")
    notebook(tmp_path, ".hidden.ipynb", "# Hidden")
    assert lessons(tmp_path) == [
        ("", [("start.ipynb", "Start here")]),
        ("One", [("b.ipynb", "How much?"), ("a.ipynb", "Why?")]),
        ("Three", [("b.ipynb", "How much?"), ("sub/c.ipynb", "Below")]),
        ("Also here", [("0 mine.ipynb", "0 mine.ipynb"), ("broken.ipynb", "broken.ipynb")]),
    ]


def test_a_folder_without_a_start(tmp_path):
    notebook(tmp_path, "z.ipynb", "# Z")
    notebook(tmp_path, "y.ipynb", "# Y")
    assert lessons(tmp_path) == [("", [("y.ipynb", "Y"), ("z.ipynb", "Z")])]
