"""Whatever is given for an argument: it is taken, or refused by a ValueError or TypeError that names the argument."""

import dataclasses
import importlib
import inspect
import pkgutil
import re
import warnings
from operator import attrgetter
from pathlib import Path

import numpy as np
import pytest

import lumpedbox
from lumpedbox import (
    Air,
    Amplifier,
    Brief,
    BuildSpread,
    Cabin,
    Capacitor,
    Channel,
    Door,
    Driver,
    HeadUnit,
    Inductor,
    InfiniteBaffle,
    LevelTable,
    Loudspeaker,
    PassiveRadiator,
    PassiveRadiatorBox,
    Port,
    Resistor,
    SealedBox,
    Spread,
    System,
    VentedBox,
    across,
    frequencies,
    in_series,
    l_pad,
    maximum_level,
    poles_and_zeros,
    solve,
    vented_alignment,
)
from lumpedbox.build import (
    Board,
    Brace,
    Cable,
    Carcass,
    Cup,
    Draw,
    Drawn,
    Hopper,
    Inside,
    Lining,
    PortRun,
    Profile,
    Seat,
    Space,
    Stock,
    as_table,
    cut_list,
)
from lumpedbox.build import Feed as SupplyFeed
from lumpedbox.design.causes import causes
from lumpedbox.design.certainty import doubts
from lumpedbox.design.gains import setting
from lumpedbox.measure import driver_from_impedance
from lumpedbox.parts.line import Feed
from lumpedbox.plan.library import Library
from lumpedbox.plan.reading import plan_of
from lumpedbox.quantity import Part
from lumpedbox.tables.entries import KINDS
from lumpedbox.tables.kept import Kept
from lumpedbox.tables.shipped import data_folder

# Modules of which every public function and class is for users; `lumpedbox` itself exports more. What reads files, and
# what searches for a design or mixes two, is looked at only where `ALSO` says so.
WHOLE = re.compile(
    r"air|build(?!\.workings)(\..*)?|response(\.poles|\.heat|\.limits|\.hearing|\.sweeping)?|design\.(?!search|trade_off|mixtures|shapley|system_causes).*"
    r"|tables\.(my_parts|entries|quantity_text)|measure\.(comparing|driver|next_reading|readings|result)"
)
ELSEWHERE = re.compile(r"(design\.(search|trade_off|mixtures|shapley|system_causes)|tables\.read|figures)\.")
ALSO = (
    "response.each_limit.voltage_within_travel",
    *("circuit.spice.netlist", "circuit.sentences.in_sentences", "circuit.transfer.transfer"),
    *("tables.read.read_drivers", "tables.read.read_sheets", "tables.read.read_parts", "tables.read.read_levels"),
    *("design.search.recommendation.recommend", "design.trade_off.trade_off"),
    "tables.channels.channel_of",
    "parts.loudspeaker.as_it_comes",
    *("parts.amplifier.can_drive", "parts.amplifier.lowest_load", "parts.amplifier.with_bridged"),
    "parts.driver.level_of_a_watt",
    "parts.port.port_fit",
    *("parts.network.attenuation_of", "parts.network.pad_resistors"),
    *("parts.variants.louder", "parts.variants.scaled", "parts.variants.with_total_q"),
    *("response.crossing.falling_zero", "response.shape.peak", "response.shape.over_passband", "response.shape.droop"),
    *("plan.reading.read_plan", "plan.figures.figures", "plan.search.search", "plan.table.table", "plan.words.change"),
    *("plan.worth.shares", "plan.worth.spans"),
    *("response.sound.one_after_the_other", "response.sound.equal_loudness"),
)

