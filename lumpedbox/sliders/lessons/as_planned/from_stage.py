"""From a stage of a plan to the page that holds what was built against it."""

from __future__ import annotations

from ...kit.boxes import boxes_of
from ...kit.returning import Way
from .planned import STAGE
from .readings import IMPEDANCE, LEVEL

NOTHING = "Nothing plays after this stage yet: choose a later one."


class BuiltAtStage(Way):
    """A stage as the plan: the box that it builds, else all that plays then. A fault is mended, not written back.

    Parameters
    ----------
    plans : Plans
    """

    gives_back = False

    def __init__(self, plans):
        self._plans = plans

    def settings(self, at, tell):
        """Return name of a control: value for a stage. [SI]"""
        self._plans.take_in(at.plan)
        self.page.controls["planned"].options = self._plans.names
        system = at.state.system
        if system is None:
            tell(NOTHING)
            return {}
        box = at.place in boxes_of(system)
        return {"planned": STAGE + at.name} | (
            {"measured": IMPEDANCE, "speaker": at.place} if box else {"measured": LEVEL}
        )
