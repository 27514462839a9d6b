"""What several test files share."""

import csv
import importlib.util
import os
import shutil
from pathlib import Path

import pytest


def module(path):
    """Import a plain module that stands beside the tests."""
    spec = importlib.util.spec_from_file_location(path.stem, path)
    loaded = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(loaded)
    return loaded


def rows_of(path):
    """Read a table as a list of rows, each a mapping of columns to text; '#' starts a line of remarks."""
    with open(path, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def pytest_addoption(parser):
    parser.addoption("--write-agreement", action="store_true", help="write tests/AGREEMENT.md anew")
    parser.addoption(
        "--every-view", action="store_true", help="open every notebook in the browser with its code shown too"
    )


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """Keep the tests of a file, and of some folders, on one worker; planted faults go where there is room."""
    from xdist.scheduler import LoadScopeScheduling

    class ByPlace(LoadScopeScheduling):
        def _split_scope(self, nodeid):
            file = nodeid.partition("::")[0]
            folder = Path(file).parent.name
            if folder == "faults":
                return nodeid
            return folder if folder in ("reference", "package", "browser") else file

    config.option.loadscopereorder = False  # else the browser, which takes longest, would come late
    return ByPlace(config, log)


def pytest_configure(config):
    if config.getoption("--write-agreement") and config.getoption("numprocesses", None):
        raise pytest.UsageError("--write-agreement needs all reference tests in one process: leave -n out")
    config.pluginmanager.register(module(Path(__file__).parent / "agreement.py").Agreements(), "agreements")


@pytest.fixture(scope="session")
def load_module():
    """Function that imports a plain module by its path."""
    return module


@pytest.fixture(scope="session")
def agreements(request):
    """The collected agreements, a `tests/agreement.py` `Agreements`."""
    return request.config.pluginmanager.get_plugin("agreements")


@pytest.fixture(scope="session")
def ngspice():
    """Path of ngspice; without it the test is skipped, but fails in continuous integration."""
    found = shutil.which("ngspice")
    if found is None and os.environ.get("CI") == "true":
        pytest.fail("ngspice is not installed, and continuous integration must run it")
    if found is None:
        pytest.skip("ngspice is not installed")
    return found
