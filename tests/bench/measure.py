"""Runs the program on synthetic knowledge bases of growing size and prints what each run cost."""
import pathlib
import resource
import subprocess
import sys


def cost(command):
    """CPU seconds and peak memory in MiB of a finished command."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    seconds = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return seconds, after.ru_maxrss / 1024


def main():
    folder = pathlib.Path(sys.argv[1])
    sizes = [int(size) for argument in sys.argv[2:] for size in argument.split()]
    first = {}
    print(f"{'observations':>12} {'command':>8} {'CPU s':>8} {'peak MiB':>9} {'s per first s, by size':>24}")
    for size in sizes:
        root = folder / str(size)
        generate = ["python3", "tests/bench/generate.py", "--observations", str(size), "--conflicts", str(size // 250)]
        subprocess.run([*generate, "--out", str(root)], check=True)
        for name, extra in [("check", []), ("build", ["--out", str(folder / "out")])]:
            seconds, memory = cost(["target/release/bartack", "--root", str(root), name, *extra])
            first.setdefault(name, (size, seconds))
            growth = seconds / first[name][1] / (size / first[name][0])
            print(f"{size:>12} {name:>8} {seconds:>8.2f} {memory:>9.0f} {growth:>24.2f}")


main()
