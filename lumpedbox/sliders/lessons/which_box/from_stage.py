"""From a stage that builds a box to the page on which box, and the box back to the stage."""

from __future__ import annotations

from ....plan.fit import largest_inside
from ...kit.boxes import draw_it, entries_of, said
from ...kit.offered import why_not
from ...kit.places import one_volume
from ...kit.returning import Result, Way, carried
from ...kit.stages import link_of

VEHICLE = "as in the plan"


class BoxOfStage(Way):
    """The driver, the room, the amplifier and the vehicle of a stage; and the best boxes, to be given back.

    Parameters
    ----------
    scene : WhichBox
    drivers, amplifiers : dict
        Name: Driver, name: Amplifier or HeadUnit, as the page offers them.
    cabins : Cabins
    """

    same = ("driver",)

    def __init__(self, scene, drivers, amplifiers, cabins):
        self._scene, self._drivers, self._amplifiers, self._cabins = scene, drivers, amplifiers, cabins

    def place(self, at):
        """Return the opening that is meant: the one that the link names, else the first that gets a box."""
        return at.place or next(iter({**at.stage.box, **at.stage.put}), "")

    def settings(self, at, tell):
        """Return name of a control: value for a stage. [SI]"""
        place, controls = self.place(at), self.page.controls
        driver, known = at.state.drivers.get(place), at.state.openings.get(place, {})
        found = {}
        if driver is None:
            tell("Nothing is in that place yet: choose a driver.")
        elif unfit := why_not("which_box", "driver", driver):
            self.replace(driver, unfit, tell)
        else:
            found["driver"] = carried(controls["driver"], self._drivers, driver, driver.name)
        if "space" in known:
            found["volume"] = largest_inside(known["space"])
        elif "box" in known:
            found["volume"] = float(known["box"].volume)
        line = at.line(place)
        if line is not None and line.source is not None:
            source = line.source
            found["amplifier"] = carried(controls["amplifier"], self._amplifiers, source, source.name)
            found["voltage"] = float(source.voltage)
        else:
            tell("Nothing drives it in the plan yet: choose an amplifier.")
        if at.plan.cabin is not None:
            found["cabin"] = self._cabins.carry(VEHICLE, one_volume(at.plan.cabin), controls["cabin"])
        return found

    def results(self, at):
        """Return kind: the best box of that kind, for the place and for what has the same box."""
        place = self.place(at)
        return {kind: self._result(at.like("box", place), design) for kind, design in self._scene.designs.items()}

    def _result(self, places, design):
        box = design.loudspeaker.box
        told = entries_of(box, digits=3) | {"Ql": float(f"{box.Ql:g}")}
        return Result(said(box, self.page.system), "box", dict.fromkeys(places, told))

    def ways(self, at):
        """Return the way to a drawing of each best box."""
        link = {} if at is None else link_of(at.plan, at.name, self.place(at))
        driver = self.page.values["driver"]
        beside = link | ({} if self.is_of_the_stage(driver) else {"driver": driver})
        boxes = [design.loudspeaker.box for design in self._scene.designs.values()]
        return [way for box in boxes for way in draw_it(box, beside, self.page.system)]
