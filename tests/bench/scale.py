"""A job book of 100,000 jobs and 1,000,000 phase rows: seconds, memory and growth of each answer.

Run ``nice python tests/bench/scale.py [--jobs 1000 10000 100000] [--only backtest] [--profile]``.
The records are invented by a seeded generator and written as two CSV files, a list of jobs and a
phase sheet of ten rows a job. Every step runs in a process of its own, forked from the one that
read the history, so that ``peak`` is the memory high water of that step with its data; the process
is set as the command line sets it. Growth is the exponent against the size before: 1 is linear.

The bare lines do the arithmetic alone with a library on the same files: pandas reads both, groups
the phases by job and adds them up; statsmodels fits least squares of the logarithm of cost on the
scope, and a mixed model of the logarithm of actual over plan with a level for each job. Bare reads
keep no origins, find no headings and judge no cell; the ratio says what that costs. Nothing here is
asserted: a time belongs to a machine. No firm this tool is made for has so many jobs: what is
looked for is waste, and steps that grow faster than the records.
"""

from __future__ import annotations

import argparse
import cProfile
import csv
import gc
import json
import math
import os
import pstats
import random
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

SIZES = (1_000, 10_000, 100_000)
SEED = 11
LAST = date(2026, 9, 30)
YEARS = 20
RUNNING = 2
PHASES = {
    "Demo": (2.0, 1.12),
    "Framing": (1.0, 1.0),
    "Plumbing rough": (1.5, 1.0),
    "Electrical rough": (1.2, 1.0),
    "Drywall": (2.0, 1.0),
    "Waterproofing": (1.5, 1.08),
    "Tile": (5.0, 1.2),
    "Paint": (1.5, 1.0),
    "Finish": (2.0, 1.0),
    "Clean": (0.5, 1.0),
}
"""Planned person-days of an average job, and what the phase truly takes of its plan."""
ITEMS = {"Niche": 0.08, "Bench": 0.1, "Curbless": 0.15, "Heated floor": 0.09, "Bath fan": 0.03}
"""Scope that half of the jobs have, and what it adds in log points."""
ALWAYS = ("Toilet", "Vanity", "Painting")
JOB_HEAD = (
    "Job,Kind,Area (sq ft),House year,Grade,Quoted price (USD),Planned cost (USD),"
    "Planned person-days,Planned elapsed days,Actual cost (USD),Actual person-days,"
    "Actual site days,Actual elapsed days,Quote date,Start date,Finish date,Books closed"
)
PHASE_HEAD = (
    "Job,Phase,Planned person-days,Planned cost (USD),Actual person-days,Actual site days,"
    "Actual cost (USD)"
)
MIXED_JOBS = 10_000
"""The mixed model of statsmodels is left out beyond so many jobs: its time is in the groups."""

Step = Callable[[], object]


@dataclass(frozen=True)
class Line:
    """What one step took at one size, in seconds on the wall and of the processor, and in GB."""

    step: str
    jobs: int
    wall: float
    cpu: float
    peak: float
    data: float


