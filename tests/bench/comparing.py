"""All comparisons, and all that lines and dated garments say, of 1,000 models of 5 variants, 12 features and 10 specimens
each, by `main.rs`."""
import os

from measure import cost
from table import seconds

MOST = 5.0
MOST_OF_LINES = 2.0


def rows(bench):
    _, pairs, features, took = measured(bench, "all_pairs_are_compared", lines=1)
    names = ("all comparisons alone", f"{pairs} pairs")
    bench.table.held(names, seconds(float(took)), f"{features} features", "", "< 5 CPU s", float(took) < MOST)


def rows_of_lines(bench):
    """Fifty makers of twenty models, each maker with three lines and two wearers."""
    _, pairs, histories, took, of_pairs = measured(bench, "all_lines_are_compared_and_all_changes_sought", lines=3)
    names = ("all lines and changeovers alone", f"{pairs} pairs, {histories} histories")
    told = f"{float(of_pairs):.2f} of it for lines"
    bench.table.held(names, seconds(float(took)), told, "", "< 2 CPU s", float(took) < MOST_OF_LINES)


def measured(bench, test, lines):
    os.environ["BENCH_ROOT"] = str(bench.base(50_000, garments=10, features=12, lines=lines))
    output = bench.folder / f"{test}.out"
    cost([bench.harness(), "--exact", test, "--nocapture"], output=output)
    del os.environ["BENCH_ROOT"]
    return bench.measured(test, output)[0]
