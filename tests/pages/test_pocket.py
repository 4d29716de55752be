"""The pocket sheet as a file: small, alone, safe, with a name for all that can be touched."""

import re
from base64 import b64encode
from dataclasses import replace
from datetime import date
from functools import cache
from hashlib import sha256

import page_making as making
import pytest
from making import bathrooms
from page_reading import Page

from costlearn.firm import Firm
from costlearn.pages.pocket import pocket_html
from costlearn.questions.pocket import pocket
from costlearn.records import History
from costlearn.vocabulary import standard

MADE = date(2026, 11, 2)


@cache
def text() -> str:
    return pocket_html(pocket(making.evil_history(), on=MADE))


def test_it_is_small_even_with_many_jobs_and_stated_beliefs():
    jobs = making.history().usable
    twice = (*jobs, *(replace(j, key=j.key + "x", name=j.name + "x") for j in jobs[:35]))
    firm = Firm(
        day_rate=500.0,
        usual=dict.fromkeys(("cost", "person_days", "site_days", "elapsed_days"), 1.0),
        rates={"toilet": {"person_days": 0.4, "bought": 350.0}},
    )
    whole = pocket_html(pocket(History(firm, twice), on=MADE))
    assert len(whole.encode()) < 200_000
    assert len(text().encode()) < 160_000


def test_no_job_of_the_book_is_named_in_it():
    for job in making.evil_history().jobs:
        assert job.name not in text() and job.key not in text(), job.name
    assert making.FIRM.name not in text()


def test_nothing_is_loaded_from_elsewhere_and_only_its_own_scripts_may_run():
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text())
    assert policy
    rules = policy[1].replace("&#39;", "'")
    assert rules.startswith("default-src 'none'; ")
    assert "unsafe" not in rules and "form-action 'none'" in rules
    for tag in ("script", "style"):
        (inside,) = re.findall(rf"<{tag}>(.*?)</{tag}>", text(), re.DOTALL)
        digest = b64encode(sha256(inside.encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{digest}'" in rules
    assert re.findall(r"""(?:src|href|action|url\()=?["']?(https?:|//)""", text()) == []
    assert set(re.findall(r"https?://[\w./]+", text())) == {"http://www.w3.org/2000/svg"}
    assert not re.search(r'\son\w+="', text()) and ' style="' not in text()


def test_what_is_carried_cannot_end_its_own_script():
    carried = re.search(r'<script type="application/json" id="carried">(.*?)</script>', text())
    assert carried and "<" not in carried[1]


@pytest.mark.parametrize("past", [making.history(), bathrooms(5), making.totals_only()])
def test_every_item_of_the_trade_is_offered_once(past):
    whole = pocket_html(pocket(past, on=MADE))
    offered = re.findall(r'name="item" value="(\d+)"', whole)
    assert sorted(map(int, offered)) == list(range(len(standard().items)))
    assert set(re.findall(r'data-size="(\d+)"', whole)) == set(offered)
    done, _, never = whole.partition('<details class="never">')
    had = {k for j in past.usable for k, v in j.scope.items() if v}
    for number, item in enumerate(standard().items):
        side = done if item.key in had else never
        assert f'value="{number}"' in side, item.key


def test_sizes_and_floor_are_asked_in_the_units_of_the_firm():
    assert "Floor, sq ft" in text() and "Floor, m²" not in text()
    metric = pocket_html(pocket(making.totals_only(), on=MADE))
    assert "Floor, m²" in metric and "Your price, CHF" in metric
    assert "sq ft" not in metric.partition("<script")[0]


def test_it_reads_as_a_form_with_headings_and_a_result_that_is_announced():
    page = Page(text())
    assert page.of("h1") == ["What will this scope cost, and how long will it take?"]
    legends = page.of("legend")
    assert {"The job", "Scope", "Price", "Nothing on file tells what these cost"} <= set(legends)
    assert text().count('aria-live="polite"') == 3
    assert "never engineering" not in text() and "not engineering, legal or tax advice" in text()


def test_an_index_keeps_the_date_from_going_behind_the_sheet():
    firm = Firm(price_index={"2021-01-01": 100.0, "2026-01-01": 130.0})
    assert 'min="2026-11-02"' in pocket_html(pocket(bathrooms(6, firm=firm), on=MADE))
    assert "min=" not in text().partition("<script")[0]