PLAN = plan_of(
    """
    [opening.door]
    volume = "20 L"
    [channel.front]
    source = { power = "50 W", rated_impedance = "4 ohm" }
    feeds = ["door"]
    [have]
    door = "165 mm panel"
    [stage.lift]
    filter = { front = "shelf 3 dB below 80 Hz" }
    """,
    "plan.toml",
    Library("none.toml"),
)
DRIVER = Driver(Re=3.4, Bl=9.4, Mms=0.053, Cms=0.39e-3, Rms=2.3, Sd=0.033, Le=5e-4, xmax=0.006, power=80, name="bass")
SPREADING = dataclasses.replace(DRIVER, spread=Spread(Mms=0.03, Cms=0.1))
BOX = SealedBox(volume=0.03, spread=BuildSpread(volume=0.03))
SEALED = Loudspeaker(driver=DRIVER, box=SealedBox(volume=0.03), name="bass")
VENTED = Loudspeaker(driver=DRIVER, box=VentedBox(volume=0.05, fb=32, port_area=0.005))
OTHER = Loudspeaker(driver=DRIVER, box=SealedBox(volume=0.02), name="panel")
VARYING = Loudspeaker(driver=SPREADING, box=BOX)
CABIN = Cabin(length=2, width=1.4, height=1.1, law="modes", ear=(1, 0.4, 0.9))
AMPLIFIER = Amplifier(power=75, rated_impedance=4, minimum_load=2, channels=2)
HEAD_UNIT = HeadUnit(voltage=9.1, line_voltage=2.0)
NETWORK = in_series(Capacitor(capacitance=1e-4)) + across(Inductor(inductance=2e-3, resistance=0.1))
CROSSED = dataclasses.replace(SEALED, network=NETWORK)
PAD = l_pad(attenuation=6, impedance=4)
PORT = Port(length=0.1, diameter=0.08)
SYSTEM = System(
    channels=(Channel(loudspeakers=SEALED, name="low"), Channel(loudspeakers=OTHER, name="high")), name="both"
)
LEVELLED = System(
    channels=[dataclasses.replace(channel, amplifier=AMPLIFIER) for channel in SYSTEM.channels], name="to be set"
)
READING = LevelTable(points=((50, 3), (315, 6)))
FEED = Feed(source=HEAD_UNIT, output="line", reading=READING)
SHARED = Channel(loudspeakers=(SEALED, OTHER), wiring="series", amplifier=AMPLIFIER)
PLACED = System(channels=dataclasses.replace(SEALED, position=(0, 0, 0)), ear=(1, 0, 0))
BRIEF = Brief(volume=0.03, amplifier=AMPLIFIER)
WIRE = Cable(area=25e-6, length=5, current_rating=110, source="its sheet")
DRAW = Draw(power=550, efficiency=0.65, maker_fuse=80, minimum_voltage=10)
GRID = frequencies(20, 200, per_octave=6)
RESPONSE = solve(SEALED, GRID)
IN_FREE_AIR = (GRID, solve(Loudspeaker(driver=DRIVER, box=InfiniteBaffle()), GRID).impedance)
HEAVIER = dataclasses.replace(DRIVER, Mms=DRIVER.Mms + 0.03)
WITH_MASS = (0.03, GRID, solve(Loudspeaker(driver=HEAVIER, box=InfiniteBaffle()), GRID).impedance)
MEASURED = driver_from_impedance(free_air=IN_FREE_AIR, Sd=0.033)
NOISE = ((20, 90), (63, 80), (250, 60))
WEDGE = Profile(points=((0, 0), (0.3, 0), (0.2, 0.4), (0, 0.4)), names=("floor", "front", "top", "back"))
CARCASS = Carcass(profile=WEDGE, width=0.4, board=Board(thickness=0.018, density=680.0, modulus=3e9))
SEAT = Seat(driver=dataclasses.replace(DRIVER, depth=0.1), panel="front", along=0.15)
RUN = PortRun(port=Port(length=0.15, diameter=0.05), panel="front", along=0.35, wall=0.003, bends=((0.1, 0.3),))
BRACE = Brace(length=0.3, breadth=0.06, thickness=0.018, windows=((0.02, 0.1),))
CUP, LINING = Cup(volume=0.15e-3, panel="back"), Lining(panel="front", thickness=0.012)
FITTED = Inside(drivers=SEAT, ports=RUN, others=(BRACE, CUP, LINING))
STOCK = Stock(length=2.5, width=1.25, thickness=0.018)
ROOM = Space(points=((0, 0), (0.4, 0), (0.3, 0.45), (0, 0.45)), width=0.42, gaps={"front": 0.01})
BOXES = (
    ROOM,
    STOCK,
    *(SEAT, RUN, BRACE, CUP, LINING, FITTED),
    CARCASS.board,
    WEDGE,
    CARCASS,
    Drawn(box=CARCASS, inside=FITTED, space=ROOM, stock=STOCK),
    Hopper(bottom=(0.5, 0.35), top=(0.4, 0.25), height=0.3, board=CARCASS.board),
)
SHEET = {"fs": 35, "Qes": 0.45, "Qms": 5, "Vas": 0.06, "Sd": 0.033, "Re": 3.4}

