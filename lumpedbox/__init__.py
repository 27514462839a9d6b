"""Loudspeaker drivers in sealed and vented boxes, inside a vehicle's cabin.

parts -> circuit -> response -> design and build -> figures and tables -> sliders -> notebooks
"""

from .air import Air
from .design.alignments import closed_alignment, vented_alignment
from .design.search import Brief, recommend
from .parts.amplifier import Amplifier, HeadUnit
from .parts.box import InfiniteBaffle, PassiveRadiatorBox, SealedBox, VentedBox
from .parts.cabin import Cabin
from .parts.driver import Driver, equivalent_volume, reference_efficiency, voltage_for_power
from .parts.filters import AllPass, Delay, Gain, HighPass, Inverted, LevelTable, LowPass, Peak, Shelf
from .parts.loudspeaker import Loudspeaker
from .parts.network import Branch, Capacitor, Inductor, Network, Resistor, SideBySide, across, in_series, l_pad
from .parts.port import Port
from .parts.radiator import PassiveRadiator
from .parts.spread import BuildSpread, Spread
from .parts.system import Channel, System
from .response import Response, SystemResponse, frequencies, poles_and_zeros, solve
from .response.limits import MaximumLevel, maximum_level

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
    "vented_alignment",
    "voltage_for_power",
]
