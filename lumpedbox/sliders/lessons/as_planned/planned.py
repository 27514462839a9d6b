"""What was planned: a box that is set here, one that was drawn, or a stage of a plan."""

from __future__ import annotations

from pathlib import Path

from ....build import acoustic_box
from ....parts.box import SealedBox, VentedBox
from ....parts.loudspeaker import Loudspeaker
from ....parts.system import System
from ....plan.files import PLAN_FILE
from ....tables.my_boxes import read_boxes
from ...kit.boxes import boxes_of
from ...kit.controls import Choice
from ...kit.stages import AtStage, plan_named
from .readings import IMPEDANCE

SET = "a box set here"
DRAWN, STAGE = "drawn: ", "after: "
SEALED, VENTED = "sealed", "vented"


class Plans:
    """What may have been planned, by the name under which it is offered.

    Parameters
    ----------
    drivers : dict
        Name: Driver.
    cabins : Cabins

    Attributes
    ----------
    boxes : dict
        Name of a drawing: its box.
    stages : dict
        Name of a stage: AtStage.
    wrong : tuple of str
        Why some are not offered.
    """

    def __init__(self, drivers, cabins):
        self.drivers, self.cabins = drivers, cabins
        self.boxes, self.stages, wrong = {}, {}, []
        try:
            drawn, unread = read_boxes()
            wrong += unread.values()
        except ValueError as error:
            drawn = {}
            wrong.append(str(error))
        for name, one in drawn.items():
            try:
                self.boxes[name] = acoustic_box(one.box, one.inside)
            except (ValueError, TypeError) as error:
                wrong.append(f"{name}: {error}")
        try:
            self.take_in(plan_named(PLAN_FILE if Path(PLAN_FILE).exists() else ""))
        except ValueError as error:
            wrong.append(str(error))
        self.wrong = tuple(wrong)

    def take_in(self, plan):
        """Offer the stages of a plan, in place of those before."""
        self.stages = {name: AtStage(plan, name) for name in plan.stages}

    @property
    def names(self):
        """What is offered, the box that is set here first."""
        return (SET, *(DRAWN + name for name in self.boxes), *(STAGE + name for name in self.stages))

    def stage(self, values):
        """Return the stage that is chosen, or None."""
        return self.stages.get(values["planned"].removeprefix(STAGE)) if is_stage(values) else None

    def system(self, values):
        """Return all that plays, as planned; of an impedance the one loudspeaker that was measured.

        Raises
        ------
        ValueError
            If nothing plays after that stage.
        """
        stage = self.stage(values)
        if stage is None:
            where = self.cabins.at(values) if values["measured"] != IMPEDANCE else {}
            return System(channels=(Loudspeaker(driver=self.drivers[values["driver"]], box=self.box(values), **where),))
        system = stage.state.system
        if system is None:
            raise ValueError(f"Nothing plays after {stage.name}: choose a later stage.")
        if values["measured"] != IMPEDANCE:
            return system
        return System(channels=(system.loudspeakers[system.names.index(self.suited(values["speaker"], values))],))

    def box(self, values):
        """Return the box as planned."""
        drawn = self.boxes.get(values["planned"].removeprefix(DRAWN))
        if values["planned"] != SET and drawn is not None:
            return drawn
        common = {"volume": values["volume"], "Ql": values["Ql"]}
        return SealedBox(**common) if values["box"] == SEALED else VentedBox(fb=values["fb"], **common)

    def speakers(self, values):
        """Return the names of the loudspeakers of the stage, those in a box first."""
        stage = self.stage(values)
        if stage is None or stage.state.system is None:
            return ()
        boxed = boxes_of(stage.state.system)
        return (*boxed, *(name for name in stage.state.system.names if name not in boxed))

    def suited(self, chosen, values):
        """Return the loudspeaker that is chosen if the stage has it, else its first."""
        names = self.speakers(values)
        return chosen if chosen in names or not names else names[0]


def is_stage(values):
    """Whether what was planned is a stage."""
    return values["planned"].startswith(STAGE)


class WhichSpeaker(Choice):
    """A choice among the loudspeakers of the stage."""

    def __init__(self, name, label, plans, group, only):
        super().__init__(name, label, (), "", group=group, only=only)
        self._plans = plans

    def nearest(self, chosen):
        """Return the choice: which there are is seen together with the stage."""
        return str(chosen)

    def read(self, text):
        """Return the choice of a link."""
        return text

    def suited(self, chosen, values):
        """Return the loudspeaker if the stage has it, else its first; none where none is asked."""
        wanted = is_stage(values) and values["measured"] == IMPEDANCE
        return self._plans.suited(chosen, values) if wanted else ""

    def spec(self, values, system):
        """Return what the browser must know of it."""
        return super().spec(values, system) | {"options": list(self._plans.speakers(values))}
