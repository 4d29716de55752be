"""Import, jobs, settings, words: what was understood is said, what was not is said too."""

from __future__ import annotations

from pathlib import Path

import pytest

from costlearn.book.store import Book
from tests.cli.conftest import DEMO, SHEETS, Command

NAMES = [Path(sheet).name + ":" for sheet in SHEETS]
HEAD = "Job,Kind,Floor area,Cost,Started,Finished\n"
GOOD = HEAD + "A1 hall bath,bathroom,45 sf,13000,2024-03-01,2024-03-20\n"


def written(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, "utf-8")
    return path


def test_import_says_what_it_understood_and_what_is_on_file(
    command: Command, tmp_path: Path
) -> None:
    book = tmp_path / "b"
    done = command("import", written(tmp_path, "jobs.csv", GOOD), "--book", book)
    assert done.code == 0
    assert done.err == ""
    said = " ".join(done.out.split())
    assert said.startswith("jobs.csv: 1 job read.")
    assert "On file: 1 finished job (1 with their cost" in said


def test_the_same_file_twice_changes_nothing_and_says_so(command: Command, tmp_path: Path) -> None:
    file, book = written(tmp_path, "jobs.csv", GOOD), tmp_path / "b"
    first = command("import", file, "--book", book, "--json").data
    again = command("import", file, "--book", book, "--json").data
    assert [first["files"][0]["change"], again["files"][0]["change"]] == ["new", "unchanged"]
    written(tmp_path, "jobs.csv", GOOD + "A2 ensuite,bathroom,60 sf,17000,2024-05-01,2024-05-29\n")
    third = command("import", file, "--book", book, "--json").data
    assert third["files"][0]["change"] == "changed"
    assert [j["name"] for j in command("jobs", "--book", book, "--json").data] == [
        "A1 hall bath",
        "A2 ensuite",
    ]


def test_a_bad_file_does_not_keep_the_good_one_out(command: Command, tmp_path: Path) -> None:
    book = tmp_path / "b"
    bad, good = written(tmp_path, "bad.csv", ""), written(tmp_path, "good.csv", GOOD)
    done = command("import", bad, good, "--book", book)
    assert done.told.startswith("bad.csv: is empty")
    assert "good.csv: 1 job read." in done.out
    assert len(command("jobs", "--book", book, "--json").data) == 1
    data = command("import", bad, good, "--book", book, "--json").data
    assert [f["file"] for f in data["files"]] == ["good.csv"]
    assert len(data["problems"]) == 1


def test_two_rows_of_one_job_that_disagree_wait(command: Command, tmp_path: Path) -> None:
    twice = GOOD + "A1 hall bath,bathroom,45 sf,99000,2024-06-01,2024-06-20\n"
    book = tmp_path / "b"
    done = command("import", written(tmp_path, "jobs.csv", twice), "--book", book)
    assert done.code == 0
    said = " ".join(done.out.split())
    assert "Waits: 1 job, $99,000: 'A1 hall bath' stands in rows 2 and 3." in said
    assert command("jobs", "--book", book, "--json").data == []
    (asked,) = command("questions", "--book", book, "--json").data
    assert asked["topic"] == "rows of a job"


def test_one_job_in_two_lists_that_disagree_is_told(command: Command, tmp_path: Path) -> None:
    other = GOOD.replace("13000", "15000")
    book = tmp_path / "b"
    files = written(tmp_path, "a.csv", GOOD), written(tmp_path, "b.csv", other)
    assert command("import", *files, "--book", book).code == 0
    done = command("jobs", "A1", "--book", book)
    assert "Where records disagree" in done.out
    assert "a.csv" in done.out
    assert "b.csv" in done.out


