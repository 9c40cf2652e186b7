"""What one process costs: its own CPU seconds, peak memory and time, whatever else has run."""
import dataclasses
import os
import pathlib
import tempfile
import time


@dataclasses.dataclass(order=True)
class Cost:
    """Ordered by CPU seconds."""
    cpu: float
    memory: float
    wall: float


def cost(command, output=os.devnull, codes=(0,)):
    """Runs a command to its end; its memory is in MiB, and never less than this program's own few."""
    streams = [(os.POSIX_SPAWN_OPEN, 1, str(output), os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o644),
               (os.POSIX_SPAWN_OPEN, 2, os.devnull, os.O_WRONLY, 0)]
    begun = time.perf_counter()
    child = os.posix_spawn(command[0], [str(word) for word in command], os.environ, file_actions=streams)
    _, status, used = os.wait4(child, 0)
    wall = time.perf_counter() - begun
    if os.waitstatus_to_exitcode(status) not in codes:
        raise SystemExit(f"failed: {' '.join(map(str, command[:6]))}")
    return Cost(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, wall)


def best(runs, command, **more):
    """The cheapest of several runs."""
    return min(cost(command, **more) for _ in range(runs))


def best_apart(runs, command, folder, **more):
    """The cheapest of several runs that each write a folder of their own: `command` makes the words for it.

    A file system takes its time after thousands of files were removed, which would count against whoever writes next.
    """
    return min(cost(command(pathlib.Path(tempfile.mkdtemp(dir=folder)) / "out"), **more) for _ in range(runs))
