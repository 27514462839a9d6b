"""What can be chosen on the page, and what it stands for."""

from __future__ import annotations

from ....build.feed.cable import CLAD_10, CLAD_15

METALS = {"copper": "copper", "clad, 10 % copper": CLAD_10, "clad, 15 % copper": CLAD_15}
MADE_FOR = {"12 V": (10.8, 16.0), "24 V": (20.0, 32.0), "48 V": (36.0, 60.0)}  # common practice, no source
AMPLIFIER, WIRE, BRANCH, UPGRADE = "the amplifier", "the wire", "what else is on it", "from my upgrade"
ALONE, LIGHTS, CONVERTER, SECOND, OTHER = (
    "nothing else",
    "lights",
    "a converter",
    "a second amplifier",
    "something else",
)
KINDS = {LIGHTS: "lights", CONVERTER: "converter", SECOND: "amplifier", OTHER: "other"}
ELSE = {"": ALONE, "amplifier": SECOND, "other": OTHER}  # what a plan tells of
OWN, COPPER, NOBODY = "its data sheet", "a table of copper", "nobody yet"
SOURCES = {OWN: "the data sheet of this wire", COPPER: "a table of copper", NOBODY: ""}
EFFICIENCY = {LIGHTS: 1.0, CONVERTER: 0.85, OTHER: 1.0}  # of a converter common practice, no source