# A valid call of everything public: what is wrong takes the place of one argument at a time.
CALLS = {
    "build.feed.battery.SecondBattery": {
        "cable": WIRE,
        "current": 60.0,
        "voltage": 13.8,
        "fuses": "both ends",
        "vehicle": "engine",
    },
    "build.feed.battery.alternator_reserve": {"output_at_idle": 60.0, "vehicle_draws": 40.0, "vehicle": "engine"},
    "build.feed.battery.engine_off_time": {
        "capacity": 80 * 3600,
        "usable_share": 0.5,
        "current": 10.0,
        "chemistry": "lithium",
        "maker_current": 50.0,
    },
    "build.feed.cable.Cable": {name: getattr(WIRE, name) for name in WIRE.__slots__},
    "build.feed.cable.Cable.rating_for_a_fuse": {"owner": "Cable"},
    "build.feed.cable.awg": {"number": 4},
    "build.feed.draw.Draw": {name: getattr(DRAW, name) for name in DRAW.__slots__},
    "build.feed.draw.Draw.check_voltage": {"owner": "Feed", "voltage": 13.8},
    "build.feed.draw.Draw.current": {"voltage": 13.8},
    "build.feed.draw.Draw.music_current": {"voltage": 13.8, "crest": 12.0, "efficiency": 0.4},
    "build.feed.draw.share_of_sine": {"crest": 12.0},
    "build.feed.fed.fed": {
        "amplifier": AMPLIFIER,
        "feed": SupplyFeed(voltage=13.8, cable=WIRE, draws=DRAW, return_resistance=0.002),
    },
    "build.feed.feed.Feed": {
        "voltage": 13.8,
        "cable": WIRE,
        "draws": DRAW,
        "branches": SupplyFeed(voltage=13.8, cable=WIRE, draws=DRAW),
        "return_resistance": 0.002,
        "rating_of_fuses": (60, 80, 125),
        "vehicle": "engine",
        "taken_from": "battery",
        "name": "rear",
    },
    "build.feed.feed.check_vehicle": {"owner": "Feed", "vehicle": "engine", "voltage": 13.8},
    "build.feed.fuses.fuse_between": {
        "owner": "Feed",
        "draw": 60.0,
        "bounds": {"cable": 110.0, "maker": 80.0},
        "rating_of_fuses": (60, 80, 100),
    },
    "build.account.net_account": {"box": CARCASS, "inside": FITTED},
    "build.account.net_by_convention": {"box": CARCASS, "inside": FITTED},
    "build.account.with_net_volume": {"box": CARCASS, "inside": FITTED, "net": 0.024, "by": "front"},
    "build.acoustic.acoustic_box": {"box": CARCASS, "inside": FITTED, "like": VentedBox(volume=0.02, fb=40)},
    "build.acoustic.carcass_for": {
        "acoustic": VentedBox(volume=0.02, fb=40),
        "box": CARCASS,
        "inside": FITTED,
        "by": "width",
    },
    "build.cut_list.as_sawn": {"box": CARCASS, "round_to": 1e-3},
    "build.cut_list.cut_list": {"box": CARCASS, "round_to": 1e-3, "inside": FITTED},
    "build.cut_list.gluing_sequence": {"box": CARCASS, "inside": FITTED},
    "build.cut_list.restated": {"box": CARCASS, "inside": FITTED, "round_to": 1e-3},
    "build.shopping.shopping_list": {"box": CARCASS, "inside": FITTED},
    "build.drawn.as_table": {"drawn": Drawn(box=CARCASS)},
    "build.drawn.from_table": {"table": as_table(Drawn(box=CARCASS))},
    "build.fit.fit": {"box": CARCASS, "inside": FITTED, "space": ROOM},
    "build.largest.largest": {"box": CARCASS, "inside": FITTED, "space": ROOM},
    "build.space.Space.gap": {"name": "front"},
    "build.space.straight_in": {"points": WEDGE.points, "width": 0.4, "opening": (0.4, 0.5)},
    "build.strength.forces": {"box": CARCASS, "extra": 2.0},
    "build.strength.panel_resonances": {"box": CARCASS, "inside": Inside(drivers=SEAT, others=(BRACE, CUP))},
    "build.stock.on_stock": {"parts": cut_list(CARCASS), "stock": STOCK},
    "build.profile.Profile.from_template": {
        "lengths": (0.5, 0.5, 0.5, 0.5),
        "inside_angles": (90, 90, 90, 90),
        "names": ("floor", "front", "top", "back"),
    },
    "build.profile.Profile.with_edge_moved": {"name": "front", "distance": 0.01},
    "build.profile.Profile.without_tip": {"before": "front", "across": 0.04, "name": "narrow"},
    "build.workings.built.Built.board_of": {"name": "front"},
    "build.workings.built.Built.panel": {"name": "front"},
    "build.workings.built.Built.thickness_of": {"name": "front"},
    "build.workings.built.Built.with_layers": {"layers": {"front": 0.012}},
    "build.volume.net_volume": {"width": 0.6, "height": 0.4, "depth": 0.35, "board": 0.018},
    "circuit.sentences.in_sentences": {"loudspeaker": SEALED},
    "circuit.spice.netlist": {"loudspeaker": SEALED, "frequency": [20, 40]},
    "circuit.transfer.transfer": {"filters": (lumpedbox.HighPass(frequency=80),), "frequency": GRID},
    "design.alignments.efficiency.best_constant": {"kind": "sealed"},
    "design.alignments.efficiency.best_f3": {"kind": "sealed", "efficiency": 0.003, "volume": 0.03},
    "design.alignments.shapes.chebyshev": {"k": 0.6},
    "design.alignments.closed.closed_alignment": {"Qtc": 0.9},
    "design.alignments.boxes.box_of": {"driver": DRIVER, "alpha": 1.2, "h": 0.9, "Ql": 7},
    "design.alignments.closed.closed_ratio": {"Qts": 0.4, "Qtc": 0.8},
    "design.alignments.closed.closed_volume": {"driver": DRIVER, "Qtc": 0.8},
    "design.alignments.efficiency.efficiency_constant": {"efficiency": 0.003, "f3": 40, "volume": 0.03},
    "design.alignments.named.named_alignment": {"name": "C4", "parameter": 0.6},
    "design.alignments.vented.of_box": {"Qts": 0.4, "h": 1.0, "alpha": 1.4},
    "design.alignments.vented.power_coefficients": {"a1": 2.6, "a2": 3.4, "a3": 2.6},
    "design.alignments.published.power_law": {"Qts": 0.4},
    "design.alignments.shapes.quasi_butterworth": {"B": 1.0},
    "design.alignments.radiator.radiator_box": {
        "driver": DRIVER,
        "alignment": vented_alignment(0.4),
        "delta": 2.0,
        "Sd": 0.033,
    },
    "design.alignments.shapes.reversed_bessel": {},
    "design.alignments.shapes.ripple_of_chebyshev": {"k": 0.6},
    "design.alignments.vented.tuned": {"Qts": 0.4, "alpha": 1.4},
    "design.alignments.named.vented_alignment": {"Qts": 0.4},
    "design.air_moved.air_moved": {"level": 90, "frequency": 40},
    "design.capacitor.corner_of": {"resistance": 4, "capacitance": 1e-5},
    "design.capacitor.in_series_of": {"one": 4.7e-6, "other": 1e-5},
    "design.capacitor.textbook_loss": {"corner": 3000, "frequency": 1500},
    "design.capacitor.one_capacitor": {"loudspeaker": SEALED, "capacitance": 1e-4},
    "design.causes.causes": {"before": SEALED, "after": OTHER, "frequency": [20, 40]},
    "design.causes.Causes.at": {"frequency": 40},
    "design.causes.Causes.bands": {},
    "design.causes.Causes.shares": {"frequency": 40},
    "design.certainty.Doubt.shares": {},
    "design.certainty.doubts": {"response": solve(VARYING, GRID)},
    "design.certainty.in_words": {"response": solve(VARYING, GRID), "frequency": 40, "members": 50},
    "design.e_series.cost_of_rounding": {"loudspeaker": CROSSED, "frequency": GRID},
    "design.search.recommendation.recommend": {"drivers": DRIVER, "brief": BRIEF, "candidates": 100},
    "design.trade_off.trade_off": {"driver": DRIVER, "brief": BRIEF, "candidates": 100},
    "tables.read.read_drivers": {"path": data_folder() / "drivers.csv"},
    "tables.read.read_levels": {"path": data_folder() / "cabin_noise.csv"},
    "tables.read.read_parts": {"path": data_folder() / "cabins.csv", "kind": Cabin},
    "tables.read.read_sheets": {"path": data_folder() / "drivers.csv"},
    "design.e_series.decades": {"value": 8.4e-6, "series": "E12"},
    "design.e_series.nearest": {"value": 8.4e-6},
    "design.e_series.pair": {"value": 8.4e-6},
    "design.e_series.rounded": {"network": NETWORK},
    "design.gains.gain_needed": {"amplifier": AMPLIFIER, "voltage": 2.0},
    "design.gains.input_voltage": {"head_unit": HEAD_UNIT, "output": "line"},
    "design.ceiling.ceiling": {"channel": LEVELLED.channels[0]},
    "design.level_setting.level_for_a_volt": {"system": LEVELLED, "name": "low", "frequency": GRID},
    "design.level_setting.reading_at": {"readings": {10.0: READING, 20.0: READING}, "volume": 12.0},
    "design.level_setting.set_levels": {
        "system": LEVELLED,
        "feed": FEED,
        "bands": {"low": (40.0, 80.0), "high": (160.0, 800.0)},
        "wanted": {"high": -3.0},
    },
    "design.level_setting.tone_for": {"band": (40.0, 80.0)},
    "design.gains.setting": {"output": "panels", "power": 50, "impedance": 4, "frequency": 100},
    "design.gains.setting_sheet": {"settings": [setting(output="panels", power=50, impedance=4, frequency=100)]},
    "design.ladders.fitted": {
        "loudspeaker": OTHER,
        "arm": "low-pass",
        "family": "Butterworth",
        "order": 1,
        "frequency": 200,
        "load": 4,
    },
    "design.ladders.ladder": {"arm": "low-pass", "family": "Butterworth", "order": 2, "frequency": 200, "load": 4},
    "design.ladders.notch": {"frequency": 1000, "Q": 2, "resistance": 4},
    "design.ladders.quotients": {"order": 2, "family": "Butterworth"},
    "design.ladders.resonance_conjugate": {"driver": DRIVER},
    "design.ladders.trap": {"frequency": 1000, "Q": 2, "resistance": 4},
    "design.ladders.zobel": {"driver": DRIVER},
    "design.level_matching.octaves_beside": {"crossover": 3000.0},
    "design.level_matching.band_level": {"frequency": GRID, "level": RESPONSE.level, "low": 40, "high": 80},
    "design.level_matching.band_levels": {"loudspeaker": SEALED},
    "design.level_matching.lacking": {"system": SYSTEM, "adjusted": "bass", "against": "panel", "crossover": 80},
    "design.level_matching.matched": {"system": SYSTEM, "adjusted": "bass", "against": "panel", "band": (50, 100)},
    "design.level_matching.thinness": {"loudspeaker": SEALED},
    "design.level_matching.with_gain": {"system": SYSTEM, "name": "bass", "level": -3},
    "design.level_matching.with_network": {"system": SYSTEM, "name": "bass", "network": NETWORK},
    "design.meeting.meetings": {
        "system": SYSTEM,
        "bass": "low",
        "panels": "high",
        "corners": (80,),
        "delays": (0, 0.002),
        "slopes": ((2, "Butterworth"),),
    },
    "design.meeting.unevenness": {"system": SYSTEM},
    "design.ratings.ratings_of": {"response": solve(CROSSED, GRID, 10)},
    "design.ratings.ratings": {"loudspeaker": CROSSED, "frequency": GRID, "voltage": 10},
    "design.ratings.slope": {"response": RESPONSE, "low": 25, "high": 50},
    "design.shared_channel.full_voltage": {"channel": SHARED},
    "design.shared_channel.resistors_across": {"channel": SHARED, "woofer": "bass", "others": ("panel",)},
    "design.shared_channel.sharing": {"channel": SHARED, "woofer": "bass", "other": "panel"},
    "design.shared_channel.with_ahead": {"channel": SHARED, "names": ("panel",), "network": NETWORK},
    "design.wiring.meter_reading": {"channel": SHARED},
    "design.wiring.likely_wirings": {"reading": 3.4, "resistances": {"bass": 3.4, "panel": 6.8}},
    "response.crossing.falling_zero": {"frequency": GRID, "difference": 80 - RESPONSE.level, "near": 40.0},
    "response.shape.peak": {"relative_level": RESPONSE.level - 90},
    "response.shape.over_passband": {"response": RESPONSE},
    "response.shape.droop": {"relative_level": RESPONSE.level - 90, "frequency": GRID, "f3": 45.0},
    "response.sound.equal_loudness": {"frequency": 40.0},
    "response.sound.one_after_the_other": {
        "frequency": GRID,
        "first": RESPONSE.level,
        "second": RESPONSE.level,
        "rate": 8000.0,
        "seconds": 0.5,
    },
    "response.hearing.a_weighting": {"frequency": 40.0},
    "response.hearing.c_weighting": {"frequency": 40.0},
    "response.hearing.exposure": {"level": 94, "crest": 12, "spectrum": ((40, 0), (80, -3))},
    "response.hearing.noise_level": {"noise": NOISE, "frequency": 40.0},
    "response.hearing.lowest_heard": {"frequency": GRID, "level": RESPONSE.level, "noise": NOISE},
    "tables.my_parts.forget": {"kind": "box", "name": "mine", "path": "kept.toml"},
    "tables.entries.in_words": {"kind": "box", "key": "volume", "value": 0.03},
    "tables.my_parts.keep": {
        "kind": "box",
        "name": "mine",
        "typed": {"volume": "30 L"},
        "path": "kept.toml",
    },
    "tables.my_parts.keep_choices": {"values": {"voltage": 2.83}, "path": "kept.toml"},
    "tables.entries.known_of": {"kind": "box", "typed": {"volume": "30 L"}},
    "tables.channels.channel_of": {"name": "rear", "known": {"feeds": ("165 mm panel",)}, "kept": Kept()},
    "tables.entries.check_line": {"known": {"feeds": ("a", "b"), "line": {"b": 6.8e-6}}},
    "tables.entries.check_places": {"known": {"length": 2.3, "ear": (1.1, 0.4, 0.9)}},
    "tables.entries.near": {"word": "volme", "known": ("volume", "tuning")},
    "tables.entries.part_of": {"kind": "box", "name": "mine", "known": {"volume": 0.03}},
    "tables.my_parts.read": {"path": "kept.toml"},
    "tables.my_parts.read_what_is_right": {"path": "kept.toml"},
    "tables.entries.unit_of": {"kind": "box", "key": "volume", "rule": KINDS["box"]["volume"]},
    "tables.entries.value_of": {"kind": "box", "key": "volume", "rule": KINDS["box"]["volume"], "typed": "30 L"},
    "response.heat.heated": {"driver": DRIVER, "power": 50, "thermal_resistance": 2.5},
    "response.heat.temperature_rise": {"driver": DRIVER, "voltage": 20, "thermal_resistance": 2.5},
    "response.limits.in_words": {"loudest": maximum_level(SEALED, GRID, amplifier=AMPLIFIER)},
    "response.limits.level_at_port_speed": {"response": solve(VENTED, GRID)},
    "response.limits.maximum_level": {"loudspeaker": SEALED, "frequency": GRID, "amplifier": AMPLIFIER},
    "response.each_limit.voltage_within_travel": {"response": RESPONSE},
    "response.limits.protective_high_pass": {"loudspeaker": SEALED, "voltage": 20, "order": 2},
    "response.limits.protected": {"without": solve(SEALED, GRID, 20), "order": 2},
    "parts.amplifier.Amplifier.bridged": {},
    "parts.amplifier.HeadUnit.power_into": {"load": 4.0},
    "parts.amplifier.can_drive": {"source": HEAD_UNIT, "load": 3.0},
    "parts.amplifier.lowest_load": {"source": HEAD_UNIT},
    "parts.amplifier.with_bridged": {"sources": {"stores": AMPLIFIER, "found": HEAD_UNIT}},
    "parts.box.enclosure.Enclosure.compliance": {},
    "parts.box.enclosure.Enclosure.losses": {"driver": DRIVER},
    "parts.box.enclosure.Enclosure.members": {"count": 3},
    "parts.box.passive.PassiveRadiatorBox.tuning": {},
    "parts.box.sealed.SealedBox.Qtc": {"driver": DRIVER},
    "parts.box.sealed.SealedBox.resonance": {"driver": DRIVER},
    "parts.box.vented.VentedBox.port_loss": {},
    "parts.box.vented.VentedBox.port_mass": {},
    "parts.box.vented.VentedBox.tuning": {},
    "parts.box.enclosure.Enclosure.varied": {
        "factors": {name: np.array([0.9, 1.1]) for name in ("volume", "port_length", "losses")}
    },
    "parts.cabin.Cabin.check_as_measured": {},
    "parts.cabin.Cabin.corner": {},
    "parts.cabin.Cabin.first_resonance": {},
    "parts.cabin.Cabin.length_corner": {},
    "parts.cabin.Cabin.transfer": {"frequency": 40, "source": (0.1, 0.2, 0.3), "ear": (1.1, 0.4, 0.9)},
    "parts.cabin.Cabin.volume_corner": {},
    "parts.driver.Driver.from_data_sheet": SHEET,
    "parts.driver.Driver.from_thiele_small": SHEET,
    "parts.driver.Driver.members": {"count": 3},
    "parts.driver.Driver.typical": {"size": 0.165, "kind": "woofer"},
    "parts.driver.Driver.varied": {"factors": {"Mms": np.array([0.9, 1.1])}},
    "parts.driver.Driver.with_two_coils": {"wiring": "series"},
    "parts.small_signal.equivalent_volume": {"driver": DRIVER},
    "parts.small_signal.reference_efficiency": {"driver": DRIVER},
    "parts.small_signal.voltage_for_power": {"driver": DRIVER, "power": 50},
    "parts.driver.level_of_a_watt": {"driver": DRIVER},
    "parts.loudspeaker.as_it_comes": {"loudspeaker": SEALED},
    "parts.loudspeaker.Loudspeaker.members": {"count": 3},
    "parts.network.across": {"components": (Resistor(resistance=1),)},
    "parts.network.in_series": {"components": (Resistor(resistance=1),)},
    "parts.network.attenuation_of": {"pad": PAD, "impedance": 4.0},
    "parts.network.pad_resistors": {"pad": PAD},
    "parts.network.l_pad": {"attenuation": 6, "impedance": 8},
    "parts.port.Port.first_pipe_resonance": {},
    "parts.port.port_fit": {"area": 0.005, "fb": 32, "volume": 0.05, "share": 0.2},
    "parts.port.Port.length_for": {"fb": 32, "volume": 0.05},
    "parts.port.Port.mass": {},
    "parts.port.Port.of_area": {"area": 0.005},
    "parts.port.Port.tuned": {"fb": 32, "volume": 0.05},
    "parts.port.Port.tuning": {"volume": 0.05},
    "parts.box.door.Door.compliance": {},
    "parts.box.door.Door.hole_mass": {},
    "parts.box.door.Door.hole_resistance": {},
    "parts.box.door.Door.hole_resonance": {},
    "parts.loudspeaker.Loudspeaker.area_of": {"opening": "port"},
    "parts.loudspeaker.Loudspeaker.place_of": {"opening": "port"},
    "parts.radiator.PassiveRadiator.from_resonance": {"fp": 20, "Vap": 0.1, "Sd": 0.033},
    "parts.radiator.PassiveRadiator.tuned": {"fb": 30, "volume": 0.05},
    "parts.spread.Drawn.factors": {"count": 3, "seed": 1},
    "parts.system.Channel.with_each": {"loudspeakers": (SEALED,)},
    "parts.system.System.with_each": {"loudspeakers": PLACED.loudspeakers},
    "parts.system.System.distance_to": {"loudspeaker": PLACED.loudspeakers[0], "otherwise": 1.0},
    "parts.variants.louder": {"driver": DRIVER, "level": 3.0},
    "parts.variants.scaled": {"driver": DRIVER, "mass": 1.2, "motor": 0.9, "compliance": 1.1, "area": 1.3, "coil": 2.0},
    "parts.variants.with_total_q": {"driver": DRIVER, "Qts": 0.4},
    "quantity.Part.member": {"index": 1},
    "response.grid.frequencies": {"low": 20, "high": 200, "per_octave": 3},
    "response.poles.PolesAndZeros.transfer": {"frequency": 40.0},
    "response.poles.poles_and_zeros": {"loudspeaker": SEALED},
    "response.single.Response.band": {"curve": "level", "members": 50},
    "response.single.Response.columns": {},
    "response.common.CommonResponse.band_of_ears": {"share": 0.5},
    "response.common.CommonResponse.level_over": {"frequency": [30, 50]},
    "response.common.CommonResponse.levels_at": {"ears": (1.1, 0.4, 0.9)},
    "response.cutoff.Cutoffs.cutoff": {"drop": 3},
    "response.cutoff.Cutoffs.cutoff_in_words": {},
    "response.single.Response.step_response": {"duration": 0.02, "bandwidth": 200},
    "response.single.Response.to_csv": {"path": "curves.csv"},
    "response.single.Response.with_parts": {"driver": DRIVER, "box": SealedBox(volume=0.02)},
    "response.solving.solve": {"loudspeaker": SEALED, "frequency": [20, 40]},
    "response.sweeping.sweep": {
        "loudspeaker": SEALED,
        "frequency": [20, 40],
        "reduce": attrgetter("level"),
        "progress": print,
    },
    "measure.comparing.compare": {"measured": (GRID, RESPONSE.impedance), "predicted": SEALED},
    "measure.driver.driver_from_impedance": {"free_air": IN_FREE_AIR, "Sd": 0.033, "added_mass": WITH_MASS},
    "measure.next_reading.next_in_search": {"frequency": [20, 40], "magnitude": [4, 6]},
    "measure.next_reading.next_reading": {"found": MEASURED},
    "measure.readings.read_impedance": {"path": data_folder() / "impedance_readings.csv", "resistor": 10},
    "measure.result.MeasuredDriver.interval": {"name": "Qms"},
    "plan.reading.read_plan": {"path": data_folder() / "upgrade_plan.toml"},
    "plan.figures.figures": {"state": PLAN.after()},
    "plan.search.search": {"plan": PLAN},
    "plan.table.table": {"plan": PLAN, "order": ["lift"]},
    "plan.words.change": {"state": PLAN.after(), "stage": "lift"},
    "plan.worth.shares": {"plan": PLAN, "of": (40, 80)},
    "plan.worth.spans": {"plan": PLAN, "of": (40, 80)},
    "tables.quantity_text.factor": {"unit": "L", "si_unit": "m3"},
    "tables.quantity_text.number_in": {"text": "38 L", "unit": "L", "size": 1e-3},
    "tables.quantity_text.axes_of": {"text": "6x9 in"},
    "tables.quantity_text.size_in": {"text": "6x9 in", "unit": "mm", "size": 1e-3},
    "tables.quantity_text.with_point": {"text": "0,5"},
    "tables.quantity_text.with_unit": {"text": "58", "unit": "Hz"},
    "tables.quantity_text.registry": {},
}

