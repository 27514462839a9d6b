"""Which fuse lies between the draw and what may be behind it."""

from __future__ import annotations

from ...arguments import Named, Several, one, takes
from ...errors import Refused
from ...quantity import Quantity, Text

CONTINUOUS = 0.8  # share of its rating that a fuse carries for long: common practice, no source
# Ratings sold for vehicles, blade and bolted, A: common practice, no source.
STANDARD = (
    *(1.0, 2.0, 3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0),
    *(125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0, 500.0),
)
CABLE, MAKER, SOLD = "cable", "maker", "sold"
CURES = {
    (CABLE,): ". The cable binds: take thicker wire with a higher rating, or draw less",
    (MAKER,): ". The maker's figure binds: draw less, or give it a feed of its own. Thicker wire does not help",
    (CABLE, MAKER): ". Cable and maker's figure both bind: draw less. Thicker wire alone does not help",
    (SOLD,): ". No larger fuse is listed: split the feed",
}
RATING = Quantity(unit="A", meaning="current", low=0.1, high=2e3)
RATINGS = Several(RATING, "ratings of fuses, in A", rising=True)
FIELDS = {CABLE: "cable.current_rating", MAKER: "draws.maker_fuse", SOLD: "rating_of_fuses"}


class NoFuse(Refused):
    """No fuse lies between the draw and its bounds.

    Attributes
    ----------
    binds : tuple of str
        Which bounds are too low: "cable", "maker", or "sold" where no fuse is large enough.
    needed : float
        Least rating that carries the draw for long. [A]
    """

    def __init__(self, owner, name, problem, hint="", binds=(), needed=0.0):
        super().__init__(owner, name, problem, hint)
        self.binds, self.needed = binds, needed


@takes(
    owner=Text(),
    draw=one("A", "current drawn", 0.0, 1e5),
    bounds=Named(RATING, "currents in A", names=(CABLE, MAKER)),
    rating_of_fuses=RATINGS,
)
def fuse_between(owner, draw, bounds, rating_of_fuses=STANDARD):
    r"""Return the smallest fuse that carries the draw and lies within every bound. [A]

    .. math:: I / 0.8 \le I_{fuse} \le \min(I_{cable}, I_{maker})

    Parameters
    ----------
    owner : str
        What a refusal begins with.
    draw : float
        Current of a steady sine. [A]
    bounds : dict
        The most that "cable" and, where it applies, "maker" allow. [A]
    rating_of_fuses : tuple of float
        What is sold, in rising order. [A]

    Raises
    ------
    NoFuse
        If there is none; it says which bound binds, and what would help.
    """
    if CABLE not in bounds:
        raise Refused(owner, "bounds", "must hold the cable's rating: a fuse protects the cable")
    needed = draw / CONTINUOUS
    carries = [rating for rating in rating_of_fuses if rating >= needed]
    if carries and carries[0] <= min(bounds.values()):
        return carries[0]
    binds = tuple(name for name, most in bounds.items() if carries and most < carries[0]) or (SOLD,)
    least = f"{carries[0]:g} A, the first fuse above {needed:.3g} A" if carries else f"{needed:.3g} A"
    found = (
        " and ".join(f"{bounds[name]:g} A" for name in binds if name in bounds) or f"at most {rating_of_fuses[-1]:g} A"
    )
    problem = f"must be at least {least} (a draw of {draw:.3g} A over {CONTINUOUS:g}), got {found}"
    raise NoFuse(owner, FIELDS[binds[0]], problem, CURES[binds], binds, needed)
