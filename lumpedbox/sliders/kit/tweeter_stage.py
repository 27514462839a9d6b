"""From a stage that puts in a tweeter to the page on taming it, and the resistors back to the stage."""

from __future__ import annotations

from ...parts.network import PAD, Capacitor, Network, attenuation_of
from ...plan.wires import network_of
from ...units import uF
from .demands import a_tweeter
from .offered import why_not
from .pads import size_sold
from .returning import Result, Way, carried
from .wirings import PARALLEL

PAGE = "loud_tweeter"


class TweeterOfStage(Way):
    """The two drivers of a channel, what is fitted before the tweeter, and what drives them; the pad, to be given back.

    Parameters
    ----------
    scene : LoudTweeter
    woofers, tweeters : dict
        Name: Driver, as the page offers them; what a stage has beside them is added.
    """

    same = ("tweeter",)

    def __init__(self, scene, woofers, tweeters):
        self._scene, self._offers = scene, {"tweeter": tweeters, "woofer": woofers}

    def place(self, at):
        """Return the opening that is meant: the one that the link names, else the first where there is a tweeter."""
        drivers = at.state.drivers
        places = [place for place in {**at.stage.put, **at.stage.line} if place in drivers]
        tweeters = (place for place in places if not a_tweeter(drivers[place]))
        return at.place or next(tweeters, "")

    def settings(self, at, tell):
        """Return name of a control: value for a stage. [SI]"""
        place, line = self.place(at), at.line(self.place(at))
        driver, known = at.state.drivers.get(place), at.state.openings.get(place, {})
        if driver is None or line is None:
            tell("No tweeter that a channel feeds is in this stage: choose one.")
            return {}
        found = {"lift": 0.0, "angle": known.get("angle", 0.0), "polarity": known.get("polarity", "as marked")}
        self._take_in("tweeter", driver, found, tell)
        others = [other for name, other in line.drivers.items() if name != place and a_tweeter(other)]
        if others:
            self._take_in("woofer", min(others, key=lambda other: other.fs), found, tell)
            found["wiring"] = line.wiring or PARALLEL
        else:
            tell("No woofer shares its channel in the plan: choose the one to match.")
        if line.source is not None:
            self._scene.play_from(line.source)
            found["voltage"] = float(line.source.voltage)
        return found | dict(self._fitted(known.get("line", ()), driver, tell))

    def _take_in(self, role, driver, found, tell):
        if unfit := why_not(PAGE, role, driver):
            self.replace(driver, unfit, tell)
            return
        found[role] = carried(self.page.controls[role], self._offers[role], driver, driver.name)
        self._scene.know(found[role], driver)

    @staticmethod
    def _fitted(fitted, driver, tell):
        """Yield what stands in the tweeter's line: its capacitor [F] and its pad [dB]."""
        network = network_of(fitted, driver)
        branches = network.branches if network is not None else ()
        kinds = [(branch.placed, *map(type, branch.components)) for branch in branches]
        capacitors = [branch for branch, kind in zip(branches, kinds, strict=True) if kind == ("in series", Capacitor)]
        rest = [branch for branch in branches if branch not in capacitors]
        pad = rest and [(branch.placed, *map(type, branch.components)) for branch in rest] == PAD
        yield "pad", float(attenuation_of(Network(branches=tuple(rest)), driver.nominal_resistance)) if pad else 0.0
        if len(capacitors) == 1:
            yield "capacitor", float(capacitors[0].components[0].capacitance)
            if driver.built_in_capacitance is not None:
                yield "beside_own", "its own and a series one"
        elif driver.built_in_capacitance is None:
            tell("The plan has no capacitor before it: choose the one that it gets.")
        if (rest and not pad) or len(capacitors) > 1:
            tell("What else stands in its line is not shown here, and goes if you give a result back.")

    def results(self, at):
        """Return which: the resistors that are needed, and those of the pad that is set, behind the capacitor."""
        scene, values = self._scene, self.page.values
        if values["wiring"] != PARALLEL:  # no pad cures that
            return {}
        places = at.like("line", self.place(at))
        first = [f"{values['capacitor'] / uF:.3g} uF in series"] if scene.has_a_series_one(values) else []
        needed, as_set = scene.resistors(values)
        found = {} if needed else {"none": Result("no pad", "line", dict.fromkeys(places, first))}
        for which, resistors in {"needed": needed, "as set": as_set}.items():
            if resistors is not None:
                texts = [f"{resistors.series:.3g} ohm in series", f"{resistors.across:.3g} ohm across"]
                watts = [f"{size_sold(stands)} W" for stands in (resistors.watts, resistors.other)]
                told = ", ".join(f"{text}, {watt}" for text, watt in zip(texts, watts, strict=True))
                label = told + (" (as set)" if which == "as set" else "")
                found[which] = Result(label, "line", {one: [*first, *texts] for one in places})
        return found
