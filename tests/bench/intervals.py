"""How good are the prediction intervals, beside an oracle, the usual rules and other libraries?

Run ``python tests/bench/intervals.py [--short] [--sizes 8,20,60] [--histories 100]``, with
``--ours`` for our method and the rules alone and ``--unseen`` for the world kept apart. For each
invented world and each history size the tables give, for cost, person-days and elapsed days, with
and without the contractor's quote, per method:

* ``score``: interval score at 80 % (width plus 10 times any miss; Strictly
  Proper Scoring Rules, Journal of the American Statistical Association 102 (2007), eq. 43), each
  job's as a share of its true median, divided by the score of an oracle that knows the true odds
  of every job given its records: 1.00 is the limit without a quote, lower is better; and its
  standard error over histories;
* ``crps``: continuous ranked probability score (the same, eq. 20) likewise, where a method gives a
  whole distribution;
* ``50``, ``80``, ``90``: how many of a hundred next jobs fell inside the intervals of that level;
* ``width``: median width of the 80 % interval, as a share of the true median;
* ``of``: histories it was run on (slow methods get a share); ``failed``: those it could not be
  fitted to, left out of its other figures;
* ``ms``: milliseconds for one fit with its predictions.

A further method is one more ``competitors.Competitor`` handed to :func:`run`.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterable, Sequence

import numpy as np
from bars import BARS, bar, covered_band
from competitors import COMPETITORS, OURS, RULES, Competitor, present
from scores import AT, Row, Tally, mean_row, oracle
from unseen import HELD_OUT
from worlds import WORLDS, World, make_trial

QUESTIONS = tuple(BARS)
NEXT_JOBS = 8
SEED = 414
MEAN = "(mean of four)"


def run_cell(
    world: World,
    size: int,
    histories: int,
    competitors: Sequence[Competitor],
    next_jobs: int = NEXT_JOBS,
    questions: Sequence[tuple[str, bool]] = QUESTIONS,
    seed: int = SEED,
) -> list[Row]:
    """All methods on the same histories of one world and size."""
    asked = [(t, q, c) for t, q in questions for c in competitors if c.answers(t, q)]
    tallies = {(t, q, c.name): Tally() for t, q, c in asked}
    place = [w.name for w in WORLDS].index(world.name) if world in WORLDS else len(WORLDS)
    for number in range(histories):
        trial = make_trial(
            world, size, next_jobs, np.random.default_rng([seed, place, size, number])
        )
        best = {target: oracle(trial, target) for target in trial.laws}
        for target, quoted, each in asked:
            if not each.runs_on(number):
                continue
            begun = time.perf_counter()
            said = each.say(trial.history, trial.next_jobs, target, quoted)
            spent = (time.perf_counter() - begun) / (next_jobs if each.fits_each_job else 1)
            value = trial.next_jobs.actual[target]
            tallies[target, quoted, each.name].add(said, best[target], value, spent)
    return [tally.row(world.name, size, *key) for key, tally in tallies.items()]


def run(
    sizes: Sequence[int],
    histories: int,
    worlds: Sequence[World] = WORLDS,
    competitors: Sequence[Competitor] = COMPETITORS,
    next_jobs: int = NEXT_JOBS,
    questions: Sequence[tuple[str, bool]] = QUESTIONS,
    seed: int = SEED,
) -> list[Row]:
    """Every method in every world at every size, and the mean over the worlds that have bars."""
    rows: list[Row] = []
    for size in sizes:
        at_size = [
            r
            for w in worlds
            for r in run_cell(w, size, histories, competitors, next_jobs, questions, seed)
        ]
        rows += at_size
        counted = {w.name for w in worlds if w.in_bars}
        keys = dict.fromkeys((r.target, r.quoted, r.method) for r in at_size)
        for key in keys:
            same = [r for r in at_size if (r.target, r.quoted, r.method) == key]
            in_mean = [r for r in same if r.world in counted]
            if in_mean:
                rows.append(mean_row(in_mean, MEAN))
    return rows


def table(rows: Iterable[Row]) -> str:
    """The rows as plain text."""
    head = f"{'n':>4} {'world':<16} {'method':<18} {'score':>6} {'+-':>5} {'crps':>5} {'50':>5}"
    head += f" {'80':>5} {'90':>5} {'width':>6} {'of':>4} {'failed':>6} {'ms':>7}"
    lines: list[str] = []
    by_question: dict[tuple[str, bool], list[Row]] = {}
    for r in rows:
        by_question.setdefault((r.target, r.quoted), []).append(r)
    for (target, quoted), some in by_question.items():
        lines += ["", f"{name_of(target, quoted)}", head]
        before = ("", 0)
        for r in some:
            if before not in (("", 0), (r.world, r.size)):
                lines.append("")
            before = (r.world, r.size)
            lines.append(_line(r))
    return "\n".join(lines)


def _line(r: Row) -> str:
    held = " ".join(_say(100 * c, "5.1f") for c in r.covered)
    return (
        f"{r.size:>4} {r.world:<16} {r.method:<18} {_say(r.score, '6.2f')} {_say(r.error, '5.2f')}"
        f" {_say(r.crps, '5.2f')} {held} {_say(r.width, '6.2f')} {r.histories:>4} {r.failed:>6}"
        f" {_say(1000 * r.seconds, '7.2f')}"
    )


def name_of(target: str, quoted: bool) -> str:
    """A question in words."""
    return f"{target.replace('_', ' ')}, {'with quote' if quoted else 'items only'}"


def bar_table(rows: Iterable[Row]) -> str:
    """Our mean scores beside the bars, and the share held beside its band: met or not."""
    ours = [r for r in rows if r.world == MEAN and r.method == OURS.name]
    lines = ["", "bars: interval score of costlearn in the mean of four worlds / bar; share held"]
    for target, quoted in QUESTIONS:
        for r in ours:
            if (r.target, r.quoted) != (target, quoted):
                continue
            limit, band = bar(target, quoted, r.size), covered_band(r.size)
            met = "no bar" if limit is None else "met" if r.score <= limit else "MISSED"
            inside = band is None or band[0] <= r.covered[AT] <= band[1]
            lines.append(
                f"{name_of(target, quoted):<26} n={r.size:<4} {r.score:5.2f} +- {r.error:4.2f} /"
                f" {_say(limit if limit is not None else float('nan'), '4.2f')} {met:<7}"
                f" held {100 * r.covered[AT]:4.1f} % {'in band' if inside else 'OUT OF BAND'}"
            )
    return "\n".join(lines)


def _say(value: float, how: str) -> str:
    if np.isfinite(value):
        return format(value, how)
    return "-".rjust(int(how.partition(".")[0]))


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description="How good are the prediction intervals?")
    parser.add_argument("--short", action="store_true", help="a minute's look: few firms, few jobs")
    parser.add_argument("--ours", action="store_true", help="our method and the rules alone")
    parser.add_argument("--unseen", action="store_true", help="the world kept apart")
    parser.add_argument("--sizes", default="8,12,20,35,60,120", help="numbers of finished jobs")
    parser.add_argument("--histories", type=int, default=100, help="firms in each cell")
    parser.add_argument("--seed", type=int, default=SEED, help="other firms")
    chosen = parser.parse_args(arguments)
    competitors, reasons = present((OURS, *RULES) if chosen.ours or chosen.short else COMPETITORS)
    for reason in reasons:
        print(reason)
    worlds = (HELD_OUT,) if chosen.unseen else WORLDS
    if chosen.short:
        rows = run([8, 30], 3, worlds, competitors, next_jobs=4, seed=chosen.seed)
    else:
        sizes = [int(s) for s in chosen.sizes.split(",")]
        rows = run(sizes, chosen.histories, worlds, competitors, seed=chosen.seed)
    print(table(rows))
    print(bar_table(rows))


if __name__ == "__main__":
    main()
