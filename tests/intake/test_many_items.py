"""A million scope items, areas of a million: read in bounded time or refused in one sentence."""

from __future__ import annotations

import csv
import io
import zipfile
from pathlib import Path

import openpyxl
import pytest

from costlearn.errors import InputProblem, UnreadableFile
from costlearn.firm import Firm
from costlearn.intake.asked import job_from, read_asked
from costlearn.intake.asked_sheet import read_asked_sheet
from costlearn.intake.files.delimited import find_delimiter
from costlearn.intake.reader import read_file
from costlearn.intake.scope import MOST_PARTS, read_scope
from costlearn.records import Batch, JobEntry
from costlearn.vocabulary import standard

MILLION = 1_000_000
WORDS = standard()
HEADS = ["Job", "Kind", "State", "Floor area (sq ft)", "Scope", "Quoted price"]


def job_list(folder: Path, scope: str) -> Path:
    path = folder / "jobs.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        rows = [HEADS, ["J-1", "bathroom", "quoted", "50", scope, "20000"]]
        csv.writer(file).writerows(rows)
    return path


def entry_of(batch: Batch) -> JobEntry:
    (entry,) = batch.entries
    assert isinstance(entry, JobEntry)
    return entry


@pytest.mark.parametrize("part", ["niche", "thing", ""])
def test_a_text_of_a_million_parts_is_no_scope(part: str) -> None:
    text = "; ".join([part] * MILLION)
    reading = read_scope(text, WORDS)
    assert reading.problem == "a scope of 1,000,000 parts, where 1,000 are the most"
    assert (reading.items, reading.unknown) == ({}, [])
    with pytest.raises(InputProblem) as caught:
        job_from({"items": text}, {}, [], Firm(), WORDS)
    assert str(caught.value) == f"--items: found {reading.problem}."


def test_as_many_parts_as_are_read() -> None:
    assert read_scope("; ".join(["niche"] * MOST_PARTS), WORDS).items == {"niche": MOST_PARTS}
    asked = job_from({"items": ["niche"] * MOST_PARTS}, {}, [], Firm(), WORDS)
    assert asked.scope == {"niche": MOST_PARTS}


def test_a_list_of_as_many_items_as_a_file_can_hold(tmp_path: Path) -> None:
    path = tmp_path / "scope.toml"
    many = ", ".join(["'niche'"] * 110_000)
    path.write_text(f"[scope]\nitems = [{many}]\n", "utf-8")
    with pytest.raises(InputProblem, match=r"found 110,000 items; expected at most 1,000 items"):
        read_asked(path, Firm())
    path.write_text(f"[scope]\nitems = [{', '.join([many] * 9)}]\n", "utf-8")
    with pytest.raises(UnreadableFile, match="larger than 1 MB"):
        read_asked(path, Firm())


def test_a_cell_of_a_job_list_sets_its_scope_aside(tmp_path: Path) -> None:
    path = job_list(tmp_path, ";".join(["niche"] * 20_000))
    batch = read_file(path, Firm())
    entry = entry_of(batch)
    assert (entry.scope, entry.price, entry.area_sqft) == ({}, 2_000_000, 50.0)
    (aside,) = [f for f in batch.findings if f.kind == "set aside"]
    assert aside.text == "a scope of 20,000 parts, where 1,000 are the most"
    assert (aside.place.row, aside.place.column, len(aside.raw) <= 600) == (2, "Scope", True)
    with pytest.raises(InputProblem, match="row 2, column 'Scope': a scope of 20,000 parts"):
        read_asked_sheet(path, Firm(), WORDS)


def test_an_item_of_a_scope_sheet_that_is_many(tmp_path: Path) -> None:
    path = tmp_path / "scope.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        rows = [["J-1", "niche", "2", "each"], ["J-1", ";".join(["bench"] * 20_000), "1", "each"]]
        csv.writer(file).writerows([["Job", "Item", "Size", "Unit"], *rows])
    batch = read_file(path, Firm())
    assert entry_of(batch).scope == {"niche": 2.0}
    (aside,) = [f for f in batch.findings if f.kind == "set aside"]
    assert (aside.text, aside.place.row) == ("a scope of 20,000 parts, where 1,000 are the most", 3)


def test_a_cell_of_a_million_items(tmp_path: Path) -> None:
    many = ";".join(["niche"] * MILLION)
    with pytest.raises(UnreadableFile, match=r"row 2: a cell here is longer than 131,072 letters"):
        read_file(job_list(tmp_path, many), Firm())
    book = openpyxl.Workbook()
    for row in (HEADS, ["J-1", "bathroom", "quoted", 50, "MANY", 20000]):
        book.active.append(row)
    raw = io.BytesIO()
    book.save(raw)
    path = tmp_path / "jobs.xlsx"
    with zipfile.ZipFile(raw) as good, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        for name in good.namelist():
            package.writestr(name, good.read(name).replace(b"MANY", many.encode()))
    batch = read_file(path, Firm())
    assert entry_of(batch).scope == {}
    assert "a scope of 1,000,000 parts" in " ".join(f.text for f in batch.findings)


def test_an_item_of_a_million() -> None:
    asked = job_from(
        {"items": ["niche 1000000", "wall tile 1000000 sq ft"], "area": "1000000 sq ft"},
        {}, [], Firm(), WORDS,
    )  # fmt: skip
    assert asked.scope == {"niche": MILLION, "wall_tile": MILLION}
    assert asked.area_sqft == MILLION
    with pytest.raises(InputProblem, match=r"--area: .*; expected a floor area such as"):
        job_from({"area": "1000001 sq ft"}, {}, [], Firm(), WORDS)


@pytest.mark.parametrize("items", [3, 12, 200, 20_000])
@pytest.mark.parametrize("heads", [["Job", "Scope"], ["Job", "Scope", "Price"], HEADS])
def test_a_list_within_a_cell_does_not_part_the_table(heads: list[str], items: int) -> None:
    scope = "; ".join(f"wall tile {at}" for at in range(items))
    out = io.StringIO()
    csv.writer(out).writerows([heads, [scope if h == "Scope" else "1" for h in heads]])
    assert find_delimiter(out.getvalue()) == ","
