"""Runs the command `lumpedbox` for the tests, and knows every process that came of it."""

import os
import random
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import psutil

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 60  # s; a start takes 2 to 5
OPENER = urllib.request.build_opener(urllib.request.ProxyHandler({}))


class Served:
    """The command, running. Its copies are in `folder`; `home` is the home of a user without any settings."""

    def __init__(self, place, *options, python=sys.executable, **environment):
        self.folder, self.home = place / "copies", place / "home"
        self.home.mkdir(parents=True, exist_ok=True)
        self._said = place / "said.txt"
        self._command = [
            str(python),
            "-m",
            "lumpedbox.serve",
            "--folder",
            str(self.folder),
            "--no-browser",
            *map(str, options),
        ]
        self._surroundings = self._environment(environment)
        self.start()

    def start(self):
        """Start the command, for the first time or once more after a stop."""
        with self._said.open("w") as said:
            self.process = psutil.Popen(
                self._command,
                stdout=said,
                stderr=subprocess.STDOUT,
                cwd=self._said.parent,
                env=self._surroundings,
            )
        self.address = self._wait_for_address()
        self.base, self.token = re.match(r"(http://127\.0\.0\.1:\d+)/.*\?token=(\w+)", self.address).groups()

    def _environment(self, more):
        # PYTHONDONT...: a kernel would compile the whole library again
        ours = ("JUPYTER", "XDG", "MPL", "PYTHONDONTWRITEBYTECODE")
        kept = {name: value for name, value in os.environ.items() if not name.startswith(ours)}
        return {**kept, "HOME": str(self.home), "PYTHONPATH": str(ROOT), **more}

    def _wait_for_address(self):
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until:
            found = re.search(r"^Open (http://\S+)$", self.said, re.MULTILINE)
            if found:
                return found[1]
            if self.process.poll() is not None:
                break
            time.sleep(0.05)
        self.process.kill()
        raise AssertionError(f"no address was printed, but:\n{self.said}")

    @property
    def said(self):
        """What the command printed so far."""
        return self._said.read_text()

    @property
    def complaints(self):
        """What the server and the kernels wrote where a reader would not look."""
        return (self.folder / ".lumpedbox" / "server.log").read_text()

    @property
    def children(self):
        """Processes started by the command, directly or not."""
        return self.process.children(recursive=True)

    def ask(self, path, method="GET", token=True):
        """Return the status and the text of an answer."""
        request = urllib.request.Request(self.base + path, method=method, data=b"{}" if method == "POST" else None)
        if token:
            request.add_header("Authorization", f"token {self.token}")
        try:
            with OPENER.open(request, timeout=PATIENCE) as answer:
                return answer.status, answer.read().decode()
        except urllib.error.HTTPError as refused:
            with refused:
                return refused.code, refused.read().decode()

    def stop(self, by=signal.SIGTERM):
        """Stop the command; return its exit code and what is left of the processes that it started."""
        if self.process.poll() is not None:
            return self.process.returncode, []
        children = self.children
        self.process.send_signal(by)
        try:
            code = self.process.wait(PATIENCE)
        except (subprocess.TimeoutExpired, psutil.TimeoutExpired):
            self.process.kill()
            raise AssertionError("the command did not stop") from None
        _, left = psutil.wait_procs(children, timeout=3)
        for process in left:
            process.kill()
        return code, left

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.stop()


def busy_port():
    """Return a listening socket on a loopback port whose follower is free, and the port.

    Of ports that no system hands out by itself: the follower must still be free a moment later.
    """
    while True:
        port = random.randrange(20_000, 30_000)
        try:
            socket.create_server(("127.0.0.1", port + 1)).close()
            listening = socket.create_server(("127.0.0.1", port))
        except OSError:
            continue
        return listening, port