@pytest.mark.parametrize("area", ["-40 sf", "nan", "inf", "1e308", "forty"])
def test_an_area_that_is_none_is_set_aside_with_its_place(
    command: Command, tmp_path: Path, area: str
) -> None:
    file = written(tmp_path, "jobs.csv", GOOD.replace("45 sf", area))
    data = command("import", file, "--book", tmp_path / "b", "--json").data
    aside = [f for f in data["files"][0]["findings"] if f["kind"] == "set aside"]
    assert len(aside) == 1
    # A column none of whose cells is a size is set aside as a whole, at its heading.
    assert aside[0]["first"][0].startswith(("jobs.csv, row 2", "jobs.csv, row 1, column 'Floor"))
    jobs = command("jobs", "--book", tmp_path / "b", "--json").data
    assert [j["area_sqft"] for j in jobs] in ([], [None])


def test_a_row_left_out_is_called_a_row_left_out(command: Command, tmp_path: Path) -> None:
    file = written(tmp_path, "jobs.csv", GOOD + "A2 ensuite,bathroom,-9 sf,1,2024-05-01,\n")
    done = command("import", file, "--book", tmp_path / "b", "--details")
    said = " ".join(done.out.split())
    assert "row not used: its area '-9 sf' is negative" in said


def test_jobs_lists_all_and_one_by_its_code(command: Command, demo_book: Path) -> None:
    listed = command("jobs", "--book", demo_book)
    assert listed.code == 0
    assert "B25-02 large ensuite" in listed.out
    assert "books open" in listed.out
    assert "running" in listed.out
    assert "45 finished jobs" in listed.out
    one = command("jobs", "b25-02", "--book", demo_book)
    assert "Where the figures of the phases came from" in one.out
    assert "jobs_2025.csv, row" in one.out
    assert command("jobs", "B25-02", "--book", demo_book, "--json").data["kind"] == "bathroom"
    everything = command("jobs", "--book", demo_book, "--json").data
    assert len(everything) == 48
    assert all(job["origins"] for job in everything)


def test_one_job_is_a_page_too(command: Command, demo_book: Path, tmp_path: Path) -> None:
    page = tmp_path / "job.html"
    done = command("jobs", "B25-02", "--book", demo_book, "--html", page)
    assert done.out.rstrip().endswith("job.html")
    assert "hours_2024_2026.csv, rows 421 to" in page.read_text("utf-8")
    assert "expected a job's name" in command("jobs", "--book", demo_book, "--html", page).told


@pytest.mark.parametrize("width", ["60", "80", "110"])
def test_no_job_loses_its_name_on_a_narrow_terminal(
    command: Command, demo_book: Path, monkeypatch: pytest.MonkeyPatch, width: str
) -> None:
    monkeypatch.setenv("COLUMNS", width)
    shown = command("jobs", "--book", demo_book).out
    assert max(map(len, shown.splitlines())) <= int(width)
    for code in ("B21-01", "K22-03", "B25-02"):
        assert any(line.strip().startswith(code) for line in shown.splitlines()), code


def test_a_job_nobody_knows_is_refused_with_the_nearest(command: Command, demo_book: Path) -> None:
    told = command("jobs", "B25", "--book", demo_book).told
    assert "'B25'" in told
    assert "'B25-01" in told
    assert "expected" in command("jobs", "zzzz", "--book", demo_book).told


def test_a_name_of_two_jobs_offers_each_of_them_once(command: Command, tmp_path: Path) -> None:
    jobs, book = tmp_path / "jobs.csv", tmp_path / "jobs.book"
    jobs.write_text("Job,Cost\nMaple bath,9000\nMaple bath 2,9500\nOak,8000\n", "utf-8")
    assert command("import", jobs, "--book", book).code == 0
    refused = command("jobs", "Maple", "--book", book)
    assert refused.code == 2
    assert "'Maple bath', 'Maple bath 2'" in refused.err
    assert refused.err.count("'Maple bath'") == 1


def test_settings_are_kept_shown_and_changed_one_by_one(command: Command, tmp_path: Path) -> None:
    book = tmp_path / "b"
    first = written(tmp_path, "a.toml", '[firm]\nday_rate = 500\ncurrency = "CAD"\n')
    assert command("settings", first, "--book", book).code == 0
    second = written(tmp_path, "b.toml", "[firm]\nday_rate = 520.5\n")
    assert "520.5" in command("settings", second, "--book", book).out
    data = command("settings", "--book", book, "--json").data
    assert (data["day_rate"], data["currency"], data["overhead_per_year"]) == (520.5, "CAD", None)


