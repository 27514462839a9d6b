"""The litres inside a box."""

from __future__ import annotations

import numpy as np

from ..arguments import takes
from ..quantity import Quantity

SIDE = Quantity(unit="m", meaning="outside dimension", low=0.02, high=5.0, slips=("mm", "cm", "inch"))
BOARD = Quantity(unit="m", meaning="thickness of the board", low=0.0, high=0.1, slips=("mm", "inch"))
TAKEN = Quantity(unit="m3", meaning="volume that something takes up inside", low=0.0, high=1.0, slips=("litre",))


@takes(width=SIDE, height=SIDE, depth=SIDE, board=BOARD, driver=TAKEN, port=TAKEN)
def net_volume(width, height, depth, board, driver=0.0, port=0.0):
    """Volume of air inside a rectangular box. [m3]

    Parameters
    ----------
    width, height, depth : float or array
        Outside dimensions. [m]
    board : float or array
        Thickness of the board, the same all round. [m]
    driver, port : float or array
        Volume that the driver and the port take up inside. [m3]

    Returns
    -------
    float or array

    Raises
    ------
    ValueError
        If nothing is left inside; the message names what leaves no room.

    Examples
    --------
    >>> from lumpedbox.units import litre, mm
    >>> print(f"{net_volume(600 * mm, 400 * mm, 350 * mm, 18 * mm) / litre:.3f} litres")
    64.463 litres
    """
    sides = {"width": width, "height": height, "depth": depth}
    inside = {name: side - 2 * board for name, side in sides.items()}
    for name, length in inside.items():
        if np.any(length <= 0):
            outside, boards = np.min(sides[name]) * 1e3, np.max(board) * 1e3
            raise ValueError(f"net_volume.{name} of {outside:g} mm leaves no room between two boards of {boards:g} mm")
    gross = inside["width"] * inside["height"] * inside["depth"]
    taken = driver + port
    if np.any(gross <= taken):
        raise ValueError(
            f"driver and port take up {np.max(taken) * 1e3:.3g} litres, but the box has only "
            f"{np.min(gross) * 1e3:.3g} litres inside"
        )
    return gross - taken
