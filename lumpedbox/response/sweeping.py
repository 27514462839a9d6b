"""Families of any size: solved in pieces, here or by the workers of an executor, and reduced as they come."""

from __future__ import annotations

import math
import pickle
import warnings
from collections import deque
from concurrent import futures
from concurrent.futures import BrokenExecutor, Executor, wait
from contextlib import closing
from functools import partial
from itertools import islice

import numpy as np

from ..air import AIR, Air
from ..arguments import DISTANCE, FREQUENCIES, PROGRESS, VOLTAGE, Function, takes
from ..errors import Refused, RefusedType, shown
from ..families import common_shape
from ..parts.system import HEARD
from ..quantity import Whole, mapped, named_shapes
from .remarks import EFFICIENCY_REMARK
from .solving import solved, too_efficient

AHEAD = 64  # pieces handed out at a time: enough for some thirty workers, and few enough for flat memory
LOST = "A worker was lost, and its executor takes no more work: the rest is solved in this process."


class _Workers:
    """An executor of `concurrent.futures`, or a client of dask.distributed, which has one."""

    def accept(self, owner, name, value):
        found = value.get_executor(pure=False) if hasattr(value, "get_executor") else value
        if not isinstance(found, Executor):
            kinds = "an executor of concurrent.futures, or a client of dask.distributed"
            hint = f": did you mean ProcessPoolExecutor({shown(value)})?" if isinstance(value, int) else ""
            raise RefusedType(owner, name, f"must be {kinds}, got {shown(value)}", hint)
        return found


@takes(
    loudspeaker=HEARD,
    frequency=FREQUENCIES,
    voltage=VOLTAGE,
    distance=DISTANCE,
    air=AIR,
    reduce=Function("the response of a piece"),
    size=Whole("members of a piece", range(1, 10**9 + 1)),
    executor=_Workers(),
    progress=PROGRESS,
)
def sweep(
    loudspeaker, frequency, voltage=2.83, distance=1.0, air=Air(), *, reduce, size=1000, executor=None, progress=None
):
    """Solve a family of any size in pieces, and keep of each piece only what is wanted.

    Parameters
    ----------
    loudspeaker : Loudspeaker or System
        Any of its quantities may be an array.
    frequency : float or array, shape (nf,)
        [Hz]
    voltage : float or array
        r.m.s. EMF of the channel. [V]
    distance : float or array
        From loudspeaker to listener, as `solve` takes it. [m]
    air : Air
    reduce : callable
        Takes the response of a piece, whose members are in one row. Returns an array of shape (members, ...), a number
        if they are all alike, or a tuple of these. What it returns of a member must follow from that member alone.
        `attrgetter("f3")` will do for a curve or a number. Worker processes must be able to import it.
    size : int
        Members of a piece. [1]
    executor : Executor or Client, optional
        Of `concurrent.futures`, or a client of dask.distributed. Without one, everything is solved in this process.
    progress : callable, optional
        Called after each piece with two numbers: members that are done, and members in all.

    Returns
    -------
    array or tuple of array
        The family's shape, then what `reduce` returned of a member, in its unit. Any executor gives the same bits, and
        so does any size, with two exceptions. If only some members have K s^n in the coil, or a hole in the door,
        another size changes the rounding of the others. In a cabin of law "modes" another size moves a pressure by
        less than 1e-12 of the highest if only places differ. It is about 1e-9 if the cabins do, and up to 1e-7 in f3.

    Raises
    ------
    ValueError, TypeError
        If an argument is of the wrong kind or out of range, or `reduce` returns anything else; the message names it.

    Warns
    -----
    UserWarning
        As `solve` does. Also if a pool of processes loses one: the rest is then solved in this process.

    Notes
    -----
    A cluster of dask.distributed gives what a lost worker had to the others. An error, or Ctrl-C, cancels the pieces
    that wait, and ends when a pool has none at work. At most 64 pieces are handed out at a time.

    Examples
    --------
    >>> from operator import attrgetter
    >>> from lumpedbox import Loudspeaker, VentedBox, frequencies
    >>> from lumpedbox.tables import demo_drivers
    >>> from lumpedbox.units import cm2, litre
    >>> box = VentedBox(volume=[[20 * litre], [40 * litre]], fb=[30, 35, 40], port_area=80 * cm2)
    >>> boxes = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=box)
    >>> sweep(boxes, frequencies(10, 400), reduce=attrgetter("f3"), size=4).shape
    (2, 3)
    """
    _check_sendable(reduce, executor)
    if too_efficient(loudspeaker, air):
        warnings.warn(EFFICIENCY_REMARK, stacklevel=3)
    family = (loudspeaker, voltage, distance, air)
    shapes = [("voltage", np.shape(voltage)), ("distance", np.shape(distance))]
    shape = common_shape([*named_shapes(loudspeaker), *named_shapes(air), *shapes])
    work = partial(_reduced, reduce, frequency)
    if not shape:
        found = work(family)
        if progress:
            progress(1, 1)
        return found

    def cut(start):
        return mapped(family, lambda array: np.broadcast_to(array, shape).flat[start : start + size])

    starts = range(0, math.prod(shape), size)
    outcomes = (work(cut(start)) for start in starts) if executor is None else _by_workers(executor, work, cut, starts)
    with closing(outcomes):
        return _joined(outcomes, shape, size, progress)


