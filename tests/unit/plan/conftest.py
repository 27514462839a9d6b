"""What the tests of plans share."""

import pytest

from lumpedbox.plan import demo_plan
from lumpedbox.plan.library import Library


@pytest.fixture(scope="session")
def plan():
    return demo_plan()


@pytest.fixture(scope="session")
def library(tmp_path_factory):
    """What a plan may name where nothing of one's own is kept."""
    return Library(tmp_path_factory.mktemp("none") / "my_parts.toml")
