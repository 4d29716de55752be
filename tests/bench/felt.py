"""Speed as it is felt: what a command costs in CPU time, beside what Python itself costs.

Run by hand: ``python tests/bench/felt.py``. Times of processes are the least of several runs, so
that a busy machine disturbs them little; ratios compare machines.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

from costlearn.demo.files import demo_folder

RUNS = 3
COSTLEARN = (sys.executable, "-m", "costlearn")


def cpu(words: tuple[str, ...], folder: Path, runs: int = RUNS) -> float:
    """Seconds of CPU a command takes, itself and what it starts, the least of some runs."""
    taken = []
    for _ in range(runs):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(words, cwd=folder, capture_output=True, check=False, env=dict(os.environ))
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        taken.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(taken)


def main() -> None:
    """Print the table."""
    demo = demo_folder()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sheets = (*sorted(map(str, demo.glob("*.csv"))), str(demo / "phases.xlsx"))
        settings = ("--settings", str(demo / "firm.toml"))
        subprocess.run(
            (*COSTLEARN, "import", *sheets, *settings), cwd=folder, capture_output=True, check=True
        )
        nothing = cpu((sys.executable, "-c", "pass"), folder, 5)
        libraries = cpu((sys.executable, "-c", "import pandas, statsmodels.api"), folder)
        print(f"python {nothing:.3f} s, import pandas, statsmodels.api {libraries:.2f} s of CPU")
        for title, words, runs in (
            ("costlearn --help", ("--help",), 5),
            ("costlearn check", ("check", str(demo / "quote_sane.toml")), RUNS),
            ("costlearn demo", ("demo",), 1),
        ):
            took = cpu((*COSTLEARN, *words), folder, runs)
            print(f"{title}: {took:.2f} s, {took / nothing:.0f} x python, "
                  f"{took / libraries:.2f} x the libraries")  # fmt: skip


if __name__ == "__main__":
    main()
