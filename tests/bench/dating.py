"""One garment among 1,000 variants by itself, and 100,000 by `date --batch` beside scikit-learn's CategoricalNB.

CategoricalNB names one variant by states alone; `date` also weighs measures, years and landmarks, and gives years,
bits and a measure of surprise. Each gets the garments of the knowledge base, over and over. Both are timed as CPU of
a whole process: reading the table, learning, answering, writing.
"""
import csv
import os
import tomllib

import yardsticks
from measure import cost
from table import seconds, times

GARMENTS = 100_000
MOST_ANSWER, MOST_ADVICE = 2.0, 50.0
LEARNER = """
import csv, sys
import numpy
from sklearn.naive_bayes import CategoricalNB
from sklearn.preprocessing import OrdinalEncoder
known = list(csv.reader(open(sys.argv[1])))
asked = list(csv.reader(open(sys.argv[2])))
states = [at for at, name in enumerate(known[0]) if at > 0 and not name.startswith("=")]
table = numpy.array(known[1:])
encoder = OrdinalEncoder()
learner = CategoricalNB().fit(encoder.fit_transform(table[:, states]), table[:, 0])
answers = learner.predict(encoder.transform(numpy.array(asked[1:])[:, states]))
print("\\n".join(answers))
"""


def rows(bench):
    # 1,000 variants of 12 features with states and counts and 3 measures, 10 specimens each.
    root = bench.base(10_000, garments=10, features=15)
    one_rows(bench, root)
    sheet_row(bench, root)


def one_rows(bench, root):
    os.environ["BENCH_DATING_ROOT"] = str(root)
    output = bench.folder / "dating.out"
    test = "dating::a_garment_is_dated_among_a_thousand_variants"
    cost([bench.harness(), "--exact", test, "--nocapture"], output=output)
    del os.environ["BENCH_DATING_ROOT"]
    plain, advice, measures = map(float, bench.measured(test, output)[0][1:])
    names = ("date, one garment alone", "1000 variants")
    bench.table.held(names, f"{plain:.2f} ms", "12 features", "", "< 2 ms CPU", plain < MOST_ANSWER)
    bench.table.held(names, f"{advice:.2f} ms", "advice where to look", "", "< 50 ms CPU", advice < MOST_ADVICE)
    bench.table.stated(names, f"{measures:.2f} ms", "with 3 measures more", "")


def sheet_row(bench, root):
    sheets = written(bench.folder, garments(root))
    ours = cost(bench.command(root, "date", "--batch", sheets[2]), output=bench.folder / "ours.out").cpu
    with open(bench.folder / "ours.out", encoding="utf-8") as answers:
        if sum(1 for _ in answers) != GARMENTS:
            raise SystemExit("date --batch did not answer each row")
    try:
        command = [yardsticks.learner(), "-c", LEARNER, *sheets[:2]]
    except yardsticks.Absent as why:
        bench.table.absence("date --batch beside CategoricalNB", why)
        return
    theirs = cost(command, output=bench.folder / "learner.out").cpu
    names = ("date --batch, 1000 variants", f"{GARMENTS} garments")
    bench.table.stated(names, seconds(ours), f"{seconds(theirs)} CategoricalNB", times(ours / theirs))


def garments(root):
    """One row a specimen: its variant, then the readings of its features as the sheet has them."""
    found = []
    for path in sorted((root / "entries" / "makers").glob("*/*/*/o*.md")):
        front = tomllib.loads(path.read_text(encoding="utf-8").split("+++")[1])
        found.append(("/".join(path.parts[-4:-1]), front["features"]))
    return found


def written(folder, known):
    """What is known and what is asked, for the learner; then what is asked, for `date`."""
    features = sorted({feature for _, readings in known for feature in readings})
    cells = [[readings.get(feature, "") for feature in features] for _, readings in known]
    # The learner reads states; a measure would have as many as there are garments.
    marked = [feature if isinstance(known[0][1][feature], (str, int)) else "=" + feature for feature in features]
    asked = [cells[number % len(cells)] for number in range(GARMENTS)]
    sheets = [
        ("known.csv", ["variant", *marked], [[variant, *row] for (variant, _), row in zip(known, cells)]),
        ("asked.csv", ["variant", *marked], [["", *row] for row in asked]),
        ("sheet.csv", features, asked),
    ]
    return [write(folder / name, header, cells_of) for name, header, cells_of in sheets]


def write(path, header, cells):
    with open(path, "w", newline="", encoding="utf-8") as sheet:
        writer = csv.writer(sheet)
        writer.writerow(header)
        writer.writerows(cells)
    return path
