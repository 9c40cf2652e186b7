"""Eras and conflicts alone, by `eras.rs`, which also holds what is found to what was planted."""
import os

from measure import cost
from table import times

SIZES = (1_000, 10_000, 50_000, 100_000)
JUDGED = 50_000
MOST = 2.0
MOST_GROWTH = 1.2


def rows(bench):
    roots = [bench.usual(size) for size in SIZES]
    os.environ["BENCH_ERAS_ROOTS"] = ":".join(map(str, roots))
    output = bench.folder / "eras.out"
    test = "eras::exactly_the_planted_conflicts_are_found"
    cost([bench.harness(), "--exact", test, "--nocapture"], output=output)
    del os.environ["BENCH_ERAS_ROOTS"]
    measured = [(int(size), int(planted), float(took)) for _, size, planted, took in bench.measured(test, output)]
    first = measured[0][2] / measured[0][0]
    for size, planted, took in measured:
        names = ("eras and conflicts alone", f"{size} observations")
        found = f"{planted} of {planted} conflicts"
        if size == JUDGED:
            bench.table.held(names, f"{took:.3f} CPU s", found, "", "< 2 s, each found", took < MOST)
        growth = took / size / first
        if size != measured[0][0]:
            told = f"{took / size * 1e6:.1f} µs each"
            bench.table.held(names, told, f"{first * 1e6:.1f} at {measured[0][0]}", times(growth), "<= 1.20", growth <= MOST_GROWTH)
