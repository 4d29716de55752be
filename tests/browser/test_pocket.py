"""The pocket sheet in a real browser: its arithmetic is Python's, its words the estimate's.

Needs a Chromium on the machine (Debian: ``apt install chromium``); without one these are skipped.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from looking import barriers, page_words
from picture import browser_path
from pocket_scopes import COUNTS, ITEMS, MADE, history, job_of, noted
from scipy import special

import costlearn
from costlearn.cli.main import main
from costlearn.features import measures as ms
from costlearn.features.likeness import nearest
from costlearn.intake.asked import read_asked
from costlearn.models.regression import PriorRegression
from costlearn.pages.pocket import pocket_html
from costlearn.questions.estimate import estimate
from costlearn.questions.learning import known_totals, predict, terms_of
from costlearn.questions.pocket import pocket
from costlearn.records import History
from costlearn.units import say_odds
from costlearn.vocabulary import standard

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = pytest.mark.skipif(browser_path() is None, reason="no Chromium on this machine")

SETUP = """() => {
globalThis.engine = new Sums.Engine(JSON.parse(document.getElementById('carried').textContent));
globalThis.words = new Words.Speaker(engine.carried);
globalThis.scopeOf = (n) => words.scope({ ...n, items: new Map(n.items) });
}"""
ASK = """(noted) => noted.map((n) => Object.fromEntries([...engine.ask(scopeOf(n))].map(
    ([target, p]) => [target, {
        middle: p.spread.median, scale: p.spread.scale, leverage: p.leverage, unlike: p.unlike,
        ends: [0.5, 0.8, 0.9].flatMap((l) => Object.values(p.spread.interval(l)).slice(1)),
        tails: [p.spread.quantile(1e-6), p.spread.quantile(0.99999)],
        share: n.price ? p.spread.cdf(n.price) : null, belief: p.weight,
        near: engine.nearest(p, 5),
    }])))"""
SAY = """(noted) => noted.map((n) => {
    const scope = scopeOf(n), found = engine.ask(scope), job = engine.job(scope);
    const noted = { ...n, items: new Map(n.items) };
    const said = { toml: words.toml(noted), cautions: words.cautions(job) };
    if (!found.size) return said;
    const lead = found.get('cost') || found.values().next().value;
    return { ...said, sentence: words.sentence(found, n.date), withheld: words.withheld(lead),
        outside: [...lead.doubts.said, ...words.outside(found, n.date)],
        verdicts: [...found.values()].filter((p) => !words.withheld(p)).map((p) =>
            words.verdict(p)),
        differs: engine.nearest(lead, 5).map((x) =>
            words.similar(engine.jobs[x.job], job.scope).differs) };
})"""
DIFFER = """([one, other]) => {
    const first = engine.ask(scopeOf(one)), second = engine.ask(scopeOf(other));
    return [...first].filter(([t]) => second.has(t)).map(([t, p]) =>
        [t, engine.difference(p, second.get(t)), p.spread.median, second.get(t).spread.median]);
}"""


class Sheet:
    """The sheet of a history opened in the browser, with all it asked for and complained about."""

    def __init__(
        self, browser, past: History, folder: Path, width: int = 390, scheme: str = "light"
    ) -> None:
        self.asked: list[str] = []
        self.complaints: list[str] = []
        path = folder / "pocket.html"
        path.write_text(pocket_html(pocket(past, on=MADE)), "utf-8")
        self.context = browser.new_context(
            viewport={"width": width, "height": 844},
            offline=True,
            timezone_id="Pacific/Auckland",
            color_scheme=scheme,
        )
        self.view = self.context.new_page()
        self.view.on("console", lambda m: self.complaints.append(m.text))
        self.view.on("pageerror", lambda e: self.complaints.append(str(e)))
        self.view.on("request", lambda r: self.asked.append(r.url))
        self.view.goto(path.as_uri())
        self.view.evaluate(SETUP)

    def settle(self) -> None:
        """Wait until what was typed is reckoned with."""
        self.view.wait_for_timeout(400)


@pytest.fixture
def sheet(browser, tmp_path) -> Iterator:
    opened = []

    def open_sheet(past: History, width: int = 390, scheme: str = "light") -> Sheet:
        opened.append(Sheet(browser, past, tmp_path, width, scheme))
        return opened[-1]

    yield open_sheet
    for one in opened:
        assert one.complaints == []
        assert all(url.startswith(("file:", "data:")) for url in one.asked)
        one.context.close()


def close_to(values):
    return pytest.approx(values, rel=1e-9)


@pytest.mark.parametrize("name", COUNTS)
def test_the_arithmetic_is_that_of_the_estimate(sheet, name):
    """1,000 scopes in all, of ten histories, to 1e-9 of each figure."""
    past = history(name)
    scopes = noted(COUNTS[name], seed=len(name), after=name == "indexed")
    answers = sheet(past).view.evaluate(ASK, scopes)
    keys = [j.key for j in past.usable]
    compared = 0
    for scope, answer in zip(scopes, answers, strict=True):
        job = job_of(scope, past.firm)
        for target in ms.TARGETS:
            wanted, found = predict(past, job, target), answer.get(target)
            assert (wanted is None) == (found is None), (target, scope)
            if wanted is None:
                continue
            compared += 1
            spread = wanted.spread
            assert found["middle"] == close_to(spread.median)
            assert found["scale"] == close_to(spread.scale)
            ends = [
                e
                for v in (0.5, 0.8, 0.9)
                for e in (spread.interval(v).low, spread.interval(v).high)
            ]
            assert found["ends"] == close_to(ends)
            assert found["tails"] == close_to([spread.quantile(1e-6), spread.quantile(0.99999)])
            if scope["price"]:
                assert found["share"] == pytest.approx(
                    spread.cdf(scope["price"]), rel=1e-9, abs=1e-12
                )
            assert found["belief"] == pytest.approx(wanted.weights.get("belief", 0.0), abs=1e-12)
            assert found["unlike"] == wanted.unlike
            if wanted.model is not None:
                row = np.asarray(wanted.measures.row, dtype=float)
                assert found["leverage"] == close_to(wanted.model.leverage(row))
            alike = nearest(wanted.measures, wanted.jobs, job)
            assert [n["distance"] for n in found["near"]] == close_to([a.distance for a in alike])
            for near, one in zip(found["near"], alike, strict=True):
                tied = sum(abs(a.distance - one.distance) < 1e-9 for a in alike) > 1
                assert tied or keys[near["job"]] == one.job.key
    assert compared >= COUNTS[name] // 3


@pytest.mark.parametrize("name", ["many", "jumped", "few", "stated", "two stated", "metric"])
def test_the_words_are_those_of_the_estimate_and_the_file_is_read_back(sheet, tmp_path, name):
    past = history(name)
    scopes = [s for s in noted(45, seed=77) if s["kind"] or s["area"] or s["items"]]
    if past.firm.area_unit == "sqm":
        scopes = [s for s in scopes if (s["area"] or 0) < 90_000]
    said = sheet(past).view.evaluate(SAY, scopes)
    for scope, found in zip(scopes, said, strict=True):
        path = tmp_path / "scope.toml"
        path.write_text(found["toml"], "utf-8")
        job, wanted = read_asked(path, past.firm), job_of(scope, past.firm)
        assert job.notes == ""
        assert dict(job.scope) == pytest.approx(dict(wanted.scope))
        for field in ("kind", "area_sqft", "grade", "house_year", "condo", "quoted_on"):
            assert getattr(job, field) == getattr(wanted, field), field
        assert job.plan.crew == wanted.plan.crew
        assert job.price == (round(scope["price"] * 100) if scope["price"] else None)
        answer = estimate(past, job)
        assert list(answer.cautions) == found["cautions"] or not answer.known
        assert answer.known == ("sentence" in found and not found["withheld"])
        if "sentence" in found:
            assert found["sentence"] == answer.sentence
        if answer.known:
            assert found["outside"] == list(answer.outside)
            assert found["verdicts"] == [t.verdict for t in answer.targets]
            assert found["differs"] == [s.differs for s in answer.similar]


def _together(past: History, one, other, target: str) -> tuple[float, float]:
    """What the second adds, mean and spread in log points, by one regression of both columns."""
    jobs, totals = known_totals(past, target, one.day)
    each = [ms.measure(jobs, j, target=target) for j in (one, other)]
    columns = {c.name: (c, m) for m in each for c in m.columns}
    frame = pd.DataFrame({name: m.frame[name] for name, (_, m) in columns.items()})
    terms = terms_of([c for c, _ in columns.values()], frame)
    model = PriorRegression(terms).fit(frame, totals)
    rows = [
        np.array([m.row.get(name, mean) for name, mean in zip(columns, model.means_, strict=True)])
        for m in each
    ]
    effect = model.combined(np.nan_to_num(rows[1] - rows[0]))
    return effect.mean, effect.sd


@pytest.mark.parametrize("name", ["many", "few", "stated", "two stated"])
def test_a_difference_is_made_in_one_regression_not_of_two_ranges(sheet, name):
    past, view = history(name), sheet(history(name)).view
    scopes = [s for s in noted(60, seed=5) if s["area"] and s["area"] < 200 and s["items"]]
    seen = 0
    for first in scopes[:12]:
        other = {**first, "items": [i for i in first["items"] if i[0] % 4]}
        other["items"] = other["items"] or [[5, None]]
        other["items"] += [] if any(i == 34 for i, _ in other["items"]) else [[34, 20.0]]
        for target, found, before, after in view.evaluate(DIFFER, [first, other]):
            if found is None:
                continue
            seen += 1
            assert found["middle"] == pytest.approx(after - before, rel=1e-7, abs=1e-6)
            if name in ("many", "few"):
                jobs = [job_of(s, past.firm) for s in (first, other)]
                mean, sd = _together(past, *jobs, target)
                assert found["mean"] == pytest.approx(mean, rel=1e-9, abs=1e-12)
                assert found["sd"] == close_to(sd)
                wide = special.stdtrit(3 + len(known_totals(past, target, None)[0]), 0.9)
                assert found["low"] == close_to(before * np.expm1(mean - wide * sd))
                assert found["high"] == close_to(before * np.expm1(mean + wide * sd))
    assert seen >= 12


def test_what_was_stated_for_one_scope_alone_is_not_set_beside_the_other(sheet):
    one = {**noted(1, seed=1)[0], "kind": "bathroom", "area": None, "items": [[20, None]]}
    other = {**one, "items": [[0, 40.0], [3, None], [8, None], [20, None]]}
    found = sheet(history("two stated")).view.evaluate(DIFFER, [one, other])
    assert [f for f in found if f[1] is not None] == []


def test_students_t_is_right_to_the_twelfth_figure(sheet):
    """Against scipy.special.stdtr and stdtrit (Cephes and Boost, as scipy ships them)."""
    view = sheet(history("few")).view
    for df in (3.0, 4.0, 8.0, 23.0, 48.0, 83.0, 500.0):
        beta = float(special.betaln(df / 2, 0.5))
        at = [1e-8, 0.01, 0.3, 1.0, 1.7, 2.4, 4.0, 8.0, 40.0, 1000.0]
        found = view.evaluate("([t, d, b]) => t.map((x) => Models.within(x, d, b))", [at, df, beta])
        wanted = [float(special.betainc(0.5, df / 2, x * x / (df + x * x))) for x in at]
        assert found == pytest.approx(wanted, rel=1e-12, abs=1e-15)
        levels = [0.001, 0.5, 0.8, 0.99, 0.9999, 0.999999]
        reached = view.evaluate(
            "([p, d, b]) => p.map((x) => Models.reachOf(x, d, b))", [levels, df, beta]
        )
        assert reached == close_to([float(special.stdtrit(df, (1 + p) / 2)) for p in levels])


def test_by_keyboard_from_empty_to_an_answer_that_is_the_estimates(sheet, tmp_path):
    one = sheet(history("many"))
    view = one.view
    assert view.inner_text("#answer").startswith("Say what the job is")
    assert view.locator("#found").is_hidden()
    view.focus("#area")
    view.keyboard.type("46")
    view.focus('input[name="item"][value="29"]')
    view.keyboard.press("Space")
    view.keyboard.press("Tab")
    view.keyboard.type("72")
    view.fill("#price", "19 500,00 $")
    one.settle()
    path = tmp_path / "scope.toml"
    path.write_text(view.input_value("#toml"), "utf-8")
    job = read_asked(path, history("many").firm)
    assert (dict(job.scope), job.area_sqft, job.price) == ({"wall_tile": 72.0}, 46.0, 1950000)
    said = view.inner_text("#answer") + " " + view.inner_text("#further")
    assert said.replace("\xa0", " ") == estimate(history("many"), job).sentence
    spread = predict(history("many"), job, "cost").spread
    over = say_odds(1 - spread.cdf(19_500), ("costs", "cost"))
    keeps = say_odds(spread.cdf(19_500 * 0.73), ("leaves", "leave"))
    wanted = f"{over} more than your price of $19,500, and {keeps} the 27 % margin you want."
    assert view.inner_text("#priced").replace("\xa0", " ").lower() == wanted.lower()
    assert view.locator("#pictures svg").count() >= 2
    focus = view.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert focus == "solid"


def test_a_sheet_by_a_price_index_refuses_days_before_its_own(sheet):
    one = sheet(history("indexed"))
    one.view.check('input[name="item"][value="20"]')
    one.view.fill("#date", "2026-11-01")
    one.settle()
    assert "answers from 2026-11-02" in one.view.inner_text("#problem")
    one.view.fill("#date", "2027-01-15")
    one.settle()
    assert one.view.locator("#found").is_visible()


def test_the_date_is_the_phones_own_day_not_that_of_greenwich(sheet):
    view = sheet(history("few")).view
    local = view.evaluate(
        "new Intl.DateTimeFormat('en-CA', {timeZone: 'Pacific/Auckland'}).format()"
    )
    assert view.input_value("#date") == local
    assert date.fromisoformat(local)


def test_two_scopes_are_set_side_by_side_and_the_first_comes_back(sheet):
    one = sheet(history("many"))
    view = one.view
    view.click("text=your middle bathroom")
    before = view.inner_text("#answer")
    view.click("#keep")
    assert "is the one shown" in view.inner_text("#compared")
    at = [item.key for item in standard().items].index("heated_floor")
    view.check(f'input[name="item"][value="{at}"]')
    one.settle()
    told = view.inner_text("#compared").replace("\xa0", " ")
    assert told.startswith("Against the kept scope, with heated floor: ")
    assert "8 times in 10, middle $" in told and "In the price, at a margin of 27 %" in told
    assert view.locator("#differences tbody tr").count() == 4
    view.select_option("#grade", "2")
    one.settle()
    assert "only one of them says the finish" in view.inner_text("#compared")
    view.click("#back")
    assert view.inner_text("#answer") == before
    view.click("#drop")
    assert view.inner_text("#compared") == ""


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("area", "abc"),
        ("area", "-4"),
        ("area", "0"),
        ("year", "68"),
        ("margin", "120"),
        ("crew", "99"),
    ],
)
def test_what_cannot_be_used_is_said_and_nothing_is_priced(sheet, field, text):
    one = sheet(history("few"))
    one.view.check('input[name="item"][value="20"]')
    one.view.fill(f"#{field}", text)
    one.settle()
    assert f'found "{text}"' in one.view.inner_text("#problem")
    assert one.view.get_attribute(f"#{field}", "aria-invalid") == "true"
    assert one.view.locator("#found").is_hidden() and one.view.locator("#bar").is_hidden()


def test_a_range_too_wide_to_tell_gives_a_sentence_and_no_figure(sheet):
    """A million square feet, asked of a firm whose widest floor is a bathroom's."""
    past = history("many")
    one = sheet(past)
    one.view.fill("#area", "50")
    one.settle()
    one.view.click("#keep")
    one.view.fill("#area", "1000000")
    one.settle()
    asked = {"kind": None, "area": 1e6, "grade": None, "year": None, "condo": None, "crew": None}
    day = one.view.input_value("#date")
    answer = estimate(past, job_of({**asked, "date": day, "price": None, "items": []}, past.firm))
    assert not answer.known
    assert one.view.inner_text("#answer").replace("\xa0", " ") == answer.sentence
    assert one.view.locator("#found").is_hidden() and one.view.locator("#bar").is_hidden()
    one.view.evaluate("document.getElementById('keep').click()")
    one.view.fill("#area", "50")
    one.settle()
    assert one.view.locator("#found").is_visible()
    assert "For the kept scope no figure is given" in one.view.inner_text("#compared")


