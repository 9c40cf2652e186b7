"""Prints what independent libraries make of sequences and strata: tests/published/lines_reference.json.

Needs numpy, scipy and ruptures from PyPI; nothing in the tests runs it. The best segmentations are those of ruptures'
dynamic programming (`Dynp`), given minus the logarithm of a segment's probability as its cost.
"""

import itertools
import json
import math
import random

import numpy
import ruptures
import scipy
from scipy import optimize, special, stats

Z = 1.959964


class Make(ruptures.base.BaseCost):
    """Minus the logarithm of the probability of a segment: Dirichlet's prior with one half for each state."""

    model = "dirichlet"
    min_size = 1

    def fit(self, signal):
        self.signal = numpy.asarray(signal)
        self.states = self.signal.shape[1]
        return self

    def error(self, start, end):
        counts = self.signal[start:end].sum(axis=0)
        known = special.gammaln(counts + 0.5).sum() - self.states * special.gammaln(0.5)
        return -(known + special.gammaln(self.states / 2) - special.gammaln(counts.sum() + self.states / 2))


def sequence(chance, blocks, states, changes):
    """Counts of each state in each block; the favourite state is another after each change."""
    places = sorted(chance.sample(range(1, blocks), changes))
    made = []
    for block in range(blocks):
        favourite = sum(block >= place for place in places) % states
        counts = [0] * states
        for _ in range(chance.randint(1, 3)):
            counts[favourite if chance.random() < 0.85 else chance.randrange(states)] += 1
        made.append(counts)
    return made


def seen_only(blocks):
    kept = [state for state in range(len(blocks[0])) if any(block[state] for block in blocks)]
    return [[block[state] for state in kept] for block in blocks]


def segmentations():
    chance = random.Random(20)
    cases = []
    for blocks, states, changes in [(12, 2, 1), (30, 3, 2), (40, 2, 3), (60, 4, 3), (25, 3, 0), (80, 2, 2)]:
        signal = seen_only(sequence(chance, blocks, states, changes))
        search = ruptures.Dynp(custom_cost=Make(), min_size=1, jump=1).fit(numpy.array(signal))
        best = {str(number): [end - 1 for end in search.predict(n_bkps=number)[:-1]] for number in (1, 2, 3)}
        cases.append({"blocks": signal, "gaps": best})
    return cases


def ways(total_a, rows):
    """Each vector of A's counts with the number of draws that give it."""
    found = {(): 1}
    for row in rows:
        found = {(*key, count): value * math.comb(row, count) for key, value in found.items() for count in range(row + 1)}
    return {key: value for key, value in found.items() if sum(key) == total_a}


def vector_p(strata):
    distribution, states = {(0,) * len(strata[0]): 1}, range(len(strata[0]))
    for rows in strata:
        added = {}
        for key, value in ways(sum(a for a, _ in rows), [a + b for a, b in rows]).items():
            for before, weight in distribution.items():
                vector = tuple(one + other for one, other in zip(before, key))
                added[vector] = added.get(vector, 0) + weight * value
        distribution = added
    seen = distribution[tuple(sum(rows[state][0] for rows in strata) for state in states)]
    return sum(value for value in distribution.values() if value <= seen) / sum(distribution.values())


def generalised(strata):
    """Cochran's chi-square with numpy's pseudo-inverse."""
    states = len(strata[0])
    excess, covariances = numpy.zeros(states), numpy.zeros((states, states))
    for rows in strata:
        a, c = numpy.array([row[0] for row in rows], float), numpy.array([sum(row) for row in rows], float)
        n, n_a = c.sum(), a.sum()
        excess += a - n_a * c / n
        covariances += n_a * (n - n_a) * (n * numpy.diag(c) - numpy.outer(c, c)) / n**3
    statistic = float(excess @ numpy.linalg.pinv(covariances) @ excess)
    rank = int(numpy.linalg.matrix_rank(covariances))
    return [statistic, rank, float(stats.chi2.sf(statistic, rank))]


VECTORS = [
    [[[4, 1], [2, 3], [0, 3]], [[3, 2], [1, 1], [1, 4]]],
    [[[2, 0], [1, 1], [0, 2], [1, 0]], [[3, 1], [0, 2], [1, 1], [0, 1]], [[1, 1], [2, 2], [0, 1], [1, 3]]],
]


def area(a, b):
    return sum((y > x) + (y == x) / 2 for x in a for y in b) / (len(a) * len(b))


def variance(theta, m, n):
    others = (m + n) / 2 - 1
    return theta * (1 - theta) * (1 + others * (1 - theta) / (2 - theta) + others * theta / (1 + theta)) / (m * n)


def limits(estimate, m, n, point):
    def gap(limit):
        return (limit - estimate) ** 2 - point**2 * variance(limit, m, n)

    low = 0.0 if estimate == 0 else optimize.brentq(gap, 1e-15, estimate - 1e-12, xtol=1e-14)
    high = 1.0 if estimate == 1 else optimize.brentq(gap, estimate + 1e-12, 1 - 1e-15, xtol=1e-14)
    return low, high


MEASURES = [
    [[[8.0, 8.5, 9.0, 9.5], [9.0, 9.5, 10.0]], [[7.0, 7.5, 8.0], [7.5, 8.5, 8.5, 9.0]]],
    [[[1.0, 2.0], [3.0, 4.0, 5.0]], [[2.0], [6.0, 7.0]]],
]


def measures(strata):
    weights = [len(a) * len(b) / (len(a) + len(b)) for a, b in strata]
    shares = [weight / sum(weights) for weight in weights]
    areas = [area(a, b) for a, b in strata]
    sizes = [(len(a), len(b)) for a, b in strata]
    variances = [variance(theta, *size) for theta, size in zip(areas, sizes)]
    if not any(variances):
        variances = [(m + n + 2) / (m * n) for m, n in sizes]
    point = Z * math.sqrt(sum(v * v * x for v, x in zip(shares, variances)))
    point /= sum(v * math.sqrt(x) for v, x in zip(shares, variances))
    found = [limits(theta, *size, point) for theta, size in zip(areas, sizes)]
    shifts = [float(numpy.median(numpy.subtract.outer(b, a))) for a, b in strata]
    return {
        "strata": strata,
        "difference": sum(v * (2 * theta - 1) for v, theta in zip(shares, areas)),
        "low": 2 * sum(v * low for v, (low, _) in zip(shares, found)) - 1,
        "high": 2 * sum(v * high for v, (_, high) in zip(shares, found)) - 1,
        "shift": sum(v * shift for v, shift in zip(shares, shifts)),
    }


print(json.dumps({
    "made_by": "tests/published/lines.py",
    "versions": {"ruptures": ruptures.version.version, "numpy": numpy.__version__, "scipy": scipy.__version__},
    "segmentations": segmentations(),
    "vectors": [{"strata": strata, "p": vector_p(strata), "cochran": generalised(strata)} for strata in VECTORS],
    "measures": [measures(strata) for strata in MEASURES],
}, default=float))
