"""The dirt that data/README.md promises is in the files, and the figures under it are true."""

import csv
import io
import json
import re
from datetime import date

import openpyxl
import pytest

from costlearn.demo.files import demo_folder
from costlearn.vocabulary import standard

TRUTH = json.loads((demo_folder() / "truth.json").read_text("utf-8"))
JOBS = {j["code"]: j for j in TRUTH["jobs"]}


def raw(name: str) -> bytes:
    return (demo_folder() / name).read_bytes()


def table(year: int) -> list[dict[str, str]]:
    """The rows of a job list by heading, read with what is known of its year."""
    encoding = {2021: "utf-8-sig", 2022: "latin-1"}.get(year, "utf-8")
    delimiter = {2022: ";", 2023: "\t"}.get(year, ",")
    rows = list(
        csv.reader(io.StringIO(raw(f"jobs_{year}.csv").decode(encoding)), delimiter=delimiter)
    )
    at = next(i for i, r in enumerate(rows) if r[0] in ("Job", "Project", "Job name"))
    return [
        dict(zip(rows[at], r, strict=True)) | {"": r[0]}
        for r in rows[at + 1 :]
        if r[0][:1] in "BLK" and r[0]
    ]


def test_each_year_lists_its_jobs():
    for year in range(2021, 2027):
        listed = [r[""].split(" ")[0] for r in table(year)]
        due = [c for c in JOBS if c[1:3] == str(year)[2:]]
        twice = ["B23-04"] if year == 2023 else []
        assert listed == due + twice


def test_first_year_has_titles_and_a_byte_order_mark():
    assert raw("jobs_2021.csv").startswith(b"\xef\xbb\xbfTern & Tallow")
    assert b"\r\n" in raw("jobs_2021.csv")
    assert all(r["Floor area"].endswith(" sf") for r in table(2021))
    assert next(r for r in table(2021) if r[""].startswith("B21-05"))["Actual cost"] == "TBD"


def test_second_year_is_latin_and_provably_day_first():
    with pytest.raises(UnicodeDecodeError):
        raw("jobs_2022.csv").decode("utf-8")
    starts = [r["Started"].split("/") for r in table(2022)]
    assert any(int(day) > 12 for day, _, _ in starts)
    assert all(int(month) <= 12 for _, month, _ in starts)
    for row in table(2022):
        day, month, year = map(int, row["Started"].split("/"))
        assert date(year, month, day).isoformat() == JOBS[row[""].split(" ")[0]]["started"]


def test_third_year_tells_its_scope_in_words_we_know():
    words = standard()
    for row in table(2023):
        job = JOBS[row[""].split(" ")[0]]
        found = set()
        for part in row["Scope of work"].split("; "):
            plain = re.sub(r"^\d+ | \d+( sf)?$", "", part)
            found.add(words.find_item(plain).key)
        assert found == set(job["scope"])


def test_columns_of_scope_are_words_we_know_and_tell_the_truth():
    words = standard()
    for year in (2021, 2022, 2024, 2025, 2026):
        for row in table(year):
            job = JOBS[row[""].split(" ")[0]]
            after = list(row)[
                list(row).index("Notes" if year in (2021, 2024, 2026) else "Remarks") + 1 :
            ]
            columns = [c for c in after if c]
            assert len(columns) == (31 if year < 2023 else 45)
            for column in columns:
                key = words.find_item(re.sub(r" \(.*\)$", "", column)).key
                assert bool(row[column]) == (key in job["scope"]), (row[""], column)


def test_unusable_cells_are_as_recorded():
    cells = {
        ("B22-04", 2022, "Planned cost"): "",
        ("B22-05", 2022, "Year built"): "?",
        ("B23-05", 2023, "Budget man-days"): "n/a",
        ("B24-07", 2024, "Price"): "allow 8400",
        ("K24-03", 2024, "Finished"): "",
        ("B25-07", 2025, "Grade"): "-",
    }
    for (code, year, column), text in cells.items():
        row = next(r for r in table(year) if r[""].startswith(code))
        assert row[column] == text
        assert any(entry.startswith(code) for entry in TRUTH["unusable_cells"])
    assert len(TRUTH["unusable_cells"]) == len(cells) + 1


def test_areas_in_other_units_are_the_true_ones():
    feet = next(r for r in table(2024) if r[""].startswith("B24-01"))["Sq ft"]
    whole, inches, width = map(int, re.match(r"(\d+)'(\d+)\" x (\d+)'$", feet).groups())
    assert (whole + inches / 12) * width == pytest.approx(JOBS["B24-01"]["area"])
    for code in ("B23-03", "B23-06"):
        metres = next(r for r in table(2023) if r[""].startswith(code))["Floor area (sf)"]
        # 1 square metre = 10.7639 square feet (international foot of 0.3048 m, squared).
        assert float(metres.split()[0]) * 10.7639 == pytest.approx(JOBS[code]["area"], abs=0.06)


def test_phase_workbook_has_its_two_habits():
    book = openpyxl.load_workbook(demo_folder() / "phases.xlsx")
    assert book.sheetnames == ["2021-23", "2024 on"]
    assert book.properties.created.isoformat() == "2026-10-31T08:00:00"
    older, newer = book["2021-23"], book["2024 on"]
    assert len(older.merged_cells.ranges) == sum(
        j["in_phase_book"] and j["started"] < "2024" for j in TRUTH["jobs"]
    )
    phases = [str(r[1].value) for s in (older, newer) for r in s.iter_rows()]
    for word in ("Rough", "Misc", "Demmolition"):
        assert phases.count(word) == 1
    assert [r[4].value for r in newer.iter_rows() if r[4].value in (0, "=#REF!")] == [0, "=#REF!"]
    assert sorted(str(m) for m in newer.merged_cells.ranges) == ["D1:E1", "F1:G1"]


def test_phase_workbook_says_what_is_true():
    sheet = openpyxl.load_workbook(demo_folder() / "phases.xlsx")["2024 on"]
    sums: dict[str, list[float]] = {}
    code = ""
    for row in sheet.iter_rows(min_row=3, values_only=True):
        code = str(row[0]).split(" ")[0] if row[0] else code
        plan, actual = sums.setdefault(code, [0.0, 0.0])
        sums[code] = [plan + (row[3] or 0), actual + (row[5] or 0)]
    due = {c: j for c, j in JOBS.items() if j["in_phase_book"] and c[1:3] >= "24"}
    assert sums.keys() == due.keys()
    for key, (plan, actual) in sums.items():
        assert actual == pytest.approx(due[key]["person_days"] * 8)
        assert plan == sum(p["plan_hours"] for p in due[key]["phases"].values())
    running = {"B26-08", "L26-09"}
    for row in sheet.iter_rows(min_row=3, values_only=True):
        code = str(row[0]).split(" ")[0] if row[0] else code
        assert (row[7] is not None) == (code in running)


def test_change_orders_come_in_all_states():
    rows = list(csv.DictReader(io.StringIO(raw("change_orders.csv").decode())))
    states = [r["Status"].lower() for r in rows]
    assert len(rows) == 21
    assert states.count("verbal") == 3
    assert sum(s in ("declined", "refused") for s in states) == 3
    assert sum(r["Extra person-days"].startswith("-") for r in rows) == 2


def test_receipts_hold_credits_in_three_notations_and_lines_without_a_job():
    text = raw("receipts_2025_2026.csv").decode()
    amounts = [r["Amount before tax"] for r in csv.DictReader(io.StringIO(text))]
    assert any(a.startswith("(") for a in amounts)
    assert any(a.startswith("-") for a in amounts)
    assert any(a.endswith(" CR") for a in amounts)
