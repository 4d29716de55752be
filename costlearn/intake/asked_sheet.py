"""What is asked about, from a filled-in sheet: the workbook of ``template``, or a row of a table.

The file goes through the same readers as records do, and never into the book. What is unclear in
the rows of the job that is asked about is refused in one sentence: an answer about a quote that was
read in part would be an answer about another quote.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from pathlib import Path

from costlearn.assembly import assemble
from costlearn.errors import InputProblem, Place
from costlearn.firm import Firm
from costlearn.intake.answers import Answers
from costlearn.intake.entries.typed_rows import HEADS, TOPIC, LineAsked, line_entries
from costlearn.intake.findings import Notes
from costlearn.intake.reader import read_file
from costlearn.intake.readings import Setting
from costlearn.records import Amounts, Batch, Finding, History, Job, job_key
from costlearn.vocabulary import Vocabulary

DIVIDED = "person-days / site days"
MOST_NAMED = 8
"""More jobs than this are counted rather than named."""


def read_asked_sheet(
    path: Path,
    firm: Firm,
    vocabulary: Vocabulary | None = None,
    *,
    job: str | None = None,
    answers: Answers | None = None,
) -> Job:
    """The quoted job that a workbook or table holds, as a job in state "quoted".

    Its notes say what was taken for what, and where two of its figures disagree.

    Args:
        path: a file of any kind ``read_file`` reads.
        firm: settings: currency, area unit, order of dates, words of its own.
        vocabulary: the words of the trade.
        job: the name of the job, or the start of it, where the file holds several.
        answers: what a person said to questions of earlier readings.

    Raises:
        UnreadableFile: the file cannot be read at all.
        InputProblem: no job, or several and none is named; or a cell of the job is unclear.
    """
    batch = _read(path, firm, vocabulary, answers)
    found = _chosen(assemble(batch.entries, firm).jobs, batch, job, path)
    return _as_quoted(batch, found, "correct the cell, so that the whole quote is read")


def read_asked_line(text: str, firm: Firm, vocabulary: Vocabulary, answers: Answers) -> Job:
    """The job that a line typed on the command line speaks of, as a job in state "quoted".

    Args:
        text: the line, such as "ensuite, 76 sq ft, niche, price 34,000".
        firm: settings: currency, area unit, words of its own.
        vocabulary: the words of the trade and of the firm.
        answers: what a person said to questions of earlier readings.

    Raises:
        InputProblem: a piece of it is unclear, or it speaks of a job that is finished or running.
    """
    notes, place = Notes(), Place("the line")
    setting = Setting(firm, vocabulary, notes, answers=answers)
    line = LineAsked(text, str(place), place, planned=True)
    entries, _ = line_entries([line], setting)
    for asked in notes.questions.values():
        if asked.topic == TOPIC:
            one, other = (choice.partition(" ")[0] for choice in asked.choices[:2])
            found = f"nothing says what '{asked.found}' is"
            expected = f"'{one} {asked.found}' or '{other} {asked.found}'"
            raise InputProblem(found, place=place, expected=expected)
    # Days without people are days on site: what is asked about needs no crew.
    days = HEADS["plan.days"]
    found_of_it = tuple(f for f in notes.found if f.kind != "asked" or f.place.column != days)
    batch = Batch(str(place), "", tuple(entries), found_of_it, tuple(notes.questions.values()))
    job = _chosen(assemble(batch.entries, firm).jobs, batch, None, Path(place.file))
    if not (job.area_sqft or job.scope or job.price or job.kind) and job.plan.empty:
        raise InputProblem(
            f"'{text}' is no file that is there, and says nothing of a job",
            expected="a file, or a line such as 'ensuite, 76 sq ft, niche, price 34,000'",
        )
    quoted = _as_quoted(batch, job, "say it another way in the line")
    left = f"'{job.notes}' plays no part in the answer" if job.notes else ""
    return replace(quoted, notes="; ".join(filter(None, (quoted.notes, left))))


def _as_quoted(batch: Batch, found: Job, hint: str) -> Job:
    """A job as what is asked about: nothing of it has happened yet.

    Raises:
        InputProblem: something about it is unclear.
    """
    _refuse_unclear(batch, found, hint)
    divided = any(o.figure == "plan.crew" and o.how == DIVIDED for o in found.origins)
    plan = replace(found.plan, crew=None) if divided else found.plan
    return replace(
        found,
        state="quoted",
        quoted_on=found.quoted_on or found.started,
        started=None,
        finished=None,
        plan=plan,
        actual=Amounts(),
        origins=(),
        conflicts=(),
        notes="; ".join((*_proposals(batch, found), *(c.rstrip(".") for c in found.conflicts))),
    )


def _read(path: Path, firm: Firm, vocabulary: Vocabulary | None, answers: Answers | None) -> Batch:
    """The file as records are read; advice that only holds for an import is replaced.

    Raises:
        InputProblem: no table in it can be recognised.
    """
    try:
        return read_file(path, firm, vocabulary=vocabulary, answers=answers)
    except InputProblem as problem:
        if "--map" not in problem.hint:
            raise
        raise InputProblem(
            problem.found,
            place=problem.place,
            expected=problem.expected,
            hint="head the columns as the sheets of 'costlearn template' do",
        ) from None


def _chosen(jobs: Sequence[Job], batch: Batch, wanted: str | None, path: Path) -> Job:
    """The quoted job that is asked about.

    Raises:
        InputProblem: there is none, or several and none is named, or the named one is not quoted.
    """
    place = Place(path.name)
    quoted = [j for j in jobs if j.state == "quoted"]
    names = _named([j.name for j in quoted])
    if wanted is not None:
        found = History(jobs=tuple(jobs)).job(wanted)
        if found is None:
            raise InputProblem(
                f"there is no job '{wanted}' in it", place=place, expected=f"one of {names}"
            )
        if found.state != "quoted":
            raise InputProblem(_not_quoted(found), place=place, expected="a job in state quoted")
        return found
    if len(quoted) == 1:
        return quoted[0]
    if quoted:
        raise InputProblem(
            f"{len(quoted)} quoted jobs stand in it: {names}",
            place=place,
            expected="--job with the name of one of them",
        )
    if len(jobs) == 1:
        raise InputProblem(_not_quoted(jobs[0]), place=place, expected="a job in state quoted")
    first = next((f for f in batch.findings if f.kind == "set aside"), None)
    if not jobs and first is not None:
        raise InputProblem(first.text, place=first.place, expected="a row with a quoted job")
    raise InputProblem(
        f"none of its {len(jobs)} jobs is quoted" if jobs else "no job stands in it",
        place=place,
        expected="a job with 'quoted' as its state",
    )


def _not_quoted(job: Job) -> str:
    why = next((o.how for o in job.origins if o.figure == "state" and o.how != "as stated"), "")
    return f"job '{job.name}' is {job.state}, not quoted" + (f": {why}" if why else "")


def _named(names: Sequence[str]) -> str:
    shown = "; ".join(names[:MOST_NAMED])
    more = len(names) - MOST_NAMED
    return f"{shown}; and {more} more" if more > 0 else shown or "its quoted jobs, and it has none"


def _refuse_unclear(batch: Batch, job: Job, hint: str) -> None:
    """Refuse a job of which a cell could not be read, or only a person can say what it means.

    Raises:
        InputProblem: there is such a cell, with its place and what would do.
    """
    for finding in batch.findings:
        if finding.kind not in ("set aside", "asked") or not _about(finding, batch, job):
            continue
        if finding.kind == "set aside" and _of_column(finding):
            continue
        asked = next((q for q in batch.questions if q.found == finding.raw), None)
        raise InputProblem(
            finding.text.partition(";")[0],
            place=finding.place,
            expected="one of " + ", ".join(asked.choices) if asked and asked.choices else "",
            hint=hint,
        )


def _proposals(batch: Batch, job: Job) -> list[str]:
    """What was taken for what in the rows of a job, and which columns beside them were not used."""
    return [
        f.text
        for f in batch.findings
        if (f.kind == "proposed" or f.slip or (f.kind == "set aside" and _of_column(f)))
        and _about(f, batch, job)
    ]


def _of_column(finding: Finding) -> bool:
    return finding.text.startswith(("column ", "columns ", "sheet of "))


def _about(finding: Finding, batch: Batch, job: Job) -> bool:
    """True if a finding concerns a job: its own row, or anything but the row of another job."""
    here = (finding.place.sheet, finding.place.row)
    keys = {_key(e.job) for e in batch.entries if (e.place.sheet, e.place.row) == here}
    if keys:
        return _is_of(job, keys)
    every = {_key(e.job) for e in batch.entries}
    if _of_column(finding) or all(_is_of(job, {key}) for key in every):
        return True
    return job.key in job_key(finding.raw)


def _is_of(job: Job, keys: Collection[str]) -> bool:
    """True if one of the keys is a job's, or the short code of its name."""
    return any(key and (job.key == key or job.key.startswith(key)) for key in keys)


def _key(name: str | None) -> str:
    return job_key(name or "")
