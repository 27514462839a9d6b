"""The curves of a response as a table, with the unit in every heading."""

from __future__ import annotations

import numpy as np


def columns(response):
    """Return the curves as a dict of heading to array of shape (..., nf)."""
    found = {
        "frequency [Hz]": np.broadcast_to(response.frequency, response.level.shape),
        "level [dB]": response.level,
        "phase [deg]": response.phase,
        "group delay [ms]": response.group_delay * 1e3,
        "excursion [mm]": response.excursion * 1e3,
        "impedance [ohm]": np.abs(response.impedance),
        "impedance phase [deg]": np.degrees(np.angle(response.impedance)),
    }
    if response.loudspeaker.area_of("port") is not None:
        found["port speed [m/s]"] = response.port_velocity
    return found


def write_csv(response, path):
    """Write the curves of a response, the members of a family one after another."""
    import csv  # seldom needed, and not quick to load

    found = columns(response)
    if response.shape:
        members = np.arange(int(np.prod(response.shape))).reshape(*response.shape, 1)
        found = {"member": np.broadcast_to(members, response.level.shape), **found}
    with open(path, "w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(found)
        writer.writerows(zip(*(column.ravel().tolist() for column in found.values()), strict=True))
