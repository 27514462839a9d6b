"""What must be found out about a feed, and where its work can hurt someone."""

from __future__ import annotations

FUSE_AT_THE_BATTERY = (
    "Put the fuse as close to the battery as it goes (within 45 cm is common practice). Its breaking capacity must "
    "suit a battery. Disconnect the battery's - first, and ask whether it must be registered after that."
)
FUSE_AT_THE_SPLIT = "Each branch has its fuse where it begins, at the split."
OVER_BLADE = (
    "More than 32 V: a common blade fuse cannot break that. Fuse and holder must be made for the system's volts. "
    "Such a vehicle is often a hybrid: ask its maker first."
)
IN_SERIES = "Two batteries in series are one 24 V system: measure across both, and feed nothing from one of them."
GROMMET = "A grommet at every metal edge, and clear of seat rails: a bare wire burns."
DEFER = "Local codes, the vehicle maker's instructions and licensed practice come first."
BY_VEHICLE = {
    "unknown": "Find out first whether the vehicle is a hybrid or electric one: its maker or a qualified person only.",
    "start-stop": "With a sensor on the battery's pole, connect the ground where the vehicle's maker says.",
    "mild hybrid": "Two voltages in one vehicle: use only the 12 V side, and ask the maker where its ground is.",
}
UNMEASURED = "The way back is not in these volts: measure it before you trust what arrives."
ZERO_BACK = "A way back of 0 ohm was not measured: even a short thick wire has some."
NO_SOURCE = "Nobody is named for a cable's current rating: read it in the cable's own data sheet."
BY_TABLE = (
    "A table does not know this wire's insulation, nor the heat in a vehicle. One for houses does not hold: read the "
    "wire's own data sheet."
)
UNLIKE = "Unlike batteries are joined only as their makers say."
HOT_WAY_BACK = "A bad joint or too thin a wire can burn there: find it first."
BY_RESISTIVITY = "A resistance goes by the metal alone: stranded wire of that size may have 10 to 16 % more."
DOUBTFUL = "A rating is high for its wire: only insulation for great heat carries that. Read the data sheet again."
TOO_HOT = "A conductor is hotter than the 105 °C that usual insulation takes: no rating holds there."
AS_LAID = "A rating holds as the maker lays the cable: in a bundle, in heat or under carpet it carries less."
NO_MAKER = "No largest fuse is named for an amplifier: read its sheet, for a fuse that suits the wire may be too large."
TOO_EFFICIENT = "No amplifier gives out nearly all that it takes: read its efficiency at full power again."
CLAD = "Clad wire loses more than copper of the same size, and breaks sooner where it bends."
SEVERAL = (
    "What shares a fuse with other things is not protected by it. Give each a branch with a fuse of its own, within "
    "its maker's figure."
)
WAKES = "Noise on the wires can wake an amplifier that senses the signal, and drain the battery."
NOT_BY_MUSIC = "Music draws less on average; the fuse is for a steady sine."
