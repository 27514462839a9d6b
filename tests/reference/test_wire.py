"""Wire: gauge numbers and resistances against standards, and feeds against ngspice.

Sources: IEC 60228, table 3, class 5 (data/class_5.csv, from memory); ASTM B258 for gauge numbers and IEC 60028 for
annealed copper (data/awg.csv, derived); NBS Handbook 100, "Copper Wire Tables" (1966), for one printed row.
"""

import re
import subprocess

import numpy as np
import pytest

from lumpedbox.build import Cable, Draw, Feed, awg
from lumpedbox.units import foot, mm2

METALS = ("copper", "copper-clad aluminium 10 %", "copper-clad aluminium 15 %")
NODES = "every node and current of a random feed"


def gauge(name):
    return name if "/" in name else int(name)


def test_gauge_numbers(table, agreement):
    """Areas are printed to five decimals of a mm2, resistances to five of an ohm: half a unit of the last."""
    rows = table("awg")
    for name, area, row in zip(rows["AWG"], rows["area_mm2"], rows["ohm_per_km_20C_IACS100"], strict=True):
        ours = awg(gauge(name))
        agreement("area of a gauge number", "ASTM B258, derived", abs(ours / mm2 - area), 6e-6, "mm2")
        kilometre = Cable(area=max(ours, 0.05e-6), length=1000).resistance
        if ours > 0.05e-6:
            agreement("ohm/km of solid copper", "IEC 60028, derived", abs(kilometre - row), 6e-6, "ohm")


def test_the_printed_row_of_the_copper_wire_tables(agreement):
    """12 gauge: 1.588 ohm a thousand feet, to four figures (NBS Handbook 100)."""
    ours = Cable(area=awg(12), length=1000 * foot).resistance
    agreement("ohm per 1000 ft of 12 gauge", "NBS Handbook 100, from memory", abs(ours - 1.588), 6e-4, "ohm")


def test_zero_is_one_nought():
    assert awg(0) == awg("1/0")


def test_class_5_rows(table, agreement):
    rows = table("class_5")
    for area, row in zip(rows["area_mm2"], rows["ohm_per_km"], strict=True):
        ours = Cable(area=area * mm2, length=1000).resistance
        agreement("ohm/km of stranded copper, class 5", "IEC 60228, from memory", abs(ours / row - 1), 1e-12)


def test_class_5_is_a_tenth_above_solid_copper(table):
    """Strands are longer than the wire, tinned or thinner at the tolerance: 10 to 16 % for all rows that are sure.

    A misprint in a row would stand out of that.
    """
    rows = table("class_5")
    above = rows["ohm_per_km"] * 58e-3 * rows["area_mm2"] - 1
    assert np.all((above[rows["status"] == "sure"] > 0.1) & (above[rows["status"] == "sure"] < 0.165))
    assert np.all((above > 0.1) & (above < 0.17))


def random_feed(rng, depth=0):
    """Return a feed of random wires, draws and branches, as nested as three deep."""
    cable = Cable(
        area=rng.uniform(6, 120) * mm2,
        length=rng.uniform(0.2, 3),
        metal=str(rng.choice(METALS)),
        temperature=rng.uniform(253.15, 353.15),
    )
    draws = [Draw(power=rng.uniform(1, 80), efficiency=rng.uniform(0.3, 1)) for _ in range(rng.integers(0, 3))]
    branches = [random_feed(rng, depth + 1) for _ in range(rng.integers(0, 4 - depth))] if depth < 3 else []
    return Feed(voltage=12.6, cable=cable, draws=draws, branches=branches, return_resistance=rng.uniform(1e-4, 5e-3))


def netlist(feeds):
    """Write feeds as one circuit: resistors there and back, a current source for each draw between the two."""
    lines, nodes = ["feeds"], []

    def write(feed, plus, minus):
        number = len(nodes)
        nodes.append(number)
        here, back = f"p{number}", f"m{number}"
        lines.extend([f"vm{number} {plus} x{number} 0", f"rp{number} x{number} {here} {feed.cable.resistance!r}"])
        lines.append(f"rm{number} {back} {minus} {feed.return_resistance!r}")
        for i, draw in enumerate(feed.draws):
            lines.append(f"i{number}_{i} {here} {back} {draw.power / (draw.efficiency * feed.voltage)!r}")
        for branch in feed.branches:
            write(branch, here, back)

    for feed in feeds:
        lines.append(f"vs{len(nodes)} s{len(nodes)} 0 {feed.voltage!r}")
        write(feed, f"s{len(nodes)}", "0")
    shown = "\n".join(f"print v(p{n})-v(m{n}) i(vm{n})" for n in nodes)
    return "\n".join([*lines, ".control", "set numdgt=15", "op", shown, ".endc", ".end", ""])


@pytest.mark.spice
def test_random_feeds(ngspice, tmp_path, agreement):
    """Forty trees, some 200 cables: the volts at every end and the current in every cable, to 1e-9."""
    rng = np.random.default_rng(19)
    feeds = [random_feed(rng) for _ in range(40)]
    file = tmp_path / "feeds.cir"
    file.write_text(netlist(feeds), encoding="utf-8")
    done = subprocess.run([ngspice, "-n", "-b", str(file)], capture_output=True, text=True, timeout=60, check=False)
    volts = [float(x) for x in re.findall(r"^v\(p\d+\)-v\(m\d+\) = (\S+)", done.stdout, re.MULTILINE)]
    amperes = [float(x) for x in re.findall(r"^i\(vm\d+\) = (\S+)", done.stdout, re.MULTILINE)]
    places = [place for feed in feeds for place in feed.places]
    assert len(places) == len(volts) == len(amperes) > 100, done.stdout[-500:] + done.stderr[-500:]
    for place, volt, ampere in zip(places, volts, amperes, strict=True):
        agreement(NODES, "ngspice, direct current", abs(place.voltage / volt - 1), 1e-9)
        agreement(NODES, "ngspice, direct current", abs(place.feed.current - ampere) / max(ampere, 1.0), 1e-9)
