"""What the sheet warns of: the box, the tools, and the vehicle. Common practice, no source, unless one is named."""

CAUTIONS = (
    "Local codes, the vehicle maker's instructions and licensed practice come first.",
    "A box in a vehicle must be held so that it stays in place in a crash. Friction holds nothing. This sheet tells "
    "the forces; it does not say that any fixing holds them.",
    "Look before you screw: fuel lines, wires, airbags, belt tensioners and their sensors lie behind trim. Never "
    "unplug an airbag or its sensor while it is live.",
    "Seat rails chew wires. Keep belts, child seat anchors and the spare wheel within reach.",
    "Wear a mask against the dust of wood and board, glasses at the saw, and mind your fingers. Lift with help.",
    "Measure your board. If it is not as thick as told here, have the list made anew: every length depends on it.",
)
