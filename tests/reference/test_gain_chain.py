"""The way from a source to an amplifier against ngspice, a general circuit simulator.

The netlist is written by hand here. The library multiplies the shares of dividers, the simulator solves the nodes.
"""

import re
import subprocess

import numpy as np
import pytest

from lumpedbox import Amplifier, Channel, HeadUnit, InfiniteBaffle, LevelTable, Loudspeaker, System
from lumpedbox.design.level_setting import set_levels
from lumpedbox.parts.line import Converter, Feed, LineInput
from lumpedbox.tables import demo_drivers

# Source's EMF and resistance, converter (ratio, input and output resistance), an input's resistance, how many.
CHAINS = [
    (6.8, 0.2, (0.1, 470.0, 1000.0), 20e3, 1),
    (6.8, 20.0, (0.1, 47.0, 5000.0), 10e3, 3),
    (9.1, 0.5, (0.05, 8.0, 600.0), 10e3, 4),
    (2.0, 600.0, None, 10e3, 2),
]
AMPLIFIER = Amplifier(power=75, rated_impedance=4, minimum_load=2)


def netlist(chain, gain):
    emf, resistance, converter, each, inputs = chain
    lines = [
        "* source, converter, inputs side by side, one amplifier",
        f"Vs emf 0 AC {emf}",
        f"Rs emf out {resistance}",
    ]
    if converter:
        ratio, loads, own = converter
        lines += [f"Rin out 0 {loads}", f"Econ inner 0 out 0 {ratio}", f"Rout inner line {own}"]
    else:
        lines += ["Vwire out line 0"]
    lines += [f"Ra{number} line 0 {each}" for number in range(inputs)]
    lines += [f"Eamp speaker 0 line 0 {gain:.15g}", "Rload speaker 0 1e9"]
    return "\n".join([*lines, ".ac lin 1 315 315", ".print ac vm(line) vm(speaker)", ".end", ""])


def simulated(ngspice, folder, chain, gain):
    """Volts at the amplifier's inputs and at its output."""
    file = folder / "chain.cir"
    file.write_text(netlist(chain, gain), encoding="utf-8")
    done = subprocess.run([ngspice, "-n", "-b", str(file)], capture_output=True, text=True, timeout=60, check=False)
    row = re.search(r"^0\s+3\.15\S+\s+(\S+)\s+(\S+)", done.stdout, re.MULTILINE)
    assert row, done.stdout + done.stderr
    return float(row[1]), float(row[2])


@pytest.mark.spice
@pytest.mark.parametrize("chain", CHAINS)
def test_what_the_meter_reads(chain, ngspice, tmp_path):
    # Tolerance: ngspice prints seven figures in a table.
    emf, resistance, converter, each, inputs = chain
    reading = LevelTable(points=[(f, 20 * np.log10(emf)) for f in (50, 315)])
    made = None
    if converter:
        ratio, loads, own = converter
        made = Converter(ratio=ratio, input_resistance=loads, output_resistance=own)
    feed = Feed(
        source=HeadUnit(voltage=9.1, line_voltage=2),
        output="loudspeaker" if converter else "line",
        reading=reading,
        source_resistance=resistance,
        converter=made,
        input=LineInput(lowest=0.01, highest=10, resistance=each),
        inputs=inputs,
    )
    speaker = Loudspeaker(driver=demo_drivers()["165 mm panel"], box=InfiniteBaffle())
    system = System(channels=(Channel(loudspeakers=(speaker,), amplifier=AMPLIFIER, name="front"),))
    (output,) = set_levels(system, feed=feed, bands={"front": (160, 800)}, wanted={}).outputs.values()
    arrives, reads = simulated(ngspice, tmp_path, chain, 10 ** (output.gain / 20))
    assert emf * feed.passes == pytest.approx(arrives, rel=1e-6)
    assert output.setting.voltage == pytest.approx(reads, rel=1e-6)
    # a knob at the volts that arrive would make the amplifier's full 17.32 V of them
    assert output.knob == pytest.approx(arrives * AMPLIFIER.voltage / reads, rel=1e-6)
