"""The firm's yearly job lists, each kept in its own way: six CSV files with their dirt."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable

from costlearn.demo.jobs import JobTruth
from costlearn.demo.layouts import (
    BASIC_ITEMS,
    FREE_WORDS,
    IN_FEET,
    IN_METRES,
    ITEM_UNITS,
    LAYOUTS,
    MEASURED,
    MORE_ITEMS,
    TWICE,
    TYPED,
    WITH_SIZE,
    Layout,
    dollars,
)
from costlearn.demo.truth import Dice
from costlearn.units import SQFT_PER_SQM


def job_list(year: int, jobs: Iterable[JobTruth]) -> bytes:
    """The bytes of a year's job list.

    Args:
        year: which layout to use.
        jobs: the jobs begun in that year, in order.
    """
    layout, dice = LAYOUTS[year], Dice(f"job list {year}")
    listed = list(jobs)
    heading = [h for h, _ in layout.columns] + list(layout.scope.values())
    rows: list[list[str]] = [[title] for title in layout.titles]
    rows.append(heading)
    for at, job in enumerate(listed):
        if layout.heading_again and at == layout.heading_again:
            rows += [[], heading]
        if layout.spacer and at == len(listed) // 2:
            rows.append([])
        rows.append(_row(job, layout, dice))
    rows += [_row(j, layout, dice) for j in listed if j.code == TWICE]
    if layout.total:
        rows.append(_total(listed, layout))
    out = io.StringIO()
    width = len(heading)
    writer = csv.writer(out, delimiter=layout.delimiter, lineterminator=layout.line_end)
    writer.writerows(row + [""] * (width - len(row)) for row in rows)
    return out.getvalue().encode(layout.encoding)


def _row(job: JobTruth, layout: Layout, dice: Dice) -> list[str]:
    remark = dice.pick(layout.remarks)
    cells = [
        remark if name == "notes" else TYPED.get((job.code, name), _cell(job, name, layout))
        for _, name in layout.columns
    ]
    return cells + [_scope_cell(job, key, layout, dice) for key in layout.scope]


def _cell(job: JobTruth, name: str, layout: Layout) -> str:
    """One cell of a job's row, as that year's list writes it."""
    started = job.finished is not None
    money = {"price": job.price, "plan_cost": job.plan_cost, "paid": job.paid}
    if name in money:
        return layout.money(money[name])
    if name == "cost":
        return layout.money(job.booked) if started else ""
    if name == "area":
        return _area(job, layout)
    dates = {"started": job.started, "finished": job.finished, "quoted_on": job.quoted_on}
    if name in dates:
        day = dates[name]
        return layout.day(day) if day else ""
    if name in ("person_days", "site_days", "wait_days", "crew") and not started:
        return ""
    texts: dict[str, Callable[[], str]] = {
        "job": lambda: job.name,
        "kind": lambda: layout.kinds.get(job.scope.kind, job.scope.kind),
        "house_year": lambda: str(job.scope.house_year),
        "grade": lambda: job.scope.grade,
        "plan_days": lambda: f"{job.plan_person_days:.1f}",
        "plan_site": lambda: f"{job.plan_site_days:.1f}",
        "plan_elapsed": lambda: str(job.plan_elapsed),
        "person_days": lambda: f"{job.person_days:.1f}",
        "site_days": lambda: str(job.site_days),
        "wait_days": lambda: str(job.wait_days),
        "crew": lambda: "1",
        "state": lambda: ("paid" if job.books_closed else "done") if started else "running",
        "books": lambda: "yes" if job.books_closed else "no",
        "scope": lambda: free_scope(job),
    }
    return texts[name]()


def _area(job: JobTruth, layout: Layout) -> str:
    if job.code in IN_FEET:
        inches = round(job.scope.area * 12 / 6)
        return f"{inches // 12}'{inches % 12}\" x 6'"
    if job.code in IN_METRES:
        return f"{job.scope.area / SQFT_PER_SQM:.2f} m2"
    return layout.area.format(job.scope.area)


def _scope_cell(job: JobTruth, key: str, layout: Layout, dice: Dice) -> str:
    size = job.scope.items.get(key)
    if size is None:
        return ""
    if key in WITH_SIZE or (key in MEASURED and layout.titles and layout.total == "TOTAL"):
        return f"{size:g}"
    return dice.pick(layout.yes)


def free_scope(job: JobTruth) -> str:
    """The scope as one line of text: "full gut; mud pan; tile walls 96 sf"."""
    parts = []
    for key, size in job.scope.items.items():
        word = FREE_WORDS.get(key, {**BASIC_ITEMS, **MORE_ITEMS}[key].lower())
        sized = key in WITH_SIZE or key in ITEM_UNITS
        if key == "lighting":
            parts.append(f"{size:g} {word}")
        else:
            parts.append(f"{word} {size:g}{ITEM_UNITS.get(key, '')}" if sized else word)
    return "; ".join(parts).replace(" (no.)", "")


def _total(jobs: list[JobTruth], layout: Layout) -> list[str]:
    """The list's own total row: the money columns added up, as far as they hold money."""
    cells = [layout.total]
    step = 100 if layout.money is dollars else 1
    for _, name in layout.columns[1:]:
        shown = [j for j in jobs if (j.code, name) not in TYPED]
        amounts = {
            "price": [j.price for j in shown],
            "paid": [j.paid for j in shown],
            "plan_cost": [j.plan_cost for j in shown],
            "cost": [j.booked for j in shown],
        }.get(name)
        rounded = [round(a / step) * step for a in amounts or ()]
        cells.append(layout.money(sum(rounded)) if rounded else "")
    return cells
