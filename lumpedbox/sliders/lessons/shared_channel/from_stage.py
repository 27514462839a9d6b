"""From a stage to the page on two speakers on one channel; how they are wired, and what cures it, back to the stage."""

from __future__ import annotations

from ....design.e_series import rounded
from ....parts.box import InfiniteBaffle
from ....parts.loudspeaker import Loudspeaker
from ....parts.network import Capacitor, Network, l_pad, pad_resistors
from ....tables.channels import KeptChannel
from ....units import uF
from ...kit.pads import size_sold
from ...kit.returning import Result, Way
from ...kit.wirings import CALLED, PARALLEL, SERIES
from .answering import ACROSS, BEHIND, PAD

NO_CHANNEL = "no channel with something on it is meant, so the page shows its own."
BARE_LINE = "nothing before the tweeter"


class ChannelOfStage(Way):
    """The drivers of a channel, how they are wired, and what drives them; wiring and cure, to be given back.

    Parameters
    ----------
    scene : SharedChannel
    settings : callable
        Takes a KeptChannel; returns name of a control: value, or raises ValueError where the page cannot show it.
    """

    same = ("woofer", "second")

    def __init__(self, scene, settings):
        self._scene, self._settings = scene, settings

    @staticmethod
    def line(at):
        """Return the channel that is meant, as a `Line`; None if it has nothing on it."""
        found = (line for line in at.state.lines if at.place in {line.name, *line.openings})
        return next((line for line in found if line.channel is not None), None)

    def settings(self, at, tell):
        """Return name of a control: value for a stage. [SI]"""
        line = self.line(at)
        if line is None:
            raise ValueError(f"{at.name}: {NO_CHANNEL}")
        speakers = [self._bare(speaker, tell) for speaker in line.channel.each]
        return self._settings(KeptChannel(line.name, tuple(speakers), line.wiring or line.channel.wiring, line.source))

    @staticmethod
    def _bare(speaker, tell):
        """Return a loudspeaker as such a channel is kept: in a large panel, with no more than its capacitor."""
        branches = speaker.network.branches if speaker.network is not None else ()
        kept = tuple(one for one in branches if (one.placed, *map(type, one.components)) == ("in series", Capacitor))
        if kept != tuple(branches):
            what = f"Of what is in the line of {speaker.name} only the capacitor counts here"
            tell(f"{what}; the rest goes if you give a cure back.")
        network = Network(branches=kept) if kept else None
        return Loudspeaker(driver=speaker.driver, box=InfiniteBaffle(), network=network, name=speaker.driver.name)

    def results(self, at):
        """Return how two are wired, and what is fitted before the tweeter, each where the stage has it otherwise."""
        line, values, found = self.line(at), self.page.values, {}
        if line is None or len(line.drivers) != 2:  # pairs are groups of what the channel feeds, which no stage changes
            return {}
        twins = [one for one in at.state.lines if one.channel is not None and one.kind == line.kind]
        wiring = values["wiring"]
        if wiring in (PARALLEL, SERIES) and wiring != line.wiring:
            found["wiring"] = Result(f"wired {CALLED[wiring]}", "wiring", {one.name: wiring for one in twins})
        began, second = self.page.returning.began, self._scene.driver(values["second"])
        moved = any(values[name] != began.get(name, values[name]) for name in ("fitted", "capacitor", "cure"))
        if self._scene.curable(values) and moved:
            texts, label = self._fitted(values)
            places = [place for one in twins for place, driver in one.drivers.items() if driver == second]
            found["line"] = Result(label or BARE_LINE, "line", dict.fromkeys(places, texts))
        return found

    def _fitted(self, values):
        """Return what is in the tweeter's line, from the amplifier to the driver, and the same with its watts."""
        scene, cure = self._scene, self._scene.cure(values)
        first = [f"{values['capacitor'] / uF:.3g} uF in series"] if scene.has_a_series_one(values) else []
        if cure == PAD:
            pad = rounded(l_pad(attenuation=values["pad"], impedance=scene.driver(values["second"]).nominal_resistance))
            series, across = pad_resistors(pad)
            texts = [f"{series:.3g} ohm in series", f"{across:.3g} ohm across"]
        else:
            texts = [f"{values['resistor']:.3g} ohm across"] if cure in (ACROSS, BEHIND) else []
        watts = [f"{size_sold(most)} W" for most in scene.now.watts.values()]
        told = [f"{text}, {watt}" for text, watt in zip(texts, watts, strict=True)]
        order = [(first, first), (texts, told)] if cure == BEHIND else [(texts, told), (first, first)]
        return [text for plain, _ in order for text in plain], "; ".join(text for _, said in order for text in said)
