"""The command `lumpedbox`: what it serves, what it leaves alone, how it ends."""

import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest

from lumpedbox.serve import server

COMMAND = [sys.executable, "-m", "lumpedbox.serve"]

# runs in the command and in every kernel: notes whom they try to reach, and hides what SITE_HIDES names
WATCH = """
import os, socket, sys
sys.modules.update(dict.fromkeys(filter(None, os.environ.get("SITE_HIDES", "").split())))

def watch(event, arguments):
    if event == "socket.connect" and isinstance(arguments[1], tuple):
        host = arguments[1][0]
    elif event == "socket.getaddrinfo":
        host = arguments[0]
    else:
        return
    if host not in (None, "", "localhost", "127.0.0.1", "::1", socket.gethostname()):
        with open(os.environ["SITE_LOG"], "a") as log:
            log.write(f"{event} {host}\\n")

sys.addaudithook(watch)
with open(os.environ["SITE_LOG"], "a") as log:
    log.write("watching\\n")
"""


@pytest.fixture(scope="module")
def lessons(tmp_path_factory, notebook):
    """Folder with two small lessons."""
    folder = tmp_path_factory.mktemp("lessons")
    notebook(folder / "b_second.ipynb", "# Second\n\nwith $x^2$", "print(6 * 7)")
    notebook(folder / "a first.ipynb", "# The first\n\n[Without code](/voila/render/a%20first.ipynb)", "1 + 1")
    return folder


@pytest.fixture
def watched(tmp_path):
    """Environment in which the command notes whom it tries to reach, and the file where it does."""
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "sitecustomize.py").write_text(WATCH)
    log = tmp_path / "reached.txt"
    log.touch()
    return {"PYTHONPATH": f"{tmp_path / 'site'}:{server.HERE.parents[1]}", "SITE_LOG": str(log)}, log


def start_kernel(running):
    status, _ = running.ask("/api/kernels", "POST")
    assert status == 201
    kernels = [child for child in running.children if "ipykernel_launcher" in child.cmdline()]
    assert [kernel.cmdline()[0] for kernel in kernels] == [running.process.cmdline()[0]]


def test_help():
    said = subprocess.run(
        [sys.executable, "-m", "lumpedbox.serve", "--help"], capture_output=True, text=True, check=True
    )
    assert all(word in said.stdout for word in ("--folder", "--notebooks", "--port", "--no-browser"))
    assert said.stderr == ""


def test_no_lessons(tmp_path):
    command = [
        sys.executable,
        "-m",
        "lumpedbox.serve",
        "--notebooks",
        str(tmp_path),
        "--folder",
        str(tmp_path / "mine"),
    ]
    said = subprocess.run(command, capture_output=True, text=True)
    assert said.returncode == 1
    assert "there is no notebook in" in said.stderr
    assert "Traceback" not in said.stderr


def test_folder_that_cannot_be_written(tmp_path, lessons):
    (tmp_path / "file").touch()
    command = [*COMMAND, "--notebooks", str(lessons), "--folder", str(tmp_path / "file")]
    said = subprocess.run(command, capture_output=True, text=True)
    assert said.returncode == 1
    assert "--folder" in said.stderr
    assert "Traceback" not in said.stderr


