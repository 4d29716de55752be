"""Every mistake ends in one sentence that says what was found and what was expected, and code 2."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from tests.cli.conftest import DEMO, Command

JOBS = "Job,Kind,Floor area,Cost,Started\nA1 hall bath,bathroom,45 sf,13000,2024-03-01\n"
NO_NUMBERS = ["nan", "inf", "-inf", "1e308", "-1", "-0.5", "abc", "", "12 34 56", "0x10", "1,2,3"]
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""The first bytes of a compound file: [MS-CFB] Compound File Binary File Format, 2.2."""

FILES: dict[str, tuple[bytes, str]] = {
    "empty.csv": (b"", "is empty"),
    "blank.csv": (b" \n\n ", "blank space"),
    "picture.xlsx": (b"\x89PNG\r\n\x1a\n" + b"\0" * 64, "is a picture"),
    # A locked workbook is a compound file with a stream of this name: [MS-OFFCRYPTO] 2.3.4.4.
    "locked.xlsx": (
        OLE + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le") + b"\0" * 600,
        "is locked by a password",
    ),
    "letter.pdf": (b"%PDF-1.7\n1 0 obj\n", "is a PDF document"),
    "cut.xlsx": (b"PK\x03\x04" + b"\0" * 80, "is damaged"),
    "database.csv": (b"SQLite format 3\x00" + b"\0" * 90, "is a database"),
    "prose.csv": (b"Dear reader,\nthe tiles came late.\n", "no row of the first 30"),
}


@pytest.mark.parametrize("name", FILES)
def test_a_file_that_is_no_table(command: Command, tmp_path: Path, name: str) -> None:
    content, why = FILES[name]
    (tmp_path / name).write_bytes(content)
    told = command("import", tmp_path / name, "--book", tmp_path / "b").told
    assert told.startswith(name)
    assert why in told
    assert "expected" in told


@pytest.mark.parametrize("name", ["firm.toml", "scope_new.toml"])
def test_a_settings_or_scope_file_among_the_spreadsheets(
    command: Command, tmp_path: Path, name: str
) -> None:
    done = command("import", DEMO / name, "--book", tmp_path / "b")
    assert done.told.startswith(f"{name}: this is a TOML file, no table of records; expected")
    assert "--settings" in done.told
    assert done.out == ""


def test_no_file_and_a_folder_in_the_place_of_a_file(command: Command, tmp_path: Path) -> None:
    book = ("--book", tmp_path / "b")
    assert "no such file" in command("import", tmp_path / "none.csv", *book).told
    assert "no spreadsheet is in this folder" in command("import", tmp_path, *book).told


def test_dates_in_two_orders_name_both_rows(command: Command, tmp_path: Path) -> None:
    file = tmp_path / "dates.csv"
    file.write_text("Job,Cost,Started\nA1,100,13/02/2024\nA2,200,02/13/2024\n", "utf-8")
    done = command("import", file, "--details", "--book", tmp_path / "b")
    told = " ".join(done.out.split())
    assert "rows 2 and 3 contradict each other" in told
    assert done.code == 0


MAPS = {
    'kind = "jobs"\n[columns]\njob = "Nowhere"\n': "'Nowhere' that is not there; expected",
    'kind = "jobs"\n[columns]\nprise = "Cost"\n': "'prise' is no field",
    'kind = "castles"\n': "found 'castles'; expected 'jobs'",
    "kind = jobs\n": "no TOML",
    "[columns]\njob = 'Job'\n": "needs the kind",
    'kind = "jobs"\n[constants]\narea = nan\n': "found nan",
    'kind = "jobs"\n[constants]\narea = inf\n': "found inf",
    'kind = "jobs"\n[constants]\narea = 1e308\n': "found 1e+308",
    f'kind = "jobs"\n[constants]\narea = {"9" * 400}\n': "a number of more than 18 figures",
    f'kind = "jobs"\n[constants]\narea = {"9" * 5000}\n': "no TOML",
}


@pytest.mark.parametrize(("text", "why"), MAPS.items(), ids=range(len(MAPS)))
def test_a_column_map_that_does_not_fit(
    command: Command, tmp_path: Path, text: str, why: str
) -> None:
    chart, jobs = tmp_path / "map.toml", tmp_path / "jobs.csv"
    chart.write_text(text, "utf-8")
    jobs.write_text(JOBS, "utf-8")
    assert why in command("import", jobs, "--map", chart, "--book", tmp_path / "b").told


