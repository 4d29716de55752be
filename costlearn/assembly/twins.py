"""One purchase in two tables, a receipt and a card line say: found, counted once, both told."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from costlearn.assembly.purchases import (
    DAYS_APART,
    ONE,
    TWO,
    Purchase,
    are_one,
    key_of_two,
    one_job,
    said_of,
)
from costlearn.assembly.trail import Trail
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.records import CostEntry, Entry, Question, Twin
from costlearn.vocabulary import NEVER_DIRECT, UNASSIGNED, fold

_Cluster = list[Purchase]


def find_twins(
    costs: Iterable[CostEntry], firm: Firm, told: Mapping[str, str] | None = None
) -> tuple[Twin, ...]:
    """Purchases that stand in two tables, each counted once: same amount, near days, like payee.

    A table is a sheet of a file; two like purchases of one sheet are two purchases, and so are more
    of them in one sheet than in the other. Without a date on either side the document must be the
    same. A payee nobody names does not speak against it. Which of them counts does not depend on
    what was imported first.

    Args:
        costs: the cost lines of all files.
        firm: gives the currency of lines that state none.
        told: what a person said to the questions of :func:`twin_questions`, by their keys.
    """
    rows: dict[tuple[str, str, int], list[CostEntry]] = {}
    for line in costs:
        rows.setdefault((line.place.file, line.place.sheet, line.place.row), []).append(line)
    single = [Purchase(where[:2], tuple(lines)) for where, lines in rows.items()]
    if len({one.table for one in single}) < 2:
        return ()
    known = told or {}
    found, left = _clustered(_by_document(single), firm, known, sure=True)
    left = [Purchase(u.table, tuple(lines)) for u in left for lines in _rows(u.lines)]
    for sure in (True, False):
        more, left = _clustered(left, firm, known, sure=sure)
        found += more
    twins = [twin for cluster, sure in found for twin in _twins(cluster, sure=sure)]
    return tuple(sorted(twins, key=lambda t: (t.first[0].place, t.second[0].place)))


def counted_once(entries: Iterable[Entry], twins: Sequence[Twin]) -> Iterator[Entry]:
    """The entries with each purchase once: what is on file a second time is left out."""
    first = {(p.file, p.sheet, p.row): t.first for t in twins for p in _places(t.first)}
    second = {(p.file, p.sheet, p.row) for t in twins for p in _places(t.second)}
    done: set[int] = set()
    for entry in entries:
        place = entry.place
        where = (place.file, place.sheet, place.row)
        if not isinstance(entry, CostEntry) or (where not in first and where not in second):
            yield entry
        elif where in first and id(first[where]) not in done:
            done.add(id(first[where]))
            yield from first[where]


def second_places(twins: Iterable[Twin]) -> dict[Place, tuple[Place, ...]]:
    """Where purchases that count stand a second time, by the place of each of their lines."""
    found: dict[Place, tuple[Place, ...]] = {}
    for twin in twins:
        for place in _places(twin.first):
            found[place] = (*found.get(place, ()), *_places(twin.second))
    return found


def say_twins(twins: Iterable[Twin], costs: Iterable[CostEntry], trail: Trail) -> None:
    """Say in a job's trail where the two records of a purchase disagree, or may be of two."""
    mine = {line.place for line in costs}
    for twin in twins:
        if (twin.differ or not twin.sure) and mine & set(_places(twin.first)):
            trail.disagree(f"direct cost: {say_twin(twin)}")


def say_twin(twin: Twin) -> str:
    """Two records of a purchase and which of them counts, in one sentence."""
    one, other = twin.first[0], twin.second[0]
    cents = sum(line.gross for line in twin.first)
    sign = one.currency + " " if one.currency else ""
    payee = one.payee or other.payee or "no payee"
    stands = f"{sign}{cents / 100:,.2f} ({payee}) stands at {one.place} and at {other.place}"
    if not twin.sure:
        return f"{stands} and may be one purchase; only the first is counted until you say."
    apart = {"job": (one.job, other.job), "kind": (one.kind, other.kind)}
    said = [f"{what} '{apart[what][0]}' and '{apart[what][1]}'" for what in twin.differ]
    against = f", which disagree: {' and '.join(said)}" if said else ""
    return f"{stands}{against}; the first is counted."


def twin_questions(twins: Iterable[Twin]) -> tuple[Question, ...]:
    """Ask about purchases that may be one or two; each counts once until a person says."""
    return tuple(_question(twin) for twin in twins if not twin.sure)


def _question(twin: Twin) -> Question:
    one, other = twin.first[0], twin.second[0]
    cents = abs(sum(line.gross for line in twin.second))
    shown = tuple(f"{said_of(side)} ({side[0].place})" for side in (twin.first, twin.second))
    text = f"One purchase or two: {shown[0]} and {shown[1]}? Only the first is counted so far."
    return Question(
        key=key_of_two(twin.first, twin.second),
        topic="twin",
        place=other.place,
        found=other.payee,
        text=text,
        choices=(ONE, TWO),
        money=cents,
        holds=f"a cost line of {one.job}" if one.job else "",
        samples=shown,
    )


def _places(lines: Iterable[CostEntry]) -> tuple[Place, ...]:
    return tuple(dict.fromkeys(line.place for line in lines))


def _rows(lines: Iterable[CostEntry]) -> Iterable[list[CostEntry]]:
    rows: dict[int, list[CostEntry]] = {}
    for line in lines:
        rows.setdefault(line.place.row, []).append(line)
    return rows.values()