def test_serves_pages_and_notebooks_and_ends_cleanly(tmp_path, lessons, served, watched):
    """A busy port, a user without settings, both views, nothing for strangers, nobody else reached, end by Ctrl-C."""
    environment, reached = watched
    listening, port = served.busy_port()
    rooms = tmp_path / "tmp"
    rooms.mkdir()
    with (
        listening,
        served.Served(tmp_path, "--notebooks", lessons, "--port", port, TMPDIR=str(rooms), **environment) as running,
    ):
        assert running.base == f"http://127.0.0.1:{port + 1}"
        assert running.address.startswith(f"{running.base}/voila/render/a%20first.ipynb?token=")
        assert running.said.startswith(f"Your copies of the lessons are in {running.folder}\n")

        status, page = running.ask("/voila/render/a%20first.ipynb")
        assert (status, "<title>The first</title>" in page) == (200, True)
        assert 'href="/doc/tree/a%20first.ipynb"' in page
        assert 'href="/voila/tree"' in page
        assert "https://" not in page
        status, page = running.ask("/voila/tree")
        assert (status, "The first" in page, 'href="/voila/render/b_second.ipynb"' in page) == (200, True, True)
        assert "https://" not in page
        assert running.ask("/doc/tree/b_second.ipynb")[0] == 200
        assert running.ask("/voila/render/no.ipynb")[0] == 404

        # without the token there is nothing to be had
        assert running.ask("/api/contents", token=False)[0] == 403
        _, page = running.ask("/voila/render/b_second.ipynb", token=False)
        assert "Second" not in page

        connections = running.process.net_connections("inet")
        assert {link.laddr.ip for link in connections if link.status == psutil.CONN_LISTEN} == {"127.0.0.1"}
        kernels = [child for child in running.children if "ipykernel_launcher" in child.cmdline()]
        assert [kernel.cmdline()[0] for kernel in kernels] == [sys.executable]
        (clutter,) = {Path(kernel.environ()["TMPDIR"]) for kernel in kernels}
        assert clutter.parent == rooms  # a room of the run, which goes with it, even if a kernel is ended in it
        assert running.stop(signal.SIGINT) == (0, [])
        words = [line.split()[0] for line in running.said.splitlines()]
        assert words == ["Your", "Open", "Stop", "Stopped."]
        assert running.complaints == ""
    assert list(running.home.iterdir()) == []
    assert list(rooms.iterdir()) == []
    assert set(reached.read_text().splitlines()) == {"watching"}
    assert sorted(path.name for path in running.folder.iterdir()) == [".lumpedbox", "a first.ipynb", "b_second.ipynb"]


def test_without_voila_the_code_opens_and_is_announced(tmp_path, lessons, served, watched):
    environment, _ = watched
    with served.Served(tmp_path, "--notebooks", lessons, SITE_HIDES="voila", **environment) as running:
        assert running.address.startswith(f"{running.base}/doc/tree/a%20first.ipynb?token=")
        assert "Voila is not installed" in running.said
        assert running.ask("/doc/tree/a%20first.ipynb")[0] == 200
        assert running.stop(signal.SIGTERM) == (0, [])


def test_a_closed_terminal_ends_it_too_with_its_kernels(tmp_path, lessons, served):
    with served.Served(tmp_path, "--notebooks", lessons) as running:
        start_kernel(running)
        assert running.stop(signal.SIGHUP) == (0, [])


def test_a_request_in_mid_air_does_not_keep_it_alive(tmp_path, lessons, served):
    with served.Served(tmp_path, "--notebooks", lessons) as running:
        # every notebook asks for this when it opens; a thread of the server takes a second to find the answer
        with socket.create_connection(("127.0.0.1", int(running.base.rpartition(":")[2]))) as line:
            line.sendall(f"GET /api/nbconvert?token={running.token} HTTP/1.0\r\n\r\n".encode())
            time.sleep(0.2)
            assert running.stop(signal.SIGINT) == (0, [])


def test_a_stop_during_the_start_is_heeded(tmp_path, lessons):
    said = tmp_path / "said.txt"
    command = [*COMMAND, "--notebooks", str(lessons), "--folder", str(tmp_path / "mine")]
    with said.open("w") as out, subprocess.Popen([*command, "--no-browser"], stdout=out, stderr=out) as process:
        while "Your copies" not in said.read_text():
            time.sleep(0.02)
        process.send_signal(signal.SIGINT)
        assert process.wait(20) == 0
    assert "Traceback" not in said.read_text()


@pytest.mark.parametrize(
    ("platform", "environment", "screen"),
    [
        ("linux", {}, False),
        ("linux", {"DISPLAY": ":0"}, True),
        ("linux", {"WAYLAND_DISPLAY": "wayland-0"}, True),
        ("linux", {"BROWSER": "a-browser"}, True),
        ("darwin", {}, True),
        ("darwin", {"SSH_CONNECTION": "10.0.0.1 1 10.0.0.2 22"}, False),
        ("win32", {}, True),
    ],
)
def test_a_browser_opens_only_where_there_is_a_screen(platform, environment, screen, monkeypatch):
    monkeypatch.setattr(server.sys, "platform", platform)
    monkeypatch.setattr(server.os, "environ", environment)
    assert server._has_screen() is screen