def _check_sendable(reduce, executor):
    if executor is not None and isinstance(executor, futures.ProcessPoolExecutor):
        try:
            pickle.dumps(reduce)
        except (pickle.PicklingError, AttributeError, TypeError):
            wanted = "must be a function that worker processes can import, such as attrgetter('f3') or one in a module"
            raise RefusedType("sweep", "reduce", f"{wanted}, got {shown(reduce)}") from None


def _reduced(reduce, frequency, family):
    loudspeaker, *conditions = family
    return reduce(solved(loudspeaker, frequency, *conditions))


def _by_workers(executor, work, cut, starts):
    """Yield what the piece at each start comes to, in order, while few are handed out."""
    left, waiting, done = iter(starts), deque(), 0

    def hand_out(count):
        waiting.extend(executor.submit(work, cut(start)) for start in islice(left, count))

    try:
        hand_out(AHEAD)
        while waiting:
            outcome = waiting[0].result()
            waiting.popleft()
            hand_out(1)
            done += 1
            yield outcome
    except BrokenExecutor:
        warnings.warn(LOST, stacklevel=5)
        yield from (work(cut(start)) for start in starts[done:])
    finally:
        wait([future for future in waiting if not future.cancel()])


def _joined(outcomes, shape, size, progress):
    """Return what the pieces come to as one array, or as a tuple of them, shape (*shape, ...)."""
    members, done, wholes = math.prod(shape), 0, ()
    for outcome in outcomes:
        count = min(size, members - done)
        rows = [_rows(each, count) for each in (outcome if isinstance(outcome, tuple) else (outcome,))]
        wholes = wholes or tuple(np.empty((members, *row.shape[1:]), row.dtype) for row in rows)
        _check_alike(rows, wholes)
        for whole, row in zip(wholes, rows, strict=True):
            whole[done : done + count] = row
        done += count
        if progress:
            progress(done, members)
    wholes = tuple(whole.reshape(shape + whole.shape[1:]) for whole in wholes)
    return wholes if isinstance(outcome, tuple) else wholes[0]


def _rows(values, count):
    """Return what `reduce` returned of a piece with a row for each of its members; a lone number is that of each."""
    array = np.asarray(values)
    if array.dtype.kind not in "biufc" or array.shape[:1] not in ((), (count,)):
        wanted = f"must return an array with a row for each of {count} members, or a tuple of such"
        raise Refused("sweep", "reduce", f"{wanted}, got {shown(values)}")
    return array if array.ndim else np.full(count, array)


def _check_alike(rows, wholes):
    now, first = ([f"{each.shape[1:]} of {each.dtype}" for each in arrays] for arrays in (rows, wholes))
    if now != first:
        raise Refused("sweep", "reduce", f"must return the same of every piece, got a member's {first}, then {now}")
