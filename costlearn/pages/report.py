"""A firm's whole set of pages as files: the first page, one for each answer, one for each job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from costlearn.pages.bundle import INDEX
from costlearn.pages.index import Card, index_html
from costlearn.pages.naming import job_pages
from costlearn.pages.shell import SCRIPT, shared_script
from costlearn.pages.write import page_html
from costlearn.questions.answer import Answer
from costlearn.questions.onfile.job import job_on_file
from costlearn.questions.onfile.overview import Overview
from costlearn.records import History
from costlearn.watch import Watch, unwatched


@dataclass(frozen=True)
class Named:
    """An answer of a set: the file of its page, its heading, and the answer."""

    file: str
    heading: str
    answer: Answer


def report_files(
    history: History,
    named: Sequence[Named],
    overview: Overview,
    *,
    single_file: bool = False,
    watch: Watch = unwatched,
) -> dict[str, str]:
    """The text of each file of a set, by its path below the set's folder.

    Args:
        history: the firm's jobs, each of which gets its page.
        named: the answers, in the order in which the first page lists them.
        overview: how the firm stands.
        single_file: let each page carry the script that draws its pictures, to be mailed alone.
        watch: is told which page is made and which share of them is done.
    """
    files: dict[str, str] = {}
    script = "" if single_file else SCRIPT
    if script:
        files[SCRIPT] = shared_script()
    jobs = job_pages(history.jobs)
    links = {job.name: jobs[job.key] for job in history.jobs}
    total = len(named) + len(history.jobs)
    for number, one in enumerate(named):
        watch(one.heading, number / total)
        files[one.file] = page_html(
            one.answer, title=one.heading, script=script, home=INDEX, links=links
        )
    for number, job in enumerate(history.jobs, len(named)):
        watch(job.name, number / total)
        files[jobs[job.key]] = page_html(job_on_file(history, job), home=f"../{INDEX}")
    cards = [Card(n.heading, n.answer.sentence, n.file, n.answer.known) for n in named]
    files[INDEX] = index_html(cards, title=history.firm.name, overview=overview, job_pages=jobs)
    return files
