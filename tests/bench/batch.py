"""Dates 100,000 garments by `date --batch` and by scikit-learn's CategoricalNB, from one table, in one run.

    batch.py ROOT BARTACK

CategoricalNB names one variant by states alone; `date` also weighs measures, years and landmarks, and gives years,
bits and a measure of surprise. Each gets the garments of the knowledge base, over and over. Both are timed as CPU of
a whole process: reading the table, learning, answering, writing.
"""
import csv
import pathlib
import resource
import subprocess
import sys
import tomllib

GARMENTS = 100_000
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


def garments(root):
    """One row a specimen: its variant, then the readings of its features as the sheet has them."""
    rows = []
    for path in sorted((root / "entries" / "makers").glob("*/*/*/o*.md")):
        front = tomllib.loads(path.read_text(encoding="utf-8").split("+++")[1])
        rows.append(("/".join(path.parts[-4:-1]), front["features"]))
    return rows


def timed(command, output):
    """CPU seconds and wall-clock-free memory of a finished command."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    with open(output, "w", encoding="utf-8") as told:
        subprocess.run(command, check=True, stdout=told, stderr=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def write(path, header, rows):
    with open(path, "w", newline="", encoding="utf-8") as sheet:
        writer = csv.writer(sheet)
        writer.writerow(header)
        writer.writerows(rows)


def main():
    root, bartack = pathlib.Path(sys.argv[1]), sys.argv[2]
    known = garments(root)
    features = sorted({feature for _, readings in known for feature in readings})
    cells = [[readings.get(feature, "") for feature in features] for _, readings in known]
    # The learner reads states; a measure would have as many as there are garments.
    marked = [feature if isinstance(known[0][1][feature], (str, int)) else "=" + feature for feature in features]
    asked = [cells[number % len(cells)] for number in range(GARMENTS)]
    folder = root.parent
    write(folder / "known.csv", ["variant", *marked], [[variant, *row] for (variant, _), row in zip(known, cells)])
    write(folder / "asked.csv", ["variant", *marked], [["", *row] for row in asked])
    write(folder / "sheet.csv", features, asked)
    learner = timed([sys.executable, "-c", LEARNER, str(folder / "known.csv"), str(folder / "asked.csv")], folder / "learner.out")
    command = [bartack, "--root", str(root), "date", "--batch", str(folder / "sheet.csv")]
    ours = timed(command, folder / "ours.out")
    assert sum(1 for _ in open(folder / "ours.out", encoding="utf-8")) == GARMENTS
    variants = len({variant for variant, _ in known})
    print(f"{GARMENTS} garments, {variants} variants: date --batch {ours:.1f} CPU s ({GARMENTS / ours:.0f} a CPU second), CategoricalNB {learner:.1f} CPU s ({GARMENTS / learner:.0f}): {ours / learner:.2f} times its CPU")


main()
