"""What every box of boards can do, whatever its shape."""

from __future__ import annotations

import dataclasses

from ...arguments import takes
from ...quantity import OneOf, Part, Text
from .fields import Pairs, measure

LAYER = measure("thickness of the layer", 0.0, 0.1)


class Built(Part):
    """A box of boards: it has `panel_names`, `panels`, `board`, `boards`, `outside_volume` and `inside_volume`."""

    @takes(name=Text())
    def board_of(self, name):
        """Return the board of a panel.

        Parameters
        ----------
        name : str
        """
        self._check_name("board_of", name)
        return self._board(name)

    def _board(self, name):
        return dict(self.boards).get(name, self.board)

    @takes(name=Text())
    def thickness_of(self, name):
        """Return the thickness of a panel. [m]

        Parameters
        ----------
        name : str
        """
        self._check_name("thickness_of", name)
        return self._board(name).thickness

    @takes(name=Text())
    def panel(self, name):
        """Return one panel.

        Parameters
        ----------
        name : str
        """
        self._check_name("panel", name)
        return next(panel for panel in self.panels if panel.name == name)

    def _check_name(self, method, name):
        OneOf(self.panel_names).accept(f"{type(self).__name__}.{method}", "name", name)

    @takes(layers=Pairs(LAYER, "a thickness in m"))
    def with_layers(self, layers):
        """Return the box with some panels thicker on the inside.

        Parameters
        ----------
        layers : dict
            Thickness of the layer, by panel. [m]
        """
        thicker = {
            name: dataclasses.replace(self.board_of(name), thickness=self.thickness_of(name) + layer)
            for name, layer in layers
        }
        return self._with_boards(dict(self.boards) | thicker) if thicker else self

    def _with_boards(self, boards):
        return dataclasses.replace(self, boards=boards)

    @property
    def board_volume(self):
        r"""Of all panels, without their holes. [m3]

        .. math:: \sum V = V_{out} - V_{in}
        """
        return sum(panel.volume for panel in self.panels)

    @property
    def mass(self):
        r"""Of all panels, without their holes; None where a density is not known. [kg]

        .. math:: m = \sum \rho V
        """
        each = [panel.mass for panel in self.panels]
        return None if None in each else sum(each)
