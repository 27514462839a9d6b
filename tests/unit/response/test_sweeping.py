"""A family in pieces: the same bits as in one, whoever solves them; few at a time, and nothing left behind."""

import json
import os
import signal
import subprocess
import sys
import time
import warnings
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor
from functools import partial
from operator import attrgetter
from pathlib import Path

import numpy as np
import psutil
import pytest

from lumpedbox import (
    Air,
    Amplifier,
    Cabin,
    Channel,
    Driver,
    Loudspeaker,
    Port,
    SealedBox,
    System,
    VentedBox,
    frequencies,
    solve,
    sweep,
)
from lumpedbox.response.sweeping import AHEAD
from lumpedbox.units import litre

GRID = frequencies(15, 300, per_octave=6)
SHEET = {"fs": 32.0, "Qes": 0.42, "Qms": 5.0, "Vas": 0.06, "Sd": 0.0214, "Re": 3.3, "xmax": 0.008}
DRIVER = Driver.from_thiele_small(**SHEET)
LONE = Loudspeaker(driver=DRIVER, box=SealedBox(volume=30 * litre, Ql=7))
WANTED = attrgetter("level", "f3", "excursion", "group_delay")


def boxes(rows=3, columns=5):
    """Return vented boxes whose volume and tuning have an axis each."""
    volume, tuning = np.linspace(20, 90, rows) * litre, np.linspace(25, 50, columns)
    return Loudspeaker(driver=DRIVER, box=VentedBox(volume=volume[:, np.newaxis], fb=tuning, port_area=0.008, Ql=7))


def same(found, wanted):
    """Whether every array has the same shape and the same bits."""
    return all(
        a.shape == b.shape and a.dtype == b.dtype and a.tobytes() == b.tobytes()
        for a, b in zip(found, wanted, strict=True)
    )


@pytest.mark.parametrize("size", [1, 2, 7, 15, 1000])
def test_pieces_of_any_size_have_the_bits_of_the_whole(size):
    assert same(sweep(boxes(), GRID, reduce=WANTED, size=size), WANTED(solve(boxes(), GRID)))


@pytest.mark.parametrize("workers", [ThreadPoolExecutor, ProcessPoolExecutor])
def test_workers_have_the_bits_of_the_whole(workers):
    with workers(2) as pool:
        found = sweep(boxes(), GRID, reduce=WANTED, size=2, executor=pool)
    assert same(found, WANTED(solve(boxes(), GRID)))


SEVERAL = np.array([0.9, 1.0, 1.3])
PORT = Port(length=0.1 * SEVERAL, diameter=0.08)
ROOM = Cabin(length=2.2 * SEVERAL, width=1.4, height=1.1)
PLACES = Cabin(length=2.2, width=1.4, height=1.1, law="modes", ear=(1.1, 0.4, 0.9))
AMPLIFIER = Amplifier(power=75, rated_impedance=4, minimum_load=2, output_resistance=0.1 * SEVERAL)
ANYWHERE = {
    "driver": Loudspeaker(driver=Driver.from_thiele_small(**SHEET | {"Vas": 0.06 * SEVERAL}), box=LONE.box),
    "box": Loudspeaker(driver=DRIVER, box=SealedBox(volume=0.03, Ql=7 * SEVERAL)),
    "port": Loudspeaker(driver=DRIVER, box=VentedBox(volume=0.03, port=PORT)),
    "wire": Loudspeaker(driver=DRIVER, box=LONE.box, source_resistance=0.2 * SEVERAL),
    "room": Loudspeaker(driver=DRIVER, box=LONE.box, cabin=ROOM),
    "box in a cabin by its places": Loudspeaker(
        driver=DRIVER, box=SealedBox(volume=0.03 * SEVERAL), cabin=PLACES, position=(0.3, 0.2, 0.1)
    ),
    "amplifier": System(
        channels=(Channel(loudspeakers=(LONE, LONE), amplifier=AMPLIFIER, source_resistance=0.1 * SEVERAL), LONE)
    ),
}


