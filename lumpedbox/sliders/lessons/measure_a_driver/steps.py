"""What is done step by step to measure a driver, what each step asks for, and its drawing."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from pathlib import Path

from ....plan.checks import Reading
from ....units import gram, litre, mm
from ..find_out.fields import Field

DRAWINGS = Path(__file__).parent / "drawings"
OHMS = Reading(unit="ohm", low=0.05, high=1000.0)
CONE = Reading(unit="mm", size=mm, low=10 * mm, high=700 * mm)
CLAY = Reading(unit="g", size=gram, low=0.1 * gram, high=0.5)
AIR_INSIDE = Reading(unit="L", size=litre, low=0.2 * litre, high=1.0)
BENCH, RESISTOR, FREE, MASS, BOX, AGAIN = (
    "bench",
    "resistor",
    "free_air",
    "added_mass",
    "known_box",
    "free_air_again",
)
MINE = "my driver"
PRACTICE = ("practice driver 1 (invented)", "practice driver 2 (invented)", "practice driver 3 (invented)")
NO_SHEET = "no sheet"
COILS = {"as usual": "typical", "fitted freely": "free", "left out": "none"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Do:
    """One step.

    Attributes
    ----------
    key : str
        Of a curve the argument of `driver_from_impedance`.
    title : str
    how : tuple of str
        What to do, one sentence after another.
    caution : str
    alternative : str
        What its drawing shows, for anyone who cannot see it.
    fields : tuple of Field
    """

    key: str
    title: str
    how: tuple
    caution: str
    alternative: str
    fields: tuple = ()

    @property
    def drawing(self):
        """Its drawing as SVG."""
        return (DRAWINGS / f"{self.key}.svg").read_text(encoding="utf-8")


WIRE = Do(
    key=BENCH,
    title="1. Wire it up",
    how=(
        "Wire the amplifier's + through a resistor of about 10 ohm, 5 W or more, to the driver's +, and the "
        "driver's − back to the amplifier.",
        "Read the ohms of that resistor, and of the coil with nothing connected. Take off what the touched leads read.",
        "Put one phone tone at a time through a small amplifier. A phone alone is too weak.",
        "Read two AC voltages with the same meter: across the driver, and across the resistor.",
    ),
    caution=(
        "Volume low: about 0.5 V is enough, and never more than 1 V. The meter goes across two wires, never to "
        "the body of a vehicle. Never read ohms on a live output. The resistor gets warm."
    ),
    alternative="Amplifier, resistor in line, driver; one meter across the resistor, then across the driver.",
)
KNOWN = Do(
    key=RESISTOR,
    title="2. First a resistor that you know",
    how=(
        "Put a second resistor, of 4 to 10 ohm by the ohmmeter, in place of the driver.",
        "Read both voltages at 50, 100 and 200 Hz. It must read its own ohms within 1 %.",
    ),
    caution="Keep fingers off: it gets warm.",
    alternative="The known resistor stands in place of the driver.",
    fields=(Field(key="known", label="The known resistor", reading=OHMS, units=("ohm",)),),
)
AIR = Do(
    key=FREE,
    title="3. In free air",
    how=(
        "Let the driver play softly for some minutes. Then hang or clamp it upright, far from walls.",
        "Type the tone that the page asks for, and both voltages. About 15 readings will do.",
    ),
    caution=(
        "No hand at the cone. Hold the frame fast: the magnet pulls tools and screws. Keep a tweeter out of "
        "this: low tones burn it."
    ),
    alternative="The driver is clamped upright by its frame, with air all round.",
)
CLAY_ON = Do(
    key=MASS,
    title="4. With a mass on the cone",
    how=(
        "Weigh some modelling clay, about half of the moving mass: 5 to 15 g for a woofer.",
        "Press it on beside the dust cap in even lumps, and read again: at least 8 readings around the peak.",
    ),
    caution="Stop the tone before you touch the cone. Nothing may rattle, and nothing with steel in it.",
    alternative="Lumps of clay lie around the dust cap of the cone.",
    fields=(Field(key="mass", label="Mass on the cone", reading=CLAY, units=("g", "oz")),),
)
CLOSED = Do(
    key=BOX,
    title="5. On a sealed box",
    how=(
        "Screw the driver on a tight box without filling. Count the litres, less what the driver takes.",
        "Read again around the new peak. The mass must come out alike, within 3 %.",
    ),
    caution="Hold the box fast on the bench: a driver and its magnet are heavy.",
    alternative="The driver closes a sealed box.",
    fields=(Field(key="volume", label="Net volume of the box", reading=AIR_INSIDE, units=("L", "ft³")),),
)
ONCE_MORE = Do(
    key=AGAIN,
    title="6. Free air again",
    how=("Take the mass off, or the driver off the box.", "Read again. The peak must lie within 1 %."),
    caution="Volume low, as before. No hand at the cone.",
    alternative="As in step 3.",
)


def steps(sheets):
    """Return the six steps in their order, where some data sheets are offered by name."""
    bench = (
        Field(key="what", label="What is measured", options=(MINE, *PRACTICE)),
        Field(key="line", label="Resistor in line", reading=OHMS, units=("ohm",)),
        Field(key="Re", label="Coil by the ohmmeter", reading=OHMS, units=("ohm",)),
        Field(key="diameter", label="Cone, with half the surround", reading=CONE, units=("mm", "in")),
        Field(key="sheet", label="Its data sheet", options=(NO_SHEET, *sheets)),
        Field(key="coil", label="Eddy currents of the coil", options=tuple(COILS)),
    )
    return (dataclasses.replace(WIRE, fields=bench), KNOWN, AIR, CLAY_ON, CLOSED, ONCE_MORE)
