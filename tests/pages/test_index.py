"""The first page: how the firm stands, all pages linked, every job leading to its own page."""

import page_making as making
import pytest
from page_reading import Page

from costlearn.pages.index import TITLE, Card, index_html
from costlearn.pages.naming import job_pages
from costlearn.pages.report import Named, report_files
from costlearn.questions.earning.earnings import earnings
from costlearn.questions.onfile.overview import overview
from costlearn.records import History


@pytest.fixture(scope="module")
def files():
    history = making.evil_history()
    earned = earnings(history)
    named = [
        Named("earnings.html", f"Earns {making.EVIL}", earned),
        Named("none.html", "Overruns", making.unknown()[2]),
    ]
    return report_files(history, named, overview(history, [earned], look=3))


@pytest.fixture(scope="module")
def page(files):
    return Page(files["index.html"])


def links(page: Page) -> list[str]:
    hrefs = [a.get("href") or "" for tag, a, _ in page.elements if tag == "a"]
    return [h for h in hrefs if not h.startswith("data:")]


def test_every_link_leads_to_a_file_of_the_set_and_every_page_is_linked(files, page):
    pages = {name for name in files if name.endswith(".html")} - {"index.html"}
    assert set(links(page)) == pages
    assert len(pages) == 2 + len(making.evil_history().jobs)


def test_every_job_is_listed_by_its_name_as_text(page):
    heads = page.of("th")
    for job in making.evil_history().jobs:
        assert job.name in heads
    assert page.of("b") == []
    assert not [t for t in page.of("script") if "taken" in t]


def test_the_state_stands_before_the_pages(page):
    source = page.source
    order = [
        'class="answer',
        "<h2>What is not",
        "<h2>What to record",
        'class="cards',
        "Jobs on file",
    ]
    places = [source.index(mark) for mark in order]
    assert places == sorted(places)
    assert "3 things on file are worth a look" in source
    assert "Not known yet." in source


def test_pages_of_a_set_share_one_script_unless_each_is_to_stand_alone(files):
    assert "plotly.js v" not in files["earnings.html"]
    history = History(making.FIRM, making.history().jobs[:9])
    alone = report_files(
        history,
        [Named("earnings.html", "Earns", earnings(history))],
        overview(history),
        single_file=True,
    )
    assert set(alone) == {"earnings.html", "index.html", *job_pages(history.jobs).values()}
    assert "plotly.js v" in alone["earnings.html"]


def test_pages_name_jobs_as_links_and_lead_back(files):
    history = making.evil_history()
    told = making.trusted()
    text = report_files(history, [Named("t.html", "Trust", told)], overview(history))
    page = Page(text["t.html"])
    jobs = {name for name in text if name.startswith("jobs/")}
    assert set(links(page)) - {"index.html"} <= jobs
    tried = {t.job for t in told.targets[0].tried}
    assert len(links(page)) >= 1 + len(tried)
    assert "index.html" in links(page)
    assert links(Page(text[sorted(jobs)[0]])) == ["../index.html"]
    assert page.of("b") == []


def test_without_a_state_it_lists_pages_and_says_if_there_is_none():
    page = Page(index_html([Card("Overruns", "So it is.", "overruns.html")]))
    assert page.of("h1") == [TITLE]
    assert links(page) == ["overruns.html"]
    assert "No page has been written yet." in index_html([])


def test_an_empty_book_gives_a_first_page_that_says_so():
    files = report_files(History(), [], overview(History()))
    page = Page(files["index.html"])
    assert page.by_class("answer") == [
        "Nothing is on file yet: bring in your own files with 'costlearn import'."
    ]
    assert page.of("table") == []