@pytest.mark.parametrize("part", ANYWHERE)
def test_members_may_be_in_any_part(part):
    found = sweep(ANYWHERE[part], GRID, reduce=attrgetter("level"), size=2)
    assert same([found], [solve(ANYWHERE[part], GRID).level])
    assert not np.array_equal(found[0], found[1])  # the members do differ


def test_places_differ_by_rounding_alone():
    """Which resonances are summed one by one follows from the whole piece; every way of summing agrees to 1e-12."""
    speaker = Loudspeaker(driver=DRIVER, box=LONE.box, cabin=PLACES, position=(0.3 * SEVERAL, 0.2, 0.1))
    found, whole = sweep(speaker, GRID, reduce=attrgetter("pressure"), size=1), solve(speaker, GRID).pressure
    assert np.abs(found - whole).max() < 1e-12 * np.abs(whole).max()
    assert not np.array_equal(whole[0], whole[1])


@pytest.mark.parametrize("condition", [{"voltage": 2 * SEVERAL}, {"distance": SEVERAL}, {"air": Air(humidity=0.5)}])
def test_conditions_may_have_members_too(condition):
    speaker = ANYWHERE["box"]
    found = sweep(speaker, GRID, **condition, reduce=attrgetter("level"), size=2)
    assert same([found], [solve(speaker, GRID, **condition).level])


def test_no_members_at_all_is_one_solve():
    assert same(sweep(LONE, GRID, reduce=WANTED), WANTED(solve(LONE, GRID)))


def test_a_number_of_all_members_is_that_of_each():
    found = sweep(boxes(), GRID, reduce=attrgetter("reference_level"), size=4)
    assert found.shape == (3, 5)
    assert np.all(found == solve(boxes(), GRID).reference_level)


def test_progress_is_told_after_each_piece():
    told = []
    sweep(boxes(), GRID, reduce=attrgetter("f3"), size=6, progress=lambda *numbers: told.append(numbers))
    assert told == [(6, 15), (12, 15), (15, 15)]
    sweep(LONE, GRID, reduce=attrgetter("f3"), progress=lambda *numbers: told.append(numbers))
    assert told[3:] == [(1, 1)]


def test_the_remark_on_efficiency_is_told_once():
    loud = Driver.from_thiele_small(fs=60, Qes=0.12, Qms=5.0, Vas=0.3, Sd=0.05, Re=3.3)
    family = Loudspeaker(driver=loud, box=SealedBox(volume=np.linspace(0.02, 0.1, 5)))
    with pytest.warns(UserWarning, match="5 %") as told:
        sweep(family, GRID, reduce=attrgetter("level"), size=1)
    assert [Path(one.filename).name for one in told] == [Path(__file__).name]


class Counting(ThreadPoolExecutor):
    """Counts the pieces that are handed out and not taken back yet."""

    def __init__(self):
        super().__init__(2)
        self.out, self.most, self.futures = 0, 0, []

    def submit(self, *work):
        self.out += 1
        self.most = max(self.most, self.out)
        future = super().submit(*work)
        future.result = partial(self._result, future)
        self.futures.append(future)
        return future

    def _result(self, future):
        self.out -= 1
        return Future.result(future)


def test_few_pieces_are_handed_out_at_a_time():
    with Counting() as pool:
        sweep(boxes(3, 50), [30, 60], reduce=attrgetter("level"), size=1, executor=pool)
    assert len(pool.futures) == 150
    assert pool.most == AHEAD


class Enough(Exception):
    """Somebody has seen enough."""


def test_an_exception_cancels_what_waits():
    def enough(done, members):
        raise Enough

    with Counting() as pool:
        slowly = partial(_after, 0.02)
        with pytest.raises(Enough):
            sweep(boxes(), [30, 60], reduce=slowly, size=1, executor=pool, progress=enough)
        assert all(future.done() for future in pool.futures)  # none runs on
        assert sum(future.cancelled() for future in pool.futures) >= 10


def _after(seconds, response):
    time.sleep(seconds)
    return response.level


def test_what_a_worker_raises_is_raised():
    with ProcessPoolExecutor(2) as pool, pytest.raises(AttributeError, match="loudness"):
        sweep(boxes(), GRID, reduce=attrgetter("loudness"), size=4, executor=pool)