def test_a_never_done_item_is_offered_apart_and_widens_as_it_does_in_python(sheet):
    one = sheet(history("few"))
    never = one.view.locator(".never input[name=item]").evaluate_all("l => l.map(i => +i.value)")
    had = {k for j in history("few").usable for k, v in j.scope.items() if v}
    assert {ITEMS[i].key for i in never} == {i.key for i in ITEMS} - had
    one.view.click(".never summary")
    one.view.check(f'.never input[value="{never[0]}"]')
    one.settle()
    assert f"Never done before: {ITEMS[never[0]].name}." in one.view.inner_text("#outside")


def test_the_list_can_be_narrowed_and_nothing_ticked_is_lost(sheet):
    one = sheet(history("many"))
    one.view.check('input[name="item"][value="29"]')
    one.view.fill("#find", "tile")
    shown = one.view.locator(".items li:visible").all_inner_texts()
    assert shown and all("tile" in text for text in shown)
    one.view.fill("#find", "")
    assert one.view.is_checked('input[name="item"][value="29"]')


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_it_never_scrolls_sideways_and_every_field_has_a_name(sheet, width):
    one = sheet(history("many"), width)
    view = one.view
    view.click("text=your middle kitchen")
    wide = view.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
    assert wide[0] <= wide[1]
    nameless = view.evaluate(
        """() => [...document.querySelectorAll('input, select, textarea, button, fieldset')]
            .filter(e => !(
                [...(e.labels || [])].some(l => l.textContent.trim()) ||
                (e.tagName === 'BUTTON' && e.textContent.trim()) ||
                (e.tagName === 'FIELDSET' && e.querySelector(':scope > legend'))))
            .map(e => e.outerHTML)"""
    )
    assert nameless == []
    small = view.evaluate(
        """() => [...document.querySelectorAll('.tick, button, select, .fields input')].filter(e =>
            e.offsetParent && e.getBoundingClientRect().height < 44).map(e => e.outerHTML)"""
    )
    assert small == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_barrier_stands_in_the_way_and_no_word_sticks_out(sheet, scheme):
    """The rules of axe-core, contrast among them, on the filled form with all its parts shown."""
    one = sheet(history("stated"), 390, scheme)
    one.view.click("text=your middle bathroom")
    one.view.fill("#price", "19500")
    one.view.click("#keep")
    one.view.check('input[name="item"][value="34"]')
    one.settle()
    assert barriers(one.view) == []
    assert page_words(one.view) == []


