"""What earns most a day, by kind of job, what comes off it unseen, and whether it pays overhead."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from costlearn.questions.answer import Answer, Table
from costlearn.questions.earning import tables, words
from costlearn.questions.earning.against import Recovered, Unseen, recovered, unseen_of
from costlearn.questions.earning.level import price_level
from costlearn.questions.earning.owner import own_days
from costlearn.questions.earning.takings import (
    MEASURES,
    SITE,
    Mix,
    Taking,
    by_size,
    middle_areas,
    mix_of,
    takings,
)
from costlearn.questions.learning import grounds_of, latest
from costlearn.records import Entry, History
from costlearn.units import say_area


@dataclass(frozen=True)
class Earnings(Answer):
    """What a day on each kind of job leaves after direct cost.

    ``mixes`` are by day on site and by day of the owner's own, those that are known; ``sizes`` the
    same for the kinds with many jobs, by size. ``takings`` are the single jobs behind. ``unseen``
    is what call-backs and unbilled extras cost, ``overhead`` what the jobs left against it.
    """

    mixes: tuple[Mix, ...] = ()
    sizes: Mix | None = None
    takings: tuple[Taking, ...] = ()
    unseen: Unseen | None = None
    overhead: Recovered | None = None
    overhead_per_day: float | None = None

    def of(self, measure: str) -> Mix | None:
        """The kinds by one measure, if it is known."""
        return next((m for m in self.mixes if m.measure == measure), None)

    def tables(self) -> tuple[Table, ...]:
        """Kinds by each measure, pairs, sizes, what comes off, and overhead by year."""
        money = self.grounds.currency
        found = [tables.mix_table(m, money, self.overhead_per_day) for m in self.mixes]
        if any(m.pairs for m in self.mixes):
            found.append(tables.pair_table(self.mixes))
        if self.sizes is not None:
            found.append(tables.mix_table(self.sizes, money, self.overhead_per_day, "by size"))
        if self.unseen is not None and (one := tables.unseen_table(self.unseen, money)):
            found.append(one)
        if self.overhead is not None:
            found.append(tables.overhead_table(self.overhead, money))
        return tuple(found)


def earnings(
    history: History, entries: Iterable[Entry] = (), *, on: date | None = None
) -> Earnings:
    """What a day on each kind of job leaves after direct cost, against overhead.

    Args:
        history: the firm's jobs; jobs with open books are left out.
        entries: the rows behind them, whose hours log tells the owner's days.
        on: the date to whose price level money is brought; default the newest on file.

    Source: ``costlearn.models.levels``.
    """
    jobs = history.usable
    own = own_days(history, jobs, entries)
    level = price_level(history, jobs, on or latest(jobs))
    found = takings(jobs, level, own.by_job)
    must = history.firm.overhead_per_day
    mixes = tuple(m for name in MEASURES if (m := mix_of(found, name, must)) is not None)
    unseen = unseen_of(jobs)
    if not mixes:
        return _nothing(history, found, unseen)
    against = recovered(history.firm, found, len(jobs))
    counted = {t.key for t in found}
    return Earnings(
        words.sentence(mixes, unseen, against, history.firm.currency),
        grounds_of(
            history,
            [j for j in jobs if j.key in counted],
            words.notes(history.firm, found, len(jobs), own.told, against),
            level.words,
        ),
        mixes,
        _sizes(history, found, must),
        found,
        unseen,
        against,
        must,
        cautions=(words.NO_CAUSE,),
    )


def _sizes(history: History, found: Sequence[Taking], must: float | None) -> Mix | None:
    """Kinds with many jobs, parted at their middle area; None where there is no such kind."""
    unit = history.firm.area_unit
    said = {kind: say_area(area, unit) for kind, area in middle_areas(found).items()}
    return mix_of(found, SITE, must, by_size(found, said)) if said else None


def _nothing(history: History, found: Sequence[Taking], unseen: Unseen) -> Earnings:
    return Earnings(
        words.nothing(found),
        grounds_of(history, history.usable),
        takings=tuple(found),
        unseen=unseen,
        known=False,
    )
