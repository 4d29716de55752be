
// The form: what may be chosen, what stands in it, and the record it makes.

const CHOICES = JSON.parse(document.getElementById("choices").textContent);
const MOST_AGAIN = 4;
const OTHER = "\u2026";
const $ = (id) => document.getElementById(id);
const picked = (name) => document.querySelector(`input[name="${name}"]:checked`);
const kindNow = () => picked("record").value;
const cash = (cents) => {
  const figures = money(Math.abs(cents)).replace(/\B(?=(\d{3})+\.)/g, ",");
  return (cents < 0 ? "-" : "") + CHOICES.sign + figures;
};

// The record being changed, as it was when the change began; null for a new one.
let editing = null;

function element(name, text = "", attributes = {}) {
  const made = document.createElement(name);
  made.textContent = text;
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

// -- choices --------------------------------------------------------------------------------------

// The book's choices, then what was typed here of late; each once.
function known(listed, typed, most = 12) {
  const found = new Map();
  for (const name of [...listed, ...typed]) {
    const key = name.toLowerCase();
    if (name && !found.has(key) && found.size < most) found.set(key, name);
  }
  return [...found.values()];
}

const newest = (field) => {
  const records = store.all().records.filter((record) => !record.removed);
  return records.reverse().map((record) => record[field] || "");
};

function pick(type, name, id, value, text) {
  const box = element("span", "", { class: "pick" });
  const input = element("input", "", { type, name, id });
  input.value = value;
  box.append(input, element("label", text, { for: id }));
  return box;
}

function drawPicks() {
  const [job, crew, phase] = [jobNow(), peopleNow(), phaseNow()];
  const jobs = known(CHOICES.jobs, newest("job")).map((name, i) =>
    pick("radio", "job", `job-${i}`, name, name),
  );
  const another = pick("radio", "job", "job-another", "", "another job");
  const none = pick("radio", "job", "job-none", "", "no one job");
  none.classList.add("for-receipt");
  $("job-picks").replaceChildren(...jobs, another, none);
  const names = known(CHOICES.people, newest("person"));
  const people = names.map((name, i) => pick("checkbox", "people", `person-${i}`, name, name));
  $("people-picks").replaceChildren(...people, pick("checkbox", "", "person-more", "", "somebody else"));
  const options = [new Option("not said", ""), ...CHOICES.phases.map((name) => new Option(name))];
  for (const name of known([], newest("phase"))) {
    if (!CHOICES.phases.includes(name)) options.push(new Option(name));
  }
  $("phase").replaceChildren(...options, new Option("another: in your words", OTHER));
  setJob(job);
  setPeople(crew);
  setPhase(phase);
  showKind();
}

function jobNow() {
  const chosen = picked("job");
  if (!chosen) return { none: false, name: "" };
  if (chosen.id === "job-none") return { none: true, name: "" };
  return { none: false, name: cleaned(chosen.id === "job-another" ? $("job-other").value : chosen.value) };
}

function setJob(job) {
  const inputs = [...document.querySelectorAll('input[name="job"]')];
  const listed = inputs.filter((input) => input.value);
  let chosen = listed.find((input) => input.value === job.name);
  if (job.none) chosen = $("job-none");
  else if (job.name && !chosen) {
    chosen = $("job-another");
    $("job-other").value = job.name;
  } else if (!job.name && listed.length === 1) chosen = listed[0];
  else if (!listed.length) chosen = $("job-another");
  for (const input of inputs) input.checked = input === chosen;
}

const peopleNow = () => [
  ...[...document.querySelectorAll('input[name="people"]:checked')].map((input) => input.value),
  ...($("person-more")?.checked ? cleaned($("person-other").value).split(/\s*,\s*/).filter(Boolean) : []),
];

function setPeople(people) {
  const left = new Set(people);
  for (const input of document.querySelectorAll('input[name="people"]')) {
    input.checked = left.delete(input.value);
  }
  $("person-other").value = [...left].join(", ");
  const unlisted = !document.querySelector('input[name="people"]');
  $("person-more").checked = left.size > 0 || unlisted;
}

const phaseNow = () =>
  $("phase").value === OTHER ? cleaned($("phase-other").value) : $("phase").value;

function setPhase(phase) {
  const there = [...$("phase").options].some((option) => option.value === phase);
  $("phase").value = there ? phase : OTHER;
  if (!there) $("phase-other").value = phase;
}

// What belongs to the kind of record and to what was chosen so far.
function showKind() {
  const kind = kindNow();
  for (const part of document.querySelectorAll(".for-hours, .for-receipt, .for-extra, .for-job")) {
    part.hidden = !part.classList.contains("for-" + kind);
  }
  if (kind !== "receipt" && $("job-none").checked) $("job-none").checked = false;
  const waits = kind === "hours" && $("waited").checked;
  $("why-box").hidden = !waits;
  $("nobody").hidden = !waits || peopleNow().length > 0;
  $("hours-box").hidden = kind !== "hours" || !$("nobody").hidden;
  $("person-other-box").hidden = !$("person-more").checked;
  $("job-other-box").hidden = !$("job-another").checked;
  $("phase-other-box").hidden = $("phase").value !== OTHER;
  $("tax-box").hidden = !["in", "out"].includes(picked("taxed")?.value);
  for (const name of ["amount", "price"]) {
    const cents = readMoney($(name).value);
    $(name + "-reads").textContent = cents === null ? "" : `Reads as ${cash(signed(name, cents))}`;
  }
  drawAgain();
}

const signed = (name, cents) => ($(name + "-back").checked ? -Math.abs(cents) : cents);

// -- as last time ---------------------------------------------------------------------------------

function drawAgain() {
  const day = $("day").value;
  const hours = store.all().records.filter((r) => r.record === "hours" && !r.removed && r.day < day);
  const last = hours.at(-1)?.day;
  const groups = new Map();
  for (const record of hours.filter((r) => r.day === last)) {
    const key = JSON.stringify([record.job, record.phase, record.hours, record.waiting, record.why]);
    groups.set(key, [...(groups.get(key) || []), record]);
  }
  $("again").hidden = kindNow() !== "hours" || editing !== null || !groups.size;
  if (!groups.size) return;
  $("again-title").textContent = `As on ${sayDay(last)}`;
  const offered = [...groups.values()].slice(0, MOST_AGAIN).map((records) => {
    const button = element("button", "", { type: "button", class: "again" });
    const people = records.map((record) => record.person).filter(Boolean);
    const [first] = records;
    button.append(
      element("strong", `${people.join(", ") || "nobody on site"}${people.length ? `, ${sayHours(first.hours)} h` : ""}`),
      element("span", [first.job, first.waiting ? "waiting" : "", first.phase].filter(Boolean).join(", ")),
    );
    button.addEventListener("click", () => {
      fill({ ...first, note: "" }, people);
      say(`Filled in as on ${sayDay(last)}. Look it over, then save.`);
      keepDraft();
    });
    return button;
  });
  $("again-picks").replaceChildren(...offered);
}

// -- the form and a record ------------------------------------------------------------------------

function choose(name, value) {
  for (const input of document.querySelectorAll(`input[name="${name}"]`)) {
    input.checked = value !== null && input.value === value;
  }
}

function fill(record, people) {
  choose("record", record.record);
  setJob({ none: record.record === "receipt" && !record.job, name: record.job });
  setPhase(record.phase);
  $("note").value = record.note || "";
  if (record.record === "hours") {
    setPeople(people);
    choose("waiting", record.waiting ? "yes" : "");
    choose("why", record.waiting ? record.why : null);
    $("hours").value = record.hours ? sayHours(record.hours) : sayHours(CHOICES.hours);
  } else if (record.record === "receipt") {
    $("amount").value = money(Math.abs(record.cents));
    $("amount-back").checked = record.cents < 0;
    choose("taxed", record.taxed);
    $("tax").value = record.tax === null ? "" : money(Math.abs(record.tax));
    choose("kind", record.kind);
    $("payee").value = record.payee;
  } else if (record.record === "job") {
    $("line").value = record.line;
  } else {
    $("label").value = record.label;
    $("price").value = record.price === null ? "" : money(Math.abs(record.price));
    $("price-back").checked = record.price < 0;
    choose("answer", record.answer);
  }
  showKind();
}

// An empty form; day and job stay, for the next entry is mostly of the same.
function empty() {
  setPeople([]);
  setPhase("");
  choose("waiting", "");
  for (const name of ["why", "taxed", "kind", "answer"]) choose(name, null);
  for (const id of ["note", "amount", "tax", "payee", "label", "price", "phase-other", "line"]) $(id).value = "";
  $("amount-back").checked = $("price-back").checked = false;
  $("hours").value = sayHours(CHOICES.hours);
  showKind();
}

// What is missing or cannot be read, each with the field it concerns.
function faults(kind) {
  const found = [];
  const need = (ok, id, focus, text) => ok || found.push({ id, focus, text });
  const job = jobNow();
  need(/^(19|20|21)\d\d-\d\d-\d\d$/.test($("day").value), "day", "day", "Choose a day.");
  need(job.name || job.none, "job", picked("job") ? "job-other" : "job-another", "Choose a job, or write its code.");
  if (kind === "hours") {
    const hours = readHours($("hours").value);
    const waits = $("waited").checked, nobody = !peopleNow().length;
    need(waits || !nobody, "people", $("person-0") ? "person-0" : "person-other", "Say who was on site.");
    need((waits && nobody) || (hours > 0 && hours <= 24), "hours", "hours", "Write hours from 0.5 to 24, such as 8 or 7.5.");
  } else if (kind === "receipt") {
    const cents = readMoney($("amount").value);
    const tax = $("tax").value.trim() ? readMoney($("tax").value) : 0;
    need(cents, "amount", "amount", "Write the amount with its cents, such as 84.50.");
    need(picked("taxed"), "tax", "tax-in", "Say whether tax is in the amount.");
    need($("tax-box").hidden || (tax !== null && Math.abs(tax) < Math.abs(cents || Infinity)), "tax", "tax", "Write the tax as printed, less than the amount, or leave it blank.");
    need(picked("kind"), "kind", "kind-1", "Say what kind of cost it is, or 'not sure'.");
  } else if (kind === "job") {
    need(cleaned($("line").value), "line", "line", "Say in one line what the job was.");
  } else {
    need(cleaned($("label").value), "label", "label", "Say what is extra.");
    need(!$("price").value.trim() || readMoney($("price").value) !== null, "price", "price", "Write the price with its cents, such as 450.00, or leave it blank.");
    need(picked("answer"), "answer", "answer-1", "Say what the client said.");
  }
  return found;
}

function readForm(kind) {
  const common = { record: kind, day: $("day").value, job: jobNow().name, phase: phaseNow(), note: cleaned($("note").value), removed: false };
  if (kind === "hours") {
    const people = [...new Set(peopleNow())];
    const waiting = $("waited").checked;
    const why = waiting ? picked("why")?.value || "" : "";
    const hours = people.length ? readHours($("hours").value) : 0;
    return (people.length ? people : [""]).map((person) => ({ ...common, person, hours, waiting, why }));
  }
  if (kind === "receipt") {
    const cents = signed("amount", readMoney($("amount").value));
    const typed = $("tax-box").hidden || !$("tax").value.trim() ? null : Math.abs(readMoney($("tax").value));
    const tax = typed !== null && cents < 0 ? -typed : typed;
    return [{ ...common, cents, taxed: picked("taxed").value, tax, kind: picked("kind").value, payee: cleaned($("payee").value) }];
  }
  if (kind === "job") return [{ ...common, phase: "", note: "", line: cleaned($("line").value) }];
  const price = $("price").value.trim() ? signed("price", readMoney($("price").value)) : null;
  return [{ ...common, note: "", label: cleaned($("label").value), price, answer: picked("answer").value }];
}
