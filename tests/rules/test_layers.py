"""Each layer imports only from layers to its left, and the physics imports nothing heavy."""

import ast
import graphlib
import importlib
import re
import subprocess
import sys
from pathlib import Path

import pytest

import lumpedbox

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "lumpedbox"

# From left to right; a new module or folder takes a place here.
LAYERS = (
    "units",
    "errors",
    "families",
    "remembered",
    "quantity",
    "arguments",
    "air",
    "parts",
    "circuit",
    "response",
    "design",
    "build",
    "tables",
    "measure",
    "plan",
    "figures",
    "sliders.kit",
    "sliders.exercises",
    "sliders.key",
    "sliders.lessons",
    "sliders.start",
    "serve",
)
PHYSICS = LAYERS[: LAYERS.index("tables")]

# Which layer may use which package; numpy is for all, the standard library too.
USERS = {
    "scipy": (*PHYSICS, "measure"),
    "shapely": ("build",),
    "pint": ("tables",),
    "pandas": ("plan",),
    "tomlkit": ("tables",),
    "matplotlib": ("figures", "sliders.kit", "sliders.lessons"),
    "PIL": ("figures", "sliders.kit", "sliders.lessons"),
    "ipywidgets": ("sliders.kit", "sliders.lessons"),
    "anywidget": ("sliders.kit", "sliders.lessons"),
    "IPython": ("sliders.kit", "sliders.lessons"),
    "traitlets": ("sliders.kit", "sliders.lessons", "serve"),
    "platformdirs": ("serve",),
    "jupyter_server": ("serve",),
    "voila": ("serve",),
}

SOLVES = """
import sys, tempfile

class Blocked:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] not in {"lumpedbox", "numpy", "scipy", *sys.stdlib_module_names}:
            raise ModuleNotFoundError(name)

sys.meta_path.insert(0, Blocked())
try:
    import matplotlib
except ModuleNotFoundError:
    pass
else:
    raise SystemExit("the finder blocks nothing")
import lumpedbox as lb
from lumpedbox.circuit.sentences import in_sentences
from lumpedbox.circuit.spice import netlist

driver = lb.Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=0.06, Sd=0.033, Re=3.4, Le=5e-4)
speaker = lb.Loudspeaker(
    driver=driver,
    box=lb.VentedBox(volume=0.05, fb=32, port_area=0.008, Ql=7),
    network=lb.in_series(lb.Inductor(inductance=1e-3)) + lb.across(lb.Capacitor(capacitance=1e-4, resistance=0.1)),
    filters=(lb.HighPass(frequency=25), lb.Delay(time=1e-3)),
    cabin=lb.Cabin(length=2, width=1.4, height=1.1),
)
response = lb.solve(speaker, lb.frequencies(10, 500))
for name in ("level", "phase", "group_delay", "excursion", "port_velocity", "f3", "dissipation", "apertures"):
    getattr(response, name)
response.step_response()
with tempfile.TemporaryDirectory() as folder:
    response.to_csv(folder + "/curves.csv")
in_sentences(speaker)
netlist(speaker, [20, 40])
print("solved")
"""


def sources():
    return sorted(path for path in PACKAGE.rglob("*.py") if "_shipped" not in path.parts)


def module_of(path):
    """Return the name of a file's module, without that of the package: "parts.box"; a folder goes by its own name."""
    return ".".join(path.relative_to(PACKAGE).with_suffix("").parts).removesuffix("__init__").removesuffix(".")


MODULES = {module_of(path): path for path in sources()}


def layer_of(module):
    """Return the layer of a module; what only gathers the names of several layers has none."""
    return next((layer for layer in LAYERS if f"{module}.".startswith(f"{layer}.")), None)