SETTINGS = {
    "[firm]\ndaily_rate = 3\n": "'daily_rate' is no setting costlearn knows; expected one of",
    "[firm]\nday_rate = nan\n": "found nan; expected a number",
    "[firm]\nday_rate = inf\n": "found inf; expected a number",
    "[firm]\nday_rate = 1e308\n": "expected a number",
    "[firm]\nday_rate = -5\n": "found -5; expected a number",
    "[firm]\nday_rate = '500'\n": "found '500'; expected a number",
    "[firm]\nwanted_margin = 1.5\n": "found 1.5; expected a number from 0",
    "[firm]\nhours_per_day = 0\n": "found 0; expected a number",
    "[firm]\nprice_index = {'2024-01-01' = inf}\n": "expected dates with levels",
    "[firm]\nprice_index = {someday = 100}\n": "expected dates with levels",
    "[firm]\narea_unit = 'acres'\n": "found 'acres'; expected 'sqft' or 'sqm'",
    "[firm]\ncurrency = 'dollars'\n": "expected three capital letters",
    "firm = 3\n": "no [firm] part",
    "[company]\nday_rate = 3\n": "no [firm] part in it, only 'company'",
    "[firm]\n[tax]\n": "the part 'tax' is unknown",
    "day_rate = [": "no TOML",
}


@pytest.mark.parametrize(("text", "why"), SETTINGS.items(), ids=range(len(SETTINGS)))
def test_settings_that_cannot_be_used_leave_the_book_as_it_was(
    command: Command, tmp_path: Path, text: str, why: str
) -> None:
    good, bad, book = tmp_path / "good.toml", tmp_path / "bad.toml", tmp_path / "b"
    good.write_text("[firm]\nday_rate = 480\n", "utf-8")
    bad.write_text(text, "utf-8")
    command("settings", good, "--book", book)
    told = command("settings", bad, "--book", book).told
    assert told.startswith("bad.toml") or str(bad) in told
    assert why in told
    assert command("settings", "--book", book, "--json").data["day_rate"] == 480


QUOTES = {
    "": "nothing in it says what the job is; expected [scope]",
    "[scop]\narea = 4\n": "the part 'scop' is unknown",
    "[scope]\ncolour = 'red'\n": "'colour' is unknown; expected one of",
    "[scope]\narea = '-4 sq ft'\n": "expected a floor area",
    "[scope]\narea = nan\n": "found nan; expected a floor area",
    "[scope]\narea = 1e308\n": "found 1e+308; expected a floor area",
    f"[scope]\narea = {'9' * 400}\n": "a number of more than 18 figures",
    "[scope]\narea = true\n": "found true; expected a floor area",
    "[scope]\nitems = ['floobar']\n": "'floobar' is no scope item costlearn knows; expected",
    "[scope]\nitems = ['wall tile -96']\n": "found 'wall tile -96'; expected",
    f"[scope]\nitems = ['wall tile {'9' * 400}']\n": "expected scope items such as",
    "[scope]\nitems = [3]\n": "found [3]; expected a list of texts",
    "[scope]\nkind = 'castle'\n": "found 'castle'; expected one of bathroom",
    "[scope]\ngrade = 7\n": "found 7; expected basic, middle or high",
    "[scope]\ngrade = nan\n": "found nan; expected basic",
    "[scope]\nhouse_year = 62\n": "found 62; expected the year",
    "[scope]\nhouse_year = inf\n": "found inf; expected the year",
    "[scope]\ncondo = 'maybe'\n": "found 'maybe'; expected true or false",
    "[quote]\nprice = nan\n": "found nan; expected a number",
    "[quote]\nprice = inf\n": "found inf; expected a number",
    "[quote]\nprice = 1e308\n": "found 1e+308; expected a number",
    "[quote]\nprice = 0\n": "found 0; expected a number",
    "[quote]\nprice = '28,900'\n": "found '28,900'; expected a number",
    "[quote]\ncost = -1\n": "entry 'quote.cost': found -1; expected a number",
    "[quote]\nperson_days = nan\n": "found nan; expected a number",
    "[quote]\nsite_days = inf\n": "found inf; expected a number",
    "[quote]\nelapsed_days = 1e308\n": "found 1e+308; expected a number",
    "[quote]\ncrew = 1e9\n": "at most 50",
    "[quote]\ndate = 'soon'\n": "found 'soon'; expected a date",
    "[quote]\ndate = 0001-01-01\n": "expected a year from 1950",
    "[quote]\ndate = 7\n": "found 7; expected a date",
    "quote = 5\n": "expected a part headed [quote]",
    "plan = 5\n[quote]\nprice = 9\n": "expected a part headed [plan.PHASE]",
    "[quote]\nprice = 9\n[plan.roofing]\ncost = 9\n": "'roofing' is no phase costlearn knows",
    "[quote]\nprice = 9\n[plan.prep]\ncost = 9\n": "'prep' may mean several things; expected",
    "[quote]\nprice = 9\n[plan.tile]\ncost = nan\n": "entry 'plan.tile.cost': found nan",
    "[quote]\nprice = 9\n[plan.tile]\nsize = 9\n": "entry 'plan.tile.size': 'size' is unknown",
    "[quote]\nprice = 9\n[plan.tile]\n[plan.tiling]\n": "'tile' is planned twice",
    "a = " + "[" * 5000: "no TOML",
    "[quote]\nprice = 22.5k\n": "which reads 'price = 22.5k'",
    "[scope]\nheated floor = 40\n": "'heated floor = 40' (a name of several words",
}