def invented(jobs: int) -> Iterator[tuple[list[Any], list[list[Any]]]]:
    """Row by row a job of the list, with its rows of the phase sheet; the last two are running."""
    rng = random.Random(SEED)
    for i in range(jobs):
        kind = rng.choice(("bathroom", "bathroom", "bathroom", "laundry", "kitchen"))
        area = round(math.exp(rng.gauss(4.0, 0.3)))
        with_item = {item: rng.random() < 0.5 for item in ITEMS}
        level = 0.45 * math.log(area / 55) + sum(ITEMS[k] for k, has in with_item.items() if has)
        running = i >= jobs - RUNNING
        start = LAST - timedelta(days=round((jobs - i) / jobs * YEARS * 365.25) + 40)
        start = LAST - timedelta(days=10 + i % 5) if running else start
        days, cost, site, planned_days, planned_cost = 0.0, 0.0, 0.0, 0.0, 0.0
        name, rows, crew = f"J-{i:06d}", [], rng.choice((1.0, 2.0))
        luck = rng.gauss(0, 0.08)
        rate = 620 * 1.03 ** ((start - LAST).days / 365.25)
        for k, (phase, (usual, factor)) in enumerate(PHASES.items()):
            plan = round(usual * math.exp(level + rng.gauss(0, 0.1)), 2)
            took = round(plan * factor * math.exp(luck + rng.gauss(0, 0.2)), 2)
            money = round(plan * rate, 2), round(took * rate, 2)
            on_site = round(took / crew**0.55, 2)
            done = [took, on_site, money[1]] if not running or k < 4 else ["", "", ""]
            rows.append([name, phase, plan, money[0], *done])
            planned_days, planned_cost = planned_days + plan, planned_cost + money[0]
            days, cost, site = days + took, cost + money[1], site + on_site
        finish = start + timedelta(days=round(site * 1.6) + 5)
        came: list[Any] = [f"{cost:.2f}", f"{days:.2f}", f"{site:.2f}", round(site + 5, 1)]
        row: list[Any] = [f"{name} {kind}", kind, area, rng.randint(1940, 2015)]
        row += [rng.choice(("low", "middle", "high")), f"{planned_cost * 1.35:.2f}"]
        row += [f"{planned_cost:.2f}", f"{planned_days:.2f}", round(planned_days / 1.3 + 4, 1)]
        row += ["", "", "", ""] if running else came
        row += [start - timedelta(days=30), start, "" if running else finish]
        row += ["no" if running else "yes", *("yes" if has else "" for has in with_item.values())]
        yield [*row, *("yes" for _ in ALWAYS)], rows


def write_files(folder: Path, jobs: int) -> tuple[Path, Path]:
    """The list of jobs and the phase sheet, as CSV files."""
    lists, sheet = folder / "jobs.csv", folder / "phases.csv"
    with (
        lists.open("w", newline="", encoding="utf-8") as one,
        sheet.open("w", newline="", encoding="utf-8") as other,
    ):
        first, second = csv.writer(one), csv.writer(other)
        first.writerow([*JOB_HEAD.split(","), *ITEMS, *ALWAYS])
        second.writerow(PHASE_HEAD.split(","))
        for row, phases in invented(jobs):
            first.writerow(row)
            second.writerows(phases)
    return lists, sheet


def import_files(folder: Path) -> None:
    """Both files into a new book, as ``costlearn import`` does it but for the table it prints."""
    from costlearn.book.store import Book
    from costlearn.firm import Firm
    from costlearn.intake.reader import read_file

    with Book.open(folder / "scale.book") as book:
        for name in ("jobs.csv", "phases.csv"):
            batch = read_file(folder / name, Firm())
            book.add(batch, folder / name)


def read_history(folder: Path) -> Any:
    """All entries of the book, put together as jobs."""
    from costlearn.book.store import Book

    with Book.open(folder / "scale.book") as book:
        return book.history()


def quote() -> Any:
    """A quote to ask about."""
    from costlearn.records import Amounts, Job

    names = ("niche", "curbless", "toilet", "vanity", "paint", "heated_floor")
    return Job(
        key="new", name="New bath", kind="bathroom", state="quoted", quoted_on=LAST,
        area_sqft=60.0, grade=1.0, house_year=1985, price=2_100_000,
        plan=Amounts(cost=1_500_000, person_days=22.0, site_days=16.0, elapsed_days=21.0),
        scope=dict.fromkeys(names, 1.0),
    )  # fmt: skip


def questions(folder: Path, history: Any) -> dict[str, Step]:
    """The steps that start from the history."""
    from costlearn.book.store import Book
    from costlearn.cli import listing
    from costlearn.questions.attention import attention
    from costlearn.questions.estimate import estimate
    from costlearn.questions.overrun.overruns import overruns
    from costlearn.questions.quoting.quote import check
    from costlearn.questions.running.midjob import forecast
    from costlearn.questions.trust import backtest

    def look() -> object:
        with Book.open(folder / "scale.book") as book:
            return attention(history, book.entries())

    return {
        "list of jobs": lambda: listing.table(history, 100),
        "overruns": lambda: overruns(history),
        "backtest": lambda: backtest(history),
        "estimate": lambda: estimate(history, quote()),
        "check": lambda: check(history, quote()),
        "the backtest's bound": lambda: compare_bound(history),
        "forecast": lambda: forecast(history, history.running[0], on=LAST),
        "look for slips": look,
    }


