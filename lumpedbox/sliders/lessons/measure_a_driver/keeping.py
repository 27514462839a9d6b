"""Keeps a measured driver among one's own parts."""

from __future__ import annotations

from math import inf
from pathlib import Path
from urllib.parse import urlencode

import ipywidgets

from ....parts.data_sheet.printed import PARAMETERS
from ....tables import demo_drivers
from ....tables.as_measured import MEASURED, in_percent
from ....tables.entries import in_words
from ....tables.my_parts import keep, read
from ...kit.keeping import complaint, unexpected
from ...kit.offered import fit_for, marked, offered
from ...kit.replacing import Place, Replacing
from ...kit.words import NO_DRIVER, as_html

MADE_OF = ("Re", "Bl", "Mms", "Cms", "Rms", "Sd", "Le", "L2", "R2", "semi_inductance")
SAID = "Kept as {name}, with how sure each number is. Every page that can use it offers it now."
BUILT = "as_planned"
ONWARDS = 'Once its box is built: <a href="{address}">Did it come out as planned?</a>'
COIL = ("Le", "L2", "R2")


def entries_of(driver, sheet=None):
    """Return what is kept of a measured driver, key by key.

    Parameters
    ----------
    driver : Driver
        As measured.
    sheet : dict, optional
        What is kept of its sheet: travel, power, depth and the like are taken from there.
    """
    measured = {*PARAMETERS, *MEASURED, *COIL}
    typed = {key: text for key, text in (sheet or {}).items() if key not in measured}
    known = {name: getattr(driver, name) for name in MADE_OF}
    typed |= {name: in_words("driver", name, value) for name, value in known.items() if 0 < value < inf}
    if driver.semi_inductance:
        typed["semi_exponent"] = in_words("driver", "semi_exponent", driver.semi_exponent)
    return typed | {"spread": in_percent(driver.spread)}


def onwards(name):
    """Return the way to hold its box against the plan, as HTML; nothing where a kept driver does not serve there."""
    drivers, _ = fit_for(BUILT, "driver", offered().drivers)
    called = marked(name, {*demo_drivers(), NO_DRIVER})
    if called not in drivers or not Path(f"{BUILT}.ipynb").is_file():
        return ""
    return ONWARDS.format(address=f"{BUILT}.ipynb#{urlencode({'driver': called})}")


class KeepDriver:
    """A name, and a button that keeps the driver under it.

    Parameters
    ----------
    measured : callable
        Returns the entries to keep, or raises ValueError where there is nothing to keep yet.
    """

    def __init__(self, measured):
        self._measured = measured
        self.name = ipywidgets.Text(description="Name", placeholder="front left", layout={"width": "300px"})
        self.keep = ipywidgets.Button(description="Keep as my driver", layout={"width": "auto", "flex": "none"})
        self.said, self.onwards = ipywidgets.HTML(), ipywidgets.HTML()
        self.said.add_class("lb-kept")
        self.onwards.add_class("lb-onwards")
        self.replacing = Replacing(self._answer)
        self.keep.on_click(self._answer(self._keep))
        self.name.observe(self._goes_on, "value")
        self.widget = ipywidgets.VBox(
            [
                ipywidgets.HBox([self.name, self.keep], layout={"flex_flow": "row wrap"}),
                self.said,
                self.onwards,
                self.replacing.widget,
            ]
        )

    def _answer(self, action):
        def answer(button=None):
            try:
                self.said.value = as_html(action(button))
            except ValueError as error:
                self.said.value = complaint(str(error))
            except Exception as error:
                self.said.value = unexpected(error)

        return answer

    def _goes_on(self, _change):
        """Under another name nothing is asked, nor led to, of the last one."""
        self.replacing.withdraw()
        self.onwards.value = ""

    def _keep(self, _button):
        name = " ".join(self.name.value.split())
        if not name:
            raise ValueError("Give it a name first.")
        entries = self._measured()
        place = Place(
            what=f"A driver named {name}",
            name=name,
            now=lambda: read().typed["driver"].get(name),
            put=lambda typed: keep("driver", name, typed),
        )
        return self.replacing.keep(place, lambda: entries, lambda: self._kept(name))

    def _kept(self, name):
        self.onwards.value = onwards(name)
        return SAID.format(name=name)
