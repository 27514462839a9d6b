"""What comes of a drawing: litres, tuning, what fits, the parts to saw."""

from __future__ import annotations

import functools

from ....build import acoustic_box, cut_list, fit, forces, net_account, on_stock, panel_resonances, restated
from ....errors import Refused


class Looked:
    """A drawing, and what comes of it, each worked out when it is asked for.

    Parameters
    ----------
    drawn : Drawn
    round_to : float
        What lengths are sawn to. [m]
    """

    def __init__(self, drawn, round_to):
        self.drawn, self.box, self.inside, self.round_to = drawn, drawn.box, drawn.inside, round_to

    @functools.cached_property
    def account(self):
        """The `NetAccount`. [m3]"""
        return net_account(self.box, self.inside)

    @functools.cached_property
    def acoustic(self):
        """The `SealedBox` or `VentedBox` that it is."""
        return acoustic_box(self.box, self.inside)

    @functools.cached_property
    def tuning(self):
        """[Hz], or None without a port."""
        return float(self.acoustic.tuning()) if self.inside.ports else None

    @functools.cached_property
    def margins(self):
        """Each `Margin`, the tightest first. [m]"""
        found = fit(self.box, self.inside, self.drawn.space)
        return tuple(sorted(found, key=lambda margin: margin.there - margin.needed))

    @functools.cached_property
    def parts(self):
        """The cut list."""
        return cut_list(self.box, self.round_to, self.inside)

    @functools.cached_property
    def forces(self):
        """Of the boards alone. [kg], [N]"""
        return forces(self.box, inside=self.inside)

    @functools.cached_property
    def resonances(self):
        """Each `PanelResonance`. [Hz]"""
        return panel_resonances(self.box, self.inside)

    @functools.cached_property
    def as_sawn(self):
        """What rounding makes of it: `Restated`."""
        return restated(self.box, self.inside, self.round_to)

    @functools.cached_property
    def sheets(self):
        """The `Sheet`s of board, or the `Refused` that says why the parts do not go on any."""
        try:
            return on_stock(self.parts, self.drawn.stock)
        except Refused as error:
            return error