def imported(path):
    """Yield what a file imports, at the top or inside functions: modules of ours as ".parts.box", packages by name."""
    here = ("lumpedbox", *path.relative_to(PACKAGE).with_suffix("").parts)
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(
                [*here[: len(here) - node.level], *filter(None, [node.module])] if node.level else [node.module]
            )
            names = [f"{base}.{alias.name}" for alias in node.names]
        else:
            continue
        for name in names:
            first, _, rest = name.partition(".")
            ours = next((part for part in (rest, rest.rpartition(".")[0]) if part in MODULES), "")
            yield f".{ours}" if first == "lumpedbox" else first


def test_every_module_has_a_layer():
    assert [module for module in MODULES if layer_of(module) is None] == ["", "sliders"]


def test_layers_import_only_from_their_left():
    upward = []
    for module, path in MODULES.items():
        allowed = LAYERS[: LAYERS.index(layer_of(module)) + 1] if layer_of(module) else LAYERS
        ours = [name[1:] for name in imported(path) if name[0] == "."]
        upward += [f"{path.relative_to(ROOT)} imports {name}" for name in ours if layer_of(name) not in allowed]
    assert upward == []


def test_no_module_needs_itself_by_way_of_others():
    needs = {module: {name[1:] for name in imported(path) if name[0] == "."} for module, path in MODULES.items()}
    assert tuple(graphlib.TopologicalSorter(needs).static_order())


def test_imports_of_ours_are_relative_and_seen_by_this_test():
    absolute = [
        str(path)
        for path in sources()
        if re.search(r"^ *(from|import) lumpedbox\b", path.read_text(encoding="utf-8"), re.MULTILINE)
    ]
    assert absolute == []
    seen = [name for path in sources() for name in imported(path)]
    assert {".quantity", ".parts.box", ".circuit.build", ".response", "numpy"} <= set(seen)


def test_packages_are_used_only_where_they_belong():
    known = {"numpy", *USERS, *sys.stdlib_module_names}
    misplaced = []
    for module, path in MODULES.items():
        for name in imported(path):
            if name[0] == ".":
                continue
            if name not in known or layer_of(module) not in USERS.get(name, (*LAYERS, None)):
                misplaced.append(f"{path.relative_to(ROOT)} imports {name}")
    assert misplaced == []


def test_figures_do_not_touch_the_global_state_of_pyplot():
    touching = re.compile(r"^\s*(from|import) .*\b(pyplot|pylab)\b", re.MULTILINE)
    assert [str(path) for path in sources() if touching.search(path.read_text(encoding="utf-8"))] == []


def test_the_top_of_the_package_holds_the_public_names_and_nothing_else():
    tree = ast.parse((PACKAGE / "__init__.py").read_text(encoding="utf-8"))
    gathered = [alias.name for node in tree.body if isinstance(node, ast.ImportFrom) for alias in node.names]
    assert lumpedbox.__all__ == sorted({*gathered, *lumpedbox.LATER})
    assert {node.name for node in tree.body if isinstance(node, ast.FunctionDef)} == {"__getattr__", "__dir__"}
    for name, module in lumpedbox.LATER.items():
        assert getattr(lumpedbox, name) is getattr(importlib.import_module(f"lumpedbox.{module}"), name)
    assert {*lumpedbox.__all__} <= {*dir(lumpedbox)}
    with pytest.raises(AttributeError, match=r"module 'lumpedbox' has no attribute 'Dirver'"):
        _ = lumpedbox.Dirver


def fresh(code):
    return subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)


def test_importing_the_library_loads_nothing_heavy():
    heavy = "{'scipy', 'matplotlib', 'pandas', 'pint', 'ipywidgets', 'PIL', 'IPython', 'anywidget'}"
    done = fresh(f"import sys, lumpedbox; print(sorted({heavy} & set(sys.modules)))")
    assert (done.stdout.strip(), done.stderr) == ("[]", "")


def test_solving_needs_numpy_only():
    done = fresh(SOLVES + "\nassert 'scipy' not in sys.modules")
    assert (done.stdout.strip(), done.stderr) == ("solved", "")
