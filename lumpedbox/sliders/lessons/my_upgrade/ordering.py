"""What the page does about the order of the stages: a stage is moved, left out or taken in, or stays with a reason."""

from __future__ import annotations

from ....plan.table import in_order
from ...kit.stages import MINE
from .words import listed


class Ordering:
    """The part of a page that is about the order of its stages."""

    def _on_move(self, given):
        """Move a stage by so many places."""
        name, by = given
        self._on_place([name, self.order.index(name) + by])

    def _on_place(self, given):
        """Put a stage at another place of the order, or say why it stays."""
        name, place = given
        rest = [other for other in self.order if other != name]
        place = min(max(place, 0), len(rest))
        order = (*rest[:place], name, *rest[place:])
        if order == self.order:
            return
        self._check(order, name)
        where = f"number {place + 1}, after {rest[place - 1]}" if place else "the first"
        self._reorder(order, f"{name} is now {where}.")

    def _check(self, order, name):
        """Say why an order cannot be, in words about the stage that was moved."""
        try:
            in_order(self.plan, order, "my_upgrade")
        except ValueError:
            for number, stage in enumerate(order):
                late = [other for other in self.plan.stages[stage].after if other not in order[:number]]
                if late:
                    what = "it" if stage == name else stage
                    raise ValueError(f"{name} stays: {what} can only come after {listed(late)}.") from None
            raise

    def _on_leave_out(self, name):
        order = tuple(other for other in self.order if other != name)
        self._check(order, name)
        self._reorder(order, f"{name} is left out.")

    def _on_take_in(self, name):
        order = (*self.order, name)
        self._check(order, name)
        self._reorder(order, f"{name} comes last now.")

    def _reorder(self, order, said):
        """Take another order, keep it with one's own plan, and offer the old one back."""
        old = self.order
        if self.example:
            self._undo.append(lambda: self._set_order(old))
            self._set_order(order)
        else:
            self._keep([("orders", "", self._orders_with(order))], order)
        self._tell(said)

    def _set_order(self, order):
        self.order = tuple(order)
        self._looked = min(self._looked, len(self.order))
        self._publish()

    def _orders_with(self, order):
        """Return the table of orders with one's own in it."""
        return {name: list(one) for name, one in self.plan.orders.items()} | {MINE: list(order)}
