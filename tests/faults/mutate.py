"""Change the physics a little, one place at a time, and count the changes that some fast test notices.

Run it as `python -m tests.faults.mutate`, with names of modules (`parts/box`, `circuit/elements`) to change only those.
The choice is by lot, the same for the same seed. Each change goes into a copy of the repository; the module's own
examples and its nearest tests are tried first, then all fast ones. What survives is told line by line; what changes
no result is listed with its reason in `alike.csv` beside this file, and is passed over.
"""

import argparse
import ast
import csv
import itertools
import os
import random
import sys
import tempfile
from pathlib import Path

from .__main__ import HERE, ROOT, copy_to, load_before, status_of

SECONDS = 200  # of the processor: a change that takes longer hangs, and so is noticed
FAST = ("tests/unit", "tests/property", "tests/reference")
# Half of the time, and no physics.
SLOW = ("--ignore-glob=*test_search.py", "--ignore-glob=*test_refusals.py", "--ignore-glob=*unit/tables/*")
# Module: the tests of the fast folders that are nearest to it, by a word in their file's name.
NEAREST = {
    "air": "air",
    "build/account": "account any_box",
    "build/acoustic": "account",
    "build/board": "strength carcass",
    "build/carcass": "carcass boxes",
    "build/cut_list": "cut_list",
    "build/feed/battery": "feed",
    "build/feed/cable": "feed wire",
    "build/feed/draw": "feed",
    "build/feed/feed": "feed",
    "build/feed/fuses": "feed",
    "build/fit": "fit",
    "build/hopper": "carcass boxes",
    "build/inside": "account fit",
    "build/largest": "fit",
    "build/panel": "carcass boxes",
    "build/profile": "carcass boxes",
    "build/shopping": "cut_list",
    "build/space": "fit",
    "build/stock": "stock boxes",
    "build/strength": "strength",
    "build/volume": "volume",
    "build/workings/ends": "carcass cut_list",
    "build/workings/frustum": "fit",
    "build/workings/lines": "carcass boxes",
    "build/workings/linings": "cut_list",
    "build/workings/placing": "fit",
    "build/workings/planes": "carcass boxes",
    "build/workings/plates": "strength",
    "build/workings/room": "fit",
    "build/workings/section": "carcass boxes",
    "build/workings/settling": "account",
    "build/workings/sizes": "account fit",
    "build/workings/slots": "slot cut_list",
    "circuit/build": "openings passive closed_box voice network",
    "circuit/dual": "group_delay together solve",
    "circuit/elements": "openings voice group_delay",
    "circuit/listening": "own_places door cabin system",
    "circuit/places": "openings system network",
    "circuit/polynomial": "poles s_plane",
    "circuit/sentences": "sentences",
    "circuit/solver": "openings system solve families",
    "circuit/spice": "sentences spice",
    "circuit/transfer": "filters cabin together system group_delay",
    "design/alignments/closed": "alignments closed_box",
    "design/alignments/efficiency": "alignments",
    "design/alignments/named": "alignments",
    "design/alignments/published": "alignments",
    "design/alignments/radiator": "passive poles",
    "design/alignments/shapes": "alignments",
    "design/alignments/vented": "alignments",
    "design/causes": "causes",
    "design/gains": "gains",
    "design/ladders": "crossovers ratings",
    "design/level_matching": "level_matching",
    "design/ceiling": "level_setting",
    "design/level_setting": "level_setting gain_chain",
    "design/mixtures": "causes",
    "design/ratings": "ratings",
    "design/shapley": "causes",
    "design/shared_channel": "shared_channel",
    "design/system_causes": "causes",
    "measure/comparing": "comparing",
    "measure/curves": "impedance readings",
    "measure/doubts": "doubts",
    "measure/fitting": "impedance",
    "measure/knobs": "impedance",
    "measure/least_squares": "impedance",
    "measure/model": "impedance",
    "measure/next_reading": "readings",
    "measure/readings": "readings",
    "measure/result": "impedance",
    "measure/trial": "impedance",
    "response/hearing": "weightings exposure",
    "response/heat": "heat",
    "response/limits": "heat limits",
    "parts/box/door": "door",
    "parts/box/enclosure": "walls boxes passive",
    "parts/box/passive": "passive",
    "parts/box/sealed": "boxes closed_box",
    "parts/box/vented": "boxes walls",
    "parts/cabin": "cabin",
    "parts/driver": "driver data_sheet sensitivity",
    "parts/filters": "filters",
    "parts/network": "network level_matching",
    "parts/port": "port walls",
    "parts/radiator": "passive",
    "parts/room": "cabin_modes",
    "parts/room_map": "ears",
    "response/band": "stand_ins certainty",
    "response/crossing": "lower_limit solve",
    "response/cutoff": "reference_level lower_limit solve",
    "response/level": "sensitivity solve together",
    "response/midband": "reference_level lower_limit",
    "response/openings": "openings power passive solve",
    "response/opposing": "opposing",
    "response/passband": "reference_level lower_limit cabin",
    "response/single": "solve power sensitivity level",
    "response/step": "power solve",
    "response/system": "together system",
    "response/system_limits": "limits maximum",
    "response/system_passband": "system_limit",
    "response/table": "solve",
    "response/treble": "power level_matching",
}
BINARY = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult}
ORDER = {ast.Lt: (ast.LtE, ast.Gt), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.Lt), ast.GtE: (ast.Gt, ast.Lt)}
WORDS = ("min max", "minimum maximum", "argmin argmax", "sin cos", "sqrt square", "any all", "real imag", "floor ceil")
SWAPPED = {a: b for pair in map(str.split, WORDS) for a, b in (pair, pair[::-1])}
# Ranges and words of the arguments, and how exactly is reckoned: no physics.
PASSED_OVER = {"quantity", "Quantity", "ruled", "OneOf", "Whole", "filterwarnings", "lru_cache"}
KEYWORDS = {"axis", "keepdims", "xtol", "rtol", "stacklevel", "max_nfev", "strict", "dtype", "initial", "default"}


