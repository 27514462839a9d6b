"""The feed as it is drawn: every value at its place, and what to mind there."""

from __future__ import annotations

from ....build.feed import words
from ....build.feed.draw import AMPLIFIER
from ....build.feed.feed import BLADE, LOW_SIDE
from ...kit.answer import say, verbatim
from ...kit.feed import BACK, BATTERY, FUSE, GROMMET, LOAD, NOTHING, SPLIT, WIRE, Drawing, Piece, sized
from ...kit.systems import VOLTAGE, WAY, same

CURRENT = same("A", decimals=1, told=1)
DROP = same("V", decimals=2, told=2)
GROUND = {
    "start-stop": say("Start-stop: its ground goes where the vehicle's maker says."),
    "mild hybrid": say("Mild hybrid: the 12 V side only; ask the maker where its ground is."),
}


def drawn_feed(feed, fuses, metal, buy):
    """Return the pieces of a feed.

    Parameters
    ----------
    feed : Feed
    fuses : tuple of float
        One a cable in the order of `feed.places`; empty where there is none. [A]
    metal : str
        As the page calls it.
    buy : tuple of Said
    """
    fuses = fuses or (None,) * len(feed.places)
    in_series = f" {words.IN_SERIES}" if feed.voltage <= LOW_SIDE else ""
    trunk, *branches = zip(feed.places, fuses, strict=True)
    pieces = [
        Piece(
            BATTERY,
            say("Battery, {volts}", volts=VOLTAGE(feed.voltage)),
            say(f"Take its − off first, and ask whether it must be registered after.{in_series}"),
        )
    ]
    pieces += _cable(*trunk, metal, 0)
    pieces.append(Piece(GROMMET, say("Grommet"), say("At every metal edge; keep clear of seat rails.")))
    if branches:
        pieces.append(Piece(SPLIT, say("Split"), verbatim(words.FUSE_AT_THE_SPLIT)))
    for number, (place, fuse) in enumerate(branches, start=1):
        pieces += [*_cable(place, fuse, metal, number), _load(place, number)]
    if not branches:
        pieces.append(_load(trunk[0], 0))
    return Drawing((*pieces, _back(feed)), buy)


def _cable(place, fuse, metal, branch):
    cable = place.feed.cable
    told = say("Fuse: none fits, or none is known")
    if fuse:
        made_for = ", made for {volts}" if place.source > BLADE else ""
        told = say(f"Fuse, {{fuse}}{made_for}", fuse=CURRENT(fuse), volts=VOLTAGE(place.source))
    where = (
        NOTHING if branch else say("Close to the battery: 45 cm is common practice. It must break a battery's current.")
    )
    yield Piece(FUSE, told, where, branch, known=fuse is not None)
    yield Piece(
        WIRE,
        say(
            f"{{size}} {metal}, {{length}}: {{current}}, loses {{lost}}",
            size=sized(cable.area),
            length=WAY(cable.length),
            current=CURRENT(place.feed.current),
            lost=DROP(place.feed.current * cable.resistance),
        ),
        _rating(cable),
        branch,
        area=cable.area,
    )


def _rating(cable):
    rating = cable.rating_that_holds
    if rating is None:
        return say("What it may carry is not known: read its data sheet.")
    return say("It may carry {rating} as its maker lays it: less in a bundle or in heat.", rating=CURRENT(rating))


def _load(place, branch):
    (draw,) = place.feed.draws
    name = draw.name.removeprefix("a ").removeprefix("the ").capitalize()
    volts = say("{volts} arrive", volts=DROP(place.voltage)) if place.measured else _at_most(place)
    return Piece(LOAD, say(f"{name}: {{volts}}", volts=volts), _makers_figure(draw), branch)


def _at_most(place):
    return say("{volts} less the way back", volts=DROP(place.source - place.drop))


def _makers_figure(draw):
    if draw.kind != AMPLIFIER:
        return NOTHING
    if draw.maker_fuse is None:
        return say("Its maker's largest fuse is not known: read its sheet first.")
    return say("Its maker allows {most} at most.", most=CURRENT(draw.maker_fuse))


def _back(feed):
    if feed.return_resistance is None:
        note = "Measure the volts from the battery's − to the amplifier's −, and divide by the current."
        return Piece(BACK, say("Way back: not measured"), say(note), known=False)
    lost = feed.places[0].lost_back
    note = verbatim(words.HOT_WAY_BACK) if feed.places[0].hot_way_back else GROUND.get(feed.vehicle, NOTHING)
    return Piece(BACK, say("Way back: loses {lost}", lost=DROP(lost)), note)
