"""How closely lumpedbox agrees with outside sources: collected while the tests run, told as a table in README.md.

Rewrite the table with `python -m pytest tests/reference -q --write-agreement`.
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

HERE = Path(__file__).parent
REFERENCE = HERE / "reference"
README = HERE.parent / "README.md"
LAST = "test_readme.py"
MARKERS = re.compile(r"(<!-- agreement -->\n).*?(<!-- /agreement -->)", re.DOTALL)
COMMAND = "python -m pytest tests/reference -q --write-agreement"
HEAD = "| what | outside source | largest difference | allowed |\n|---|---|---|---|\n"
ARITHMETIC = 1e-9  # what is closer than this, or than a hundredth of what is allowed, is rounding


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
            What was compared with which source; several calls with the same words make one row.
        reached, allowed : float
            Largest difference found and allowed, in `unit`; without a unit it is relative.
        """
        reached = float(reached)
        key = (topic, source, unit)
        worst, limit = self.rows.get(key, (0.0, 0.0))
        self.rows[key] = max(worst, reached), max(limit, allowed)
        assert reached <= allowed, f"{topic} differs from {source} by {reached:.3g} {unit}, allowed {allowed:g}"

    def table(self):
        """Return the collected rows as a Markdown table."""
        lines = [
            f"| {topic} | {source} | {shown(rounded_up(reached, allowed), unit)} | {shown(allowed, unit)} |\n"
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
            raise pytest.UsageError(
                f"{README.name} is left as it is: {len(self.not_run)} did not run or failed: {some}"
            )
        README.write_text(rewritten(README.read_text(encoding="utf-8"), self.table()), encoding="utf-8")


def is_reference(path):
    return REFERENCE in path.parents


def rewritten(text, table):
    """Return a page with `table` between its markers."""
    if len(MARKERS.findall(text)) != 1:
        raise ValueError(f"{README.name} needs one line <!-- agreement --> and after it one line <!-- /agreement -->")
    return MARKERS.sub(lambda found: found[1] + table + found[2], text)


def rounded_up(reached, allowed):
    """Round up to one digit, tiny values to a power of ten, so that two processors give the same word."""
    value = max(reached, ARITHMETIC, allowed / 100)
    unit = 10.0 ** math.floor(math.log10(value) + 1e-6)
    digit = math.ceil(value / unit * (1 - 1e-6))
    return min(allowed, unit * (10 if digit > 1 and value < 1e-6 else digit))


def shown(value, unit):
    """Print a value with its unit, short."""
    digits = f"{value:.2g}" if 1e-3 <= value < 1e3 else f"{value:.1e}".replace(".0e", "e").replace("e-0", "e-")
    return f"{digits} {unit}".rstrip()
