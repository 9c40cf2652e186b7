"""The table of `tests/bench/run`: a line for each work, printed as soon as it is measured."""

WIDTHS = (34, 22, 16, 30, 7, 22, 6)
HEADINGS = ("work", "size", "bartack", "yardstick", "ratio", "target", "")


class Table:
    """Prints rows, and counts which targets were met."""

    def __init__(self):
        self.met = self.missed = 0
        self.absent = []
        self.line(*HEADINGS)
        self.line(*("-" * (width - 1) for width in WIDTHS))

    def line(self, *cells):
        text = " ".join(str(cell).ljust(width) for cell, width in zip(cells, WIDTHS))
        print(text.rstrip(), flush=True)

    def held(self, names, ours, yardstick, ratio, target, is_met):
        """A row with a target; `names` is the work and its size."""
        self.met += is_met
        self.missed += not is_met
        self.line(*names, ours, yardstick, ratio, target, "met" if is_met else "MISSED")

    def stated(self, names, ours, yardstick, ratio):
        """A row without a target."""
        self.line(*names, ours, yardstick, ratio, "stated", "")

    def absence(self, what, why):
        """Says at once, and again at the end, what could not be had."""
        self.absent.append(f"not measured: {what}: {why}")
        print(self.absent[-1], flush=True)

    def close(self):
        """The last lines; gives how many targets were missed."""
        print(f"{self.met} targets met, {self.missed} missed")
        for line in self.absent:
            print(line)
        return self.missed


def seconds(value):
    return f"{value:.2f} CPU s"


def mebibytes(value):
    return f"{value:.0f} MiB"


def milliseconds(value):
    return f"{value * 1e3:.1f} ms"


def times(value):
    return f"{value:.2f}"
