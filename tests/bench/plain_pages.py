"""Times a cold `build` beside Hugo on as many plain pages of the same text, in one run.

    plain_pages.py ROOT BARTACK HUGO

Hugo gets one page for each record, with its name and its text, through a template of a few lines: no list, no feed, no
search, nothing compared. `build` writes all that it writes.
"""
import os
import pathlib
import shutil
import sys

TEMPLATE = "<!doctype html><html lang=en><title>{{ .Title }}</title><main><h1>{{ .Title }}</h1>{{ .Content }}</main></html>"
PLAIN = 'disableKinds = ["taxonomy", "term", "RSS", "sitemap", "section", "404", "home"]\ntitle = "Plain"\n'
RUNS = 3


def cost(command):
    """CPU seconds and peak memory in MiB of one command, which must succeed."""
    child = os.posix_spawn(command[0], command, os.environ, file_actions=[
        (os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0), (os.POSIX_SPAWN_OPEN, 2, os.devnull, os.O_WRONLY, 0)])
    _, status, used = os.wait4(child, 0)
    if os.waitstatus_to_exitcode(status) != 0:
        raise SystemExit(f"failed: {' '.join(command)}")
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def plain(root, site):
    """Writes the pages for Hugo; gives how many there are."""
    (site / "layouts").mkdir(parents=True)
    (site / "layouts" / "single.html").write_text(TEMPLATE)
    (site / "hugo.toml").write_text(PLAIN)
    count = 0
    for path in sorted((root / "entries").rglob("*.md")):
        _, _, text = path.read_text(encoding="utf-8").partition("\n+++\n")
        page = site / "content" / path.relative_to(root / "entries")
        page.parent.mkdir(parents=True, exist_ok=True)
        page.write_text(f'+++\ntitle = "{path.stem}"\n+++\n{text}', encoding="utf-8")
        count += 1
    return count


def main():
    root, bartack, hugo = pathlib.Path(sys.argv[1]), sys.argv[2], sys.argv[3]
    site, out = root / "plain-pages", root / "out"
    shutil.rmtree(site, ignore_errors=True)
    count = plain(root, site)
    commands = {"bartack": [bartack, "--root", str(root), "build"], "hugo": [hugo, "--source", str(site), "--quiet"]}
    best = {}
    for _ in range(RUNS):
        for name, command in commands.items():
            shutil.rmtree(out if name == "bartack" else site / "public", ignore_errors=True)
            best[name] = min(best.get(name, (float("inf"), 0)), cost(command))
    made = len(list((site / "public").rglob("*.html")))
    shutil.rmtree(site)
    (seconds, memory), (plain_seconds, plain_memory) = best["bartack"], best["hugo"]
    print(f"{count} records, {made} plain pages: build {seconds:.2f} CPU s and {memory:.0f} MiB, Hugo {plain_seconds:.2f}"
          f" and {plain_memory:.0f}: {seconds / plain_seconds:.2f} of its CPU, {memory / plain_memory:.2f} of its memory")


main()
