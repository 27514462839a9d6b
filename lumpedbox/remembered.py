"""Results that are kept: with the part that they follow from, or looked up by every number that they depend on."""

from __future__ import annotations

import copyreg
from collections.abc import Mapping
from functools import wraps
from types import MappingProxyType

import numpy as np

KEPT = 64  # results of a function, those asked for lately: more than a move on a page with places asks for
LARGEST = 20_000  # numbers in a result that is kept


def frozen(array):
    array.flags.writeable = False
    return array


def read_only(known):
    """Return a mapping, and each mapping in it, as one that nothing changes."""
    return MappingProxyType({key: read_only(one) if isinstance(one, Mapping) else one for key, one in known.items()})


# So that what holds one can be copied: `copy` asks here.
copyreg.pickle(MappingProxyType, lambda known: (read_only, (dict(known),)))


def once(method):
    """Make a property of a part that is worked out when first asked for, and kept: a part never changes."""

    @wraps(method)
    def kept(self):
        try:
            found = self._found
        except AttributeError:
            found = {}
            object.__setattr__(self, "_found", found)
        if method not in found:
            value = method(self)
            found[method] = frozen(value) if isinstance(value, np.ndarray) else value
        return found[method]

    return property(kept)


def remembered(function):
    """Keep the last results of a function of numbers, of arrays, of tuples of these, and of what has `numbers`.

    Results are arrays, or tuples of arrays, and read-only. Every number is part of what a result is looked up by, so
    nothing that has changed is answered from memory.
    """
    kept = {}

    @wraps(function)
    def answer(*arguments):
        asked = tuple(map(_key, arguments))
        found = kept.pop(asked, None)
        if found is None:
            found = function(*arguments)
            for array in _arrays(found):
                frozen(array)
        if sum(array.size for array in _arrays(found)) <= LARGEST:
            kept[asked] = found
            for oldest in list(kept)[:-KEPT]:
                kept.pop(oldest, None)
        return found

    return answer


def _arrays(found):
    return found if isinstance(found, tuple) else (found,)


def _key(value):
    """Return all numbers of a value as something that can be looked up."""
    if isinstance(value, float):
        return value
    if isinstance(value, tuple):
        return tuple(map(_key, value))
    if hasattr(value, "numbers"):
        return _key(value.numbers)
    array = np.asarray(value)
    return array.shape, array.dtype.char, array.tobytes()
