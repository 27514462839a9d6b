"""Which box: the best sealed and vented designs that a brief allows, why, and why a driver is out."""

from .brief import Brief
from .design import Design
from .limits import WORDS
from .recommendation import Recommendation, recommend
from .refusal import Refusal

__all__ = ["WORDS", "Brief", "Design", "Recommendation", "Refusal", "recommend"]
