"""Cold builds beside Hugo and Zola on plain pages of the same text, builds of growing size, and what `check` costs after a change.

Hugo and Zola get one page for each record, with its name and its text, through a template of a few lines: no list, no
feed, no search, nothing compared. `build` writes all that it writes.
"""
import itertools
import re
import statistics

import yardsticks
from measure import best_apart, cost
from table import mebibytes, milliseconds, seconds, times

USUAL, LARGE = 10_000, 50_000
RUNS = 3
CHANGES = 5
MOST_OF_HUGO = 0.5
MOST_GROWTH = 1.2
MOST_MEMORY = 1536
MOST_CHECK = 0.150

HUGO_PAGE = "<!doctype html><html lang=en><title>{{ .Title }}</title><main><h1>{{ .Title }}</h1>{{ .Content }}</main></html>"
ZOLA_PAGE = "<!doctype html><html lang=en><title>{{ page.title }}</title><main><h1>{{ page.title }}</h1>{{ page.content | safe }}</main></html>"
HUGO_SETTINGS = 'disableKinds = ["taxonomy", "term", "RSS", "sitemap", "section", "404", "home"]\ntitle = "Plain"\n'
ZOLA_SETTINGS = 'base_url = "https://example.org"\ngenerate_feed = false\nbuild_search_index = false\n'


def rows(bench):
    root = bench.usual(USUAL)
    ours = cold(bench, root, RUNS)
    plain_rows(bench, "Hugo", root, ours)
    plain_rows(bench, "Zola", root, ours)
    large = cold(bench, bench.usual(LARGE), 1)
    names = ("build, cold", f"{LARGE} observations")
    growth = large.cpu / LARGE / (ours.cpu / USUAL)
    before = f"{ours.cpu / USUAL * 1e6:.0f} µs each at {USUAL}"
    bench.table.held(names, f"{large.cpu / LARGE * 1e6:.0f} µs each", before, times(growth), "<= 1.20", growth <= MOST_GROWTH)
    bench.table.held(names, mebibytes(large.memory), "", "", "< 1536 MiB", large.memory < MOST_MEMORY)


def cold(bench, root, runs):
    """A build where nothing is left of an earlier one."""
    return best_apart(runs, lambda out: bench.command(root, "build", "--out", out), bench.folder, codes=(0, 1))


def plain_rows(bench, name, root, ours):
    """One other generator; only Hugo has a target."""
    try:
        program = yardsticks.hugo() if name == "Hugo" else yardsticks.zola()
    except yardsticks.Absent as why:
        bench.table.absence(f"build beside {name}", why)
        return
    site = bench.folder / f"plain-{name}"
    count = plain(root, site, name)
    if name == "Hugo":
        theirs = best_apart(RUNS, lambda out: [program, "--source", site, "--destination", out, "--quiet"], site)
    else:
        theirs = best_apart(RUNS, lambda out: [program, "--root", site, "build", "--output-dir", out], site)
    made = len(list(site.rglob("out/**/*.html")))
    if made < count * RUNS:
        raise SystemExit(f"{name} made {made} pages of {count * RUNS}")
    names = ("build, cold", f"{count} records")
    told = [(seconds(ours.cpu), f"{seconds(theirs.cpu)} {name}", ours.cpu / theirs.cpu)]
    told.append((mebibytes(ours.memory), f"{mebibytes(theirs.memory)} {name}", ours.memory / theirs.memory))
    for kind, (own, other, ratio) in zip(("CPU", "memory"), told):
        if name == "Hugo":
            bench.table.held(names, own, other, times(ratio), f"<= half its {kind}", ratio <= MOST_OF_HUGO)
        else:
            bench.table.stated(names, own, other, times(ratio))


def plain(root, site, name):
    """Writes the pages, the template and the settings; gives how many pages there are."""
    if name == "Hugo":
        texts = {"layouts/single.html": HUGO_PAGE, "hugo.toml": HUGO_SETTINGS}
    else:
        texts = {"templates/page.html": ZOLA_PAGE, "templates/index.html": "", "config.toml": ZOLA_SETTINGS}
    count = 0
    for path in sorted((root / "entries").rglob("*.md")):
        _, _, text = path.read_text(encoding="utf-8").partition("\n+++\n")
        write(site / "content" / path.relative_to(root / "entries"), f'+++\ntitle = "{path.stem}"\n+++\n{text}')
        count += 1
    for path, text in texts.items():
        write(site / path, text)
    return count


def write(path, text):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def changed_rows(bench):
    root = bench.usual(USUAL)
    changes = endless(root)
    checks = [after(changes, bench.command(root, "check")) for _ in range(CHANGES)]
    wall = statistics.median(checked.wall for checked in checks)
    names = ("check, one observation changed", f"{USUAL} observations")
    bench.table.held(names, milliseconds(wall), "", "", "< 150 ms wall", wall < MOST_CHECK)


def after(changes, command):
    """What a command costs after one more change."""
    next(changes)()
    return cost(command, codes=(0, 1))


def endless(root):
    """One change after another, each of another observation: its waist, which is counted and compared."""
    for path in itertools.cycle(sorted((root / "entries" / "makers").glob("*/*/*/o*.md"))[7::977]):
        yield lambda: path.write_text(re.sub(r"waist = (\d+)", another, path.read_text(encoding="utf-8")), encoding="utf-8")


def another(found):
    """An inch more, or less."""
    return f"waist = {int(found[1]) ^ 1}"
