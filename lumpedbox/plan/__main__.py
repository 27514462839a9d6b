"""Print the best order of a plan's stages: `python -m lumpedbox.plan my_plan.toml`."""

from __future__ import annotations

import sys

from ..response.hearing import CAUTION
from . import demo_plan, read_plan, search, table


def main(arguments):
    """Print the best order, the orders that the plan proposes, and what does not fit as found."""
    try:
        plan = read_plan(arguments[0]) if arguments else demo_plan()
        print(search(plan))
    except ValueError as error:
        print(error, file=sys.stderr)
        return 1
    for name in (name for name, stages in plan.orders.items() if stages):
        clean = table(plan, name)["clean, 40 to 80 Hz [dB]"]
        print(f"{name}: {', '.join(f'{level:.1f}' for level in clean)} dB, mean {clean[1:].mean():.1f} dB")
    for said in (*plan.after().open, *plan.after().unfit, CAUTION):
        print(said)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
