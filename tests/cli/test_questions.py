"""Estimate, check, overruns, crew on the screen, as JSON and as pages; exit codes 0 and 1."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from costlearn.cli import figures
from tests.cli.conftest import DEMO, Command

SCOPE = (
    "--area",
    "46 sq ft",
    "--kind",
    "bathroom",
    "--items",
    "gut; niche; wall tile 96; 3 lights",
)
ASKED: dict[str, tuple[object, ...]] = {
    "estimate": ("estimate", DEMO / "scope_new.toml"),
    "quotecheck": ("check", DEMO / "quote_sane.toml"),
    "overruns": ("overruns",),
    "trust": ("backtest",),
    "crew": ("crew", DEMO / "scope_new.toml", "--backlog", "14"),
}


def plain_text(page: Path) -> str:
    """The words of a page as they are read, without its marks."""
    body = page.read_text("utf-8").partition("<body")[2]
    return " ".join(html.unescape(re.sub(r"<[^>]*>", "", body)).split())


@pytest.mark.parametrize("question", ASKED)
def test_screen_json_and_page_say_the_same(
    command: Command, demo_book: Path, tmp_path: Path, question: str
) -> None:
    words = (*ASKED[question], "--on", "2026-10-31") if question == "estimate" else ASKED[question]
    shown = command(*words, "--book", demo_book)
    page = tmp_path / "new folder" / "answer.html"
    asked = command(*words, "--book", demo_book, "--json", "--html", page)
    assert (shown.code, asked.code) == (0, 0)
    assert asked.data["question"] == question
    sentence = asked.data["sentence"]
    assert " ".join(shown.out.split()).startswith(" ".join(sentence.split()))
    assert "Rests on" in shown.out
    assert " ".join(sentence.split()) in plain_text(page)


def test_the_same_question_gives_the_same_bytes(command: Command, demo_book: Path) -> None:
    words = ("overruns", "--book", demo_book, "--json")
    assert command(*words).out == command(*words).out


def test_a_page_is_told_and_json_is_nothing_but_json(
    command: Command, demo_book: Path, tmp_path: Path
) -> None:
    page = tmp_path / "p.html"
    done = command("overruns", "--book", demo_book, "--html", page)
    assert "Written: " in done.out
    assert page.is_file()


def test_a_scope_in_words_needs_no_file(command: Command, demo_book: Path) -> None:
    data = command("estimate", *SCOPE, "--book", demo_book, "--json").data
    assert data["job"]["scope"] == {
        "gut_demo": 1.0,
        "niche": 1.0,
        "wall_tile": 96.0,
        "lighting": 3.0,
    }
    assert data["job"]["area_sqft"] == 46.0


def test_options_go_on_top_of_a_file(command: Command, demo_book: Path) -> None:
    file = DEMO / "quote_sane.toml"
    words = ("--price", "$31,500", "--site-days", "19", "--items", "no bath fan; bench", "--area")
    more = ("4.8 m2", "--book", demo_book, "--json", "--on", "2026-05-04")
    data = command("check", file, *words, *more).data
    assert data["price"] == 31_500
    assert data["job"]["plan"]["site_days"] == 19
    assert data["job"]["plan"]["cost"] == 2_090_000
    assert (data["job"]["scope"]["bath_fan"], data["job"]["scope"]["bench"]) == (0.0, 1.0)
    assert data["job"]["area_sqft"] == pytest.approx(4.8 * 10.7639)
    assert data["asked_on"] == "2026-05-04"


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("28900", 28_900), ("$28,900", 28_900), ("28.9k", 28_900), ("USD 28,900.50", 28_900.5)],
)
def test_money_is_typed_as_people_type_it(
    command: Command, small_book: Path, typed: str, meant: float
) -> None:
    done = command("check", *SCOPE, "--price", typed, "--book", small_book, "--json")
    assert done.data["price"] == meant


def test_money_of_another_currency_is_not_taken(command: Command, small_book: Path) -> None:
    told = command("check", *SCOPE, "--price", "EUR 500", "--book", small_book).told
    assert told.startswith("--price: found 'EUR 500'; expected a plain amount in USD")


@pytest.mark.parametrize("typed", ["0.27", "27 %", "27%", ".27"])
def test_a_margin_is_a_share_or_a_percentage(typed: str) -> None:
    assert figures.share("--margin", typed) == pytest.approx(0.27)


def test_the_margin_typed_is_the_margin_asked_for(command: Command, demo_book: Path) -> None:
    file = DEMO / "quote_sane.toml"
    data = command("check", file, "--margin", "31 %", "--book", demo_book, "--json").data
    assert data["wanted_margin"] == pytest.approx(0.31)


@pytest.mark.parametrize("quote", ["quote_forgotten", "quote_far_outside"])
def test_a_quote_not_to_be_trusted_ends_with_one(
    command: Command, demo_book: Path, quote: str
) -> None:
    done = command("check", DEMO / f"{quote}.toml", "--book", demo_book, "--json")
    assert done.code == 1
    assert done.err == ""
    assert done.data["trusted"] is False


def test_limits_of_cost_and_days_are_answered_together(command: Command, demo_book: Path) -> None:
    def chance(under: str, within: str) -> float:
        limits = ("--under", under, "--within", within, "--on", "2026-10-31")
        data = command("estimate", *SCOPE, *limits, "--book", demo_book, "--json").data
        assert data["limits"] == {"cost": 18_000.0, "days": float(within)}
        return float(data["within"])

    assert 0 < chance("$18k", "18") < chance("18,000", "40") <= 1


def test_a_close_spelling_is_taken_and_told(command: Command, demo_book: Path) -> None:
    done = command("estimate", "--items", "showr niche; toilet", "--book", demo_book)
    assert done.code == 0
    assert done.err.strip() == "costlearn: 'showr niche' is taken for shower niche."


def test_too_few_jobs_are_an_answer_and_no_error(command: Command, tmp_path: Path) -> None:
    book, jobs = tmp_path / "b", tmp_path / "jobs.csv"
    jobs.write_text("Job,Cost,Finished\nA1 bath,12000,2024-03-01\n", "utf-8")
    command("import", jobs, "--book", book)
    estimate = command("estimate", *SCOPE, "--book", book)
    assert estimate.code == 0
    assert "cannot price this yet" in " ".join(estimate.out.split())
    check = command("check", *SCOPE, "--price", "9000", "--book", book)
    assert check.code == 1
    for question in ("overruns", "crew"):
        data = command(question, "--book", book, "--json").data
        assert data["known"] is False
        assert data["sentence"]


def test_crew_says_what_it_must_be_told_for_a_year(command: Command, demo_book: Path) -> None:
    shown = command("crew", "--book", demo_book)
    assert shown.code == 0
    assert "how many jobs a year you could sell" in " ".join(shown.out.split())
    data = command("crew", "--backlog", "0", "--free-day", "0", "--book", demo_book, "--json").data
    assert data["asks"] == []


def test_a_belief_answers_where_records_cannot_and_is_marked(
    command: Command, tmp_path: Path
) -> None:
    book, jobs = tmp_path / "b", tmp_path / "jobs.csv"
    jobs.write_text("Job,Cost,Finished\nA1 bath,12000,2024-03-01\n", "utf-8")
    command("import", jobs, "--book", book)
    silent = command("crew", "--book", book)
    assert silent.code == 0
    assert "--belief 0.6-0.85" in " ".join(silent.out.split())
    page = tmp_path / "crew.html"
    told = command("crew", "--belief", "0.6-0.85", "--book", book, "--html", page)
    assert told.code == 0
    assert told.out.startswith("By your own belief, not your records")
    assert "with your belief, 60 to 85 %" in plain_text(page)
    data = command("crew", "--belief", "0.6-0.85", "--book", book, "--json").data
    assert data["believed"] is True
    assert data["belief"] == {"level": 0.8, "low": 0.6, "high": 0.85}


def test_a_backlog_in_a_range_is_said_as_one(command: Command, demo_book: Path) -> None:
    shown = command("crew", "--backlog", "10-16", "--book", demo_book)
    assert "With 10 to 16 jobs to be sold a year" in " ".join(shown.out.split())
    data = command("crew", "--backlog", "10 to 16", "--book", demo_book, "--json").data
    assert (data["year"]["backlog"], data["year"]["backlog_high"]) == (10.0, 16.0)