# A value of `inf` stands for what is not fitted, or not there.
MAY_BE_INFINITE = {
    "parts.box.door.Door",
    "parts.network.Capacitor",
    "parts.network.Inductor",
    "parts.network.Resistor",
    "tables.entries.in_words",
}

# What a page shows to the one who typed a value says more of it than the argument's name.
SAID_OTHERWISE = {
    "parts.system.System.with_each": {"loudspeakers": r"Loudspeaker\.position"},
    "plan.reading.read_plan": {"path": "is not there"},
    "measure.readings.read_impedance": {"path": "is not there"},
    "plan.search.search": {"progress": "positional argument"},
    "tables.channels.channel_of": {"known": "feeds"},
    "tables.entries.part_of": {"known": "volume"},
    "tables.entries.value_of": {"typed": "this is too large a number|must be between|is not a number|unit"},
    "tables.quantity_text.factor": {"unit": "unit|converted to", "si_unit": "converted to|known unit"},
    "tables.quantity_text.number_in": {"text": "is not a number|unit", "unit": "converted to"},
    "tables.quantity_text.size_in": {"text": "is not a number|unit", "unit": "converted to"},
}

# What a method is called on.
OWNERS = {
    "build.feed.cable.Cable": WIRE,
    "build.feed.draw.Draw": DRAW,
    "build.profile.Profile": WEDGE,
    "build.space.Space": ROOM,
    "build.workings.built.Built": CARCASS,
    "parts.amplifier.Amplifier": AMPLIFIER,
    "parts.amplifier.HeadUnit": HEAD_UNIT,
    "parts.box.enclosure.Enclosure": BOX,
    "parts.box.passive.PassiveRadiatorBox": PassiveRadiatorBox(
        volume=0.05, radiator=PassiveRadiator(Mms=0.05, Cms=0.6e-3, Sd=0.033)
    ),
    "parts.box.sealed.SealedBox": BOX,
    "parts.box.door.Door": Door(volume=0.03, crack=(1e-3, 0.6)),
    "parts.box.vented.VentedBox": VentedBox(volume=0.05, port=PORT, Qp=80),
    "parts.cabin.Cabin": CABIN,
    "parts.driver.Driver": SPREADING,
    "parts.loudspeaker.Loudspeaker": VARYING,
    "parts.port.Port": PORT,
    "parts.radiator.PassiveRadiator": PassiveRadiator(Mms=0.05, Cms=0.6e-3, Sd=0.033),
    "parts.spread.Drawn": Spread(Mms=0.1),
    "parts.system.Channel": Channel(loudspeakers=OTHER),
    "parts.system.System": PLACED,
    "quantity.Part": SealedBox(volume=[0.02, 0.03, 0.04]),
    "response.cutoff.Cutoffs": solve(VARYING, GRID),
    "response.single.Response": solve(VARYING, GRID),
    "response.common.CommonResponse": solve(
        System(channels=dataclasses.replace(SEALED, cabin=CABIN, position=(0.1, 0.2, 0.3))), GRID
    ),
    "response.poles.PolesAndZeros": poles_and_zeros(SEALED),
    "measure.result.MeasuredDriver": MEASURED,
    "design.causes.Causes": causes(SEALED, OTHER, [20, 40]),
    "design.certainty.Doubt": doubts(solve(VARYING, GRID)),
}

