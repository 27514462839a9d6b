"""How closely lumpedbox agrees with what it is checked against: measured while the tests run, told in AGREEMENT.md.

Rewrite that page with `python -m pytest tests/reference -q --write-agreement`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

HERE = Path(__file__).parent
REFERENCE = HERE / "reference"
PAGE = HERE / "AGREEMENT.md"
LAST = "test_agreement.py"
COMMAND = "python -m pytest tests/reference -q --write-agreement"
SOLVERS = {"CoolProp", "ngspice", "python-control", "scipy.signal"}
ROUNDING = 1e-8  # smaller differences come from the processor's arithmetic, or from where a search stops
STEADY = 0.05  # share by which a measured difference may move before the page is stale
HEAD = f"""# What is checked, against what, how closely

The tests measure these differences, and a test fails when this page is stale. To write it anew:
`{COMMAND}`.

A difference without a unit is relative. One below 1e-8 is rounding and varies with the processor.

* **published table**: the numbers as they were printed. All of them are from memory.
* **independent solver**: another program or library works out the same thing.
* **own derivation**: we worked the numbers out apart from lumpedbox, from the formula of the author who is named, or
  from first principles.

| what | against | kind of check | largest difference | allowed |
|---|---|---|---|---|
"""


class Agreements:
    """A pytest plugin that collects agreements and knows whether every reference test has run."""

    def __init__(self):
        self.rows = {}
        self.not_run = set()

    def record(self, topic, source, reached, allowed, unit=""):
        """Note how far a result is from its source, and demand that it is no farther than allowed.

        Parameters
        ----------
        topic, source : str
            What was compared with which source; several calls with the same words make one row. The source ends in
            "from memory" if it is a published table, and begins with the name of a solver if it is one.
        reached, allowed : float
            Largest difference found and allowed, in `unit`; without a unit it is relative.
        """
        reached = float(reached)
        key = (topic, source, unit)
        worst, limit = self.rows.get(key, (0.0, 0.0))
        self.rows[key] = max(worst, reached), max(limit, allowed)
        assert reached <= allowed, f"{topic} differs from {source} by {reached:.3g} {unit}, allowed {allowed:g}"

    def page(self):
        """Return the collected rows as a Markdown page."""
        lines = [
            f"| {topic} | {source} | {kind(source)} | {shown(reached, unit)} | {shown(allowed, unit)} |\n"
            for (topic, source, unit), (reached, allowed) in sorted(self.rows.items())
        ]
        return HEAD + "".join(lines)

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items):
        items.sort(key=lambda item: is_reference(item.path) and item.path.name == LAST)
        collected = {item.path for item in items}
        self.not_run |= {path.name for path in REFERENCE.glob("test_*.py") if path not in collected}

    def pytest_deselected(self, items):
        self.not_run |= {item.nodeid for item in items if is_reference(item.path)}

    def pytest_configure(self, config):
        self.not_run |= {name for name in config.args if "::" in name}

    def pytest_runtest_logreport(self, report):
        unwanted = not report.passed and not hasattr(report, "wasxfail")
        if unwanted and "tests/reference/" in report.nodeid and LAST not in report.nodeid:
            self.not_run.add(report.nodeid)

    def pytest_sessionfinish(self, session):
        if not session.config.getoption("--write-agreement"):
            return
        if self.not_run:
            some = ", ".join(sorted(self.not_run)[:3])
            raise pytest.UsageError(f"{PAGE.name} is left as it is: {len(self.not_run)} did not run or failed: {some}")
        PAGE.write_text(self.page(), encoding="utf-8")


def is_reference(path):
    return REFERENCE in path.parents


def kind(source):
    """Say what kind of check a source makes."""
    if source.partition(",")[0] in SOLVERS:
        return "independent solver"
    return "published table" if source.endswith("from memory") else "own derivation"


def shown(value, unit):
    """Print a value with its unit, in three digits at most."""
    digits = f"{value:.3g}" if value == 0 or 1e-3 <= value < 1e3 else f"{value:.2e}"
    mantissa, _, exponent = digits.partition("e")
    if exponent:
        digits = f"{mantissa.rstrip('0').rstrip('.')}e{int(exponent)}"
    return f"{digits} {unit}".rstrip()


def stale(told, now):
    """List the lines in which two pages differ; a measured difference may have moved a little."""
    told, now = (dict(row(line) for line in page.splitlines()) for page in (told, now))
    return [words for words in sorted(told.keys() | now.keys()) if not alike(told.get(words), now.get(words))]


def row(line):
    """Take the measured difference out of a line of the table; return the other words, and its number."""
    cells = line.split(" | ")
    if len(cells) < 5 or cells[0] == "| what":
        return line, 0.0
    number, _, unit = cells[3].partition(" ")
    return " | ".join([*cells[:3], unit, cells[4]]), float(number)


def alike(told, now):
    if told is None or now is None:
        return False
    return max(told, now) < ROUNDING or abs(told - now) <= STEADY * now
