"""From a tape measure to the litres inside."""

from __future__ import annotations

import functools

import ipywidgets
from ipywidgets.widgets.widget_string import TextStyle

from ...build.volume import net_volume
from ...parts.displacement import displacement
from ...tables.quantity_text import number_in, with_point
from .facts import takes_up
from .follows import both
from .keeping import complaint
from .systems import LENGTH, VOLUME
from .words import as_html


class Litres:
    """Finds the net volume of a box with six square corners, and hands it to a slider.

    Parameters
    ----------
    volume : Slider
        What the button moves.
    driver : str
        Name of the control that says which driver is in the box: what it takes up is taken off.
    drivers : dict
        Name: Driver.
    """

    title = "Litres from a tape measure"

    def __init__(self, volume, driver, drivers):
        self.volume, self._driver, self._drivers = volume, driver, drivers
        looks = {"style": TextStyle(description_width="120px"), "layout": ipywidgets.Layout(width="290px")}
        text_field = functools.partial(ipywidgets.Text, **looks)  # a look of its own for each would take time
        self.fields = {
            "width": text_field(description="Outside width", value="450 mm"),
            "height": text_field(description="Outside height", value="300 mm"),
            "depth": text_field(description="Outside depth", value="250 mm"),
            "board": text_field(description="Board thickness", value="18 mm"),
            "driver": text_field(description="Driver takes up", placeholder="the chosen driver's, if empty"),
            "port": text_field(description="Port takes up", placeholder="nothing, if empty: no port"),
        }
        self.said = ipywidgets.HTML()
        self.take = ipywidgets.Button(description="Use this volume", layout={"width": "150px"})
        self.take.on_click(self.use)
        for field in self.fields.values():
            field.observe(self._tell, "value")
        self.widget = ipywidgets.VBox([*self.fields.values(), self.said, self.take])

    def attach(self, page):
        """Fill a page's box."""
        self._page = page
        page.listen(self._tell)
        self._tell()

    def _in_the_box(self):
        return self._drivers[self._page.values[self._driver]]

    def litres(self):
        """Return the net volume of what is typed. [m3]"""
        kinds = {"driver": VOLUME, "port": VOLUME}
        typed = {"driver": displacement(self._in_the_box()), "port": 0.0}
        for name, field in self.fields.items():
            if name in typed and self._is_empty(name):
                continue
            try:
                shown = kinds.get(name, LENGTH).metric
                typed[name] = number_in(with_point(field.value), shown.unit, shown.size)
                if typed[name] < 0:
                    raise ValueError(f"{field.value!r} is less than nothing.")
                if name == "driver" and typed[name] == 0:
                    raise ValueError("Every driver takes up some room: leave this empty for an estimate.")
            except ValueError as error:
                raise ValueError(f"{field.description}: {error}") from None
        return net_volume(**typed)

    def _is_empty(self, name):
        return not self.fields[name].value.strip()

    def use(self, _button=None):
        """Move the slider to the net volume."""
        try:
            volume = self.litres()
        except ValueError:
            return  # it is said already
        self._page.wake()
        self._page.put(**{self.volume.name: volume})

    def _tell(self, _change=None):
        try:
            volume = self.litres()
        except ValueError as error:
            self.said.value = complaint(str(error))
            return
        inside = self.volume.low <= volume <= self.volume.high
        outside = "" if inside else " The slider does not go so far: the button takes it to its end."
        taken = f" {takes_up(self._in_the_box()).in_both()}" if self._is_empty("driver") else ""
        port = " No port is taken off." if self._is_empty("port") else ""
        self.said.value = as_html(f"Net volume: {both(VOLUME, volume)}.{taken}{port}{outside}")
