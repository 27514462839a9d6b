"""Fair shares: what each of several players adds, averaged over the orders in which they may join."""

from __future__ import annotations

import itertools
import math


def terms(tree):
    r"""Return what the share of each player is made of: for each player, pairs of (weight, those who joined before).

    .. math:: \varphi_i = \sum_S \prod_l \frac{|S_l|!\,(n_l - 1 - |S_l|)!}{n_l!} \left(v(S \cup i) - v(S)\right)

    Parameters
    ----------
    tree : list
        Of players and of unions, each a list again. The members of a union join one after another, with nobody else in
        between. In the equation l counts the levels, from the outermost to the player; n is how many join there.

    References
    ----------
    L. S. Shapley (1953) for one level, G. Owen (1977) for two, E. Winter, "A value for cooperative games with levels
    structure of cooperation" (1989) for more (all from memory).
    """
    found = {}

    def descend(node, levels):
        if not isinstance(node, list):
            found[node] = list(_orders(levels))
            return
        for child in node:
            descend(child, [*levels, [players(other) for other in node if other is not child]])

    descend(tree, [])
    return found


def players(node):
    """Return all players at or below a node of a tree."""
    return frozenset().union(*map(players, node)) if isinstance(node, list) else frozenset([node])


def coalitions(of_players):
    """Return every coalition that the shares of players need a value for."""
    bases = {player: [base for _, base in weighed] for player, weighed in of_players.items()}
    return {frozenset()}.union(*bases.values(), *([base | {p} for base in many] for p, many in bases.items()))


def shares(of_players, values):
    """Return the share of each player, from the value of each coalition."""
    return {
        player: sum(weight * (values[base | {player}] - values[base]) for weight, base in weighed)
        for player, weighed in of_players.items()
    }


def _orders(levels):
    """Yield the weight of each way in which others stand before a player, and who they are."""
    for chosen in itertools.product(*map(_subsets, levels)):
        weights = (_weight(len(joined), len(others) + 1) for joined, others in zip(chosen, levels, strict=True))
        yield math.prod(weights), frozenset().union(*itertools.chain(*chosen))


def _subsets(members):
    return [chosen for size in range(len(members) + 1) for chosen in itertools.combinations(members, size)]


def _weight(joined, count):
    """Probability that of `count` in random order exactly some given `joined` ones come before another given one."""
    return math.factorial(joined) * math.factorial(count - 1 - joined) / math.factorial(count)
