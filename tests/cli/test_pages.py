"""The pages command: a whole set from a book, all of it or none."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import unquote

import pytest

from costlearn.book.store import Book
from costlearn.cli.main import main
from costlearn.cli.pages import FIRM_ANSWERS, firm_answers, state_of
from costlearn.pages.report import report_files
from tests.cli.conftest import DEMO, Command


@pytest.fixture(scope="module")
def made(demo_book: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    to = tmp_path_factory.mktemp("set") / "pages"
    asked = [str(DEMO / "quote_sane.toml"), str(DEMO / "scope_new.toml")]
    assert (
        main(["pages", *asked, "--to", str(to), "--backlog", "14", "--book", str(demo_book)]) == 0
    )
    return to


def linked(page: Path) -> list[Path]:
    hrefs = re.findall(r'href="([^"#]+)"', page.read_text("utf-8"))
    return [(page.parent / unquote(h)).resolve() for h in hrefs if not h.startswith("data:")]


def test_the_first_page_leads_to_every_answer_and_every_job(made: Path) -> None:
    pages = {p.resolve() for p in made.rglob("*.html")}
    assert len(pages) == 1 + 10 + 48
    assert set(linked(made / "index.html")) == pages - {(made / "index.html").resolve()}
    assert (made / "pictures.js").is_file()
    names = {p.name for p in made.glob("*.html")}
    assert names >= {"earnings.html", "overruns.html", "crew.html", "accuracy.html", "options.html"}
    assert names >= {"check-quote-sane-toml.html", "estimate-scope-new-toml.html"}


def test_a_job_page_names_files_and_rows(made: Path) -> None:
    (page,) = made.glob("jobs/job-b25-02-*.html")
    assert "hours_2024_2026.csv, rows 421 to" in page.read_text("utf-8")


def test_a_scope_that_cannot_be_read_changes_nothing(
    command: Command, demo_book: Path, made: Path, tmp_path: Path
) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("[job]\nprice = 'x'\n", "utf-8")
    before = {p: p.stat().st_mtime_ns for p in made.rglob("*")}
    assert "bad.toml" in command("pages", bad, "--to", made, "--book", demo_book).told
    assert {p: p.stat().st_mtime_ns for p in made.rglob("*")} == before


def test_names_that_would_lead_elsewhere_stay_in_the_folder(
    command: Command, tmp_path: Path
) -> None:
    jobs = tmp_path / "jobs.csv"
    jobs.write_text(
        "Job,Cost,Status,Started,Finished\n../../up bath,12000,finished,2024-02-01,2024-03-01\n"
        "<script>alert(1)</script>,9000,running,2024-04-01,\n../../up Bath!,,running,2024-04-02,\n",
        "utf-8",
    )
    book, to = tmp_path / "b.book", tmp_path / "deep" / "set"
    assert command("import", jobs, "--book", book).code == 0
    done = command("pages", "--to", to, "--book", book)
    assert done.code == 0, done.err
    written = list(tmp_path.rglob("*.html"))
    assert all(to in p.parents for p in written)
    assert all(p.is_file() for p in linked(to / "index.html"))
    for page in written:
        assert "<script>alert" not in page.read_text("utf-8")


def test_an_empty_book_gets_a_first_page_and_pages_that_say_what_is_missing(
    command: Command, small_book: Path, tmp_path: Path
) -> None:
    done = command("pages", "--to", tmp_path / "set", "--book", small_book)
    assert done.code == 0
    assert done.out.startswith("1 finished job on file to learn from.")
    index = (tmp_path / "set" / "index.html").read_text("utf-8")
    assert "Not known yet." in index
    assert "No job can be priced from 1 finished job: 3 are needed." in index
    told = command("pages", "--to", tmp_path / "set", "--book", small_book, "--json").data
    assert told["written"] == [str(tmp_path / "set" / "index.html")]
    assert told["sentence"].startswith("1 finished job on file to learn from.")
    assert {a["page"] for a in told["answers"]} >= {"overruns.html", "crew.html"}


def test_making_pages_tells_how_far_it_is(small_book: Path) -> None:
    with Book.open(small_book) as book:
        history, entries = book.history(), tuple(book.entries())
    named = list(firm_answers(history, entries, None, None))
    assert len(named) == FIRM_ANSWERS
    told: list[tuple[str, float]] = []
    report_files(
        history,
        named,
        state_of(history, entries, [n.answer for n in named], 0),
        watch=lambda doing, share: told.append((doing, share)),
    )
    assert [doing for doing, _ in told] == [*(n.heading for n in named), "A1 hall bath"]
    assert [share for _, share in told] == pytest.approx([n / 7 for n in range(7)])


def test_a_file_in_the_way_is_told(command: Command, small_book: Path, tmp_path: Path) -> None:
    (tmp_path / "set").write_text("mine", "utf-8")
    assert (
        "cannot be written" in command("pages", "--to", tmp_path / "set", "--book", small_book).told
    )
