"""Pages of every question: whole, offline, escaped, the same each time; and their way to a file."""

import re

import page_making as making
import pytest
from page_reading import Page

from costlearn.errors import InputProblem
from costlearn.pages.index import Card, index_html
from costlearn.pages.shell import FOOTER, SCRIPT, STAND_IN, opening, ordering
from costlearn.pages.write import page_html, shared_script, write_file, write_page
from costlearn.questions.answer import Answer, Grounds, Table
from costlearn.questions.estimate import estimate

MAKERS = {
    "estimate": making.estimated,
    "quote": making.checked,
    "overruns": making.overran,
    "crew": making.crewed,
    "trust": making.trusted,
    "forecast": making.foretold,
}
ANSWERS = sorted(MAKERS)


@pytest.fixture(scope="module")
def pages():
    return {name: Page(page_html(make())) for name, make in MAKERS.items()}


@pytest.mark.parametrize("name", ANSWERS)
def test_the_answer_comes_first_and_whole(pages, name):
    first, rest = opening(MAKERS[name]().sentence)
    page = pages[name]
    assert page.by_class("answer") == [first]
    assert page.by_class("further") == ([rest] if rest else [])
    assert page.source.index('class="answer') < page.source.index("<figure")
    assert page.of("footer") == [FOOTER]


@pytest.mark.parametrize("name", ANSWERS)
def test_every_chart_has_caption_numbers_and_a_name(pages, name):
    page = pages[name]
    figures = page.of("figure")
    assert len(figures) == len(page.figures()) == len(page.of("figcaption")) >= 2
    for text, caption in zip(figures, page.of("figcaption"), strict=True):
        assert "The same numbers as a table" in text
        # How many, from when.
        assert re.search(r"\d+ (\w+ )?(jobs?|records?)|Finished jobs", caption), caption
        assert re.search(r"[A-Z][a-z]{2} 20\d\d to [A-Z][a-z]{2} 20\d\d", caption), caption
        # What a band is, or that there is none.
        assert re.search(r"band|thick stretch", caption), caption


@pytest.mark.parametrize("name", ANSWERS)
def test_all_tables_of_the_answer_stand_in_the_page(pages, name):
    page, answer = pages[name], MAKERS[name]()
    captions = page.of("caption")
    cells = set(page.of("td")) | set(page.of("th"))
    for table in answer.tables():
        assert table.caption in captions
        for row in table.rows:
            assert {c.strip() for c in row} <= cells | {""}


@pytest.mark.parametrize("name", ANSWERS)
def test_grounds_notes_and_cautions_are_said(pages, name):
    page, answer = pages[name], MAKERS[name]()
    lines = page.of("li")
    assert [c for c in answer.cautions if c not in lines] == []
    for note in answer.grounds.notes:
        assert any(line.startswith(note.rstrip(".")) for line in lines), note
    assert answer.grounds.span in page.of("dd")


@pytest.mark.parametrize("name", ANSWERS)
def test_charts_are_plain_lists_without_a_way_out(pages, name):
    page = pages[name]
    for figure in page.figures():
        assert "bdata" not in str(figure)
        assert figure["layout"]["template"]["layout"]["showlegend"] is False
    assert page.source.count("showSendToCloud&#34;") == 0
    assert '"showSendToCloud": false' in page.source
    assert '"plotlyServerURL": ""' in page.source
    assert page.source.count("plotly.js v") == 1
    assert [a for _, a, _ in page.elements if a.get("src")] == []
    links = [a["href"] for t, a, _ in page.elements if t == "a"]
    assert len(links) == len(page.of("table"))
    assert all(link.startswith("data:text/csv;") for link in links)


@pytest.mark.parametrize("name", ANSWERS)
def test_the_same_answer_gives_the_same_page(name):
    assert page_html(MAKERS[name]()) == page_html(MAKERS[name]())


@pytest.mark.parametrize("name", ANSWERS)
def test_a_page_of_a_set_leaves_the_script_beside_it(name):
    alone, beside = page_html(MAKERS[name]()), page_html(MAKERS[name](), script=f"../{SCRIPT}")
    assert len(beside) < len(alone) - 4_000_000
    page = Page(beside)
    (script,) = [a for t, a, _ in page.elements if t == "script" and a.get("src")]
    assert script["src"] == "../pictures.js"
    (policy,) = [a["content"] for _, a, _ in page.elements if a.get("http-equiv")]
    assert f"'nonce-{script['nonce']}'" in policy
    assert page.by_class("stand-in") == [STAND_IN] * len(page.figures())
    assert "Plotly" in shared_script()


