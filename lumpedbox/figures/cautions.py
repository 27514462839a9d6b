"""The usual cautions, in the words that every page and sheet uses."""

# What each is about: what to mind. Common practice, no source. A caution about a number stands beside that number.
CAUTIONS = {
    "Hearing": ("Loud sound harms hearing for good, low tones too although they do not sound as loud. Keep it short."),
    "Driving": "You must hear sirens and the vehicle's chimes. Never adjust anything on the move.",
    "Box": (
        "A box in a vehicle must be held so that it stays in place in a crash; friction holds nothing. Lift it with "
        "help."
    ),
    "Battery": (
        "Disconnect the battery before you work on its wiring and fuse every wire near it. Protect wires at metal "
        "edges. Start-stop vehicles: ask the maker first. Hybrid and electric ones: leave high voltage to a qualified "
        "person."
    ),
    "Airbags": (
        "Keep clear of airbags and of the wiring behind panels. Seats, roof edges and doors may hold airbags or their "
        "sensors: find out first, and never unplug them live."
    ),
    "Doors": (
        "Sealing, cutting or filling a door may upset a sensor that feels a side impact. Find out first, and never "
        "test by sealing or unplugging. Leave drain holes open, the vapour barrier whole, and room for the window."
    ),
    "Chimes": (
        "Factory drivers may carry warnings, hands-free calls or noise cancelling. Try each of them after every change."
    ),
    "Meter": (
        "Never measure ohms on a live output: unplug both wires from the amplifier first. No wire is grounded at "
        "bridged outputs: put the meter across the two wires, never to the body. Unplug the loudspeakers while you set "
        "gains."
    ),
    "Heat": (
        "Amplifiers and resistors get hot, a resistor at its watts over 200 °C. Give them air, and keep them off "
        "plastic, foam and cloth."
    ),
    "Tools": "Wear a mask against the dust of wood and board, and mind the saw. Sheet has sharp edges: wear gloves.",
    "First": "Local codes, the vehicle maker's instructions and licensed practice come first.",
}