def changed(node):
    """Return the ways in which one piece of source is changed, as syntax."""
    if isinstance(node, ast.BinOp) and type(node.op) in BINARY:
        found = [ast.BinOp(node.left, BINARY[type(node.op)](), node.right), node.left]
        return found + [node.right] * isinstance(node.op, (ast.Add, ast.Mult))
    if isinstance(node, ast.Compare) and type(node.ops[0]) in ORDER:
        return [ast.Compare(node.left, [op(), *node.ops[1:]], node.comparators) for op in ORDER[type(node.ops[0])]]
    if isinstance(node, ast.Constant) and type(node.value) in (int, float) and not 0 < abs(node.value) < 1e-8:
        return [ast.Constant(node.value * factor) for factor in (2, 0.5)] if node.value else [ast.Constant(1)]
    if isinstance(node, ast.Name) and node.id in SWAPPED:
        return [ast.Name(SWAPPED[node.id])]
    if isinstance(node, ast.Attribute) and node.attr in SWAPPED:
        return [ast.Attribute(node.value, SWAPPED[node.attr])]
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        return [node.operand]
    if isinstance(node, ast.BoolOp):
        return [ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)]
    return [node.body, node.orelse] if isinstance(node, ast.IfExp) else []


def pieces(node):
    """Yield every piece of source that may be changed; messages, types and ranges of arguments may not."""
    if isinstance(node, (ast.Raise, ast.JoinedStr)) or (
        isinstance(node, ast.Call) and getattr(node.func, "id", getattr(node.func, "attr", "")) in PASSED_OVER
    ):
        return
    yield node
    for name, inside in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "slice"):
            continue
        for part in inside if isinstance(inside, list) else [inside]:
            if isinstance(part, ast.AST) and not (isinstance(part, ast.keyword) and part.arg in KEYWORDS):
                yield from pieces(part)


def changes(module, root=ROOT):
    """Return all changes of a module: (line number, the line, what it says instead, the whole changed source)."""
    source = (root / f"lumpedbox/{module}.py").read_bytes()
    lines, found = source.splitlines(keepends=True), []
    begins = [0, *itertools.accumulate(map(len, lines))]
    for node in pieces(ast.parse(source)):
        for new in changed(node):
            start = begins[node.lineno - 1] + node.col_offset
            end = begins[node.end_lineno - 1] + node.end_col_offset
            text = f"({ast.unparse(ast.fix_missing_locations(new))})"
            line, told = (
                lines[node.lineno - 1].decode().strip(),
                f"{source[start:end].decode()} -> {text} at {node.col_offset}",
            )
            found.append((node.lineno, line, told, source[:start] + text.encode() + source[end:]))
    return found


def tests_of(module, root):
    """Return the files of the fast tests that are nearest to a module, after the module's own examples."""
    files = sorted(path for folder in FAST for path in (root / folder).rglob("test_*.py"))
    near = [path.relative_to(root) for word in NEAREST[module].split() for path in files if word in path.name]
    own = [f"lumpedbox/{module}.py"] if ">>>" in (root / f"lumpedbox/{module}.py").read_text(encoding="utf-8") else []
    return [*own, *dict.fromkeys(map(str, near))]


def noticed(folder, tests):
    """Return whether some test fails in a copy, or hangs."""
    return status_of(folder, *SLOW, *tests, seconds=SECONDS) not in (0, 5)  # passed, or nothing to run


def main():
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("modules", nargs="*", default=list(NEAREST))
    asked.add_argument("--each", type=int, default=6, help="changes of each module")
    asked.add_argument("--seed", type=int, default=1)
    asked = asked.parse_args()
    with open(HERE / "alike.csv", newline="", encoding="utf-8") as file:
        alike = {(row["module"], row["line"], row["change"]) for row in csv.DictReader(file)}
    load_before()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        copy_to(folder)
        if noticed(folder, FAST):
            sys.exit("The fast tests fail without any change.")
        counts = [tried(folder, module, asked, alike) for module in asked.modules]
    tries, survivors = map(sum, zip(*counts, strict=True))
    print(f"{tries} changes, {tries - survivors} noticed ({100 * (1 - survivors / max(tries, 1)):.0f} %)")
    return 1 if survivors else 0


def tried(folder, module, asked, alike):
    """Try some changes of a module in a copy; return how many, and how many survive."""
    everything, place, tries, survivors = changes(module, folder), folder / f"lumpedbox/{module}.py", 0, 0
    good, near = place.read_bytes(), tests_of(module, folder)
    lot = random.Random(f"{asked.seed} {module}").sample(everything, min(asked.each, len(everything)))
    for number, line, told, source in lot:
        if (module, line, told) in alike:
            continue
        place.write_bytes(source)
        tries += 1
        os.utime(place, (tries, tries))  # so that no compiled file of another change is taken for this one's
        if not noticed(folder, near) and not noticed(folder, FAST):
            survivors += 1
            print(f"  survives: {module}:{number}: {told}\n    in: {line}", flush=True)
    place.write_bytes(good)
    print(f"{module}: {tries} tried, {tries - survivors} noticed", flush=True)
    return tries, survivors


if __name__ == "__main__":
    sys.exit(main())