def _dies_once(main, marker, response):
    """Take the life of the worker that comes first; never that of the process that asks."""
    if os.getpid() != main and not marker.exists():
        marker.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return WANTED(response)


def test_a_lost_process_is_survived(tmp_path):
    dies_once = partial(_dies_once, os.getpid(), tmp_path / "died")
    with ProcessPoolExecutor(2) as pool, pytest.warns(UserWarning, match="lost") as told:
        found = sweep(boxes(), GRID, reduce=dies_once, size=1, executor=pool)
    assert (tmp_path / "died").exists()
    assert [Path(one.filename).name for one in told] == [Path(__file__).name]
    assert same(found, WANTED(solve(boxes(), GRID)))


def test_a_pool_that_is_broken_already_is_survived(tmp_path):
    with ProcessPoolExecutor(1) as pool:
        pool.submit(os.kill, pool.submit(os.getpid).result(), signal.SIGKILL).exception()
        with pytest.warns(UserWarning, match="lost"):
            found = sweep(boxes(), GRID, reduce=WANTED, executor=pool)
    assert same(found, WANTED(solve(boxes(), GRID)))


def test_two_workers_of_a_cluster_have_the_bits_of_the_whole():
    distributed = pytest.importorskip("distributed")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what the cluster says of itself
        with distributed.Client(n_workers=2, threads_per_worker=1, processes=False, dashboard_address=None) as client:
            found = sweep(boxes(), GRID, reduce=WANTED, size=2, executor=client)
            by_executor = sweep(boxes(), GRID, reduce=WANTED, size=7, executor=client.get_executor())
    assert same(found, WANTED(solve(boxes(), GRID)))
    assert same(by_executor, found)


CLUSTER = """
import json, os, signal, sys, time
from functools import partial
from operator import attrgetter
import numpy as np
from distributed import Client
from lumpedbox import Driver, Loudspeaker, VentedBox, frequencies, solve, sweep

def dies_once(main, marker, response):
    if os.getpid() != main and not os.path.exists(marker):
        open(marker, "w").close()
        os.kill(os.getpid(), signal.SIGKILL)
    return response.f3

def slowly(response):
    time.sleep(0.05)
    return response.f3

def stop(done, members):
    raise KeyboardInterrupt

if __name__ == "__main__":
    driver = Driver.from_thiele_small(fs=32, Qes=0.42, Qms=5.0, Vas=0.06, Sd=0.0214, Re=3.3)
    box = VentedBox(volume=np.linspace(0.02, 0.1, 40), fb=35.0, port_area=0.008, Ql=7)
    boxes, grid = Loudspeaker(driver=driver, box=box), frequencies(15, 300, per_octave=6)
    with Client(n_workers=2, threads_per_worker=1, dashboard_address=None) as client:
        dies = partial(dies_once, os.getpid(), sys.argv[1])
        found = sweep(boxes, grid, reduce=dies, size=2, executor=client)
        try:
            sweep(boxes, grid, reduce=slowly, size=1, executor=client, progress=stop)
        except KeyboardInterrupt:
            pass
        deadline = time.monotonic() + 20
        while (left := client.processing()) and any(left.values()) and time.monotonic() < deadline:
            time.sleep(0.05)
        left = sum(map(len, client.processing().values()))
    print(json.dumps({"same": found.tobytes() == solve(boxes, grid).f3.tobytes(), "left": left}))
"""


@pytest.mark.long
def test_a_cluster_survives_a_lost_worker_and_drops_what_is_cancelled(tmp_path):
    pytest.importorskip("distributed")
    (tmp_path / "cluster.py").write_text(CLUSTER)
    told = _run([tmp_path / "cluster.py", tmp_path / "died"])
    assert (tmp_path / "died").exists()
    assert json.loads(told.splitlines()[-1]) == {"same": True, "left": 0}