def compare_bound(history: Any) -> tuple[float, float]:
    """Half the width of a range from as many jobs as a backtest takes, and from all.

    Both as a share of the middle, for the same quote.
    """
    from costlearn.questions.known_then import MOST_KNOWN
    from costlearn.questions.learning import predict
    from costlearn.records import History

    newest = History(history.firm, history.usable[-MOST_KNOWN:])
    widths = []
    for known in (newest, history):
        guess = predict(known, quote(), "cost")
        if guess is None:
            raise RuntimeError("no job says what it cost")
        widths.append(math.sqrt(guess.spread.interval(0.8).ratio) - 1)
    few, whole = widths
    print(f"    80 % range {few:.2%} either way from the newest {MOST_KNOWN}, {whole:.2%} from all")
    return few, whole


def bare_read(folder: Path) -> Any:
    """Pandas: both files, and the phases added up by job and by phase."""
    import pandas as pd

    days = ["Quote date", "Start date", "Finish date"]
    jobs = pd.read_csv(folder / "jobs.csv", parse_dates=days)
    phases = pd.read_csv(folder / "phases.csv")
    sums = phases.groupby("Job").sum(numeric_only=True)
    phases.groupby("Phase").mean(numeric_only=True)
    jobs["code"] = jobs["Job"].str.split(" ").str[0]
    return jobs.join(sums.add_suffix(" of phases"), on="code"), phases


def bare_fit(folder: Path) -> None:
    """Statsmodels: least squares of log cost on the scope."""
    import numpy as np
    import statsmodels.api as sm

    jobs, _ = bare_read(folder)
    jobs = jobs[jobs["Actual cost (USD)"].notna()]
    design = jobs[list(ITEMS)].notna().astype(float)
    design["area"], design["years"] = np.log(jobs["Area (sq ft)"]), jobs["House year"] / 100
    design["day"] = jobs["Start date"].astype("int64") / 3.2e16
    design["kitchen"] = (jobs["Kind"] == "kitchen").astype(float)
    begun = time.perf_counter()
    fit = sm.OLS(np.log(jobs["Actual cost (USD)"]), sm.add_constant(design)).fit()
    fit.get_prediction(sm.add_constant(design).iloc[:1]).conf_int(obs=True, alpha=0.2)
    print(f"    of which the fit alone {time.perf_counter() - begun:.3f} s")


def bare_mixed(folder: Path) -> None:
    """Statsmodels: log of actual over plan by phase, with a level for each job."""
    import numpy as np
    import statsmodels.formula.api as smf

    _, phases = bare_read(folder)
    phases = phases[phases["Actual cost (USD)"].notna()]
    ratio = phases["Actual cost (USD)"] / phases["Planned cost (USD)"]
    frame = phases[["Job", "Phase"]].assign(off=np.log(ratio))
    begun = time.perf_counter()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        smf.mixedlm("off ~ 0 + Phase", frame, groups="Job").fit()
    print(f"    of which the fit alone {time.perf_counter() - begun:.3f} s")


def load_libraries() -> None:
    """Set the process as the command line does, and load what the steps need beforehand."""
    from costlearn.cli.main import ONE_THREAD

    gc.set_threshold(200_000, 50, 100)
    for setting in ONE_THREAD:
        os.environ.setdefault(setting, "1")
    import statsmodels.api
    import statsmodels.formula.api

    import costlearn.intake.reader
    import costlearn.pages.write

    assert statsmodels.api and statsmodels.formula.api and costlearn.intake.reader


def memory(field: str) -> float:
    """A line of this process's own state in GB: ``VmHWM`` is its high water, ``VmRSS`` now."""
    text = Path("/proc/self/status").read_text(encoding="utf-8")
    found = next(line for line in text.splitlines() if line.startswith(field))
    return int(found.split()[1]) / 1024**2


