"""The reader's own copies of the lessons, kept up to date without touching the edited ones."""

from __future__ import annotations

import hashlib
import itertools
import json
import re
from urllib.parse import quote

from ..tables.atomic_write import write

PRIVATE = ".lumpedbox"  # beside the copies, hidden: what was shipped, and what the server keeps


def data_home():
    """Return the path of the folder where this kind of system keeps a user's data."""
    from platformdirs import user_data_path

    return user_data_path("lumpedbox", appauthor=False)


def bring_up_to_date(source, folder):
    """Copy the lessons of one folder to another, but keep what was edited there.

    An unedited copy follows the shipped lesson. An edited one stays as it is. A newer shipped version goes beside it,
    once, under a name that says so.

    Parameters
    ----------
    source, folder : Path
        Where the lessons come from, and where the reader's copies are.

    Returns
    -------
    list of str
        What the reader should know, a sentence each.
    """
    kept = folder / PRIVATE / "shipped.json"
    record = _read(kept)
    notes = [_bring(source, name, folder, record) for name in _shipped(source)]
    write(kept, json.dumps(record, indent=1, sort_keys=True).encode())
    return [note for note in notes if note]


def first_lesson(source):
    """Return the file name of the lesson to open first: `start.ipynb`, else the first in order."""
    names = sorted(path.name for path in source.glob("[!._]*.ipynb"))
    if not names:
        raise FileNotFoundError(f"there is no notebook in {source}")
    return "start.ipynb" if "start.ipynb" in names else names[0]


def _shipped(source):
    """Return the names of the files to copy, relative to their folder; hidden ones and drafts stay behind."""
    names = sorted(path.relative_to(source) for path in source.rglob("*") if path.is_file())
    return [name for name in names if not any(part.startswith((".", "_")) for part in name.parts)]


def _bring(source, first, folder, record):
    """Bring one shipped file up to date, in the folder and in the record; return a sentence if it changed its name."""
    shipped = (source / first).read_bytes()
    version = hashlib.sha256(shipped).hexdigest()
    known = record.setdefault(first.as_posix(), {"version": None, "words": []})
    if known["version"] == version and (folder / first).exists():
        return None
    unedited = {*known["words"], _words(first, shipped)}
    name = next(name for name in _names(first) if _is_free(folder / name, unedited))
    write(folder / name, shipped.replace(_live_page(first), _live_page(name)))
    known.update(version=version, words=sorted(unedited))
    if name != first:
        return f"You have edited {first}, so its new version is beside it: {name}"
    return None


def _names(first):
    yield first
    for number in itertools.count(1):
        yield first.with_stem(f"{first.stem} (new version{f' {number}' if number > 1 else ''})")


def _is_free(path, unedited):
    return not path.exists() or _words(path, path.read_bytes()) in unedited


def _live_page(name):
    return f"/voila/render/{quote(name.as_posix())}".encode()


def _words(name, content):
    """Return a digest of what a person writes in a file: for a notebook, its cells without outputs and empty cells."""
    if name.suffix == ".ipynb":
        try:
            cells = [(cell["cell_type"], "".join(cell["source"]).rstrip()) for cell in json.loads(content)["cells"]]
        except (ValueError, KeyError, TypeError):
            pass  # not a notebook any more: compare it byte by byte
        else:
            content = json.dumps([(kind, _any_live_page(text)) for kind, text in cells if text]).encode()
    return hashlib.sha256(content).hexdigest()


def _any_live_page(text):
    return re.sub(r"/voila/render/[^\s)\"'>]*?\.ipynb", "/voila/render/", text)


def _read(path):
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
        return {name: {"version": known["version"], "words": list(known["words"])} for name, known in record.items()}
    except (OSError, ValueError, AttributeError, TypeError, KeyError):
        return {}  # without a record every copy counts as edited
