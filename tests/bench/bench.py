"""Measures the works that are named, or all of them, each beside its yardstick in the same run.

    bench.py FOLDER BARTACK [WORK…]

FOLDER takes synthetic knowledge bases and is removed by whoever made it. Fails where a target is missed.
"""
import json
import pathlib
import subprocess
import sys

import building
import checking
import comparing
import dating
import extremes
import reasoning
import serving
import starting
from table import Table
from yardsticks import Absent

WORKS = {
    "start": starting.rows,
    "check": checking.rows,
    "eras": reasoning.rows,
    "compare": comparing.rows,
    "lines": comparing.rows_of_lines,
    "build": building.rows,
    "change": building.changed_rows,
    "serve": serving.rows,
    "date": dating.rows,
    "extremes": extremes.rows,
}


class Bench:
    """What every work needs: the program, the table, and knowledge bases by their size."""

    def __init__(self, folder, bartack):
        self.folder = folder
        self.bartack = bartack
        self.table = Table()

    def command(self, root, *words):
        return [self.bartack, "--root", root, *words]

    def base(self, observations, conflicts=0, garments=50, features=5, models=20, lines=1):
        """A knowledge base of this size, made once."""
        root = self.folder / f"{observations}-{conflicts}-{garments}-{features}-{models}-{lines}"
        if not root.exists():
            generator = pathlib.Path(__file__).with_name("generate.py")
            options = {"observations": observations, "conflicts": conflicts, "garments": garments}
            options |= {"features": features, "models": models, "lines": lines}
            words = [word for name, value in options.items() for word in (f"--{name}", str(value))]
            subprocess.run([sys.executable, generator, *words, "--out", root], check=True)
        return root

    def usual(self, observations):
        """The usual one: one conflict planted for 250 observations."""
        return self.base(observations, conflicts=observations // 250)

    def harness(self):
        """The Rust side, `tests/bench/main.rs`, built once."""
        if not hasattr(self, "_harness"):
            words = ["cargo", "test", "--release", "--quiet", "--test", "bench", "--no-run", "--message-format", "json"]
            told = subprocess.run(words, check=True, stdout=subprocess.PIPE, text=True).stdout
            built = [json.loads(line) for line in told.splitlines() if line.startswith("{")]
            paths = [one["executable"] for one in built if one.get("target", {}).get("name") == "bench"]
            self._harness = next(path for path in paths if path)
        return self._harness

    def measured(self, test, output):
        """The lines `measured …` that a test of the harness wrote, as lists of words."""
        lines = pathlib.Path(output).read_text(encoding="utf-8").splitlines()
        found = [line.partition("measured ")[2].split() for line in lines if "measured " in line]
        if not found:
            raise SystemExit(f"{test} measured nothing")
        return found


def main():
    named = sys.argv[3:] or list(WORKS)
    unknown = [name for name in named if name not in WORKS]
    if unknown:
        raise SystemExit(f"no work is called {', '.join(unknown)}; there are {', '.join(WORKS)}")
    bench = Bench(pathlib.Path(sys.argv[1]), sys.argv[2])
    for name in named:
        try:
            WORKS[name](bench)
        except Absent as why:
            bench.table.absence(name, why)
    return 1 if bench.table.close() else 0


if __name__ == "__main__":
    sys.exit(main())
