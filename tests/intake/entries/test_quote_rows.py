"""Priced quotes: proven by their sums, priced before tax, never a cost."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from costlearn.firm import Firm
from costlearn.intake.answers import Answers
from costlearn.intake.asked_sheet import read_asked_sheet
from costlearn.intake.reader import read_file
from costlearn.records import Amounts, Batch, JobEntry

QUOTE = """QUOTE - Elm hall bathroom,,
"January 15, 2024",,46 sf
Line,Description,Price
1,Demolition and disposal,1850
2,"Waterproofing, niche",890
3,Wall tile 96,6350
4,Option: heated floor,1200
,Subtotal,9090
,HST 13%,1181.70
,Total,10271.70
"""
SPACED = """Elm bath - quote, second one
Oct 5 2026   58 sq ft

  1  Permit, measuring                740.00
  2  Take out to studs, bin         2,650.00

     Subtotal                       3,390.00
     HST 13 %                         440.70
     TOTAL                          3,830.70
"""


def read(folder: Path, text: str, name: str = "elm.csv", said: str = "") -> Batch:
    path = folder / name
    path.write_text(text, "utf-8")
    answers = Answers({f"price of a quote: {name}": said} if said else {})
    return read_file(path, Firm(), answers=answers)


def only(batch: Batch) -> JobEntry:
    (job,) = batch.entries
    assert isinstance(job, JobEntry)
    return job


def test_a_quote_gives_one_job_with_its_price_before_tax(tmp_path: Path) -> None:
    batch = read(tmp_path, QUOTE)
    job = only(batch)
    assert (job.job, job.kind, job.quoted_on) == (
        "Elm hall bathroom",
        "bathroom",
        date(2024, 1, 15),
    )
    assert (job.price, job.area_sqft) == (909_000, 46.0)
    assert (job.plan, job.actual) == (Amounts(), Amounts())
    assert job.scope["niche"] == 1.0
    assert job.scope["wall_tile"] == 96.0
    assert "heated_floor" not in job.scope
    assert not batch.questions


def test_what_stands_below_the_price_is_no_part_of_it(tmp_path: Path) -> None:
    text = (
        'Quote for the Elm laundry room,\nDemo,$950.00\nFloor tile,"$2,180.00"\n'
        'Price,"$3,130.00"\n,\nOptions (not in the price above),\nHeated floor,"$1,350.00"\n'
    )
    assert only(read(tmp_path, text)).price == 313_000


def test_an_option_counts_where_the_subtotal_has_it(tmp_path: Path) -> None:
    text = (
        QUOTE.replace("9090", "10290").replace("1181.70", "1337.70").replace("10271.70", "11627.70")
    )
    job = only(read(tmp_path, text))
    assert job.price == 1_029_000
    assert "heated_floor" in job.scope


def test_a_quote_laid_out_with_spaces(tmp_path: Path) -> None:
    job = only(read(tmp_path, SPACED, "elm quote 2.txt"))
    assert (job.job, job.price, job.area_sqft) == ("Elm bath", 339_000, 58.0)
    assert job.quoted_on == date(2026, 10, 5)


@pytest.mark.parametrize(
    ("said", "price"), [("what the lines come to", 909_000), ("what the total says", 919_000)]
)
def test_sums_that_disagree_are_asked(tmp_path: Path, said: str, price: int) -> None:
    text = QUOTE.replace("9090", "9190")
    batch = read(tmp_path, text)
    (question,) = batch.questions
    assert batch.entries == ()
    assert (question.topic, question.place.row) == ("price of a quote", 8)
    assert "come to 9,090.00, 'Subtotal' says 9,190.00" in question.text
    assert only(read(tmp_path, text, said=said)).price == price


def test_a_line_without_a_price_is_told(tmp_path: Path) -> None:
    batch = read(tmp_path, QUOTE.replace("4,Option: heated floor,1200", "4,Glass,?"))
    assert only(batch).price == 909_000
    told = [f for f in batch.findings if f.kind == "set aside"]
    assert [(f.place.row, f.text) for f in told] == [(7, "a line without a price; it is in no sum")]


def test_a_suppliers_bill_is_no_quote(tmp_path: Path) -> None:
    bill = QUOTE.replace("QUOTE - Elm hall bathroom", "Tile shop bill for Elm hall bathroom")
    batch = read(tmp_path, bill, "bill.csv")
    assert not any(isinstance(entry, JobEntry) for entry in batch.entries)


def test_a_quote_is_checked_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "elm.csv"
    path.write_text(QUOTE, "utf-8")
    job = read_asked_sheet(path, Firm())
    assert (job.state, job.price, job.quoted_on) == ("quoted", 909_000, date(2024, 1, 15))
