"""Loudspeaker drivers in sealed and vented boxes, inside a vehicle's cabin.

parts -> circuit -> response -> design and build -> tables -> measure and plan -> figures -> sliders -> notebooks
"""

import importlib

from .air import Air
from .parts.box import Door, InfiniteBaffle, PassiveRadiatorBox, SealedBox, VentedBox
from .parts.cabin import Cabin
from .parts.driver import Driver, equivalent_volume, reference_efficiency, voltage_for_power
from .parts.filters import AllPass, Delay, Gain, HighPass, Inverted, LevelTable, LowPass, Peak, Shelf
from .parts.loudspeaker import Loudspeaker
from .parts.network import Branch, Capacitor, Inductor, Network, Resistor, SideBySide, across, in_series, l_pad
from .parts.port import Port
from .parts.radiator import PassiveRadiator
from .parts.spread import BuildSpread, Spread

__all__ = [
    "Air",
    "AllPass",
    "Amplifier",
    "Branch",
    "Brief",
    "BuildSpread",
    "Cabin",
    "Capacitor",
    "Channel",
    "Delay",
    "Door",
    "Driver",
    "Gain",
    "HeadUnit",
    "HighPass",
    "Inductor",
    "InfiniteBaffle",
    "Inverted",
    "LevelTable",
    "Loudspeaker",
    "LowPass",
    "MaximumLevel",
    "Network",
    "PassiveRadiator",
    "PassiveRadiatorBox",
    "Peak",
    "Port",
    "Resistor",
    "Response",
    "SealedBox",
    "Shelf",
    "SideBySide",
    "Spread",
    "System",
    "SystemResponse",
    "VentedBox",
    "across",
    "closed_alignment",
    "equivalent_volume",
    "frequencies",
    "in_series",
    "l_pad",
    "maximum_level",
    "poles_and_zeros",
    "recommend",
    "reference_efficiency",
    "solve",
    "sweep",
    "vented_alignment",
    "voltage_for_power",
]

LATER = {  # looked up when first used: what holds parts is quick to import, what solves them is not
    "Amplifier": "parts.amplifier",
    "HeadUnit": "parts.amplifier",
    "Channel": "parts.system",
    "System": "parts.system",
    "Response": "response",
    "SystemResponse": "response",
    "frequencies": "response",
    "solve": "response",
    "poles_and_zeros": "response.poles",
    "Brief": "design.search",
    "recommend": "design.search",
    "closed_alignment": "design.alignments",
    "vented_alignment": "design.alignments",
    "MaximumLevel": "response.limits",
    "maximum_level": "response.limits",
    "sweep": "response.sweeping",
}


def __getattr__(name):
    if name not in LATER:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    globals()[name] = found = getattr(importlib.import_module(f".{LATER[name]}", __name__), name)
    return found


def __dir__():
    return [*globals(), *LATER]
