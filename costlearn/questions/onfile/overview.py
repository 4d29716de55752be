"""How does the firm stand: what is on file, what is sure, what is not, what to record next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from costlearn.assembly import finish_unknown
from costlearn.questions.answer import Answer, Table
from costlearn.questions.earning.earnings import Earnings
from costlearn.questions.earning.tables import mix_table
from costlearn.questions.learning import grounds_of
from costlearn.questions.onfile.job import price_of
from costlearn.questions.onfile.told import firm_facts, lacking, not_sure, surely
from costlearn.questions.wording import count_of
from costlearn.records import History, Job
from costlearn.units import say_area, say_money, say_percent

NO_DATE = "no date"
STATES = ("finished", "books open", "running", "finish not known", "quoted")


@dataclass(frozen=True, slots=True)
class YearCount:
    """How many jobs of each state a year has; ``year`` None for those without a date."""

    year: int | None
    finished: int
    books_open: int
    running: int
    finish_unknown: int
    quoted: int

    @property
    def counts(self) -> tuple[int, ...]:
        """The counts in the order of the states."""
        return (
            self.finished,
            self.books_open,
            self.running,
            self.finish_unknown,
            self.quoted,
        )


@dataclass(frozen=True, slots=True)
class JobLine:
    """One job on the list: its key and name, and the rest as it is to be read."""

    key: str
    name: str
    kind: str
    state: str
    when: str
    floor: str
    cost: str
    left: str

    @property
    def cells(self) -> tuple[str, ...]:
        """What stands in its row."""
        return (self.name, self.kind, self.state, self.when, self.floor, self.cost, self.left)


@dataclass(frozen=True)
class Overview(Answer):
    """The firm's state at a glance.

    ``sure`` and ``unsure`` say what the records tell and do not tell, ``record`` what to write down
    next, what helps most first. ``years`` counts jobs, ``jobs`` lists them, newest first.
    """

    sure: tuple[str, ...] = ()
    unsure: tuple[str, ...] = ()
    record: tuple[str, ...] = ()
    years: tuple[YearCount, ...] = ()
    says: tuple[tuple[str, int], ...] = ()
    mix: Table | None = None
    jobs: tuple[JobLine, ...] = ()

    def tables(self) -> tuple[Table, ...]:
        """Jobs by year and state, what finished jobs say, and what a day earns."""
        found = []
        if self.years:
            found.append(self._years())
        if self.says and self.grounds.jobs:
            found.append(self._says())
        if self.mix is not None:
            found.append(self.mix)
        return tuple(found)

    def job_table(self) -> Table:
        """All jobs, the newest first."""
        heads = ("job", "kind", "state", "when", "floor", "direct cost", "left")
        note = (
            "A question mark: nobody wrote it down. What is left is the price less direct cost; it "
            "must carry overhead and profit."
        )
        return Table("Jobs on file", heads, tuple(j.cells for j in self.jobs), note)

    def _years(self) -> Table:
        met = [i for i in range(len(STATES)) if any(y.counts[i] for y in self.years)]
        rows = [
            (NO_DATE if y.year is None else str(y.year), *(str(y.counts[i] or "") for i in met))
            for y in self.years
        ]
        rows.append(("all", *(str(sum(y.counts[i] for y in self.years)) for i in met)))
        return Table(
            "Jobs on file, by year",
            ("year", *(STATES[i] for i in met)),
            tuple(rows),
            "By the year a job ended in, else began or was quoted in.",
            totals=1,
        )

    def _says(self) -> Table:
        rows = tuple(
            (name, str(count), say_percent(count / self.grounds.jobs)) for name, count in self.says
        )
        heads = ("what", "jobs that say it", "share")
        return Table("What your finished jobs say", heads, rows)


def overview(
    history: History, told: Sequence[Answer] = (), *, look: int = 0, waiting: int = 0
) -> Overview:
    """The firm's state, from its jobs and from answers already made.

    Args:
        history: the firm's jobs.
        told: answers about the firm as a whole (trust, overruns, crew, earnings), in any order.
        look: how many things on file are worth a look.
        waiting: how many questions about the records wait for an answer.
    """
    jobs = history.usable
    says = firm_facts(jobs)
    record = lacking(history, told, says, look=look, waiting=waiting)
    earned = next((a for a in told if isinstance(a, Earnings) and a.known), None)
    money = history.firm.currency
    return Overview(
        _sentence(history, surely(told), record),
        grounds_of(history, jobs, prices="of each job's own time, where nothing else is said"),
        surely(told),
        not_sure(history, told),
        record,
        year_counts(history.jobs),
        says,
        mix_table(earned.mixes[0], money, earned.overhead_per_day) if earned else None,
        tuple(_line(j, money, history.firm.area_unit) for j in _newest_first(history.jobs)),
        known=bool(history.jobs),
    )


def year_counts(jobs: Sequence[Job]) -> tuple[YearCount, ...]:
    """How many jobs of each state there are by year, oldest first; undated ones last."""
    found: dict[int | None, list[int]] = {}
    for job in jobs:
        day = _dated(job)
        row = found.setdefault(day.year if day else None, [0] * len(STATES))
        row[STATES.index(state_of(job))] += 1
    order = sorted(found, key=lambda y: (y is None, y or 0))
    return tuple(YearCount(year, *found[year]) for year in order)


def state_of(job: Job) -> str:
    """The state of a job in words: a finished one may have its books open, a begun one be over."""
    if job.state == "finished" and job.books_closed is False:
        return "books open"
    if finish_unknown(job):
        return "finish not known"
    return job.state


def _dated(job: Job) -> date | None:
    return job.finished or job.started or job.quoted_on


def _newest_first(jobs: Sequence[Job]) -> list[Job]:
    return sorted(jobs, key=lambda j: (_dated(j) or date.min, j.key), reverse=True)


def _line(job: Job, currency: str, unit: str) -> JobLine:
    cost, day, price = job.actual.total, _dated(job), price_of(job)
    left = None if cost is None or price is None or job.state != "finished" else price[0] - cost
    return JobLine(
        job.key,
        job.name,
        job.kind or "?",
        state_of(job),
        f"{day:%b %Y}" if day else "?",
        say_area(job.area_sqft, unit) if job.area_sqft else "?",
        "?" if cost is None else say_money(cost / 100, currency),
        "" if job.state != "finished" else "?" if left is None else say_money(left / 100, currency),
    )


def _sentence(history: History, sure: Sequence[str], record: Sequence[str]) -> str:
    if not history.jobs:
        return "Nothing is on file yet: bring in your own files with 'costlearn import'."
    text = f"{count_of(len(history.usable), 'finished job')} on file to learn from"
    others = [
        f"{len(found)} {words}"
        for found, words in (
            ([j for j in history.running if not finish_unknown(j)], "running"),
            ([j for j in history.running if finish_unknown(j)], "not known whether finished"),
            (history.open_books, "with books still open"),
        )
        if found
    ]
    text += f", {', '.join(others)}." if others else "."
    if sure:
        text += f" {sure[0]}"
    if record:
        text += f" What to record next: {record[0][:1].lower()}{record[0][1:]}"
    return text
