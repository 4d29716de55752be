"use strict";
/* The form of the sheet: reads what is ticked and typed, asks the arithmetic, shows the answer. */
(() => {
  const carried = JSON.parse(document.getElementById("carried").textContent);
  const engine = new Sums.Engine(carried);
  const words = new Words.Speaker(carried);
  const get = (id) => document.getElementById(id);
  const boxes = [...document.querySelectorAll('input[name="item"]')];
  const sizes = new Map([...document.querySelectorAll("[data-size]")]
    .map((field) => [Number(field.dataset.size), field]));
  const DAYS = { person_days: "Person-days of work", site_days: "Days on site",
    elapsed_days: "Working days, first to last" };
  let kept = null;

  /* A number as people type it, "19,500" or "4,8"; null for nothing, NaN for what is none. */
  function typed(text) {
    const bare = text.replace(/[\s\u00a0]/g, "").replace(/^[$£€]|[$£€]$/g, "");
    if (!bare) return null;
    if (/^\d{1,3}(,\d{3})+(\.\d+)?$/.test(bare)) return Number(bare.replaceAll(",", ""));
    if (/^\d+,\d{1,2}$/.test(bare)) return Number(bare.replace(",", "."));
    return /^(\d+\.?\d*|\.\d+)$/.test(bare) ? Number(bare) : NaN;
  }

  /* The number in a field, or null and a sentence why it cannot be used. */
  function number(field, name, least, most, problems, digits = 4) {
    const found = typed(field.value);
    const value = found === null ? null : Number(found.toFixed(digits));
    const bad = value !== null && !(value >= least && value <= most);
    field.setAttribute("aria-invalid", bad);
    if (bad) {
      problems.push(`${Words.begin(name)}: found "${field.value.trim()}"; expected a number from ` +
        `${least.toLocaleString("en-US")} to ${most.toLocaleString("en-US")}.`);
      return null;
    }
    return value;
  }

  function readDate(problems) {
    const field = get("date");
    const year = Number(field.value.slice(0, 4));
    const early = carried.dated && field.value < carried.made;
    const bad = !(year >= 1950 && year <= 2100) || early;
    field.setAttribute("aria-invalid", bad);
    if (bad) {
      problems.push(early
        ? `At prices of: this sheet answers from ${carried.made}, the day it was made, on.`
        : "At prices of: expected a date from 1950 to 2100.");
    }
    return field.value;
  }

  /* All that the form says. */
  function read() {
    const problems = [];
    const choice = (id) => (get(id).value === "" ? null : Number(get(id).value));
    const floor = words.unit === "sqm" ? carried.constants.sqft_per_sqm : 1;
    const margin = number(get("margin"), "wanted margin", 0, 95, problems);
    const items = new Map();
    for (const box of boxes) {
      if (!box.checked) continue;
      const i = Number(box.value);
      const { name } = carried.items[i];
      items.set(i, number(sizes.get(i), name, 0.01, 1e5, problems));
    }
    const condo = choice("condo");
    const noted = {
      kind: get("kind").value,
      area: number(get("area"), "floor", 0.01, Math.floor(1e6 / floor), problems),
      grade: choice("grade"),
      year: number(get("year"), "house built", 1600, 2100, problems, 0),
      condo: condo === null ? null : condo === 1,
      crew: number(get("crew"), "people on site", 0.1, 50, problems),
      date: readDate(problems),
      price: number(get("price"), "your price", 0.01, 999999999, problems, 2),
      items,
    };
    return { noted, margin: margin === null ? null : margin / 100, problems };
  }

  const says = (n) => Boolean(n.kind || n.area || n.grade !== null || n.year !== null ||
    n.condo !== null || n.crew || n.items.size);

  /* The first sentence, to be set large, and what follows it. */
  function opened(text) {
    const end = text.search(/[.!?]\s+[A-Z]/);
    return end < 0 ? [text, ""] : [text.slice(0, end + 1), text.slice(end + 1).trim()];
  }

  const tied = (text) => text.replace(/(\d) (?=%|jobs? in|days?\b|sq ft)/g, "$1\u00a0");

  function show(id, text) {
    get(id).textContent = tied(text);
    get(id).hidden = !text;
  }

  function pictures(found, noted) {
    const made = [];
    const row = (p, label) => ({
      label,
      said: words.range(p.spread.interval(0.8), p.t.target),
      half: p.spread.interval(0.5),
      most: p.spread.interval(0.8),
      middle: p.spread.median,
    });
    const jobs = (p) => Words.count(p.t.jobs.length, "finished job");
    const cost = found.get("cost");
    if (cost) {
      const svg = Draw.ranges({ rows: [row(cost, "8 in 10")], asked: noted.price,
        say: (v) => words.money(v), name: `Direct cost: ${row(cost, "").said}, 8 in 10` });
      made.push(Draw.figure("Direct cost", svg,
        `${jobs(cost)}; ${carried.grounds.currency}, prices of ${noted.date}; a band holds the ` +
        "next job like this so many times in 10.", noted.price ? "your price" : ""));
    }
    const times = Object.keys(DAYS).filter((t) => found.has(t));
    if (times.length) {
      const rows = times.map((t) => row(found.get(t), DAYS[t]));
      const svg = Draw.ranges({ rows, asked: null, say: (v) => String(v),
        name: rows.map((r) => `${r.label}: ${r.said}, 8 in 10`).join("; ") });
      made.push(Draw.figure("Days", svg, `${jobs(found.get(times[0]))}; a band holds the next job ` +
        "like this so many times in 10, figures at the right: 8 in 10.", ""));
    }
    get("pictures").replaceChildren(...made);
  }

  function figures(found) {
    const rows = [...found].map(([target, p]) => {
      const ranges = [0.8, 0.5].map((level) => words.range(p.spread.interval(level), target));
      return [Words.PLAIN[target], ...ranges, words.figure(p.spread.median, target),
        String(p.t.jobs.length)];
    });
    Draw.table(get("figures"), "Where this job will land",
      ["", "8 in 10", "5 in 10", "middle", "jobs"], rows);
  }

  function prices(cost, noted, margin) {
    if (!cost) {
      show("priced", "No direct cost is known, so nothing can be said of a price.");
      get("ladder").replaceChildren();
      return;
    }
    show("priced", noted.price ? words.priced(cost, noted.price, margin)
      : "Type a price to see how often such a job costs more than it.");
    if (margin === null) {
      get("ladder").replaceChildren();
      return;
    }
    const markup = Words.percent(margin / (1 - margin));
    Draw.table(get("ladder"), `Price for a margin of ${Words.percent(margin)} (a markup of ${markup})`,
      ["how sure", "price", "odds of losing money"],
      words.ladder(cost, margin).map((s) =>
        [Words.percent(s.sure), words.money(s.price), Words.odds(s.loss)]));
  }

  /* What two notes of a scope differ in, in words, and what only one of them says. */
  function changed(before, after) {
    const parts = [];
    const name = (i) => carried.items[i].name;
    const only = (one, other) => [...one.items.keys()].filter((i) => !other.items.has(i)).map(name);
    const more = only(after, before);
    const less = only(before, after);
    const sized = [...after.items].filter(([i, size]) =>
      before.items.has(i) && before.items.get(i) !== size).map(([i]) => name(i));
    if (more.length) parts.push(`with ${Words.list(more)}`);
    if (less.length) parts.push(`without ${Words.list(less)}`);
    if (sized.length) parts.push(`other sizes of ${Words.list(sized)}`);
    const fields = { kind: "kind", area: "floor", grade: "finish", year: "year of the house",
      condo: "condo", crew: "people on site" };
    const unsaid = [];
    for (const [key, label] of Object.entries(fields)) {
      const [a, b] = [before[key], after[key]];
      const silent = (v) => v === null || v === "";
      if (silent(a) !== silent(b)) unsaid.push(label);
      else if (a !== b) parts.push(`another ${label}`);
    }
    if ((before.items.size > 0) !== (after.items.size > 0)) unsaid.push("scope");
    return { parts, unsaid };
  }

  function compare(found, noted, margin) {
    const on = kept !== null;
    for (const id of ["back", "drop"]) get(id).hidden = !on;
    get("differences-box").hidden = true;
    get("compared-note").hidden = true;
    if (!on) {
      show("compared", "");
      return;
    }
    const { parts, unsaid } = changed(kept, noted);
    if (unsaid.length) {
      show("compared", "The two cannot be set side by side: only one of them says the " +
        `${Words.list(unsaid)}.`);
      return;
    }
    if (!parts.length) {
      show("compared", "The kept scope is the one shown. Change it to see the difference.");
      return;
    }
    const first = engine.ask(words.scope({ ...kept, date: noted.date }));
    if (first.size && !given(first).size) {
      show("compared", "For the kept scope no figure is given, so the two cannot be set side by side.");
      return;
    }
    const rows = [];
    let told = "";
    for (const target of Words.FIGURES) {
      const [one, other] = [given(first).get(target), found.get(target)];
      const d = one && other ? engine.difference(one, other) : null;
      if (d === null) continue;
      const alone = (v) => words.change({ low: v, high: v }, target);
      const range = d.low === undefined ? "nothing tells how sure" : words.change(d, target);
      rows.push([Words.PLAIN[target], range, alone(d.middle)]);
      if (!told) {
        told = `${range} ${Words.SHORT[target]} 8 times in 10, middle ${alone(d.middle)}.`;
        if (target === "cost" && margin !== null) {
          told += ` In the price, at a margin of ${Words.percent(margin)}: ` +
            `${alone(d.middle / (1 - margin))}.`;
        }
      }
    }
    const few = [...new Set([...kept.items.keys(), ...noted.items.keys()])].filter((i) =>
      kept.items.has(i) !== noted.items.has(i) && carried.items[i].jobs < carried.constants.few);
    if (few.length && rows.length) {
      told += ` Too few of your jobs had ${words.names(few)}: that part is a first guess.`;
    }
    show("compared", rows.length
      ? `Against the kept scope, ${parts.join("; ")}: ${told}`
      : "What you stated speaks for only one of the two, so they cannot be set side by side.");
    get("differences-box").hidden = !rows.length;
    get("compared-note").hidden = !rows.length;
    if (rows.length) {
      Draw.table(get("differences"), "What the change adds", ["", "8 in 10", "middle"], rows);
    }
  }

  function nothing(text, problem) {
    show("answer", text);
    show("further", "");
    show("problem", problem);
    get("found").hidden = true;
    get("bar").hidden = true;
  }

  /* A size can be given as soon as its item is ticked. */
  function offer() {
    for (const box of boxes) sizes.get(Number(box.value)).parentElement.hidden = !box.checked;
  }

  /* The figures that are given: not those of a range too wide to tell. */
  const given = (found) => new Map([...found].filter(([, p]) => !words.withheld(p)));

  function render() {
    offer();
    const { noted, margin, problems } = read();
    if (problems.length) return nothing("", problems.join(" "));
    if (!says(noted)) return nothing("Say what the job is: tick its scope, or give its floor.", "");
    const scope = words.scope(noted);
    const every = engine.ask(scope);
    if (!every.size) {
      return nothing("Nothing on this sheet speaks for this scope: too few finished jobs are on " +
        "it, and what you stated says nothing of it.", "");
    }
    const job = engine.job(scope);
    const lead = every.get("cost") || every.values().next().value;
    if (words.withheld(lead)) return nothing(words.sentence(every, noted.date), "");
    const found = given(every);
    const [first, rest] = opened(words.sentence(found, noted.date));
    show("answer", first);
    show("further", rest);
    show("problem", "");
    get("found").hidden = false;
    pictures(found, noted);
    figures(found);
    show("leaning", [...found.values()].map((p) => words.leaning(p)).filter(Boolean).join(" "));
    const outside = [...lead.doubts.said, ...words.outside(found, noted.date)];
    Draw.lines(get("outside"), outside);
    get("outside-part").hidden = !outside.length;
    prices(found.get("cost"), noted, margin);
    compare(found, noted, margin);
    get("similar").replaceChildren(...engine.nearest(lead, 5).map((near) => {
      const said = words.similar(engine.jobs[near.job], job.scope);
      return Draw.html("li", {}, `${Words.begin(said.what)} `,
        Draw.html("span", { class: "differs" }, said.differs));
    }));
    Draw.lines(get("cautions"), words.cautions(job));
    get("toml").value = words.toml(noted);
    const range = words.range(lead.spread.interval(0.8), lead.t.target);
    get("bar").textContent = `8 in 10: ${range}`.replace(/ /g, "\u00a0");
    get("bar").hidden = false;
    return undefined;
  }

  const plain = (value) => (value === null || value === undefined ? "" : String(value));

  /* Fill the form with a note of a scope. */
  function fill(noted) {
    get("kind").value = noted.kind || "";
    for (const id of ["area", "grade", "year", "crew"]) get(id).value = plain(noted[id]);
    get("condo").value = noted.condo === null ? "" : String(Number(noted.condo));
    for (const box of boxes) {
      const i = Number(box.value);
      box.checked = noted.items.has(i);
      sizes.get(i).value = box.checked ? plain(noted.items.get(i)) : "";
    }
    render();
  }

  const blank = { kind: "", area: null, grade: null, year: null, condo: null, crew: null,
    items: new Map() };

  /* The middle job of a kind, sizes in the unit of the form. */
  function start(of) {
    const round = (v) => Math.round(v * 10) / 10;
    const floor = words.unit === "sqm" ? carried.constants.sqft_per_sqm : 1;
    const items = of.scope.map(([i, size]) => {
      const item = carried.items[i];
      const { factor } = words.measure(item);
      return [i, size === 1 ? null : round(size / factor)];
    });
    fill({ ...blank, kind: of.kind, area: of.area && round(of.area / floor), grade: of.grade,
      crew: of.crew, items: new Map(items) });
  }

  function find() {
    const wanted = get("find").value.trim().toLowerCase();
    for (const line of document.querySelectorAll(".items li")) {
      line.hidden = Boolean(wanted) && !line.dataset.words.includes(wanted);
    }
    for (const part of document.querySelectorAll(".part")) {
      part.hidden = Boolean(wanted) && !part.querySelector("li:not([hidden])");
    }
    const never = document.querySelector(".never");
    if (never && wanted) never.open = Boolean(never.querySelector("li:not([hidden])"));
  }

  async function copy() {
    const field = get("toml");
    let done = false;
    try {
      await navigator.clipboard.writeText(field.value);
      done = true;
    } catch {
      field.focus();
      field.select();
      done = document.execCommand("copy");
    }
    show("copied", done ? "Copied." : "Mark the text below and copy it.");
  }

  const today = new Date();
  const two = (n) => String(n).padStart(2, "0");
  const local = `${today.getFullYear()}-${two(today.getMonth() + 1)}-${two(today.getDate())}`;
  get("date").value = carried.dated && local < carried.made ? carried.made : local;
  get("margin").value = carried.margin === null ? "" : plain(Number((carried.margin * 100).toFixed(4)));

  let waiting = 0;
  get("scope").addEventListener("input", (event) => {
    if (event.target.id === "find") return find();
    offer();
    show("copied", "");
    clearTimeout(waiting);
    waiting = setTimeout(render, event.target.type === "checkbox" ? 0 : 250);
    return undefined;
  });
  get("scope").addEventListener("submit", (event) => event.preventDefault());
  for (const button of document.querySelectorAll("[data-start]")) {
    button.addEventListener("click", () => start(carried.starts[Number(button.dataset.start)]));
  }
  if (get("empty")) get("empty").addEventListener("click", () => fill(blank));
  get("keep").addEventListener("click", () => {
    kept = read().noted;
    render();
  });
  get("back").addEventListener("click", () => fill(kept));
  get("drop").addEventListener("click", () => {
    kept = null;
    render();
    get("keep").focus();
  });
  get("copy").addEventListener("click", copy);
  /* The line at the foot of a small screen leads to the result, and goes where that is in view. */
  new IntersectionObserver(([seen]) => get("bar").classList.toggle("seen", seen.isIntersecting))
    .observe(get("answer"));
  render();
})();
