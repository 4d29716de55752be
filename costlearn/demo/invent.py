"""Write the raw files of the invented firm anew, byte for byte the same.

Run ``python -m costlearn.demo.invent`` to rewrite the demo folder, or name another folder.
"""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path
from typing import Any

from costlearn.demo import layouts, phasebook
from costlearn.demo.files import demo_folder
from costlearn.demo.joblists import job_list
from costlearn.demo.jobs import JobTruth, invented_jobs
from costlearn.demo.layouts import LAYOUTS
from costlearn.demo.logs import change_orders, hours_log, receipts
from costlearn.demo.phasebook import phase_workbook
from costlearn.demo.quotes import FORGOTTEN, firm_text, quote_texts, scope_text
from costlearn.demo.truth import (
    CREW_FACTOR,
    DAY_RATE,
    HELPER_FROM,
    JOB_EFFECT,
    OVERRUN,
    PHASE_NOISE,
    QUOTING_NOISE,
    SEED,
    TODAY,
    YEARLY_RISE,
    day_rate,
)
from costlearn.errors import UnreadableFile


def all_files() -> dict[str, bytes]:
    """File name to content of everything in the demo folder."""
    jobs = invented_jobs()
    made = {
        f"jobs_{year}.csv": job_list(year, [j for j in jobs if _listed_in(j) == year])
        for year in LAYOUTS
    }
    made["phases.xlsx"] = phase_workbook(jobs)
    made["hours_2024_2026.csv"] = hours_log(jobs)
    made["receipts_2025_2026.csv"] = receipts(jobs)
    made["change_orders.csv"] = change_orders(jobs)
    texts = {"firm.toml": firm_text(), "scope_new.toml": scope_text(), **quote_texts()}
    made.update({name: text.encode("utf-8") for name, text in texts.items()})
    made["truth.json"] = _truth(jobs)
    return made


def write_all(folder: Path) -> list[Path]:
    """Write every file into a folder, made if need be; returns their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, content in all_files().items():
        (folder / name).write_bytes(content)
        written.append(folder / name)
    return written


def _listed_in(job: JobTruth) -> int:
    """The year of the list a job stands in: that of its code."""
    return 2000 + int(job.code[1:3])


def _truth(jobs: tuple[JobTruth, ...]) -> bytes:
    """What was planted, for the tests: effects, dirt, and the clean jobs, one a line."""
    planted = {
        "seed": SEED,
        "today": TODAY.isoformat(),
        "yearly_rise": YEARLY_RISE,
        "day_rate_2021": DAY_RATE,
        "day_rate_today": round(day_rate(TODAY), 2),
        "helper_from": HELPER_FROM.isoformat(),
        "overrun": {p: OVERRUN.get(p, 1.0) for p in PHASE_NOISE},
        "crew_factor": CREW_FACTOR,
        "job_effect_sd": JOB_EFFECT,
        "quoting_noise_sd": QUOTING_NOISE,
        "phase_noise_sd": PHASE_NOISE,
        "forgotten": list(FORGOTTEN),
        "unusable_cells": [f"{job}: {cell}" for job, cell in layouts.TYPED],
        "row_twice": layouts.TWICE,
        "asked_phases": [list(phasebook.ROUGH), list(phasebook.MISC)],
        "missing_plan_cost": [list(phasebook.NO_PLAN), list(phasebook.BROKEN)],
    }
    head = json.dumps(planted, indent=1)[1:-2]
    lines = ",\n".join("  " + json.dumps(_job(j)) for j in jobs)
    return f'{{{head},\n "jobs": [\n{lines}\n ]\n}}\n'.encode()


def _job(job: JobTruth) -> dict[str, Any]:
    """A clean job; money in cents, time in person-hours or working days."""
    return {
        "code": job.code,
        "name": job.name,
        "kind": job.scope.kind,
        "area": job.scope.area,
        "grade": job.scope.grade,
        "house_year": job.scope.house_year,
        "scope": dict(job.scope.items),
        "quoted_on": job.quoted_on.isoformat(),
        "started": job.started.isoformat(),
        "finished": job.finished.isoformat() if job.finished else None,
        "books_closed": job.books_closed,
        "price": job.price,
        "plan_cost": job.plan_cost,
        "cost": sum(p.cost for p in job.phases),
        "booked": job.booked,
        "person_days": job.person_days,
        "site_days": job.site_days,
        "wait_days": job.wait_days,
        "in_phase_book": job.has_phases,
        "changes": [[c.label, c.state, c.phase, c.hours, c.cost, c.price] for c in job.changes],
        "phases": {
            p.phase: {
                "crew": p.crew,
                "plan_hours": p.plan_hours,
                "plan_cost": p.plan_cost,
                "hours": p.hours,
                "cost": p.cost,
                "wait_days": p.wait_days,
                "share": math.floor(p.share * 1000 + 0.5) / 1000,
            }
            for p in job.phases
        },
    }


def main(arguments: list[str]) -> int:
    """Write the files and say so; returns the exit code."""
    try:
        folder = Path(arguments[0]) if arguments else demo_folder()
    except UnreadableFile as problem:
        print(problem, file=sys.stderr)
        return 2
    written = write_all(folder)
    print(f"{len(written)} files of the invented firm written to {folder} (seed {SEED})")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
