"""Whole TOML documents with the right keys and any values: an answer, or one clear sentence.

What may stand in a document is told by TOML v1.0.0 (2021): strings, whole and floating numbers with
inf and nan, dates and times with and without offset, lists of mixed values, tables.
"""

from __future__ import annotations

import json
import math
import tempfile
import tomllib
from collections.abc import Callable
from dataclasses import fields
from datetime import UTC, date, datetime, time, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costlearn.book.export import export
from costlearn.book.store import Book
from costlearn.errors import CostlearnError
from costlearn.firm import Firm
from costlearn.intake.asked import read_asked
from costlearn.intake.columns import load_map
from costlearn.intake.settings import read_settings
from costlearn.vocabulary import standard

OFTEN = settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))


def written(value: Any) -> str:
    """A value as TOML writes it, a table in one line."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, dict):
        return "{" + ", ".join(f"{written(k)} = {written(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(written, value)) + "]"
    return str(value)


def document(parts: dict[str, Any]) -> str:
    """A document: plain values first, then each table under its heading."""
    plain = [f"{written(k)} = {written(v)}" for k, v in parts.items() if not isinstance(v, dict)]
    for name, part in parts.items():
        if isinstance(part, dict):
            plain.append(f"[{written(name)}]")
            plain += [f"{written(k)} = {written(v)}" for k, v in part.items()]
    return "\n".join(plain) + "\n"


TEXT = st.one_of(
    st.text(st.characters(exclude_categories=("Cs",)), max_size=20),
    st.sampled_from((
        "", " ", "52 sq ft", "4.8 m2", "niche; wall tile 96", "tile", "bathroom", "high", "USD",
        "10% or 1000", "1/0", "0/0", "2026-12-25", "2026-12-21..2027-01-02", "..", "Mon", "mon-fri",
        "sqft", "month-first", "none.csv", "../firm.toml", "9" * 5000, "-5", "\x1b[31m", "\u202e",
        "niche 1e308", "niche " + "9" * 400, "1e308 sq ft", "9999-12-31", "0001-01-01", "=1+1",
    )),
)  # fmt: skip
OFFSETS = st.sampled_from(
    (None, UTC, timezone(timedelta(hours=14)), timezone(-timedelta(hours=12)))
)
PLAIN = st.one_of(
    TEXT,
    st.booleans(),
    st.integers(-(2**64), 2**64),
    st.sampled_from((0, 1, 2, 480, 10**30, -(10**400), 2**63 - 1)),
    st.floats(),
    st.sampled_from((math.inf, -math.inf, math.nan, 1e308, -1e308, 5e-324, 0.25)),
    st.dates(),
    st.times(),
    st.datetimes(timezones=OFFSETS),
    st.datetimes(timezones=st.none()),
)
KEY = TEXT | st.sampled_from(("tile", "niche", "cost", "person_days", "2025-01-01", "USD", "é"))
VALUE = st.recursive(
    PLAIN,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEY, inner, max_size=3),
    max_leaves=6,
)
SETTINGS = st.sampled_from([f.name for f in fields(Firm)])
SCOPE = st.sampled_from(("kind", "area", "grade", "house_year", "condo", "crew", "items"))
QUOTE = st.sampled_from(
    ("name", "price", "cost", "person_days", "site_days", "elapsed_days", "crew", "date")
)
PLAN = st.sampled_from(("cost", "person_days", "site_days", "crew"))
PHASE = st.sampled_from(("tile", "demo", "Tile and grout", "rough", "", "no phase")) | KEY
TABLES = st.sampled_from(("columns", "phases", "constants", "only", "units"))
TOP = st.sampled_from(("kind", "sheet", "header_row", "date_order", "missing"))
FIELD = st.sampled_from(("job", "plan.cost", "cost", "scope.niche", "tax_rate", "phase")) | KEY


def table(keys: st.SearchStrategy[str]) -> st.SearchStrategy[Any]:
    """A table of such keys, sometimes with one that is unknown, sometimes no table at all."""
    mostly = st.dictionaries(keys, VALUE, min_size=1, max_size=4)
    return st.one_of(mostly, mostly, mostly, st.dictionaries(KEY, VALUE, max_size=2), VALUE)


FIRMS = st.fixed_dictionaries({"firm": table(SETTINGS)}, optional={"else": VALUE})
ASKED = st.fixed_dictionaries(
    {"scope": table(SCOPE)},
    optional={
        "quote": table(QUOTE),
        "plan": st.dictionaries(PHASE, table(PLAN), max_size=3) | VALUE,
        "else": VALUE,
    },
)
MAPS = st.dictionaries(TOP, VALUE, max_size=3).flatmap(
    lambda top: st.dictionaries(TABLES, table(FIELD), max_size=3).map(lambda parts: top | parts)
)


def outcome(read: Callable[[Path], Any], parts: dict[str, Any]) -> Any:
    """What a document is read as; None where it is refused, in one sentence that names the file."""
    text = document(parts)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "case.toml")
        path.write_text(text, encoding="utf-8", newline="\n")
        try:
            return read(path)
        except CostlearnError as problem:
            said = str(problem)
    # A price index may stand in a file of its own, which is then the one that is named.
    assert "case.toml" in said or folder in said or "firm.toml" in said, said
    assert said.endswith(".")
    assert len(said.splitlines()) == 1
    assert len(said) < 3_000
    return None


def test_documents_are_written_as_toml_reads_them() -> None:
    value = {"a": ["é\x7f\n", 1, -0.5, True, date(2026, 1, 2), time(3, 4)], "b": {"c d": {}}}
    assert tomllib.loads(document({"x": 1, "t": value})) == {"x": 1, "t": value}


@OFTEN
@given(FIRMS)
def test_settings(parts: dict[str, Any]) -> None:
    firm = outcome(read_settings, parts)
    if firm is None:
        return
    assert firm.workdays is not None
    assert firm.cap_of_deposit is None or firm.cap_of_deposit.of(1000.0) >= 0
    standard().with_phases(firm.phase_words)
    with Book.in_memory() as book:
        book.set_firm(firm)
        assert book.firm() == firm
    with tempfile.TemporaryDirectory() as folder:
        (*_, kept) = export([], firm, Path(folder, "out"))
        assert read_settings(kept) == firm


@OFTEN
@given(ASKED)
def test_scopes_and_quotes(parts: dict[str, Any]) -> None:
    job = outcome(lambda path: read_asked(path, Firm()), parts)
    if job is not None:
        assert job.state == "quoted"
        assert all(0 <= size < 1e12 for size in job.scope.values())
        assert job.area_sqft is None or 0 < job.area_sqft <= 1e6
        assert job.price is None or 0 <= job.price < 1e12


@OFTEN
@given(MAPS)
def test_column_maps(parts: dict[str, Any]) -> None:
    chart = outcome(load_map, parts)
    if chart is not None:
        chart.extend(standard())


@pytest.mark.parametrize("key", [f.name for f in fields(Firm)])
def test_each_setting_meets_each_sort_of_value(key: str) -> None:
    sorts = [
        "", "x", True, 0, -1, 10**30, math.inf, math.nan, 1e308, [], [[]], [1, "a", True], {},
        {"a": {}}, {"": ""}, {"tile": [""]}, {"USD": {}}, {"USD": {"2025-01-01": math.nan}},
        date(1, 1, 1), date(9999, 12, 31), time(0, 0), datetime(2026, 1, 2, 3, 4, tzinfo=UTC),
    ]  # fmt: skip
    refused = sum(outcome(read_settings, {"firm": {key: value}}) is None for value in sorts)
    assert refused >= 10
