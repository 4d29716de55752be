"""The raw files of the invented firm are what the generator writes, and nothing real is in them."""

import csv
import io
import json
import tomllib
import zipfile
from pathlib import Path

import pytest

from costlearn.demo import files, invent
from costlearn.demo.files import demo_folder
from costlearn.demo.jobs import invented_jobs
from costlearn.firm import Firm
from costlearn.vocabulary import standard

README = Path(__file__).parents[2] / "data" / "README.md"


def test_generator_rewrites_the_files_byte_for_byte(tmp_path, capsys):
    assert invent.main([str(tmp_path)]) == 0
    said = capsys.readouterr().out
    assert "seed 81" in said
    written = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    stored = {p.name: p.read_bytes() for p in demo_folder().iterdir()}
    assert written.keys() == stored.keys()
    assert len(written) == 16
    assert [name for name in stored if written[name] != stored[name]] == []


def test_without_a_folder_the_command_says_so(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(files, "HERE", tmp_path / "costlearn" / "demo")
    assert invent.main([]) == 2
    assert "files of the invented firm are missing" in capsys.readouterr().err


def test_another_seed_gives_other_jobs():
    prices = {seed: [j.price for j in invented_jobs(seed)] for seed in (1, 81)}
    assert prices[1] != prices[81]


def test_workbook_is_packed_without_compression():
    with zipfile.ZipFile(demo_folder() / "phases.xlsx") as book:
        kinds = {entry.compress_type for entry in book.infolist()}
        dates = {entry.date_time[0] for entry in book.infolist()}
    assert kinds == {zipfile.ZIP_STORED}
    assert dates == {1980}


def test_firm_settings_are_accepted():
    raw = tomllib.loads((demo_folder() / "firm.toml").read_text("utf-8"))
    firm = Firm().changed(raw["firm"])
    assert firm.day_rate == 512
    # 46,000 / 205 by hand
    assert firm.overhead_per_day == pytest.approx(224.39, abs=0.01)


@pytest.mark.parametrize("name", ["quote_sane", "quote_forgotten", "quote_far_outside"])
def test_quotes_add_up_and_use_known_words(name):
    raw = tomllib.loads((demo_folder() / f"{name}.toml").read_text("utf-8"))
    quote, words = raw["quote"], standard()
    assert quote["cost"] == pytest.approx(sum(p["cost"] for p in raw["plan"].values()), rel=0.01)
    planned = sum(p["person_days"] for p in raw["plan"].values())
    assert quote["person_days"] == pytest.approx(planned, rel=0.06)
    assert quote["site_days"] < quote["person_days"] <= 2 * quote["site_days"]
    assert quote["site_days"] <= quote["elapsed_days"]
    assert 0.25 < (quote["price"] - quote["cost"]) / quote["price"] < 0.30
    assert set(raw["plan"]) <= {p.key for p in words.phases}
    for text in raw["scope"]["items"]:
        head, _, tail = text.rpartition(" ")
        words.find_item(head if tail.isdigit() else text)


def test_forgotten_quote_lacks_what_every_tiled_shower_here_has():
    raw = tomllib.loads((demo_folder() / "quote_forgotten.toml").read_text("utf-8"))
    keys = set()
    for text in raw["scope"]["items"]:
        head, _, tail = text.rpartition(" ")
        keys.add(standard().find_item(head if tail.isdigit() else text).key)
    showers = [j for j in invented_jobs() if "tiled_shower_floor" in j.scope.items]
    assert len(showers) >= 8
    for forgotten in ("membrane", "backer", "shower_valve", "toilet"):
        assert forgotten not in keys
        assert all(forgotten in j.scope.items for j in showers)
    fans = sum("bath_fan" in j.scope.items for j in showers)
    assert "bath_fan" not in keys
    assert fans >= 0.8 * len(showers)
    dearer = [j for j in showers if j.scope.area >= 50 and j.started.year >= 2025]
    assert dearer
    assert all(raw["quote"]["cost"] * 100 < j.booked for j in dearer)


def test_far_quote_is_larger_than_anything_and_holds_an_item_never_done():
    raw = tomllib.loads((demo_folder() / "quote_far_outside.toml").read_text("utf-8"))
    jobs = invented_jobs()
    assert raw["quote"]["cost"] * 100 > 5 * max(j.booked for j in jobs)
    assert float(raw["scope"]["area"].split()[0]) > 3 * max(j.scope.area for j in jobs)
    assert "wall-hung toilet 4" in raw["scope"]["items"]
    assert not any("wall_hung_toilet" in j.scope.items for j in jobs)


def test_total_rows_agree_with_their_columns():
    expected_rows = {2021: 7, 2022: 8, 2024: 8, 2025: 8}
    for year, count in expected_rows.items():
        text = (demo_folder() / f"jobs_{year}.csv").read_bytes()
        rows = list(csv.reader(io.StringIO(_decoded(text)), delimiter=";" if year == 2022 else ","))
        at = next(i for i, r in enumerate(rows) if r[0] in ("Job", "Project"))
        heading, body = rows[at], rows[at + 1 :]
        total = body.pop()
        assert total[0].lower() == "total"
        assert sum(1 for r in body if r[0]) == count
        checked = 0
        for column, name in enumerate(heading):
            if total[column] and column:
                amounts = [_amount(r[column]) for r in body if r[0]]
                assert _amount(total[column]) == pytest.approx(sum(amounts), abs=0.005), name
                checked += 1
        assert checked >= 3


def test_receipts_of_a_job_add_up_to_its_cost_without_labour():
    text = (demo_folder() / "receipts_2025_2026.csv").read_text("utf-8")
    sums: dict[str, float] = {}
    loose = 0
    for row in csv.DictReader(io.StringIO(text)):
        spent = _amount(row["Amount before tax"]) + _amount(row["Sales tax"])
        loose += not row["Job"]
        sums[row["Job"]] = sums.get(row["Job"], 0.0) + spent
    assert loose == 32
    checked = 0
    for job in invented_jobs():
        if job.started.year < 2025:
            continue
        goods = sum(p.booked - p.costs.get("labour", 0) for p in job.phases)
        assert sums[job.name] * 100 == pytest.approx(goods, abs=0.6)
        checked += 1
    assert checked == 17


def test_hours_log_holds_each_hour_once():
    text = (demo_folder() / "hours_2024_2026.csv").read_text("utf-8")
    jobs = {j.code: j for j in invented_jobs() if j.started.year >= 2024}
    hours: dict[str, float] = dict.fromkeys(jobs, 0.0)
    waits: dict[str, int] = dict.fromkeys(jobs, 0)
    first_with_two = "9999"
    code = ""
    for row in csv.DictReader(io.StringIO(text)):
        code = row["Job"].split(" ")[0] or code
        month, day, year = row["Date"].split("/")
        if row["Waiting"]:
            waits[code] += 1
        elif row["Hrs"] != "-":
            hours[code] += _hours(row["Hrs"])
        if row["Who"] == "Maywen":
            first_with_two = min(first_with_two, f"{year}-{int(month):02d}-{int(day):02d}")
    for key, job in jobs.items():
        assert hours[key] == pytest.approx(job.person_days * 8), key
        assert waits[key] == job.wait_days, key
    assert first_with_two >= "2024-03-04"


def test_readme_states_what_was_planted():
    text = README.read_text("utf-8")
    truth = json.loads((demo_folder() / "truth.json").read_text("utf-8"))
    assert f"one seed, {truth['seed']}," in text
    assert "tile 1.22, demolition 1.14, backer and membrane 1.11" in text
    over = {k: v for k, v in truth["overrun"].items() if v != 1}
    assert over == {"tile": 1.22, "demo": 1.14, "waterproof": 1.11}
    assert f"{truth['day_rate_today']:.2f}" in text
    assert truth["today"] in text
    assert truth["helper_from"] in text
    named = {line.split("`")[1] for line in text.splitlines() if line.startswith("| `")}
    assert named == {p.name for p in demo_folder().iterdir()}


def _decoded(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _amount(text: str) -> float:
    plain = text.replace("$", "").replace(",", "").strip()
    if plain.startswith("(") or plain.endswith("CR"):
        return -float(plain.strip("()").removesuffix("CR"))
    try:
        return float(plain)
    except ValueError:
        return 0.0


def _hours(text: str) -> float:
    if text == "half day":
        return 4.0
    if ":" in text:
        whole, minutes = text.split(":")
        return int(whole) + int(minutes) / 60
    return float(text)
