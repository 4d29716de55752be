"""Records kept outside this repository: a firm's whole records, and public files with their facts.

A firm's folder holds ``records/`` and ``truth.json``; a public folder holds each file beside a
``.toml`` of its name with ``[facts]``: sums a person can check.
"""

from __future__ import annotations

import json
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from truth import scoring

from costlearn.errors import CostlearnError
from costlearn.intake.files.sheets import read_grids
from costlearn.records import ChangeEntry, CostEntry, HoursEntry, JobEntry, PhaseEntry

TABLES = (".csv", ".xlsx", ".xls", ".ods", ".txt")


def firm(folder: Path) -> str:
    """How well a firm's whole records get in, as text."""
    told = json.loads((folder / "truth.json").read_text("utf-8"))
    paths = sorted(p for p in (folder / "records").rglob("*") if p.suffix.casefold() in TABLES)
    facts = told["facts"]
    stated = {
        "currency": facts["currency"],
        "hours_per_day": facts["hours_per_day"],
        "day_rates": facts["day_rates"],
        "tax_rate": facts["hst"],
        "tax_recoverable": facts["hst_recoverable"],
        "people": [name for name, who in facts["people"].items() if who],
    }
    jobs = [_job(one) for one in told["jobs"]]
    fair: list[dict[str, Any]] = [
        {"job": one["name"], "figure": "person_days", "values": [one["hours"] / 8]}
        for one in jobs
        if one.get("hours")
    ]
    # "Two of us" is the crew of a job on some days of which one worked alone.
    fair += [
        {"job": one["name"], "figure": "crew", "values": [one["person_days"] / one["site_days"]]}
        for one in jobs
        if one.get("person_days") and one.get("site_days")
    ]
    # The firm's own list gives whole dollars.
    fair += [
        {"job": one["name"], "figure": "cost", "values": [round(one["cost"])]}
        for one in jobs
        if isinstance(one.get("cost"), float)
    ]
    truth = {
        "job": jobs,
        "fair": fair,
        "questions_at_most": 10,
        "waits": [one["question"] for one in told["asks"]],
        "never": [
            f"{one['wrong']} for {one['job']}: {one['what']}"
            for one in told["never"]
            if one.get("job") and one.get("wrong")
        ],
    }
    reading = scoring.read_in(paths, scoring.firm_of(stated))
    sheets = scoring.Sheets(list(_rows(paths)))
    result = scoring.judge({"truth": truth}, reading, folder.name, sheets)
    finished = sum(1 for one in reading.held if one.figures.get("finished"))
    return f"{scoring.table([result], all_lines=True)}\n{finished} finished jobs on file"


def _job(one: dict[str, Any]) -> dict[str, Any]:
    """A job of ``truth.json`` in the layout of the cases."""
    kept = (
        "name", "aliases", "finished", "kind", "area", "cost", "cost_rough", "price",
        "quote_price", "site_days", "crew", "person_days", "start", "finish", "hours", "receipts",
        "wait_days",
    )  # fmt: skip
    job = {key: one[key] for key in kept if one.get(key) is not None}
    if job.get("kind") == "powder room":
        job["kind"] = "bathroom"
    if isinstance(job.get("cost"), list):
        job["cost"] = [float(v) for v in job["cost"]]
    agreed = [c["amount"] for c in one["changes"] if c["state"] == "agreed"]
    if agreed:
        job["changes"] = float(sum(agreed))
    job["phases"] = {}
    for phase, stated in one["phases"].items():
        own = ("hours", "plan_hours", "plan_cost", "cost") if stated.get("from_job_sheet") else ()
        names = own or ("hours",)
        job["phases"][phase] = {n: stated[n] for n in names if stated.get(n)}
    return job


def _rows(paths: list[Path]) -> Iterator[tuple[str, int, list[str]]]:
    """All rows of some files."""
    for path in paths:
        try:
            grids = read_grids(path)
        except CostlearnError:
            continue
        for grid in grids:
            for number, row in enumerate(grid.rows, grid.first_row):
                yield path.name, number, ["" if cell is None else str(cell) for cell in row]