@pytest.mark.parametrize(("text", "why"), QUOTES.items(), ids=range(len(QUOTES)))
def test_a_quote_that_cannot_be_used(
    command: Command, small_book: Path, tmp_path: Path, text: str, why: str
) -> None:
    file = tmp_path / "quote.toml"
    file.write_text(text, "utf-8")
    told = command("check", file, "--book", small_book).told
    assert "quote.toml" in told
    assert why in told


@pytest.mark.parametrize(
    ("name", "why"),
    [("phases.xlsx", "jobs is quoted"), ("", "it is a folder"), ("none.toml", "no such file")],
)
def test_something_else_in_the_place_of_a_scope_file(
    command: Command, small_book: Path, name: str, why: str
) -> None:
    assert why in command("estimate", DEMO / name, "--book", small_book).told


@pytest.mark.parametrize("text", NO_NUMBERS)
@pytest.mark.parametrize(
    "flag", ["--price", "--cost", "--person-days", "--site-days", "--elapsed-days", "--crew"]
)
def test_a_figure_of_a_quote_that_is_none(
    command: Command, small_book: Path, flag: str, text: str
) -> None:
    told = command("check", "--area", "46", f"{flag}={text}", "--book", small_book).told
    assert told.startswith(f"{flag}: found ")
    assert "expected a" in told


@pytest.mark.parametrize("text", [*NO_NUMBERS, "1,000,000,000", "5e9"])
@pytest.mark.parametrize("flag", ["--backlog", "--contribution", "--free-day"])
def test_a_figure_of_a_year_that_is_none(
    command: Command, small_book: Path, flag: str, text: str
) -> None:
    assert f"{flag}: found '{text}'" in command("crew", f"{flag}={text}", "--book", small_book).told


@pytest.mark.parametrize("text", ["16-10", "10-10", "10-", "10-16-20", "ten to twelve", "1-nan"])
def test_a_backlog_that_is_no_range(command: Command, small_book: Path, text: str) -> None:
    told = command("crew", f"--backlog={text}", "--book", small_book).told
    assert told.startswith(f"--backlog: found '{text}'")
    assert "such as 10-16" in told


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("0.7", "--belief: found '0.7'; expected a range such as 0.6-0.85"),
        ("0.9-0.6", "--belief: found '0.9-0.6'; expected a range from zero up"),
        ("60-85", "a belief of 60 to 85; expected days with two as a share of days alone"),
    ],
)
def test_a_belief_that_is_no_range(command: Command, small_book: Path, text: str, why: str) -> None:
    assert command("crew", f"--belief={text}", "--book", small_book).told.startswith(why)


@pytest.mark.parametrize("text", [*NO_NUMBERS, "1.5", "27", "1", "-3 %", "120 %"])
def test_a_margin_that_is_no_share(command: Command, small_book: Path, text: str) -> None:
    quote = DEMO / "quote_sane.toml"
    told = command("check", quote, f"--margin={text}", "--book", small_book).told
    assert told.startswith(f"--margin: found '{text}'; expected a share")


@pytest.mark.parametrize(
    "text", ["yesterday", "2026-13-01", "11/02/2026", "nan", "", "0001-01-01", "9999-12-31"]
)
def test_a_day_that_is_none(command: Command, small_book: Path, text: str) -> None:
    told = command("estimate", "--area", "46", f"--on={text}", "--book", small_book).told
    assert told.startswith("--on: found ")
    assert text in told
    assert "expected a" in told