def test_the_pass_of_a_page_is_no_other_pages():
    """Nothing written into a page can have known it: it is made from what the page says."""
    passes = set()
    for name in ANSWERS:
        text = page_html(MAKERS[name](), script=SCRIPT)
        passes.add(next(a["nonce"] for _, a, _ in Page(text).elements if a.get("nonce")))
    assert len(passes) == len(ANSWERS)


@pytest.mark.parametrize("answer", making.unknown(), ids=lambda a: type(a).__name__)
def test_what_is_not_known_is_a_page_without_pictures(answer):
    text = page_html(answer)
    page = Page(text)
    assert page.by_class("answer") == [opening(answer.sentence)[0]]
    assert page.of("figure") == []
    assert page.of("script") == [ordering()]
    assert len(text) < 20_000


@pytest.mark.parametrize("name", ["estimate", "quote"])
def test_names_stay_text(name):
    text = page_html(MAKERS[name](making.EVIL))
    page = Page(text)
    (subject,) = page.by_class("subject")
    assert subject.startswith(making.EVIL)
    # Only our own script elements: order of rows, tones, settings, figures, plotly, drawing.
    scripts = [a for t, a, _ in page.elements if t == "script"]
    assert len(scripts) == 5 + len(page.figures())
    assert page.of("b") == []


def test_names_in_charts_stay_text(pages):
    marks = [t for f in pages["crew"].figures() for d in f["data"] for t in d.get("text", [])]
    evil = [t for t in marks if "東京" in t]
    assert len(evil) == 1
    assert "<" not in evil[0]
    assert "&lt;script&gt;" in evil[0]
    assert any(making.EVIL in cell for cell in pages["crew"].of("th"))


def test_a_history_of_totals_in_another_currency_and_unit():
    history = making.totals_only()
    page = Page(page_html(estimate(history, making.quoted())))
    assert page.by_class("subject") == ["Q-117 walk-in, bathroom, 4.8 m²"]
    (chart,) = page.figures()
    assert all(t.startswith("CHF ") for t in chart["layout"]["xaxis"]["ticktext"])
    # Eight jobs cannot support a 90 % interval: it is neither drawn nor in the key.
    forms = [d["line"]["width"] for d in chart["data"] if d["mode"] == "lines"]
    assert len(forms) == 2
    assert not any("9 in 10" in k for k in page.by_class("key"))
    assert "too few jobs" in page.of("td")


def test_any_other_answer_is_a_page_too():
    class Other(Answer):
        def tables(self):
            return (Table("Figures", ("a", "b"), (("x", "5"),), "A note."),)

    page = Page(page_html(Other("So it is.", Grounds(3)), title="Mine <own>"))
    assert page.of("title") == page.of("h1") == ["Mine <own>"]
    assert page.of("caption") == ["Figures"]
    assert page.by_class("note") == ["A note."]


def test_writing_makes_folders_and_leaves_nothing_beside(tmp_path):
    answer = making.unknown()[2]
    path = tmp_path / "deep" / "er" / "overruns.html"
    assert write_page(answer, path) == path
    assert path.read_text("utf-8") == page_html(answer)
    assert [p.name for p in path.parent.iterdir()] == ["overruns.html"]
    write_file("new", path)
    assert path.read_text("utf-8") == "new"


def test_a_page_that_cannot_be_written_is_one_sentence(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(InputProblem) as problem:
        write_page(making.unknown()[2], tmp_path / "file" / "page.html")
    assert str(tmp_path / "file" / "page.html") in str(problem.value)
    assert str(problem.value).endswith("(name a folder you may write to).")


def test_a_folder_in_the_way_is_said_and_no_scrap_left(tmp_path):
    (tmp_path / "page.html").mkdir()
    with pytest.raises(InputProblem):
        write_page(making.unknown()[2], tmp_path / "page.html")
    assert [p.name for p in tmp_path.iterdir()] == ["page.html"]


def test_index_lists_cards_and_says_what_is_not_known():
    cards = [
        Card("Estimate <b>", "It costs $5 & more.", "estimate.html", True),
        Card("Crew", "Cannot tell.", 'a"b.html', False),
    ]
    page = Page(index_html(cards))
    assert page.of("a") == ["Estimate <b>", "Crew"]
    assert [a["href"] for t, a, _ in page.elements if t == "a"] == ["estimate.html", 'a"b.html']
    assert page.of("li") == [
        "Estimate <b>\nIt costs $5 & more.",
        "Crew\nNot known yet. Cannot tell.",
    ]


def test_an_empty_index_says_so():
    assert "No page has been written yet." in index_html([])