def _by_document(single: Iterable[Purchase]) -> list[Purchase]:
    """The lines of one bill together; a bank's own reference names no bill."""
    bills: dict[tuple[object, ...], list[Purchase]] = {}
    for one in single:
        line = one.lines[0]
        name = fold(line.document) if not line.on_statement else ""
        mark = (name, fold(line.payee), line.day) if name else (line.place.row,)
        bills.setdefault((one.table, *mark), []).append(one)
    return [
        parts[0]
        if len(parts) == 1
        else Purchase(parts[0].table, tuple(line for part in parts for line in part.lines))
        for parts in bills.values()
    ]


def _clustered(
    purchases: Iterable[Purchase], firm: Firm, told: Mapping[str, str], *, sure: bool
) -> tuple[list[tuple[_Cluster, bool]], list[Purchase]]:
    """Purchases that are one, at most one of a table, as many as can be; and those left over.

    Tables come one after the other, each paired off with what was found before.
    """
    tables: dict[tuple[str, str], list[Purchase]] = {}
    for one in sorted(purchases, key=lambda p: p.place):
        tables.setdefault(one.table, []).append(one)
    clusters: list[_Cluster] = []
    index: dict[tuple[str, int], dict[int, None]] = {}
    for units in tables.values():
        edges: list[list[int]] = []
        order: list[tuple[tuple[object, ...], int]] = []
        for number, unit in enumerate(units):
            near = {at for mark in _marks(unit, firm) for at in index.get(mark, ())}
            ways = sorted(
                (max(_cost(unit, m) for m in clusters[at]), at)
                for at in near
                if all(are_one(unit, m, told, sure=sure) for m in clusters[at])
            )
            edges.append([at for _, at in ways])
            if ways:
                order.append((ways[0], number))
        paired = _pair_off(edges, [number for _, number in sorted(order)])
        for number, unit in enumerate(units):
            at = paired.get(number, len(clusters))
            if at == len(clusters):
                clusters.append([])
            clusters[at].append(unit)
            for mark in _marks(unit, firm):
                index.setdefault(mark, {})[at] = None
    whole = [(cluster, sure) for cluster in clusters if len(cluster) > 1]
    return whole, [cluster[0] for cluster in clusters if len(cluster) == 1]


def _marks(unit: Purchase, firm: Firm) -> list[tuple[str, int]]:
    return [(unit.lines[0].currency or firm.currency, cents) for cents in unit.amounts]


def _pair_off(edges: Sequence[Sequence[int]], order: Iterable[int]) -> dict[int, int]:
    """As many pairs as there can be: a later one may move an earlier one to its next best.

    Breadth-first augmenting paths, after C. Berge, Two theorems in graph theory, 1957.
    """
    taken: dict[int, int] = {}
    own: dict[int, int] = {}
    for start in order:
        came: dict[int, int] = {}
        queue = [start]
        free: int | None = None
        for unit in queue:
            for at in edges[unit]:
                if at not in came:
                    came[at] = unit
                    if at not in taken:
                        free = at
                        break
                    queue.append(taken[at])
            if free is not None:
                break
        while free is not None:
            unit = came[free]
            before = own.get(unit)
            taken[free], own[unit] = unit, free
            free = before
    return own


def _cost(one: Purchase, other: Purchase) -> tuple[int, int]:
    """How far two purchases are apart: other jobs, then days."""
    first, second = one.lines[0], other.lines[0]
    gap = abs((first.day - second.day).days) if first.day and second.day else DAYS_APART
    return int(not one_job(one, other)), gap


def _twins(cluster: _Cluster, *, sure: bool) -> Iterator[Twin]:
    """The pairs of a cluster: the one that counts, filled in by the others, with each of those."""
    counted, *others = sorted(cluster, key=lambda one: one.rank)
    lines = counted.lines
    for other in others:
        lines = _filled_in(lines, other.lines)
    for other in others:
        differ: tuple[str, ...] = () if one_job(counted, other) else ("job",)
        if counted.kind and other.kind and counted.kind != other.kind:
            differ += ("kind",)
        yield Twin(lines, other.lines, sure, differ)


def _filled_in(
    lines: tuple[CostEntry, ...], others: tuple[CostEntry, ...]
) -> tuple[CostEntry, ...]:
    """Cost lines with the job, kind and phase that only their twin names."""
    apart = any(line.job or line.kind == "overhead" for line in lines)
    if not apart and len(lines) == 1 and any(other.job for other in others):
        (line,) = lines
        weights = [other.gross for other in others]
        nets = _shared(line.net, weights)
        taxes = _shared(line.tax or 0, weights)
        lines = tuple(
            replace(
                line,
                job=other.job,
                kind=line.kind if other.job else other.kind,
                net=net,
                tax=None if line.tax is None else tax,
                callback_of=other.callback_of,
            )
            for other, net, tax in zip(others, nets, taxes, strict=True)
        )
    elif not apart and len({other.job for other in others}) == 1:
        lines = tuple(replace(line, job=others[0].job) for line in lines)
    if len({(other.kind, other.phase) for other in others}) > 1:
        return lines
    kind, phase = others[0].kind, others[0].phase
    return tuple(
        replace(
            line,
            kind=kind if line.kind == UNASSIGNED and kind not in NEVER_DIRECT else line.kind,
            phase=phase if line.phase in (None, UNASSIGNED) else line.phase,
        )
        for line in lines
    )


def _shared(cents: int, weights: Sequence[int]) -> list[int]:
    """Cents shared out by weights, to the last one."""
    whole = sum(weights) or 1
    runs = [cents * sum(weights[: n + 1]) // whole for n in range(len(weights))]
    return [run - before for run, before in zip(runs, [0, *runs], strict=False)]
