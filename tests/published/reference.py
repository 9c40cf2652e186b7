"""Prints what independent libraries make of the same counts and readings: tests/published/reference.json.

Needs scipy and statsmodels from PyPI; nothing in the tests runs it. What no library offers is worked out here in the
plainest way: by enumeration, by a root finder, or from the ranks of scipy.
"""

import itertools
import json
import math

import numpy
import scipy
import statsmodels
from scipy import optimize, stats
from statsmodels.stats import contingency_tables, multitest, proportion

Z = 1.959964

TABLES = [[[4, 0], [1, 3], [0, 5]], [[6, 1], [2, 2], [1, 7], [0, 1]], [[9, 3], [3, 8]], [[2, 2], [3, 0], [0, 3], [1, 4]]]
PAIRS = [[56, 70, 48, 80], [9, 10, 3, 10], [10, 10, 0, 20], [6, 7, 2, 7], [5, 56, 0, 29], [0, 10, 0, 10]]
SHARES = [[0, 10], [1, 10], [5, 10], [10, 10], [7, 20], [2, 30]]
READINGS = {
    "without_ties": [[7.1, 8.4, 9.9, 10.2, 11.0], [6.0, 6.5, 7.9, 8.0, 8.1, 9.0, 12.5]],
    "with_ties": [[7.5, 8.0, 8.0, 8.5, 9.0, 9.0], [8.5, 9.0, 9.5, 9.5, 10.0]],
}
AREAS = [[0.5, 5, 5], [0.8, 10, 12], [1.0, 4, 6], [0.93, 30, 7]]
STRATA = {
    "rabbits": [[0, 6, 0, 5], [3, 3, 0, 6], [6, 0, 2, 4], [5, 1, 6, 0], [2, 0, 5, 0]],
    "kidney_stones": [[81, 6, 234, 36], [192, 71, 55, 25]],
    "small": [[3, 1, 1, 4], [2, 2, 0, 3], [4, 1, 2, 2]],
}
ELTEREN = [[[7.0, 8.0, 9.0], [8.0, 9.5, 10.0, 11.0]], [[5.0, 5.5], [5.0, 6.0, 7.5]]]
P_VALUES = [0.01, 0.04, 0.03, 0.2, 0.001]


def freeman_halton(table):
    rows = [sum(row) for row in table]
    total = sum(row[0] for row in table)

    def ways(first):
        return math.prod(math.comb(row, count) for row, count in zip(rows, first))

    seen = ways([row[0] for row in table])
    all_ways = [ways(first) for first in itertools.product(*(range(row + 1) for row in rows)) if sum(first) == total]
    return sum(way for way in all_ways if way <= seen) / sum(all_ways)


def exact_conditional(strata):
    distribution, observed = numpy.array([1.0]), 0
    for a, b, c, d in strata:
        low, high = max(0, a + c - c - d), min(a + c, a + b)
        part = stats.hypergeom.pmf(numpy.arange(low, high + 1), a + b + c + d, a + c, a + b)
        distribution, observed = numpy.convolve(distribution, part), observed + a - low
    return float(distribution[distribution <= distribution[observed] * (1 + 1e-7)].sum())


def pooled(strata):
    weights = [(a + b) * (c + d) / (a + b + c + d) for a, b, c, d in strata]
    shares = [(a / (a + b), c / (c + d), a + b, c + d) for a, b, c, d in strata]
    difference = sum(w * (p - q) for w, (p, q, _, _) in zip(weights, shares)) / sum(weights)
    spread = sum(w * w * (p * (1 - p) / m + q * (1 - q) / n) for w, (p, q, m, n) in zip(weights, shares))
    return [difference, spread / sum(weights) ** 2]


def stratified(strata):
    table = contingency_tables.StratifiedTable([numpy.array([[a, b], [c, d]]) for a, b, c, d in strata])
    answers = [table.test_null_odds(correction=correction) for correction in (True, False)]
    return {
        "strata": strata,
        "corrected": [answers[0].statistic, answers[0].pvalue],
        "uncorrected": [answers[1].statistic, answers[1].pvalue],
        "exact_p": exact_conditional(strata),
        "pooled": pooled(strata),
    }


def area_limits(area, m, n):
    others = (m + n) / 2 - 1

    def gap(limit):
        excess = others * (1 - limit) / (2 - limit) + others * limit / (1 + limit)
        return (limit - area) ** 2 - Z * Z * limit * (1 - limit) * (1 + excess) / (m * n)

    low = 0.0 if area == 0 else optimize.brentq(gap, 1e-15, area - 1e-12, xtol=1e-14)
    high = 1.0 if area == 1 else optimize.brentq(gap, area + 1e-12, 1 - 1e-15, xtol=1e-14)
    return [low, high]


def readings(a, b, method):
    test = stats.mannwhitneyu(b, a, alternative="two-sided", method=method)
    shift = float(numpy.median(numpy.subtract.outer(b, a)))
    return {"a": a, "b": b, "p": test.pvalue, "area": test.statistic / (len(a) * len(b)), "shift": shift}


def van_elteren(strata):
    excess = variance = 0.0
    for a, b in strata:
        ranks, total = stats.rankdata(a + b), len(a) + len(b)
        excess += (ranks[len(a):].sum() - len(b) * (total + 1) / 2) / (total + 1)
        spread = ((ranks - (total + 1) / 2) ** 2).sum() * len(a) * len(b) / (total * (total - 1))
        variance += spread / (total + 1) ** 2
    return float(2 * stats.norm.sf(abs(excess) / math.sqrt(variance)))


def newcombe(a, m, b, n):
    return proportion.confint_proportions_2indep(a, m, b, n, method="newcomb", compare="diff", correction=False)


def interval(share, method):
    return proportion.proportion_confint(*share, method=method)


print(json.dumps({
    "made_by": "tests/published/reference.py",
    "versions": {"scipy": scipy.__version__, "statsmodels": statsmodels.__version__, "numpy": numpy.__version__},
    "freeman_halton": [{"table": table, "p": freeman_halton(table)} for table in TABLES],
    "newcombe": [{"pair": pair, "limits": list(newcombe(*pair))} for pair in PAIRS],
    "wilson": [{"share": share, "limits": list(interval(share, "wilson"))} for share in SHARES],
    "jeffreys": [{"share": share, "limits": list(interval(share, "jeffreys"))} for share in SHARES],
    "without_ties": readings(*READINGS["without_ties"], "exact"),
    "with_ties": readings(*READINGS["with_ties"], "asymptotic"),
    "area": [{"area": area, "limits": area_limits(*area)} for area in AREAS],
    "strata": {name: stratified(strata) for name, strata in STRATA.items()},
    "van_elteren": {"strata": ELTEREN, "p": van_elteren(ELTEREN)},
    "holm": {"p_values": P_VALUES, "adjusted": list(multitest.multipletests(P_VALUES, method="holm")[1])},
}, indent=1, default=float))
