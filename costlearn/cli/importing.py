"""The command that reads spreadsheets into the book, lists those on file, and takes one back."""

from __future__ import annotations

import shlex
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from costlearn.cli import gathering, keep
from costlearn.cli import options as opt
from costlearn.errors import CostlearnError, InputProblem, Place
from costlearn.watch import Watch, unwatched

if TYPE_CHECKING:
    from costlearn.book.changes import Change, FileLine
    from costlearn.book.store import Book
    from costlearn.cli.effects import Moved
    from costlearn.firm import Firm
    from costlearn.intake.columns import ColumnMap
    from costlearn.questions.answer import Table
    from costlearn.records import Batch, History, Question

MOST_MOVED = 5


def import_files(
    files: Annotated[
        list[Path] | None,
        typer.Argument(help="Spreadsheets (.csv, .xlsx, .xls, .ods), or folders of them."),
    ] = None,
    column_map: Annotated[
        Path | None, typer.Option("--map", help="A TOML file that says what the columns are.")
    ] = None,
    settings_file: Annotated[
        Path | None, typer.Option("--settings", help="A TOML file with your firm's settings.")
    ] = None,
    details: Annotated[
        bool, typer.Option("--details", help="Show what each column and cell was taken for.")
    ] = False,
    listed: Annotated[bool, typer.Option("--list", help="List the files on file.")] = False,
    remove: Annotated[
        str | None, typer.Option("--remove", help="Take a file back: its name as listed, or path.")
    ] = None,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
) -> None:
    """Read your spreadsheets into the job book, and say what was understood and what was not.

    A file that cannot be read does not keep the others out; the exit code is then 2.
    """
    opt.one_alone(files=files or None, list=listed or None, remove=remove)
    if remove is not None or listed:
        _take_back(book, remove, as_json) if remove is not None else _list(book, as_json)
        return
    from costlearn.intake.columns import load_map

    work = _Work(gathering.gather(files or ()), column_map, details, as_json, book)
    work.mapping = load_map(column_map) if column_map else None
    with opt.open_book(book, create=True) as kept:
        _read_all(kept, work, settings_file)
        _say_whole(kept, work)
    for one in work.problems:
        typer.echo(f"costlearn: {one}", err=True)
    if work.problems:
        raise typer.Exit(2)


@dataclass
class _Work:
    """One import: what is to be read, and what came of it."""

    gathered: gathering.Gathered
    map_path: Path | None
    details: bool
    as_json: bool
    book: Path
    mapping: ColumnMap | None = None
    report: list[dict[str, Any]] = field(default_factory=list)
    problems: list[CostlearnError] = field(default_factory=list)
    before: History | None = None
    """What was on file, where files are read that were read before."""

    def command(self, path: Path | str) -> str:
        """What shows all that was read of a file."""
        chart = f" --map {shlex.quote(str(self.map_path))}" if self.map_path else ""
        return opt.with_book(
            f"costlearn import --details {shlex.quote(str(path))}{chart}", self.book
        )


def _read_all(kept: Book, work: _Work, settings_file: Path | None) -> None:
    """Read each file into the book, and say what it gave."""
    from costlearn.cli import pace, screen, sources
    from costlearn.intake.settings import read_settings

    if settings_file:
        sources.set_firm(kept, read_settings(settings_file, kept.firm()))
    if not work.as_json:
        for sentence in work.gathered.said:
            screen.say(sentence)
    files = work.gathered.files
    if _read_before(kept.files(), files):
        work.before = kept.history()
    for number, path in enumerate(files, 1):
        try:
            with pace.shown(path.name, number, len(files)) as watch:
                change, batch, said = _keep(kept, path, work, watch)
        except CostlearnError as problem:
            work.problems.append(problem)
            continue
        work.report.append({"file": change.file, "change": change.kind, **_counted(batch)})
        if not work.as_json:
            _show(change, batch, said, work, path, kept.firm().currency)


def _keep(kept: Book, path: Path, work: _Work, watch: Watch) -> tuple[Change, Batch, str]:
    """Read one file and put it into the book."""
    from costlearn.cli import daysheet, sources

    firm, answers = kept.firm(), sources.answers_of(kept)
    names = sources.names_of(kept)
    batch = read_one(path, firm, work.mapping, answers, watch, names)
    watch("keeping", 1.0)
    whole = daysheet.put_together(kept, path, batch, answers)
    batch = whole.batch if whole else batch
    source = whole.source if whole else sources.source_of(path, work.map_path)
    change = kept.add(batch, None if whole else path, source)
    sources.take_currency(kept, batch)
    return change, batch, whole.sentence if whole else ""


def _show(change: Change, batch: Batch, said: str, work: _Work, path: Path, currency: str) -> None:
    from costlearn.cli import screen, telling
    from costlearn.intake.findings import brief

    if said:
        screen.say(said)
    if not work.details:
        screen.plain(
            telling.told(
                change, batch, currency, work.command(path), min(telling.WIDTH, screen.width())
            )
        )
        return
    screen.say(said or change.sentence)
    if lines := brief(batch):
        screen.show_summary(batch.file, lines)


