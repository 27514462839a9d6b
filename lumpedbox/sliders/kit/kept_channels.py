"""A channel that is kept, and where a page for two speakers on one channel stands for it."""

from __future__ import annotations

from ...tables.feeds import IN_SERIES
from ...tables.my_parts import read
from ...units import uF
from .wirings import PAIRS, PARALLEL

IN_LINE, WITHOUT = "in series with it", "none"  # the capacitor of the second speaker
TWO_ONLY = "only two drivers can be shown, or two series pairs of the same two"
TWO_TWEETERS = "both its drivers are tweeters, and one has to be a woofer"
NOT_OFFERED = "is not offered here; if you have just kept it, open this page anew"


def settings_of(channel, drivers, tweeters, missed, amplifiers):
    """Return what the controls of such a page are put to.

    Parameters
    ----------
    channel : KeptChannel
    drivers, tweeters : dict
        Name: Driver, as offered: all, and those that are tweeters.
    missed : dict
        Name: what is wrong with it, of the drivers that do not serve the page.
    amplifiers : dict
        Name: Amplifier or HeadUnit, as offered.

    Returns
    -------
    dict
        Name of a control: value; nothing of what is not told. [SI]

    Raises
    ------
    ValueError
        If the page cannot show it: it says why.
    """
    pair, wiring = _pair_of(channel)
    called = {_offered_as(one.driver, one.name, drivers): one for one in pair}
    names = list(called) if len(called) == 2 else list(called) * 2  # two of the same driver
    woofer, second = names[::-1] if names[0] in tweeters else names
    if woofer in tweeters:
        raise ValueError(TWO_TWEETERS)
    for name in names:
        if name in missed:
            raise ValueError(f"{name} does not serve this page ({missed[name]})")
    places = {"woofer": woofer, "second": second, "wiring": wiring}
    if channel.source is not None:
        places["amplifier"] = _offered_as(channel.source, channel.source.name, amplifiers)
    return places | _fitted(called[woofer], called[second], second in tweeters)


def _pair_of(channel):
    """Return the two loudspeakers, and their wiring as the page has it."""
    groups = [one if isinstance(one, tuple) else (one,) for one in channel.loudspeakers]
    sizes = [len(group) for group in groups]
    if sizes == [1, 1]:
        return groups[0] + groups[1], channel.wiring
    if sizes == [2, 2] and channel.wiring == PARALLEL and set(groups[0]) == set(groups[1]):
        return groups[0], PAIRS
    raise ValueError(TWO_ONLY)


def _offered_as(part, name, offers):
    """Return the name under which a part is offered."""
    called = next((called for called, other in offers.items() if other == part), None)
    if called is None:
        raise ValueError(f"{name} {NOT_OFFERED}")
    return called


def _fitted(woofer, second, is_tweeter):
    """Return the settings of the second speaker's capacitor; the page has none for a woofer, or for a second one."""
    if woofer.network or (second.network and not is_tweeter):
        raise ValueError("it has a capacitor before a woofer, and only one before a tweeter can be shown")
    if second.network is None:
        return {"fitted": WITHOUT} if is_tweeter else {}
    if second.driver.built_in_capacitance is not None:
        raise ValueError(f"{second.name} has a capacitor built in, and no other can be shown beside it")
    ((capacitor,),) = (branch.components for branch in second.network.branches)
    return {"fitted": IN_LINE, "capacitor": float(capacitor.capacitance)}


def entries_of(settings, capacitor, drivers, amplifiers):
    """Return a channel as it is kept, key by key, from where such a page's controls stand.

    Parameters
    ----------
    settings : dict
        Name of a control: value. [SI]
    capacitor : float or None
        In series with the second speaker. [F]
    drivers, amplifiers : dict
        Name: Driver, name: Amplifier or HeadUnit, as offered.

    Raises
    ------
    ValueError
        If a name stands for another part of one's own.
    """
    kept = read().parts
    own, sources = {name: sheet.driver for name, sheet in kept["driver"].items()}, kept["amplifier"] | kept["head_unit"]
    pair = [_kept_as(settings[key], drivers, own) for key in ("woofer", "second")]
    wiring = settings["wiring"]
    wired = {"feeds": [pair, pair]} if wiring == PAIRS else {"feeds": pair, "wiring": wiring}
    fitted = {} if capacitor is None else {"line": {pair[1]: [f"{capacitor / uF:.10g} uF {IN_SERIES}"]}}
    return wired | fitted | {"source": _kept_as(settings["amplifier"], amplifiers, sources)}


def _kept_as(offered, offers, own):
    """Return the name under which a part is kept that is offered under a name."""
    name = next((name for name, part in own.items() if part == offers[offered]), offered)
    if name in own and own[name] != offers[offered]:
        raise ValueError(f"a part of your own is called {name} too: give yours another name first")
    return name
