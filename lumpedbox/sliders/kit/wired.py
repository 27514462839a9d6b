"""A channel as it is wired, with standard symbols, and the values at their places.

`wired.js` draws it.
"""

from __future__ import annotations

from dataclasses import dataclass

from ...parts.network import Resistor
from .answer import say
from .systems import CAPACITANCE, RESISTANCE

LOUDSPEAKER, RESISTOR, CAPACITOR = "loudspeaker", "resistor", "capacitor"


@dataclass(frozen=True, slots=True)
class Symbol:
    """What is drawn with one symbol.

    Attributes
    ----------
    kind : str
        "loudspeaker", "resistor" or "capacitor".
    lines : tuple of Said
        What stands beside it: of a loudspeaker first its name, else first its value.
    """

    kind: str
    lines: tuple

    def said(self, system):
        """Return it as plain data, with its words in the reader's units."""
        return {"kind": self.kind, "lines": [line.text(system) for line in self.lines]}

    def in_words(self, system):
        """Return it as it is told."""
        lines = [line.text(system) for line in self.lines]
        if self.kind == LOUDSPEAKER:
            return f"the {lines[0]}" + (f" ({', '.join(lines[1:])})" if lines[1:] else "")
        return f"a {self.kind}" + (f" of {', '.join(lines)}" if lines else "")

    def again(self):
        """Return it as it stands in a second chain that is like the first: with its name alone."""
        return Symbol(self.kind, self.lines[:1] if self.kind == LOUDSPEAKER else ())


@dataclass(frozen=True, slots=True)
class Across:
    """What stands across everything that follows it in a chain.

    Attributes
    ----------
    symbol : Symbol
    chain : tuple
        Of Symbol and Across, from + to −.
    """

    symbol: Symbol
    chain: tuple

    def said(self, system):
        """Return it as plain data, with its words in the reader's units."""
        return {"across": self.symbol.said(system), "chain": [one.said(system) for one in self.chain]}

    def in_words(self, system):
        """Return it as it is told."""
        inner = " and ".join(one.in_words(system) for one in self.chain)
        return f"{inner}, with {self.symbol.in_words(system)} across"

    def again(self):
        """Return it as it stands in a second chain that is like the first: without values."""
        return Across(self.symbol.again(), tuple(one.again() for one in self.chain))


@dataclass(frozen=True, slots=True)
class Wired:
    """A channel: chains side by side between the amplifier's + and −.

    Attributes
    ----------
    source : tuple of Said
        Lines about the amplifier.
    chains : tuple of tuple
        Each of Symbol and Across, from + to −.
    """

    source: tuple
    chains: tuple

    def said(self, system):
        """Return it as plain data, with its words in the reader's units."""
        return {
            "source": [line.text(system) for line in self.source],
            "chains": [[one.said(system) for one in chain] for chain in self.chains],
            "words": self.in_words(system),
        }

    def in_words(self, system):
        """Return what is drawn, for anyone who cannot see it."""
        ways = ["; then ".join(one.in_words(system) for one in chain) for chain in self.chains]
        source = ". ".join(line.text(system) for line in self.source)
        if len(ways) == 1:
            return f"{source}. From + to −: {ways[0]}."
        return f"{source}. Side by side from + to −: {'. Beside it: '.join(ways)}."


def wired(channel, source, told, watts):
    """Draw a channel from what is solved; of series groups in parallel, which are alike, the first has the values.

    Parameters
    ----------
    channel : Channel
        Single: in series, in parallel, or series groups in parallel; its networks of resistors and capacitors.
    source : tuple of Said
        Lines about the amplifier.
    told : dict
        Name of a loudspeaker: tuple of Said, its values.
    watts : dict
        Where a resistor is placed, "in series" or "across": Said, what it takes.
    """
    groups = channel.groups if channel.wiring == "parallel" else (channel.each,)
    chains = [tuple(part for one in group for part in _of_speaker(one, told, watts)) for group in groups]
    alike = len(groups[0]) > 1
    return Wired(
        source,
        tuple(tuple(one.again() for one in chain) if alike and at else chain for at, chain in enumerate(chains)),
    )


def _of_speaker(speaker, told, watts):
    """Return a loudspeaker behind its network, as part of a chain."""
    built_in = speaker.driver.built_in_capacitance
    inside = () if built_in is None else (Symbol(CAPACITOR, (say("{C}", C=CAPACITANCE(built_in)), say("built in"))),)
    chain = (*inside, Symbol(LOUDSPEAKER, (say(speaker.name), *told.get(speaker.name, ()))))
    for branch in reversed(speaker.network.branches if speaker.network else ()):
        for part in reversed(branch.components):
            symbol = _symbol(part, watts.get(branch.placed))
            chain = (symbol, *chain) if branch.placed == "in series" else (Across(symbol, chain),)
    return chain


def _symbol(part, watts):
    if isinstance(part, Resistor):
        return Symbol(RESISTOR, (say("{R}", R=RESISTANCE(float(part.resistance))), *filter(None, (watts,))))
    return Symbol(CAPACITOR, (say("{C}", C=CAPACITANCE(float(part.capacitance))),))
