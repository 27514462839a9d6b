"""Files that are written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import time
from pathlib import Path

try:
    import fcntl
except ImportError:  # a system without such locks
    fcntl = None

ABANDONED = 60.0  # s, after which an unfinished file is what a killed writer left


def write(path, content):
    """Write bytes so that a reader sees the old file or the new one, never a part, even if the writer is killed.

    Parameters
    ----------
    path : Path
        Its folder is made if there is none; a link is followed.
    content : bytes
    """
    path = Path(os.path.realpath(path))
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(f".{path.name}.{os.getpid()}.unfinished")
    try:
        with open(unfinished, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())  # else the new name may reach the disk before the content does
        os.replace(unfinished, path)
    finally:
        unfinished.unlink(missing_ok=True)
    _sweep(path)


def _sweep(path):
    """Remove what killed writers left beside a file, as far as that can be done."""
    for left in path.parent.glob(f".{path.name}.*.unfinished"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime > ABANDONED:
                left.unlink()


@contextlib.contextmanager
def alone(path):
    """Keep out everyone else who writes into a file's folder in this way; the lock ends with the process that holds it.

    Parameters
    ----------
    path : Path
        Its folder is made if there is none.

    Raises
    ------
    ValueError
        If it cannot be written.
    """
    folder = path.resolve().parent
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with contextlib.ExitStack() as locked:
            if fcntl is not None:
                held = os.open(folder, os.O_RDONLY)
                locked.callback(os.close, held)
                fcntl.flock(held, fcntl.LOCK_EX)
            yield
    except OSError as error:
        raise ValueError(f"{path.name} cannot be written: {error.strerror}") from None
