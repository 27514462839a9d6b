"""The shapes of vehicles to begin with, and the plan that each begins as. Typical sizes: ours, no source."""

from __future__ import annotations

from dataclasses import dataclass

LEAKY = 'volume = "30 litres"\nhole = "300 cm2"\n'  # a usual door, as lumpedbox.parts.box.Door says
PANEL = 'baffle = "infinite"\n'
ROOM = 'space = "{litres:g} litres"\n'
RADIO = "factory radio"


@dataclass(frozen=True, slots=True)
class Shape:
    """A kind of vehicle: sizes inside [m], the ear at the driver's seat [m], and the room for a box [litres]."""

    length: float
    width: float
    height: float
    litres: float
    row: float = 0.35  # of the length, where the ear is

    @property
    def ear(self):
        """Where the ear is: half a metre from the left wall, a little below the roof. [m]"""
        return self.row * self.length, min(0.45, self.width / 3), self.height - 0.35

    def places(self):
        """Yield (name, place [m], what is behind it) of where a loudspeaker usually sits."""
        front, seat, rear = 0.3 * self.length, self.row * self.length, 0.75 * self.length
        for side, y, inner in (("left", 0.05, 0.3), ("right", self.width - 0.05, self.width - 0.3)):
            yield f"front door {side}", (front, y, 0.35), LEAKY
            yield f"dash {side}", (0.12 * self.length, inner, 0.6 * self.height), PANEL
            yield f"rear side {side}", (rear, y, 0.4 * self.height), PANEL
            if self.height > 1.4:
                yield f"roof {side}", (seat + 0.4, inner, self.height - 0.03), PANEL
        yield "at the back", (0.93 * self.length, 0.7 * self.width, 0.3), ROOM.format(litres=self.litres)


SHAPES = {
    "small car": Shape(length=2.3, width=1.35, height=1.15, litres=40),
    "estate": Shape(length=2.9, width=1.4, height=1.15, litres=60),
    "van": Shape(length=3.4, width=1.65, height=1.5, litres=80),
    "minibus": Shape(length=5.0, width=1.8, height=1.6, litres=60),
}


OWN_ROOM = 60  # litres for a box, where only the lengths are known
OTHER = "another: three lengths"


def told():
    """Return the shapes as plain data; the last one, without a name, asks for its lengths."""
    shapes = [
        {
            "name": name,
            "said": f"{name}, about {shape.length:g} m long and {shape.width:g} m wide inside",
            "length": shape.length,
            "width": shape.width,
        }
        for name, shape in SHAPES.items()
    ]
    return [*shapes, {"name": "", "said": OTHER, "length": 2.6, "width": 1.4}]


def shape_of(name):
    """Return the shape of a name.

    Raises
    ------
    ValueError
        If there is none.
    """
    if name not in SHAPES:
        raise ValueError(f"there is no shape {name!r}: choose one of {', '.join(SHAPES)}")
    return SHAPES[name]


def beginning(name, shape):
    """Return the text of a new plan for a shape of vehicle."""
    sizes = f"are typical of a {name}: measure yours" if name in SHAPES else "are as typed: measure where in doubt"
    places = "".join(
        f'[opening."{place}"]\nplace = {_lengths(where)}\n{behind}\n' for place, where, behind in shape.places()
    )
    return f"""# My plan of stages: what is there, and what could be done. Values carry their units.
# Places are x (from the front wall to the rear), y (from the left), z (from the floor).
# The sizes {sizes}, and change them here.

[plan]
name = "my {name}"

[cabin]
length = "{shape.length:g} m"
width = "{shape.width:g} m"
height = "{shape.height:g} m"
ear = {_lengths(shape.ear)}
flex = 1.5
leak = "15 Hz"
reverberation_time = "0.08 s"

{places}# What drives it. Measure the volts, or ask for the power: 9.1 V is a usual 20 W into 4 ohm.
[part."{RADIO}"]
amplifier = {{ voltage = "9.1 V", minimum_load = "4 ohm", channels = 4, name = "{RADIO}" }}
"""


def _lengths(place):
    return "[" + ", ".join(f'"{way:.2f} m"' for way in place) + "]"
