"""An upgrade in stages: the plan as it is written, what each stage does to the sound, and the best order."""

from ..design.causes import causes
from .described import Plan
from .figures import Figures, figures
from .files import demo_plan, drop, keep
from .reading import Unreadable, read_plan
from .search import Aim, Search, search
from .state import State
from .table import table
from .words import change
from .worth import shares, spans

__all__ = [
    "Aim",
    "Figures",
    "Plan",
    "Search",
    "State",
    "Unreadable",
    "causes",
    "change",
    "demo_plan",
    "drop",
    "figures",
    "keep",
    "read_plan",
    "search",
    "shares",
    "spans",
    "table",
]
