"""What several test files share."""

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


def pytest_addoption(parser):
    parser.addoption(
        "--write-agreement", action="store_true", help="rewrite the table of outside agreement in README.md"
    )


def pytest_configure(config):
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