WRONG = (
    *(
        None,
        "text",
        "12",
        object(),
        (1, 2),
        [],
        [1, "a"],
        {"a": 1},
        {},
        Driver,
        InfiniteBaffle(),
        Resistor(resistance=1),
    ),
    *(np.nan, np.inf, -np.inf, -1, 0, 10**400, 10**5000, True, 2.7, 1 + 2j, np.ones((2, 3)), [1.0, np.nan], b"12"),
    *(VentedBox(volume=0.05, fb=30), Air(temperature=[280, 300]), 7, SEALED),
)


def key_of(item):
    return f"{item.__module__}.{item.__qualname__}".removeprefix("lumpedbox.")


def modules():
    return {
        info.name.removeprefix("lumpedbox."): info.name
        for info in pkgutil.walk_packages(lumpedbox.__path__, "lumpedbox.")
    }


def public():
    """Return name: function, class or method of all that is for users."""
    found = [getattr(lumpedbox, name) for name in lumpedbox.__all__]
    for short, name in modules().items():
        if WHOLE.fullmatch(short):
            module = importlib.import_module(name)
            names = getattr(module, "__all__", None) or [
                key for key, item in vars(module).items() if getattr(item, "__module__", None) == name
            ]
            found += [getattr(module, key) for key in names if not key.startswith("_")]
    for path in ALSO:
        module, _, name = path.rpartition(".")
        found.append(getattr(importlib.import_module(f"lumpedbox.{module}"), name))
    functions = {key_of(item): item for item in found if inspect.isroutine(item) or hasattr(item, "__wrapped__")}
    classes = {key_of(item): item for item in found if inspect.isclass(item)}
    parts = {name: item for name, item in classes.items() if issubclass(item, Part)}
    found = functions | parts | methods(classes)
    return {name: item for name, item in found.items() if name in ALSO or not ELSEWHERE.match(name)}