def test_words_are_all_there(command: Command) -> None:
    data = command("words", "--json").data
    assert len(data["phases"]) == 14
    assert {i["key"] for i in data["items"]} >= {"wall_tile", "niche"}
    shown = command("words").out
    assert "Backer, membrane, flood test" in shown
    assert "shower niche" in shown
    assert "Columns a map may name" in shown
    assert data["columns"]["changes"] == [
        "job", "label", "price", "cost", "days", "state", "phase", "notes"
    ]  # fmt: skip
    assert "actual.person_days" in data["columns"]["phases"]


def test_words_shows_every_key_of_a_map(command: Command) -> None:
    keys = command("words", "--map", "--json").data["keys"]
    shown = command("words", "--map").out
    assert len(keys) == 14
    assert all(one["key"] in shown and one["example"] for one in keys)


def test_the_import_of_many_files_stays_readable(command: Command, tmp_path: Path) -> None:
    settings = ("--settings", DEMO / "firm.toml")
    done = command("import", *SHEETS, *settings, "--book", tmp_path / "b", "--details")
    assert done.code == 0
    assert done.out.count("columns: ") >= 11
    assert len(done.out.splitlines()) < 48 * len(SHEETS)
    quiet = command("import", *SHEETS, *settings, "--book", tmp_path / "c").out.splitlines()
    starts = [n for n, line in enumerate(quiet) if line.startswith(tuple(NAMES))]
    ends = [*starts[1:], next(n for n, line in enumerate(quiet) if line.startswith("On file: "))]
    assert len(starts) == len(SHEETS)
    assert all(end - start <= 12 for start, end in zip(starts, ends, strict=True))
    assert max(map(len, quiet[: ends[-1]])) <= 80
    assert "phases.xlsx: 410 phase rows read, 40 sums agree" in " ".join(quiet)


def test_a_job_shows_its_changes_and_its_call_backs_apart(command: Command, tmp_path: Path) -> None:
    changes = tmp_path / "changes.csv"
    changes.write_text(
        "Job,Change order,Amount\nJ14,Base contract,18500\nJ14,CO1 niche,850\n"
        "J14,CO3 (verbal) move valve,350\n",
        encoding="utf-8",
    )
    hours = tmp_path / "hours.csv"
    hours.write_text(
        "Date,Job,Who,Hours,Phase,Cause\n2025-03-03,J14,Ann,8,tile,\n"
        "2025-09-03,J14,Ann,4,tile,membrane\n",
        encoding="utf-8",
    )
    book = tmp_path / "firm.book"
    command("import", changes, hours, "--book", book)
    shown = " ".join(command("jobs", "J14", "--book", book).out.split())
    # 18,500 + 850 = 19,350; with the 350 only spoken of 19,700.
    assert "price with approved changes $19,350.00" in shown
    assert "price if verbal changes are approved $19,700.00" in shown
    assert "Call-backs" in shown
    with Book.open(book) as kept:
        job = kept.history().job("J14")
    assert job is not None
    assert [(b.phase, b.person_days) for b in job.callbacks] == [("waterproof", 0.5)]
    assert job.actual.person_days == 1.0


def test_a_job_nobody_said_to_be_over_is_counted_apart(command: Command, tmp_path: Path) -> None:
    path = tmp_path / "jobs.csv"
    path.write_text(
        "Job,Kind,Sqft,Start,Finish,Total cost,Status\n"
        "Alder,bathroom,45,2025-01-06,2025-02-02,16480.50,done\n"
        "Birch,bathroom,45,2025-03-06,,,\n"
        "Cedar,bathroom,45,2025-04-06,,,running\n",
        "utf-8",
    )
    book = tmp_path / "b"
    said = " ".join(command("import", path, "--book", book).out.split())
    assert "1 running, 1 not known whether finished" in said
    listed = " ".join(command("jobs", "--book", book).out.split())
    assert "Birch bathroom running?" in listed
    assert "nobody said whether it is finished" in listed
