"""What the sheet warns of beside the usual cautions: the box and its board. Common practice, no source."""

OF_THE_BOX = (
    "This sheet tells the forces; it does not say that any fixing holds them.",
    "Look before you screw: fuel lines, wires, airbags, belt tensioners and their sensors lie behind trim.",
    "Seat rails chew wires. Keep belts, child seat anchors and the spare wheel within reach.",
    "Wear glasses at the saw.",
    "Measure your board. If it is not as thick as told here, have the list made anew: every length depends on it.",
)