def methods(classes):
    """Return name: method of classes and of what they inherit from; what makes a result is not for users."""
    ours = {base for item in classes.values() for base in item.__mro__ if base.__module__.startswith("lumpedbox.")}
    return {
        f"{key_of(base)}.{name}": member
        for base in ours
        for name, member in vars(base).items()
        if not name.startswith("_") and (inspect.isroutine(member) or isinstance(member, classmethod))
    }


PUBLIC = public()


@pytest.fixture(scope="module")
def good(load_module):
    """Return name: a good one of every part."""
    parts = load_module(Path(__file__).with_name("test_refusals.py")).GOOD
    return {key_of(type(part)): part for part in (*parts, *BOXES)}


@pytest.fixture
def valid(good, tmp_path, monkeypatch):
    """Function that returns how a public name is called, its arguments, and valid ones."""
    monkeypatch.chdir(tmp_path)

    def found(name):
        if name in good:
            part = good[name]
            names = [spec.name for spec in dataclasses.fields(part)]
            return type(part), names, {name: getattr(part, name) for name in names}
        owner = OWNERS.get(name.rpartition(".")[0])
        call = getattr(owner, name.rpartition(".")[2]) if owner is not None else PUBLIC[name]
        parameters = inspect.signature(call).parameters
        (kinds,) = ({p.kind for p in parameters.values()},)
        if inspect.Parameter.VAR_POSITIONAL in kinds:
            return call_with_components(call), list(parameters), CALLS[name]
        return call, list(parameters), CALLS[name]

    return found


