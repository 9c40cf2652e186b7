"""How long an open page waits after a save: from before the write until the preview's events tell of a new build."""
import re
import socket
import statistics
import subprocess
import time

from building import USUAL, endless
from table import milliseconds

SAVES = 5
MOST = 0.300
PATIENCE = 120


def rows(bench):
    root = bench.usual(USUAL)
    server = subprocess.Popen(bench.command(root, "serve", "--port", "0"), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    try:
        waits = saves(port(server), endless(root))
    finally:
        server.terminate()
        server.wait(PATIENCE)
    median = statistics.median(waits)
    bench.table.held(("serve, save to reload", f"{USUAL} observations"), milliseconds(median), f"median of {SAVES}", "", "< 300 ms wall", median < MOST)


def port(server):
    """Reads what the server says until it says where it serves."""
    for line in server.stderr:
        if found := re.search(r"http://127\.0\.0\.1:(\d+)/", line):
            return int(found[1])
    raise SystemExit("serve ended before it served")


def saves(number, changes):
    """The seconds each of several saves takes to be told."""
    with socket.create_connection(("127.0.0.1", number), timeout=PATIENCE) as stream:
        request = f"GET /.bartack/events HTTP/1.1\r\nHost: 127.0.0.1:{number}\r\n\r\n"
        stream.sendall(request.encode())
        lines = stream.makefile(encoding="utf-8")
        told(lines)
        return [saved(lines, change) for change, _ in zip(changes, range(SAVES))]


def saved(lines, change):
    # A person saves at no particular moment between two looks of the server; 37 ms more than a second is none either.
    time.sleep(1.037)
    begun = time.perf_counter()
    change()
    told(lines)
    return time.perf_counter() - begun


def told(lines):
    """Waits until a build is told; a line that begins with a colon says that nothing has changed."""
    for line in lines:
        if line.startswith("data: "):
            return
    raise SystemExit("the events of the preview ended")
