"""The wheel, built where there is no git and installed where the source is not: it has everything, and serves it."""

import os
import shutil
import signal
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
BUILT_FROM = ("lumpedbox", "notebooks", "data", "pyproject.toml", "README.md", ".gitignore")


def files(folder):
    """Return the files under a folder that belong to the project, as relative paths."""
    found = (path.relative_to(folder) for path in folder.rglob("*") if path.is_file())
    return {path for path in found if not any(part.startswith((".", "__pycache__")) for part in path.parts)}


@pytest.fixture(scope="module")
def source(tmp_path_factory):
    """A copy of the source without version control."""
    folder = tmp_path_factory.mktemp("source")
    for name in BUILT_FROM:
        if (ROOT / name).is_dir():
            shutil.copytree(
                ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__", ".ipynb_checkpoints")
            )
        else:
            shutil.copy(ROOT / name, folder)
    return folder


@pytest.fixture(scope="module")
def wheel(source, tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", str(folder)]
    subprocess.run(command, cwd=source, check=True, capture_output=True)
    (wheel,) = folder.glob("*.whl")
    return wheel


@pytest.fixture(scope="module")
def elsewhere(wheel, tmp_path_factory):
    """The interpreter of an environment that holds the wheel, and borrows all other packages from this one."""
    folder = tmp_path_factory.mktemp("elsewhere") / "venv"
    venv.create(folder, symlinks=os.name != "nt")
    python = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    install = [sys.executable, "-m", "pip", "--python", str(python), "install", "--no-deps", "--no-index", str(wheel)]
    subprocess.run(install, check=True, capture_output=True)
    where = "import sysconfig; print(sysconfig.get_path('purelib'))"
    site = Path(subprocess.run([python, "-c", where], check=True, capture_output=True, text=True).stdout.strip())
    borrowed = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    (site / "borrowed.pth").write_text("\n".join(borrowed))
    (folder / "share").mkdir(exist_ok=True)
    (folder / "share" / "jupyter").symlink_to(Path(sys.prefix) / "share" / "jupyter")
    return python


def run(python, code, cwd):
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    done = subprocess.run([python, "-c", code], cwd=cwd, env=environment, capture_output=True, text=True, check=True)
    return done.stdout.strip()


def test_wheel_holds_every_file(source, wheel):
    packed = {Path(name) for name in zipfile.ZipFile(wheel).namelist()}
    wanted = {Path("lumpedbox") / path for path in files(source / "lumpedbox")}
    for name in ("notebooks", "data"):
        wanted |= {Path("lumpedbox/_shipped") / name / path for path in files(source / name)}
    assert {path for path in packed if path.parts[0] == "lumpedbox"} == wanted
    assert wanted >= {Path("lumpedbox/__init__.py"), Path("lumpedbox/_shipped/data/drivers.csv")}


def test_installed_package_finds_its_own_notebooks_and_data(elsewhere, tmp_path):
    code = """if True:
        import lumpedbox.tables, lumpedbox.tables.shipped as shipped
        print(lumpedbox.__file__, shipped.notebooks_folder(), shipped.data_folder(), sep="\\n")
        print(sorted(lumpedbox.tables.demo_drivers()))"""
    *places, drivers = run(elsewhere, code, tmp_path).splitlines()
    assert all(Path(place).is_relative_to(elsewhere.parents[1]) for place in places)
    assert files(Path(places[1])) == files(ROOT / "notebooks")
    assert files(Path(places[2])) == files(ROOT / "data")
    assert drivers == run(sys.executable, code, ROOT).splitlines()[-1]


def test_installed_command_serves_the_shipped_lessons(elsewhere, tmp_path, served):
    command = elsewhere.with_name("lumpedbox")
    said = subprocess.run([command, "--help"], cwd=tmp_path, capture_output=True, text=True, check=True).stdout
    assert said.startswith("usage: lumpedbox")
    with served.Served(tmp_path, python=elsewhere, PYTHONPATH="") as running:
        for shipped in (ROOT / "notebooks").glob("*.ipynb"):
            assert (running.folder / shipped.name).read_bytes() == shipped.read_bytes()
        status, page = running.ask(running.address.removeprefix(running.base))
        assert (status, "All lessons" in page) == (200, True)
        kernels = [child for child in running.children if "ipykernel_launcher" in child.cmdline()]
        assert [kernel.cmdline()[0] for kernel in kernels] == [str(elsewhere)]
        assert running.stop(signal.SIGTERM) == (0, [])
