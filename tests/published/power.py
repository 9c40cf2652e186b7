"""Prints how often two variants of n garments each can show a tell, were it only for chance: the table POWER in
tests/published/simulation.rs.

Only the standard library; nothing in the tests runs it. Each variant's count is binomial. A pair counts as found if
Fisher's exact p (two-sided by probability, tolerance 1e-7), times the twelve features that Holm's adjustment counts,
is below 0.05 and Newcombe's lower limit (1998, method 10) is above 0.25. Age and size are left out of account, so that
this is what a comparison can find at most, but for sampling error.
"""

from math import comb, sqrt

Z = 1.959964
FEATURES = 12


def fisher(a, b, n):
    shown = a + b
    ways = {count: comb(n, count) * comb(n, shown - count) for count in range(max(0, shown - n), min(n, shown) + 1)}
    return sum(way for way in ways.values() if way <= ways[a] * (1 + 1e-7)) / comb(2 * n, shown)


def wilson(count, n):
    share = count / n
    middle = (share + Z * Z / (2 * n)) / (1 + Z * Z / n)
    half = Z / (1 + Z * Z / n) * sqrt(share * (1 - share) / n + Z * Z / (4 * n * n))
    return share, middle - half, middle + half


def lower_limit(a, b, n):
    share, low, _ = wilson(max(a, b), n)
    other, _, high = wilson(min(a, b), n)
    return share - other - sqrt((share - low) ** 2 + (high - other) ** 2)


def power(share, n):
    def chance(count, of):
        return comb(n, count) * of**count * (1 - of) ** (n - count)

    found = 0.0
    for a in range(n + 1):
        for b in range(n + 1):
            if FEATURES * fisher(a, b, n) < 0.05 and lower_limit(a, b, n) > 0.25:
                found += chance(a, share) * chance(b, 1 - share)
    return found


if __name__ == "__main__":
    for share in (0.9, 0.8):
        print(share, [(n, round(power(share, n), 4)) for n in (3, 5, 6, 8, 12, 20)])