def test_nothing_stays_behind_when_the_sheet_is_closed(sheet):
    one = sheet(history("few"))
    one.view.check('input[name="item"][value="20"]')
    one.settle()
    kept = one.view.evaluate("[localStorage.length, sessionStorage.length, document.cookie]")
    assert kept == [0, 0, ""]


def test_a_request_to_the_outside_is_refused_by_the_page_itself(browser, tmp_path):
    path = tmp_path / "pocket.html"
    path.write_text(pocket_html(pocket(history("few"), on=MADE)), "utf-8")
    view = browser.new_page()
    view.goto(path.as_uri())
    refused = view.evaluate(
        """() => new Promise((done) => {
            document.addEventListener('securitypolicyviolation', (e) => done(e.effectiveDirective));
            fetch('https://example.invalid/').catch(() => {});
        })"""
    )
    assert refused == "connect-src"
    ran = view.evaluate(
        """() => { const s = document.createElement('script'); s.textContent = 'window.taken = 1';
            document.body.append(s); return window.taken; }"""
    )
    assert ran is None
    view.close()


def test_the_copied_scope_is_read_by_estimate_and_check(sheet, tmp_path, capsys):
    folder = costlearn.demo_folder()
    firm = costlearn.read_settings(folder / "firm.toml")
    book = tmp_path / "jobs.book"
    with costlearn.Book.open(book) as kept:
        kept.set_firm(firm)
        for name in ("jobs_2024.csv", "jobs_2025.csv"):
            kept.add(costlearn.read_file(folder / name, firm), folder / name)
        past = kept.history()
    one = sheet(past)
    one.view.click("text=your middle bathroom")
    one.view.fill("#price", "28,900")
    one.settle()
    one.view.click("#copy")
    # The clipboard answers in its own time.
    said = one.view.locator("#copied", has_text=re.compile("Copied|Mark the text"))
    said.wait_for(state="attached")
    path = tmp_path / "scope.toml"
    path.write_text(one.view.input_value("#toml"), "utf-8")
    first = one.view.inner_text("#answer").replace("\xa0", " ")
    assert main(["estimate", str(path), "--book", str(book)]) == 0
    assert first.split(" the middle")[0] in " ".join(capsys.readouterr().out.split())
    assert main(["check", str(path), "--book", str(book)]) in (0, 1)
    assert "your price of $28,900" in " ".join(capsys.readouterr().out.split())