def _say_whole(kept: Book, work: _Work) -> None:
    """Once for all files: what is on file, what moved, and what to do next."""
    from costlearn.cli import effects, looking, screen, waiting
    from costlearn.questions.attention import attention

    history, firm = kept.history(), kept.firm()
    seen = attention(history, kept.entries())
    asked = waiting.all_questions(kept)
    changed = effects.moved(work.before, history) if work.before else ()
    if work.as_json:
        told = {"problems": [str(p) for p in work.problems], "worth_a_look": len(seen.found)}
        moves = [_plain(one) for one in changed]
        left = {"folders": list(work.gathered.said), "moved": moves}
        files = {"files": work.report, **told, **left}
        screen.print_json({**files, "waiting": waiting.waiting_data(asked)})
        return
    if not work.report:
        return
    _say_moved([effects.say_moved(one, firm) for one in changed])
    keep.say_on_file(history)
    if seen.found:
        screen.say(looking.one_line(seen))
    _say_next(asked, work, firm.currency)


def _say_moved(lines: Sequence[str]) -> None:
    """The figures that a file read again moved by more than a tenth."""
    from costlearn.cli import screen

    if not lines:
        return
    screen.say("Moved by more than a tenth:")
    for line in lines[:MOST_MOVED]:
        screen.say(f"  {line}")
    if len(lines) > MOST_MOVED:
        screen.say(f"  and {len(lines) - MOST_MOVED} more")


def _say_next(asked: Sequence[Question], work: _Work, currency: str) -> None:
    """What to type next."""
    from costlearn.cli import screen, waiting

    if asked:
        screen.say(waiting.one_line(asked, currency))
        screen.say(f"  {opt.with_book('costlearn answer', work.book)}")
    if not work.details and work.gathered.files:
        many = len(work.gathered.files) > 1
        screen.say("What each column was taken for:")
        screen.say(f"  {work.command('FILE' if many else work.gathered.files[0])}")


def _read_before(known: Iterable[FileLine], files: Sequence[Path]) -> bool:
    """Whether any file may be a later state of one on file; its name tells enough."""
    names = [line.name for line in known]
    return any(path.name in name for path in files for name in names)


def _plain(one: Moved) -> dict[str, Any]:
    return {"job": one.job, "figure": one.figure, "was": one.was, "now": one.now}


def read_one(
    path: Path,
    firm: Firm,
    mapping: Any = None,
    answers: Any = None,
    watch: Watch = unwatched,
    known_jobs: Collection[str] = (),
) -> Batch:
    """Read one spreadsheet; ``watch`` is told how far it is.

    Raises:
        InputProblem: it cannot be used.
    """
    from costlearn.intake.answer_sheet import is_answer_sheet
    from costlearn.intake.reader import read_file

    if path.suffix.casefold() == ".toml":
        raise InputProblem(
            "this is a TOML file, no table of records",
            place=Place(path.name),
            expected="a workbook (.xlsx, .xls, .ods) or a table as text (.csv)",
            hint="settings are given with --settings, a column map with --map, a scope or quote to "
            "'costlearn estimate' or 'costlearn check'",
        )
    if is_answer_sheet(path):
        raise InputProblem(
            "this is an answer sheet, no table of records",
            place=Place(path.name),
            expected="a table of records",
            hint=f"give it to: costlearn answer {path}",
        )
    return read_file(
        path, firm, column_map=mapping, answers=answers, known_jobs=known_jobs, watch=watch
    )


def _counted(batch: Batch) -> dict[str, Any]:
    from costlearn.cli.telling import rows_read
    from costlearn.intake.findings import summary

    return {
        "rows": len(batch.entries),
        "read": rows_read(batch),
        "findings": [
            {
                "kind": line.kind,
                "text": line.text,
                "count": line.count,
                "first": [str(p) for p in line.first_places],
            }
            for line in summary(batch)
        ],
    }


def _list(book: Path, as_json: bool) -> None:
    """The files on file, each with when it was imported and what it gave."""
    from costlearn.cli import screen

    with opt.open_book(book) as kept:
        lines = kept.files()
    if as_json:
        told = [
            {"file": x.name, "imported": x.imported_at.isoformat(), "rows": dict(x.counts)}
            for x in lines
        ]
        screen.print_json(told)
    elif lines:
        screen.show_table(_files_table(lines))
    else:
        screen.say("No file is on file.")


def _files_table(lines: Sequence[FileLine]) -> Table:
    from costlearn.questions.answer import Table

    rows = tuple(
        (
            line.name,
            f"{line.imported_at.astimezone():%Y-%m-%d}",
            ", ".join(f"{number:,} {what}" for what, number in line.counts) or "nothing",
        )
        for line in lines
    )
    note = "Take one back with: costlearn import --remove FILE"
    return Table("Files on file", ("file", "imported", "gave"), rows, note)


def _take_back(book: Path, name: str, as_json: bool) -> None:
    """Take a file out of the book, and say what went and what the answers lose."""
    from costlearn.cli import effects, screen

    with opt.open_book(book) as kept:
        before = kept.history()
        change = kept.remove(name)
        history = kept.history()
    lost = effects.losses(before, history)
    changed = [one for one in effects.moved(before, history) if one.now is not None]
    if as_json:
        counts = {count.entry: count.removed for count in change.counts}
        moves = [_plain(one) for one in changed]
        screen.print_json({"file": change.file, "removed": counts, "lost": lost, "moved": moves})
        return
    screen.say(change.sentence)
    screen.say(f"{', '.join(lost) or 'No job loses a figure'}.")
    _say_moved([effects.say_moved(one, history.firm) for one in changed])
    keep.say_on_file(history)
