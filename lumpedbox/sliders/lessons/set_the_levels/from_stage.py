"""From a stage with an amplifier to the page on levels, and the levels back to the stage."""

from __future__ import annotations

import dataclasses

from ....parts.amplifier import Amplifier
from ....parts.box import InfiniteBaffle, SealedBox
from ....parts.filters import Gain, LevelTable
from ....plan.entries import filters as read_filters
from ...kit.offered import BASS_BELOW, why_not
from ...kit.places import by_places
from ...kit.returning import Result, Way, carried

VEHICLE = "as in the plan"
PAGE, STEP = "set_the_levels", 0.5  # dB; finer nobody sets a knob


class LevelsOfStage(Way):
    """Front, rear and bass of a stage, what drives them, and the vehicle; their levels, to be given back.

    Parameters
    ----------
    scene : SetTheLevels
    drivers, amplifiers, head_units : dict
        Name: part, as the page offers them.
    cabins : Cabins
    """

    same = ("front", "rear", "bass")

    def __init__(self, scene, drivers, amplifiers, head_units, cabins):
        self._scene, self._drivers, self._cabins = scene, drivers, cabins
        self._amplifiers, self._head_units = amplifiers, head_units

    def outputs(self, at):
        """Return name of an output: the channels of the plan that it stands for.

        The bass is what has a box of its own. Of the others, those of the foremost driver are the front, and the next
        ones the rear. Channels to the left and to the right go together.
        """
        boxed = [line for line in at.state.playing if "box" in _known(line) and _main(line)[1].fs < BASS_BELOW]
        found = {"bass": boxed[:1]} if boxed else {}
        rest = [line for line in at.state.playing if line not in boxed]
        for name in ("front", "rear"):
            if rest:
                first = min(rest, key=lambda line: _known(line).get("place", (0.0,))[0])
                found[name] = [line for line in rest if line.kind == first.kind]
                rest = [line for line in rest if line.kind != first.kind]
        return found

    def settings(self, at, tell):
        """Return name of a control: value for a stage. [SI]"""
        found, controls, outputs = {}, self.page.controls, self.outputs(at)
        for name in self.same:
            if name not in outputs:
                tell(f"No {name} of its own is in the plan at this stage: the one here stands in its place.")
                continue
            line = outputs[name][0]
            driver = _main(line)[1]
            if len(line.drivers) > 1:
                tell(f"Of {line.name} only the {driver.name} is counted here.")
            if unfit := why_not(PAGE, name, driver):
                self.replace(driver, unfit, tell)
            else:
                found[name] = carried(controls[name], self._drivers, driver, driver.name)
        found |= self._driven(at, outputs, tell)
        self._scene.given["filters"] = {name: self._crossover(name, lines, tell) for name, lines in outputs.items()}
        if at.plan.heard_in is not None:
            found |= self._placed(at, outputs)
        return found

    def _driven(self, at, outputs, tell):
        """Return what drives the outputs, and take in the box of the bass."""
        lines = [line for name in self.same for line in outputs.get(name, ())]
        bought = [line.source for line in lines if isinstance(line.source, Amplifier)]
        units = [line.source for line in at.plan.after().playing if not isinstance(line.source, Amplifier)]
        found, self._scene.given = {}, {}
        if bought:
            source = bought[0]
            found["amplifier"] = carried(self.page.controls["amplifier"], self._amplifiers, source, source.name)
        else:
            tell("No amplifier drives them in the plan yet: the one here stands in its place.")
        if units:
            unit = units[0]
            found["head_unit"] = carried(self.page.controls["head_unit"], self._head_units, unit, unit.name)
        if "bass" in outputs:
            (bass,) = outputs["bass"]
            box = _known(bass)["box"]
            self._scene.given["amplifier"] = bass.source
            if isinstance(box, (SealedBox, InfiniteBaffle)):
                self._scene.given["box"] = box
            else:
                tell("Levels are counted with a closed box here; the plan has a vented one.")
        return found

    @staticmethod
    def _crossover(name, lines, tell):
        """Return the filters of an output in the plan; its levels are set here, and readings tell of the source."""
        found = tuple(one for one in lines[0].channel.filters if not isinstance(one, (Gain, LevelTable)))
        if not found:
            tell(f"The plan has no filter for the {name}: 80 Hz, 24 dB/octave, stand in its place.")
        return found

    def _placed(self, at, outputs):
        """Return the vehicle, and where in it each output is."""
        places = {name: known["place"] for name, known in at.plan.openings.items() if "place" in known}
        cabin = by_places(dataclasses.replace(at.plan.cabin, places=places))
        controls = self.page.controls
        found = {"cabin": self._cabins.carry(VEHICLE, cabin, controls["cabin"])}
        for name in outputs:
            if f"{name}_place" in controls:
                place = _main(outputs[name][0])[0]
                control = controls[f"{name}_place"]
                control.options = tuple(dict.fromkeys((*control.options, place)))
                found[control.name] = place
        return found

    def results(self, at):
        """Return the levels of all outputs that an amplifier drives, against the front."""
        outputs, gains = self.outputs(at), self._scene.levels.outputs
        if "front" not in outputs or len(outputs) < 2:
            return {}
        told, values = [], {}
        for name, lines in outputs.items():
            level = round((gains[name].gain - gains["front"].gain) / STEP) * STEP + 0.0
            driven = [line for line in lines if isinstance(line.source, Amplifier)]
            values |= {line.name: self._filters(at, line, level) for line in driven}
            told += [f"{name} {level:+.1f} dB against the front"] if driven and name != "front" else []
        return {"levels": Result(", ".join(told), "filter", values)} if told else {}

    @staticmethod
    def _filters(at, line, level):
        """Return what the stage writes among a channel's filters so that its level is that. [dB]"""
        own = at.written_of("filter", line.name)
        own = [own] if isinstance(own, str) else list(own or ())
        kept = [text for text in own if not isinstance(read_filters(text)[0], Gain)]
        before = sum(one.level for one in line.channel.filters if isinstance(one, Gain))
        mine = sum(one.level for text in own for one in read_filters(text) if isinstance(one, Gain))
        return [*kept, f"level {level - (before - mine):g} dB"]


def _main(line):
    """Return (opening, driver) of a channel: of several drivers the one that resonates lowest."""
    return min(line.drivers.items(), key=lambda one: one[1].fs)


def _known(line):
    """Return what is known of that opening. [SI]"""
    return line.openings[_main(line)[0]]