INTERRUPTED = """
import os, signal, sys, time
from concurrent.futures import ProcessPoolExecutor
from functools import partial
import numpy as np
from lumpedbox import Driver, Loudspeaker, SealedBox, sweep

def slowly(response):
    time.sleep(0.05)
    return response.level

def stop(done, members):
    if done == 3:
        print(*(process for process in pool._processes), flush=True)
        os.kill(os.getpid(), signal.SIGINT)

driver = Driver.from_thiele_small(fs=32, Qes=0.42, Qms=5.0, Vas=0.06, Sd=0.0214, Re=3.3)
boxes = Loudspeaker(driver=driver, box=SealedBox(volume=np.linspace(0.02, 0.1, 5000)))
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background jobs begin with it ignored
with ProcessPoolExecutor(2) as pool:
    sweep(boxes, [30, 60], reduce=slowly, size=1, executor=pool, progress=stop)
"""


def test_an_interrupt_leaves_no_process_behind(tmp_path):
    (tmp_path / "interrupted.py").write_text(INTERRUPTED)
    run = subprocess.run([sys.executable, tmp_path / "interrupted.py"], capture_output=True, text=True, timeout=60)
    assert "KeyboardInterrupt" in run.stderr
    workers = [int(one) for one in run.stdout.split()]
    assert len(workers) == 2
    assert not any(psutil.pid_exists(worker) for worker in workers)


MEMORY = """
from pathlib import Path
import numpy as np
from lumpedbox import Driver, Loudspeaker, VentedBox, sweep

def peak():
    # of this process alone: what getrusage says begins with that of the process which started it
    return int(Path("/proc/self/status").read_text().split("VmHWM:")[1].split()[0]) / 1024

def loudest(response):
    return response.level.max(axis=-1)

driver = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=0.06, Sd=0.033, Re=3.4, Le=5e-4)
random = np.random.default_rng(1)
box = VentedBox(volume=random.uniform(0.02, 0.12, 10**6), fb=random.uniform(20, 60, 10**6), port_area=0.008, Ql=7)
peaks = []
sweep(
    *(Loudspeaker(driver=driver, box=box), np.geomspace(10, 500, 300)),
    reduce=loudest,
    progress=lambda done, members: peaks.append(peak()),
)
print(peaks[99], peaks[-1])
"""


@pytest.mark.long
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="only Linux tells the peak of one process")
def test_a_million_members_stay_below_256_mebibytes(tmp_path):
    (tmp_path / "memory.py").write_text(MEMORY)
    early, late = map(float, _run([tmp_path / "memory.py"]).split())
    assert late < 256
    assert late - early < 8  # flat: a tenth of the way in, all that it needs is there


def _run(command):
    return subprocess.run([sys.executable, *command], check=True, capture_output=True, text=True, timeout=900).stdout


@pytest.mark.parametrize(
    ("arguments", "name"),
    [
        ({"size": 0}, "size"),
        ({"size": 10.0}, "size"),
        ({"reduce": "f3"}, "reduce"),
        ({"executor": 4}, r"executor must be an executor .* did you mean ProcessPoolExecutor\(4\)"),
        ({"executor": ThreadPoolExecutor}, "executor"),
        ({"progress": True}, "progress"),
        ({"frequency": -1}, "frequency"),
        ({"voltage": "2"}, "voltage"),
        ({"reduce": lambda response: response.level[0]}, r"reduce must return .* 4 members"),
        ({"reduce": lambda response: None}, "reduce must return"),
        ({"reduce": lambda response: response.f3[:, np.newaxis] * np.ones(len(response.f3))}, "reduce must return the"),
        ({"voltage": np.ones(7)}, "do not combine"),
    ],
)
def test_a_wrong_argument_is_named(arguments, name):
    given = {"loudspeaker": boxes(), "frequency": GRID, "reduce": attrgetter("f3"), "size": 4} | arguments
    with pytest.raises((ValueError, TypeError), match=name):
        sweep(**given)


def test_a_function_that_workers_cannot_import_is_named():
    with ProcessPoolExecutor(1) as pool, pytest.raises(TypeError, match=r"sweep\.reduce .* import"):
        sweep(boxes(), GRID, reduce=lambda response: response.f3, executor=pool)
