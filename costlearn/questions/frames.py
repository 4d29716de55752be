"""The main figures of an answer as a plain frame: one row a thing, one column a figure.

Nothing is rounded and nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from typing import Any

import pandas as pd

from costlearn.models.distribution import Interval
from costlearn.questions.answer import Answer

ROWS = {
    "Estimate": "targets",
    "QuoteCheck": "standings",
    "Versions": "differences",
    "Overruns": "phases",
    "Crew": "phases",
    "Earnings": "takings",
    "Trust": "targets.tried",
    "Forecast": "landings",
    "MidjobTrust": "stages",
    "Options": "options",
    "SiteCalendar": "spans",
    "JobOnFile": "derived",
    "Overview": "jobs",
    "Look": "found",
    "Pocket": "items",
}
"""The field of each kind of answer whose rows are its main table."""

BY_TARGET = {
    "person_days": "person-days",
    "site_days": "days on site",
    "elapsed_days": "working days",
    "wait_days": "working days",
}
SHARES = ("chance", "share", "next", "shown", "gains", "belief")
RATIOS = ("ratio", "raw", "median_raw", "factor", "work")
MONEY = ("cost", "price", "left")
COUNTS = ("jobs", "records", "seen", "alone", "together", "known")
OF_PLAN = ("width", "off", "own", "quoted", "index")
OF_TARGET = (
    "median", "middle", "low", "high", "first", "second", "quoted", "plan", "planned", "so",
    "actual", "at", "per", "stake",
)  # fmt: skip
"""Columns, or first words of columns, that tell what they are counted in."""


def frame_of(answer: Answer) -> pd.DataFrame:
    """The main figures of an answer, a row each.

    Ranges become columns named by their level (``low_80``, ``high_80``); a row about one target
    says its unit in the column ``unit``. ``frame.attrs`` holds the question, the sentence, how many
    jobs it rests on, currency, prices, and the units of the columns. Where nothing is known the
    frame is empty, and its sentence says why.
    """
    path = ROWS.get(type(answer).__name__, "")
    rows = [_flat(row, answer) for row in _rows(answer, path.split("."))] if path else []
    frame = pd.DataFrame(rows)
    frame = frame.drop(columns=[name for name in frame if _is_whole(str(name), frame)])
    for name in frame.columns:
        if any(isinstance(value, date) for value in frame[name]):
            frame[name] = pd.to_datetime(frame[name])
    grounds = answer.grounds
    frame.attrs = {
        "question": type(answer).__name__.lower(),
        "sentence": answer.sentence,
        "known": answer.known,
        "jobs": grounds.jobs,
        "currency": grounds.currency,
        "prices": grounds.prices,
        "units": {
            name: _unit(name, "unit" in frame, type(answer).__name__, grounds.currency)
            for name in frame.columns
        },
    }
    return frame


def _is_whole(name: str, frame: pd.DataFrame) -> bool:
    """True for an empty column that stands for a part which other rows have as columns."""
    parted = any(str(other).startswith(f"{name}_") for other in frame)
    return bool(parted and frame[name].isna().all())


def _rows(holder: Any, path: Sequence[str]) -> Iterator[dict[str, Any]]:
    """The fields of each row at the end of a path; a row says the target it stands under."""
    for row in getattr(holder, path[0]):
        if len(path) == 1:
            yield {f.name: getattr(row, f.name) for f in fields(row)}
        else:
            above = {"target": row.target} if hasattr(row, "target") else {}
            yield from (above | below for below in _rows(row, path[1:]))


def _flat(row: dict[str, Any], answer: Answer) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, value in row.items():
        found |= _cells(name, value)
        if name == "target":
            found["unit"] = BY_TARGET.get(value, answer.grounds.currency)
    return found


def _cells(name: str, value: Any) -> dict[str, Any]:
    """One field as cells; curves and lists of parts have no place in a row."""
    if isinstance(value, Interval):
        level = round(100 * value.level)
        lead = "" if name == "interval" else f"{name}_"
        return {f"{lead}low_{level}": float(value.low), f"{lead}high_{level}": float(value.high)}
    if is_dataclass(value):
        parts = (_cells(f"{name}_{f.name}", getattr(value, f.name)) for f in fields(value))
        return {key: cell for part in parts for key, cell in part.items()}
    return _listed(name, value) if isinstance(value, tuple) else {name: value}


def _listed(name: str, value: tuple[Any, ...]) -> dict[str, Any]:
    """A field of several values as cells, where they are ranges, two days, or words."""
    if value and all(isinstance(v, Interval) for v in value):
        return {k: c for v in value for k, c in _cells("interval", v).items()}
    if len(value) == 2 and all(isinstance(v, date) for v in value):
        return {f"{name}_from": value[0], f"{name}_to": value[1]}
    return {name: ", ".join(value)} if all(isinstance(v, str) for v in value) else {}


def _unit(column: str, by_target: bool, kind: str, currency: str) -> str:
    """What a column is counted in; empty for texts, dates, marks and bare numbers."""
    first = column.split("_", maxsplit=1)[0]
    of_ratio = kind in ("Overruns", "Crew") and first in ("low", "high")
    tried = (
        ("sq ft", column.endswith("sqft")),
        ("jobs", column in COUNTS),
        ("ratio", column in RATIOS or of_ratio),
        ("share", first in SHARES),
        ("share of the plan", kind == "MidjobTrust" and column in OF_PLAN),
        ("as the column 'unit' says", by_target and first in OF_TARGET),
        (currency, not by_target and first in MONEY),
        ("days", column.endswith("days") or first in ("site", "wait", "person")),
    )
    return next((unit for unit, holds in tried if holds), "")
