"""From a stage to the page on two speakers on one channel; nothing is given back, since wiring is no step of a plan."""

from __future__ import annotations

from ....parts.box import InfiniteBaffle
from ....parts.loudspeaker import Loudspeaker
from ....parts.network import Capacitor, Network
from ....tables.channels import KeptChannel
from ...kit.returning import Way


class ChannelOfStage(Way):
    """The drivers of a channel, how they are wired, and what drives them.

    Parameters
    ----------
    settings : callable
        Takes a KeptChannel; returns name of a control: value, or raises ValueError where the page cannot show it.
    """

    def __init__(self, settings):
        self._settings = settings

    def settings(self, at, tell):
        """Return name of a control: value for a stage. [SI]"""
        line = next((line for line in at.state.lines if at.place in {line.name, *line.openings}), None)
        if line is None or line.channel is None:
            raise ValueError(f"{at.name}: no channel with something on it is meant, so the page shows its own.")
        speakers = [self._bare(speaker, tell) for speaker in line.channel.each]
        wiring = at.plan.channels[line.name].get("wiring", line.channel.wiring)
        return self._settings(KeptChannel(line.name, tuple(speakers), wiring, line.source))

    @staticmethod
    def _bare(speaker, tell):
        """Return a loudspeaker as such a channel is kept: in a large panel, with no more than its capacitor."""
        branches = speaker.network.branches if speaker.network is not None else ()
        kept = tuple(one for one in branches if (one.placed, *map(type, one.components)) == ("in series", Capacitor))
        if kept != tuple(branches):
            tell(f"Of what is in the line of {speaker.name} only the capacitor counts here.")
        network = Network(branches=kept) if kept else None
        return Loudspeaker(driver=speaker.driver, box=InfiniteBaffle(), network=network, name=speaker.driver.name)

    def results(self, at):
        """Return nothing: how a channel is wired stands with the channel, not in a stage."""
        return {}