def call_with_components(call):
    """Return a function of one argument in the place of one of any number."""
    return lambda components: call(*components) if isinstance(components, tuple) else call(components)


def test_a_valid_call_of_everything_public_is_listed(good):
    assert sorted(set(PUBLIC) - set(CALLS) - set(good)) == []


def test_nothing_is_listed_that_is_gone():
    assert sorted(set(CALLS) - set(PUBLIC)) == []


def leaves(value):
    """Return the numbers and texts that a result is made of."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return [x for spec in dataclasses.fields(value) for x in leaves(getattr(value, spec.name))]
    if isinstance(value, dict):
        return [x for item in value.values() for x in leaves(item)]
    if isinstance(value, (tuple, list)):
        return [x for item in value for x in leaves(item)]
    if isinstance(value, lumpedbox.Response):
        return leaves([value.voltage, value.distance, value.pressure])
    return [value]


def strange(result):
    """Return which of nan and inf a result holds."""
    found = set()
    for leaf in leaves(result):
        if isinstance(leaf, str):
            found |= set(re.findall(r"\b(nan|inf)\b", leaf))
        elif isinstance(leaf, (float, complex, np.ndarray, np.generic)) and np.asarray(leaf).dtype.kind in "fc":
            found |= {"nan"} if np.isnan(leaf).any() else set()
            found |= {"inf"} if np.isinf(leaf).any() else set()
    return found


def outcome(call, arguments, name, usual, otherwise=None):
    """Return what is wrong with the answer to a wrong value, or nothing."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            warnings.simplefilter("ignore", UserWarning)
            result = call(**arguments)
    except (ValueError, TypeError) as error:
        words = [re.escape(name), *([otherwise] if otherwise else [])]
        words += [re.escape(repr(key)) for key in arguments[name]] if isinstance(arguments[name], dict) else []
        named = re.search(rf"(?<!\w)({'|'.join(words)})(?!\w)", said(error))
        return "" if named else f"{name} is not named: {said(error)}"
    except FileNotFoundError as error:  # Python's own, and plain enough: it names the file
        return "" if str(arguments[name]) in said(error) else f"FileNotFoundError: {said(error)}"
    except Exception as error:
        return f"{type(error).__name__}: {said(error)}"
    return f"{strange(result) - usual} in silence" if strange(result) - usual else ""


