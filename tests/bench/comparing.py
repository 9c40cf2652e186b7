"""All comparisons of 1,000 models of 5 variants, 12 features and 10 specimens each, by `main.rs`."""
import os

from measure import cost
from table import seconds

MOST = 5.0


def rows(bench):
    os.environ["BENCH_ROOT"] = str(bench.base(50_000, garments=10, features=12))
    output = bench.folder / "compare.out"
    test = "all_pairs_are_compared"
    cost([bench.harness(), "--exact", test, "--nocapture"], output=output)
    del os.environ["BENCH_ROOT"]
    _, pairs, features, took = bench.measured(test, output)[0]
    names = ("all comparisons alone", f"{pairs} pairs")
    bench.table.held(names, seconds(float(took)), f"{features} features", "", "< 5 CPU s", float(took) < MOST)
