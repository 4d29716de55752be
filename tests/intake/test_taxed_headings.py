"""What headings say about tax: two taxes a bill, amounts with tax and before it.

Words and pairs of taxes are common practice, no source; the bills are invented.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from costlearn.firm import Firm
from costlearn.intake.answers import Answers
from costlearn.intake.headers import HeadingReader
from costlearn.intake.reader import read_file
from costlearn.intake.taxed_headings import taxes_named
from costlearn.records import CostEntry, JobEntry, Question
from costlearn.vocabulary import standard

READER = HeadingReader(standard())
FIRM = Firm(currency="CAD")


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("Montant avant taxes", "amount"),
        ("Montant (taxes incluses)", "gross"),
        ("Montant TTC", "gross"),
        ("Total avec taxes", "gross"),
        ("Amount (incl. HST)", "gross"),
        ("Amount excl. GST", "amount"),
        ("Sous-total hors TPS et TVQ", "amount"),
        ("TPS (5 %)", "tax"),
        ("TVQ 9,975 %", "tax"),
        ("GST paid", "tax"),
        ("GST + PST", "tax"),
        ("TPS/TVQ", "tax"),
    ],
)
def test_a_heading_of_bills_says_whether_tax_is_in_it(text: str, field: str) -> None:
    match = READER.match(text, "receipts")
    assert (match.how, match.field) == ("exact", field)


@pytest.mark.parametrize(
    ("kind", "text", "field"),
    [
        ("jobs", "Prix soumis (avant taxes)", "price"),
        ("jobs", "Price before tax", "price"),
        ("changes", "Prix (avant taxes)", "price"),
    ],
)
def test_a_price_before_tax_is_the_price(kind: str, text: str, field: str) -> None:
    match = READER.match(text, kind)
    assert (match.how, match.field) == ("exact", field)


@pytest.mark.parametrize(
    ("text", "field", "said"),
    [
        ("Prix (taxes incluses)", "price", "with tax"),
        ("Billed (HST in it)", "paid", "with tax"),
        ("Coût réel (avant taxes)", "actual.cost", "before tax"),
        ("Cost, no HST", "actual.cost", "before tax"),
        ("Coût TTC", "actual.cost", "with tax"),
    ],
)
def test_a_list_of_jobs_says_whether_tax_is_in_its_amounts(
    text: str, field: str, said: str
) -> None:
    match = READER.match(text, "jobs")
    assert (match.how, match.field, match.unit) == ("exact", field, said)


def jobs(path: Path, text: str, firm: Firm, **said: str) -> tuple[JobEntry, tuple[Question, ...]]:
    path.write_text(text, "utf-8")
    batch = read_file(path, firm, answers=Answers(said))
    (job,) = [e for e in batch.entries if isinstance(e, JobEntry)]
    return job, batch.questions


def test_tax_within_waits_for_its_rate_where_the_net_counts(tmp_path: Path) -> None:
    text, path = "Job,Finished,Billed (HST in it)\nElm bath,2024-03-01,11300\n", tmp_path / "j.csv"
    job, (asked,) = jobs(path, text, FIRM)
    assert (job.paid, asked.topic) == (None, "tax")
    job, left = jobs(path, text, FIRM, **{asked.key: "0.13"})
    assert (job.paid, left) == (1_000_000, ())


@pytest.mark.parametrize(("recovers", "cost"), [(True, 1_000_000), (False, None)])
def test_a_cost_before_tax_is_whole_only_where_tax_comes_back(
    tmp_path: Path, recovers: bool, cost: int | None
) -> None:
    text = 'Job,Finished,"Cost, no HST"\nElm bath,2024-03-01,10000\n'
    job, _ = jobs(tmp_path / "j.csv", text, replace(FIRM, tax_recoverable=recovers))
    assert job.actual.cost == cost


def test_a_heading_of_more_than_taxes_names_none() -> None:
    assert taxes_named("tps tvq") == {"federal", "provincial"}
    assert not taxes_named("no tps")
    assert not taxes_named("taxes")


def bills(path: Path, *lines: str) -> list[tuple[int, int | None]]:
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return [(e.net, e.tax) for e in read_file(path, FIRM).entries if isinstance(e, CostEntry)]


def test_two_taxes_on_one_bill_are_its_tax_together(tmp_path: Path) -> None:
    # 1,000.00 with 5 % and 9.975 % on it, worked by hand.
    found = bills(
        tmp_path / "depenses.csv",
        "Date;Chantier;Fournisseur;Catégorie;TPS;TVQ;Total",
        "2026-10-14;SDB X;Carrelage;Matériaux;50,00;99,75;1149,75",
        "2026-10-15;SDB X;Ville;Permis;;;95,00",
        "2026-10-16;SDB X;Location;Location;6,50;;136,50",
    )
    assert found == [(1000_00, 149_75), (95_00, None), (130_00, 6_50)]


def test_both_taxes_are_held_against_amount_and_total(tmp_path: Path) -> None:
    path = tmp_path / "depenses.csv"
    found = bills(
        path,
        "Date;Chantier;Fournisseur;Catégorie;Montant avant taxes;TPS (5 %);TVQ (9,975 %);Total",
        "2026-10-14;SDB X;Carrelage;Matériaux;1 000,00;50,00;99,75;1 149,75",
        "2026-10-15;SDB X;Sable;Matériaux;100,00;5,00;9,98;124,98",
    )
    assert found == [(1000_00, 149_75), (100_00, 14_98)]
    said = [f.text for f in read_file(path, FIRM).findings if f.kind == "checked"]
    wrong = [text for text in said if "do not make the total" in text]
    assert len(wrong) == 1


def test_a_column_of_all_taxes_counts_alone(tmp_path: Path) -> None:
    found = bills(
        tmp_path / "bills.csv",
        "Date,Job,Payee,Kind,GST,PST,Taxes,Total",
        "2026-10-14,Main bath,Tile shop,material,50.00,70.00,120.00,1120.00",
    )
    assert found == [(1000_00, 120_00)]


def test_one_tax_in_two_languages_counts_once(tmp_path: Path) -> None:
    found = bills(
        tmp_path / "bills.csv",
        "Date,Job,Payee,Kind,GST,TPS,Total",
        "2026-10-14,Main bath,Tile shop,material,50.00,50.00,1050.00",
    )
    assert found == [(1000_00, 50_00)]


def test_a_third_tax_column_is_read_too(tmp_path: Path) -> None:
    found = bills(
        tmp_path / "bills.csv",
        "Date,Job,Payee,Kind,GST,HST,QST,Total",
        "2026-10-14,Main bath,Tile shop,material,50.00,,99.75,1149.75",
        "2026-10-15,Main bath,Stone shop,material,,130.00,,1130.00",
    )
    assert found == [(1000_00, 149_75), (1000_00, 130_00)]