def said(error):
    """Return what an error says, shortened; one that holds too long a number cannot say it."""
    try:
        return f"{error!s:.300}"
    except ValueError:
        return ""


def shown(value):
    return f"{type(value).__name__} {'10**many' if isinstance(value, int) and abs(value) > 1e9 else repr(value):.60}"


@pytest.mark.parametrize("name", sorted(PUBLIC))
def test_a_wrong_argument_is_taken_or_refused_by_name(name, valid):
    call, names, arguments = valid(name)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        usual = strange(call(**arguments)) | ({"inf"} if name in MAY_BE_INFINITE else set())
    wrong, otherwise = [], SAID_OTHERWISE.get(name, {})
    for argument in names:
        for value in WRONG:
            found = outcome(call, {**arguments, argument: value}, argument, usual, otherwise.get(argument))
            if found:
                wrong.append(f"{argument} = {shown(value)}: {found}")
    assert wrong == []


@pytest.mark.parametrize("name", sorted(PUBLIC))
def test_a_misspelt_argument_is_refused(name, valid):
    """Nothing swallows it: the rules of `takes` hand on only what the function itself names."""
    call, _, arguments = valid(name)
    if "components" in arguments:
        call = PUBLIC[name]
        arguments = {}
    with pytest.raises(TypeError, match=r"unexpected keyword argument 'mispelt'"):
        call(**arguments, mispelt=1.0)