NOT_MEANT = ("wrong", "nothing", "ignored", "meaningless", "weighted", "not_taken", "if_")
"""What the name of a sum that must not be on file holds."""


def public(folder: Path) -> str:
    """How the sums on file of each public file compare with its facts, a line each."""
    lines = []
    verdicts: Counter[str] = Counter()
    for facts_path in sorted(folder.glob("*.toml")):
        told = tomllib.loads(facts_path.read_text("utf-8"))
        files = [p for p in folder.glob(f"{facts_path.stem}.*") if p.suffix != ".toml"]
        verdict, text = _public_file(files[0], told)
        verdicts[verdict] += 1
        lines.append(f"{facts_path.stem:32} {told['is']:16} {verdict:8} {text}")
    lines += ["", ", ".join(f"{count} {verdict}" for verdict, count in verdicts.items())]
    return "\n".join(lines)


def _public_file(path: Path, told: dict[str, Any]) -> tuple[str, str]:
    """``refused``, ``waits`` (nothing on file), ``right``, ``look`` or ``WRONG``, and the sums."""
    reading = scoring.read_in([path], scoring.firm_of({}))
    if reading.refused:
        return "refused", next(iter(reading.refused.values()))[:150]
    sums = {name: value for name, value in _sums(reading.entries).items() if abs(value) > 0.005}
    asked = f"{len(reading.questions)} questions"
    if not sums:
        return "waits", asked
    if told["is"].startswith("nothing"):
        shown = ", ".join(f"{name} {value:,.2f}" for name, value in sums.items())
        return "WRONG", f"{asked}; {shown}"
    numbers = list(_numbers(told.get("facts", {}), ""))
    shown = []
    worst = "right"
    for name, value in sums.items():
        hits = [key for key, fact in numbers if abs(fact - value) <= max(0.02, 2e-4 * abs(fact))]
        good = [key for key in hits if _is_meant(name, key, told["is"])]
        word = good[0] if good else hits[0] if hits else "no fact"
        verdict = "right" if good else "WRONG" if hits else "look"
        worst = max(worst, verdict, key=["right", "look", "WRONG"].index)
        shown.append(f"{name} {value:,.2f} ({word})")
    return worst, f"{asked}; {', '.join(shown)}"


def _is_meant(measure: str, fact: str, kind: str) -> bool:
    """Whether a fact is what a measure should come to."""
    if any(word in fact for word in (*NOT_MEANT, "rows", "count", "lines")):
        return False
    return kind != "statement" or measure != "paid out" or "out" in fact


def _sums(entries: list[Any]) -> dict[str, float]:
    """What all entries of a file come to, measure by measure."""
    found: Counter[str] = Counter()
    for one in entries:
        if isinstance(one, HoursEntry):
            found["hours"] += one.hours
        elif isinstance(one, CostEntry):
            found["paid out" if one.net > 0 else "taken off"] += one.net / 100
        elif isinstance(one, ChangeEntry) and one.state == "approved":
            found["changes"] += (one.price or 0) / 100
            found["cost of changes"] += (one.cost or 0) / 100
        elif isinstance(one, JobEntry):
            found["price"] += (one.price or 0) / 100
            found["paid"] += (one.paid or 0) / 100
        if isinstance(one, JobEntry | PhaseEntry):
            found["cost"] += (one.actual.cost or 0) / 100
            found["planned cost"] += (one.plan.cost or 0) / 100
            found["site days"] += one.actual.site_days or 0
            found["person-hours"] += (one.actual.person_days or 0) * 8
            found["planned person-hours"] += (one.plan.person_days or 0) * 8
    return dict(found)


def _numbers(facts: Any, name: str) -> Iterator[tuple[str, float]]:
    """All figures of the facts with their names."""
    if isinstance(facts, dict):
        for key, value in facts.items():
            yield from _numbers(value, f"{name}.{key}" if name else key)
    elif isinstance(facts, int | float) and not isinstance(facts, bool):
        yield name, float(facts)
