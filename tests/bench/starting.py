"""How long the program takes to say its version: nothing but starting and ending."""
import statistics

from measure import cost
from table import milliseconds

RUNS = 50
MOST = 0.005


def rows(bench):
    walls = [cost([bench.bartack, "--version"]).wall for _ in range(RUNS)]
    median = statistics.median(walls)
    bench.table.held(("start", f"median of {RUNS}"), milliseconds(median), "", "", "< 5 ms wall", median < MOST)
