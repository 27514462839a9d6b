"""An upgrade in stages: the plan as it is written, what each stage does to the sound, and the best order."""

from ..design.causes import causes
from .described import Plan
from .figures import Figures, figures
from .files import demo_plan
from .reading import Unreadable, read_plan
from .search import Aim, Search, search
from .state import State

__all__ = [
    "Aim",
    "Figures",
    "Plan",
    "Search",
    "State",
    "Unreadable",
    "causes",
    "demo_plan",
    "figures",
    "read_plan",
    "search",
]
