"""What was asked, in words: the job, its scope, the figures quoted for it."""

from __future__ import annotations

from datetime import date

from costlearn.questions.wording import say_list
from costlearn.records import Job
from costlearn.units import FT_PER_M, say_area, say_days, say_money
from costlearn.vocabulary import Item, standard

PLANS = (
    ("person_days", "person-days"),
    ("site_days", "days on site"),
    ("wait_days", "wait days"),
    ("elapsed_days", "working days, first to last"),
)


def subject(job: Job, unit: str) -> str:
    """The job in one line: name, kind, floor area."""
    parts = [job.name, _kind(job), say_area(job.area_sqft, unit) if job.area_sqft else ""]
    return ", ".join(p for p in parts if p)


def particulars(job: Job, unit: str, currency: str, on: date | None) -> tuple[tuple[str, str], ...]:
    """What the question rests on, by name: scope, house, quoted figures, date, where said."""
    there = [k for k, v in job.scope.items() if v]
    without = [k for k, v in job.scope.items() if v == 0]
    found = [
        ("Scope", ", ".join(sized(k, float(job.scope[k] or 0), unit) for k in there)),
        ("Said to be left out", say_list([sized(k, 1, unit) for k in without])),
        ("House built", str(job.house_year) if job.house_year else ""),
        ("Price", say_money(job.price / 100, currency) if job.price is not None else ""),
        ("Planned", _planned(job, currency)),
        ("Asked at prices of", f"{on.day} {on:%B %Y}" if on else ""),
    ]
    return tuple((name, said) for name, said in found if said)


def sized(key: str, size: float, unit: str) -> str:
    """A scope item with its size: "wall tile 96 sq ft"; one piece, or no size given: its name."""
    item = _item(key)
    if item is None:
        return key
    if size == 1:
        return item.name
    if item.unit == "sqft":
        return f"{item.name} {say_area(size, unit)}"
    if item.unit == "lnft":
        return f"{item.name} " + (f"{size / FT_PER_M:.1f} m" if unit == "sqm" else f"{size:g} ft")
    return f"{item.name} ({size:g})"


def _item(key: str) -> Item | None:
    return next((i for i in standard().items if i.key == key), None)


def _kind(job: Job) -> str:
    if not job.kind:
        return ""
    return next((k.name for k in standard().job_kinds if k.key == job.kind), job.kind)


def _planned(job: Job, currency: str) -> str:
    total = job.plan.total
    said = [] if total is None else [f"{say_money(total / 100, currency)} direct cost"]
    for name, words in PLANS:
        value = getattr(job.plan, name)
        if value is not None:
            said.append(f"{say_days(value).split(' ', 1)[0]} {words}")
    return ", ".join(said)