@pytest.mark.parametrize("text", ["nan", "inf", "1e308", "-46", "0", "wide", "46 acres"])
def test_an_area_that_is_none(command: Command, small_book: Path, text: str) -> None:
    told = command("estimate", f"--area={text}", "--book", small_book).told
    assert told.startswith("--area: ")
    assert f"'{text}'" in told
    assert "expected a floor area" in told


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("--items", "floobar 3"), "--items: 'floobar 3' is no scope item costlearn knows"),
        (("--items", "niche; wall tile -5"), "--items: found"),
        (("--kind", "castle"), "--kind: found 'castle'; expected one of bathroom"),
        (("--grade", "posh"), "--grade: found 'posh'; expected basic, middle or high"),
        (("--house-year", "old"), "--house-year: found 'old'; expected a year"),
        (("--house-year", "1066"), "--house-year: found 1066; expected the year"),
        (("--crew", "51"), "--crew: found 51.0; expected a number above zero, at most 50"),
        ((), "nothing says what the job is; expected a scope file"),
    ],
)
def test_a_scope_in_words_that_nobody_understands(
    command: Command, small_book: Path, words: tuple[str, ...], why: str
) -> None:
    assert command("estimate", *words, "--book", small_book).told.startswith(why)


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("--under", "9000"), "--under is given without --within; expected both or neither"),
        (("--within", "9"), "--within is given without --under; expected both or neither"),
        (("--under", "nan", "--within", "9"), "--under: found 'nan'; expected an amount"),
        (("--under", "9000", "--within", "inf"), "--within: found 'inf'; expected a number"),
    ],
)
def test_limits_that_are_none(
    command: Command, small_book: Path, words: tuple[str, ...], why: str
) -> None:
    told = command("estimate", "--area", "46", *words, "--book", small_book).told
    assert told.startswith(why)


def another_program(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE recipes (name TEXT)")
        db.commit()


def newer_version(path: Path) -> None:
    from costlearn.book.store import Book

    Book.open(path).close()
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA user_version = 999")
        db.commit()


BOOKS: dict[str, tuple[Callable[[Path], object], str]] = {
    "text": (lambda p: p.write_text("my jobs\n" * 99), "no job book"),
    "empty": (lambda p: p.write_bytes(b""), "empty"),
    "another program's": (another_program, "another program"),
    "newer": (newer_version, "version 999, written by a later costlearn"),
    "a folder": (lambda p: p.mkdir(), "folder"),
    "none": (lambda _: None, "there is no job book here"),
}


@pytest.mark.parametrize("kind", BOOKS)
def test_a_book_that_is_none_is_refused_and_left_alone(
    command: Command, tmp_path: Path, kind: str
) -> None:
    make, why = BOOKS[kind]
    book = tmp_path / "firm.book"
    make(book)
    before = book.read_bytes() if book.is_file() else None
    for words in (("jobs",), ("overruns",), ("settings",)):
        told = command(*words, "--book", book).told
        assert str(book) in told
        assert why in told
        assert "expected" in told
    assert (book.read_bytes() if book.is_file() else None) == before


def test_a_place_that_cannot_be_written(command: Command, demo_book: Path, tmp_path: Path) -> None:
    """Below a file nobody can write, not even the administrator."""
    file = tmp_path / "a file"
    file.write_text("x")
    below = file / "folder" / "page.html"
    for asked in (("overruns", "--html", below), ("overruns", "--json", "--html", below)):
        done = command(*asked, "--book", demo_book)
        assert str(below) in done.told
        assert done.out, "the answer itself is not lost"
    jobs = tmp_path / "jobs.csv"
    jobs.write_text(JOBS, "utf-8")
    assert str(below) in command("import", jobs, "--book", below).told
    assert str(file) in command("demo", "--to", file / "x").told
    assert str(tmp_path) in command("overruns", "--html", tmp_path, "--book", demo_book).told


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("chek",), "no such command 'chek'; expected one of import, add"),
        (("--bogus",), "no such option: --bogus"),
        (("jobs", "--bogus"), "no such option: --bogus"),
        (("check", "--pric", "9"), "no such option: --pric"),
        (("estimate", "--area"), "option '--area' requires an argument"),
        (("overruns", "and", "more"), "got unexpected extra argument"),
    ],
)
def test_words_the_command_line_does_not_know(
    command: Command, words: tuple[str, ...], why: str
) -> None:
    told = command(*words).told
    assert told.startswith(why)
    assert "see: costlearn" in told


@pytest.mark.parametrize("text", ["28,9", "28 900,50", "1.250,50"])
def test_an_amount_with_a_decimal_comma_is_not_read_without_a_word(
    command: Command, small_book: Path, text: str
) -> None:
    told = command("check", "--area", "46", f"--price={text}", "--book", small_book).told
    assert told.startswith(f"--price: found '{text}'")
