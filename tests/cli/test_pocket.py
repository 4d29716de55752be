"""The command that makes the pocket sheet: a file, or one sentence why there is none."""

from costlearn.book.store import Book


def test_it_says_what_it_made_and_makes_it_once(command, demo_book, tmp_path):
    page = tmp_path / "pocket.html"
    done = command("pocket", "--to", page, "--on", "2026-11-02", "--book", demo_book)
    assert done.code == 0
    assert "45 finished jobs are on file" not in done.out
    assert "finished jobs are on the sheet, without their names" in done.out
    text = page.read_text("utf-8")
    assert text.startswith("<!doctype html>") and "Sheet made 2 November 2026" in text
    assert "already" in command("pocket", "--to", page, "--book", demo_book).told
    again = command("pocket", "--to", page, "--book", demo_book, "--replace", "--json").data
    assert (again["known"], again["written"]) == (True, [str(page)])
    assert "finished jobs are on the sheet" in again["sentence"]


def test_too_few_jobs_are_one_sentence_and_no_file(command, tmp_path):
    book, page = tmp_path / "jobs.book", tmp_path / "pocket.html"
    Book.open(book).close()
    done = command("pocket", "--to", page, "--book", book)
    assert done.code == 0
    assert done.out.startswith("There is nothing to carry yet: 0 finished jobs with a known direct")
    told = command("pocket", "--to", page, "--book", book, "--json").data
    assert (told["known"], told["written"]) == (False, [])
    assert not page.exists()


def test_a_day_that_is_none_and_a_missing_book_are_refused(command, demo_book, tmp_path):
    page = tmp_path / "pocket.html"
    told = command("pocket", "--to", page, "--on", "soon", "--book", demo_book).told
    assert told.startswith("--on: found 'soon'")
    assert "no job book" in command("pocket", "--to", page, "--book", tmp_path / "no.book").told
    assert not page.exists()
