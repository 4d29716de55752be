"""Questions are few and named; answers are checked, kept, applied to what is on file and later."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from tests.cli.conftest import Command

JOBS = "Job,Kind,Floor area,Cost,Finished,Scope\n" + (
    "J-01 hall bath,bathroom,45 sf,13000,2024-03-20,niche; flurb 3; wall tile 96\n"
    "J-02 hall baths,bathroom,50 sf,15000,2024-05-20,niche; flurb\n"
    "J-03 grotto,grotto,50 sf,9000,2024-06-20,paint\n"
)
HOURS = "Job,Person,Date,Hours,Phase\n" + (
    "J-01,Ann,04/03/2024,8,Rough\nJ-01,Ann,05/03/2024,8,Rough\nhall bath,Ann,06/03/2024,8,Tile\n"
)
BILLS = "Job,Date,Payee,Kind,Amount\n" + (
    "J-01,2024-03-04,tile shop,gubbins,400\n"
    "J-01,2024-03-05,rental yard,,120\n"
    "J-02,2024-03-06,rental yard,,80\n"
)
PHASES = "Job,Phase,Days\nJ-01,Tile,4\nJ-01,Paint,2\n"


def written(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, "utf-8")
    return path


@pytest.fixture
def book(command: Command, tmp_path: Path) -> Path:
    """A book of four small files that raise one question of each sort."""
    files = [
        written(tmp_path, "jobs.csv", JOBS),
        written(tmp_path, "hours.csv", HOURS),
        written(tmp_path, "bills.csv", BILLS),
        written(tmp_path, "phases.csv", PHASES),
    ]
    done = command("import", *files, "--book", tmp_path / "b")
    assert done.code == 0
    assert "questions hold up" in " ".join(done.out.split())
    return tmp_path / "b"


def fill_in(command: Command, book: Path, answers: dict[str, str], name: str = "a.csv") -> Path:
    sheet = book.parent / name
    assert command("questions", "--book", book, "--write", sheet, "--replace").code == 0
    with sheet.open(encoding="utf-8-sig", newline="") as file:
        heads, *rows = csv.reader(file)
    for row in rows:
        row[heads.index("answer")] = answers.get(row[0], "")
    assert set(answers) <= {row[0] for row in rows}, [row[0] for row in rows]
    with sheet.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([heads, *rows])
    return sheet


def test_each_thing_only_a_person_can_say_is_asked_once(command: Command, book: Path) -> None:
    asked = {q["id"]: q for q in command("questions", "--book", book, "--json").data}
    assert {key: q["rows"] for key, q in asked.items()} == {
        "phase: rough": 2,
        "dates: hours.csv / Date": 3,
        "job: hall bath": 1,
        "scope: flurb": 2,
        "kind of job: grotto": 1,
        "cost kind: gubbins": 1,
        "cost kind: paid to / rental yard": 2,
        "crew: phases.csv": 2,
    }
    rough = asked["phase: rough"]
    assert rough["choices"][:3] == [
        "Plumbing rough-in", "Electrical rough-in", "Framing, structure, subfloor",
    ]  # fmt: skip
    assert rough["where"] == "hours.csv, row 2, column 'Phase'"
    assert asked["job: hall bath"]["choices"][:2] == ["J-01 hall bath", "J-02 hall baths"]
    shown = " ".join(command("questions", "--book", book).out.split())
    assert "7 questions hold up 14 rows" in shown


def test_without_answers_all_that_is_certain_is_on_file(command: Command, book: Path) -> None:
    job = command("jobs", "J-01", "--book", book, "--json").data
    assert job["actual"]["person_days"] == 2.0
    assert {p["phase"] for p in job["phases"]} >= {"unassigned", "tile", "paint"}
    assert job["scope"]["niche"] == 1.0
    assert job["scope"]["wall_tile"] == 96.0
    assert job["actual"]["rental"] is None


def test_answers_reach_what_is_on_file_and_what_is_imported_later(
    command: Command, book: Path, tmp_path: Path
) -> None:
    sheet = fill_in(
        command,
        book,
        {
            "phase: rough": "Plumbing rough-in",
            "dates: hours.csv / Date": "day-first",
            "job: hall bath": "j-01 HALL bath",
            "scope: flurb": "bench",
            "kind of job: grotto": "bathroom",
            "cost kind: gubbins": "Materials",
            "cost kind: paid to / rental yard": "rental",
            "crew: phases.csv": "2",
        },
    )
    done = command("answer", sheet, "--book", book)
    assert done.code == 0, done.err
    assert "8 answers kept and applied. Nothing waits" in " ".join(done.out.split())
    one = command("jobs", "J-01", "--book", book, "--json").data
    phases = {p["phase"]: p for p in one["phases"]}
    assert phases["plumb_rough"]["actual"]["person_days"] == 2.0
    assert "unassigned" not in phases
    assert phases["paint"]["actual"]["person_days"] == 4.0
    assert one["started"] == "2024-03-04"
    assert one["actual"]["person_days"] == 3.0
    assert one["scope"]["bench"] == 3.0
    assert one["actual"]["material"] == 40_000
    assert one["actual"]["rental"] == 12_000
    assert command("jobs", "J-03", "--book", book, "--json").data["kind"] == "bathroom"
    assert command("questions", "--book", book, "--json").data == []
    later = written(
        tmp_path, "later.csv", "Job,Person,Date,Hours,Phase\nJ-02,Bo,2024-05-13,4,rough\n"
    )
    assert command("import", later, "--book", book).code == 0
    two = command("jobs", "J-02", "--book", book, "--json").data
    assert [p["phase"] for p in two["phases"]] == ["plumb_rough"]
    assert command("questions", "--book", book, "--json").data == []


def test_answers_in_part_leave_the_rest_waiting_and_can_be_changed_and_taken_back(
    command: Command, book: Path
) -> None:
    sheet = fill_in(command, book, {"phase: rough": "Electrical rough-in"})
    assert "6 questions hold up" in command("answer", sheet, "--book", book).out
    again = command("answer", sheet, "--book", book, "--json").data
    assert len(again["waiting"]) == 7
    text = sheet.read_text("utf-8")
    sheet.write_text(
        text.replace("Electrical rough-in\n", "own: Stair work\n").replace(
            ",Electrical rough-in\r\n", ",own: Stair work\r\n"
        ),
        "utf-8",
    )
    assert command("answer", sheet, "--book", book).code == 0
    job = command("jobs", "J-01", "--book", book, "--json").data
    assert "stair_work" in {p["phase"] for p in job["phases"]}
    sheet.write_text(sheet.read_text("utf-8").replace("own: Stair work", "ask again"), "utf-8")
    assert len(command("answer", sheet, "--book", book, "--json").data["waiting"]) == 8
    job = command("jobs", "J-01", "--book", book, "--json").data
    assert "unassigned" in {p["phase"] for p in job["phases"]}


@pytest.mark.parametrize(
    ("key", "said", "told"),
    [
        (
            "phase: rough",
            "blah",
            "'blah' is no answer to 'phase: rough'; expected Plumbing rough-in",
        ),
        ("phase: rough", "rough", "'rough' is no answer"),
        ("dates: hours.csv / Date", "left", "expected month-first or day-first"),
        ("crew: phases.csv", "0", "expected a number of people, such as 2 or person-days"),
        ("crew: phases.csv", "nan", "'nan' is no answer"),
        ("cost kind: gubbins", "tat", "expected material or labour or"),
        ("job: hall bath", "J-99", "expected J-01 hall bath or J-02 hall baths or"),
        ("scope: flurb", "grommet", "expected any other scope item or none"),
    ],
)
def test_a_wrong_answer_is_named_with_row_and_choices_and_keeps_no_other_out(
    command: Command, book: Path, key: str, said: str, told: str
) -> None:
    sheet = fill_in(command, book, {"kind of job: grotto": "bathroom", key: said})
    done = command("answer", sheet, "--book", book)
    assert done.code == 1
    (sentence,) = done.err.strip().splitlines()
    assert sentence.startswith("costlearn: a.csv, row ")
    assert "column 'answer'" in sentence
    assert told in sentence
    assert "1 answer kept and applied. 1 row not taken" in " ".join(done.out.split())
    left = {q["id"] for q in command("questions", "--book", book, "--json").data}
    assert len(left) == 7
    assert key in left
    assert command("jobs", "J-03", "--book", book, "--json").data["kind"] == "bathroom"


def test_a_stale_row_is_listed_and_the_rest_is_applied(command: Command, book: Path) -> None:
    sheet = fill_in(command, book, {"kind of job: grotto": "bathroom", "phase: rough": "framing"})
    assert command("answer", sheet, "--book", book).code == 0
    fresh = fill_in(command, book, {"scope: flurb": "bench"}, "b.csv")
    old = "kind of job: grotto,,,,,,,bathroom\n"
    with fresh.open("a", encoding="utf-8") as file:
        file.write(f"phase: never,,,,,,,Tile\n{old}job: gone bath,,,,,,,own\n")
    done = command("answer", fresh, "--book", book)
    said = " ".join(done.out.split())
    assert (done.code, done.err) == (0, "")
    assert "1 answer kept and applied, 1 given before. 2 rows not needed, no such question" in said
    rows = len(fresh.read_text("utf-8").splitlines())
    assert f"row {rows - 2}: 'Tile' to 'phase: never'" in said
    assert f"row {rows}: 'own' to 'job: gone bath'" in said
    assert command("jobs", "J-01", "--book", book, "--json").data["scope"]["bench"] == 3.0
    again = command("answer", fresh, "--book", book, "--json").data
    assert again["answers"] == {}
    assert again["given_before"] == ["scope: flurb", "kind of job: grotto"]
    assert [(one["row"], one["answer"]) for one in again["stale"]] == [
        (rows - 2, "Tile"), (rows, "own"),
    ]  # fmt: skip


def test_a_sheet_that_is_none_a_row_with_no_id_and_one_answered_twice(
    command: Command, book: Path
) -> None:
    other = written(book.parent, "x.csv", "a,b\n1,2\n")
    assert "this is no answer sheet" in command("answer", other, "--book", book).told
    other.write_text(
        "id,answer\n,tile\nphase: rough,framing\nscope: flurb,none\nphase: rough,tile\n", "utf-8"
    )
    done = command("answer", other, "--book", book)
    assert done.code == 1
    first, second, third = done.err.splitlines()
    assert "row 2" in first
    assert "a row with no id" in first
    assert "row 3" in second
    assert "is answered 'framing' here and 'tile' in row 5" in second
    assert "row 5" in third
    assert "1 answer kept and applied. 3 rows not taken" in " ".join(done.out.split())
    left = {q["id"] for q in command("questions", "--book", book, "--json").data}
    assert "phase: rough" in left
    assert "scope: flurb" not in left


def test_an_answer_may_name_what_another_row_of_the_sheet_explains(
    command: Command, book: Path
) -> None:
    more = "Job,Person,Date,Hours,Phase\nJ-02,Bo,2024-05-13,4,zzstairs\n"
    assert command("import", written(book.parent, "m.csv", more), "--book", book).code == 0
    answers = {"phase: rough": "zzstairs", "phase: zzstairs": "own: stair work"}
    assert command("answer", fill_in(command, book, answers), "--book", book).code == 0
    job = command("jobs", "J-01", "--book", book, "--json").data
    assert "stair_work" in {p["phase"] for p in job["phases"]}


def test_the_same_answers_typed_in(
    command: Command, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    replies = iter(["each", "2", "", "1", "blah", "2", "stop"])
    monkeypatch.setattr("typer.prompt", lambda *_, **__: next(replies))
    keys = [q["id"] for q in command("questions", "--book", book, "--json").data]
    assert keys[:4] == [
        "cost kind: gubbins", "cost kind: paid to / rental yard", "dates: hours.csv / Date",
        "crew: phases.csv",
    ]  # fmt: skip
    done = command("answer", "--book", book)
    assert "'blah' is no answer to 'crew: phases.csv'" in " ".join(done.out.split())
    assert "3 answers kept and applied." in done.out
    left = {q["id"] for q in command("questions", "--book", book, "--json").data}
    assert left == set(keys) - {keys[0], keys[2], keys[3]}


def test_a_file_changed_on_disk_is_still_answered_from_the_book(
    command: Command, book: Path
) -> None:
    for path in book.parent.glob("*.csv"):
        path.unlink()
    sheet = fill_in(command, book, {"phase: rough": "none"})
    assert command("answer", sheet, "--book", book).code == 0
    assert "phase: rough" not in {
        q["id"] for q in command("questions", "--book", book, "--json").data
    }
    files = {f.name for f in book.parent.iterdir()}
    assert "hours.csv" not in files


def test_a_file_read_again_with_a_column_map_is_read_by_it(
    command: Command, tmp_path: Path
) -> None:
    file = written(tmp_path, "p.csv", "Project,Stage,Cost,Area\nJ-1,Rough,100,45 sf\n")
    book = tmp_path / "b"
    assert command("import", file, "--book", book, "--json").data["files"][0]["change"] == "new"
    mapped = written(
        tmp_path, "m.toml",
        'kind = "phases"\n[columns]\njob = "Project"\nphase = "Stage"\n"plan.cost" = "Cost"\n',
    )  # fmt: skip
    done = command("import", file, "--map", mapped, "--book", book, "--json").data
    assert done["files"][0]["change"] == "changed"
    sheet = fill_in(command, book, {"phase: rough": "framing"})
    assert command("answer", sheet, "--book", book).code == 0
    (job,) = command("jobs", "--book", book, "--json").data
    assert [(p["phase"], p["plan"]["cost"]) for p in job["phases"]] == [("framing", 10_000)]


def test_an_empty_book_has_no_questions(command: Command, tmp_path: Path) -> None:
    file = written(tmp_path, "jobs.csv", "Job,Kind,Cost\nJ-1,bathroom,100\n")
    assert "question" not in command("import", file, "--book", tmp_path / "b").out
    assert "Nothing waits" in command("questions", "--book", tmp_path / "b").out
    assert "0 answers kept" in command("answer", "--book", tmp_path / "b").out
    assert "there is no job book here" in command("questions", "--book", tmp_path / "no").told


def test_settings_that_change_how_files_are_read_reach_the_files_on_record(
    command: Command, tmp_path: Path
) -> None:
    log = "Job,Person,Date,Hours,Phase\nJ-1,Ann,04/03/2024,9,tile work\n"
    book = tmp_path / "b"
    assert command("import", written(tmp_path, "h.csv", log), "--book", book).code == 0
    firm = written(
        tmp_path, "f.toml",
        '[firm]\ndate_order = "day-first"\n[firm.phase_words]\ndemo = ["tile work"]\n',
    )  # fmt: skip
    assert command("settings", firm, "--book", book).code == 0
    (job,) = command("jobs", "--book", book, "--json").data
    assert job["started"] == "2024-03-04"
    assert [p["phase"] for p in job["phases"]] == ["demo"]


def test_the_sheet_is_not_written_over_nor_under_another_name(command: Command, book: Path) -> None:
    sheet = book.parent / "mine.csv"
    sheet.write_text("mine", "utf-8")
    told = command("questions", "--book", book, "--write", sheet).told
    assert "there is a file of this name already" in told
    assert sheet.read_text("utf-8") == "mine"
    assert "ending in .csv" in command("questions", "--book", book, "--write", "x.xlsx").told


def test_bank_lines_are_given_their_job_in_their_own_file(command: Command, tmp_path: Path) -> None:
    book = tmp_path / "b"
    jobs = written(tmp_path, "jobs.csv", "Job,Kind,Sqft,Finish\nMaple,bathroom,45,2025-05-30\n")
    assert command("import", jobs, "--book", book).code == 0
    heads = "Date,Description,Withdrawals,Deposits,Balance"
    lines = (
        "2025-05-02,POS TILE YARD 0441,412.80,,1000.00",
        "2025-05-05,POS TILE YARD 0441 REFUND,,58.20,1058.20",
        "2025-05-06,BANK FEE,12.00,,1046.20",
    )
    bank = written(tmp_path, "bank.csv", "\n".join([heads, *lines]))
    done = command("import", bank, "--book", book)
    said = " ".join(done.out.split())
    assert "2 cost lines waiting for a job. To give them their job, write it beside each" in said
    told = command("import", bank, "--book", tmp_path / "other", "--json").data
    (asked,) = [f["text"] for f in told["files"][0]["findings"] if "name no job" in f["text"]]
    assert "2 lines of this statement (354.60 in all)" in asked, "a bank fee is no job's cost"
    assert "in a column 'Job' of this file" in asked
    for words in (("questions",), ("jobs",)):
        said = " ".join(command(*words, "--book", book).out.split())
        assert "write it beside each line, in a column 'Job' of their own file" in said
    given = zip(lines, ("Maple", "Maple 50% / shop 50%", ""), strict=True)
    written(tmp_path, "bank.csv", "\n".join([f"{heads},Job", *(f"{a},{b}" for a, b in given)]))
    said = " ".join(command("import", bank, "--book", book).out.split())
    assert "0 cost lines waiting for a job." in said
    assert "To give" not in said
    job = command("jobs", "Maple", "--book", book, "--json").data
    assert job["actual"]["material"] == 41_280 - 2_910