def apart(name: str, jobs: int, work: Step, profiled: bool) -> Line:
    """Do a step in a forked process and say what it took.

    Raises:
        RuntimeError: the step failed; its own words stand above.
    """
    sys.stdout.flush()
    receive, send = os.pipe()
    child = os.fork()
    if child == 0:
        status = 1
        try:
            profile = cProfile.Profile()
            before, wall, cpu = memory("VmRSS"), time.perf_counter(), time.process_time()
            result = profile.runcall(work) if profiled else work()
            took = time.perf_counter() - wall, time.process_time() - cpu
            report = json.dumps([*took, memory("VmHWM"), before])
            os.write(send, report.encode())
            if profiled:
                pstats.Stats(profile).sort_stats("tottime").print_stats(22)
            sys.stdout.flush()
            del result
            status = 0
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(status)
    os.close(send)
    with os.fdopen(receive) as stream:
        told = stream.read()
    _, status = os.waitpid(child, 0)
    if status or not told:
        raise RuntimeError(f"the step '{name}' failed at {jobs} jobs")
    return Line(name, jobs, *json.loads(told))


def here(name: str, jobs: int, work: Callable[[], Any]) -> tuple[Any, Line]:
    """Do a step in this process, since the later ones start from what it gives."""
    before, wall, cpu = memory("VmRSS"), time.perf_counter(), time.process_time()
    found = work()
    took = time.perf_counter() - wall, time.process_time() - cpu
    return found, Line(name, jobs, *took, memory("VmHWM"), before)


def measure(folder: Path, jobs: int, only: Sequence[str], profiled: bool) -> Iterator[Line]:
    """All steps at one size, each with what it took."""
    folder.mkdir(exist_ok=True)
    write_files(folder, jobs)
    bare: dict[str, Step] = {
        "pandas alone": lambda: bare_read(folder),
        "least squares alone": lambda: bare_fit(folder),
    }
    if jobs <= MIXED_JOBS:
        bare["mixed model alone"] = lambda: bare_mixed(folder)
    first: dict[str, Step] = {**bare, "import": lambda: import_files(folder)}
    for name, work in first.items():
        if name == "import" or not only or name in only:
            yield apart(name, jobs, work, profiled and name == "import")
    history, line = here("history", jobs, lambda: read_history(folder))
    yield line
    for name, work in questions(folder, history).items():
        if not only or name in only:
            yield apart(name, jobs, work, profiled)


def main(words: Sequence[str] | None = None) -> None:
    """Print the table, size after size."""
    parser = argparse.ArgumentParser(description="How do the answers grow with the records?")
    parser.add_argument("--jobs", type=int, nargs="+", default=SIZES)
    parser.add_argument("--only", nargs="+", default=(), help="besides import and history")
    parser.add_argument("--profile", action="store_true", help="what takes most of each step")
    told = parser.parse_args(words)
    load_libraries()
    head = f"{'step':21}{'jobs':>9}{'wall s':>9}{'cpu s':>9}{'peak GB':>9}{'data GB':>9}"
    print(head + f"{'growth':>8}{'x pandas':>9}", flush=True)
    before: dict[str, Line] = {}
    for jobs in told.jobs:
        with tempfile.TemporaryDirectory() as folder:
            base = 0.0
            for line in measure(Path(folder) / "files", jobs, told.only, told.profile):
                base = line.cpu if line.step == "pandas alone" else base
                last = before.get(line.step)
                growth = " " * 8
                if last:
                    power = math.log(line.cpu / last.cpu) / math.log(line.jobs / last.jobs)
                    growth = f"{power:8.2f}"
                ratio = f"{line.cpu / base:9.0f}" if base else " " * 9
                row = f"{line.step:21}{jobs:9,}{line.wall:9.2f}{line.cpu:9.2f}"
                print(f"{row}{line.peak:9.2f}{line.data:9.2f}{growth}{ratio}", flush=True)
                before[line.step] = line


if __name__ == "__main__":
    main()
