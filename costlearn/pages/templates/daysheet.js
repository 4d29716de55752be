
// Saving, the list of what is written down, and handing it over.

const DRAFT = MARK + "draft";
const SHOWN_DAYS = 7;

let doubted = "";
let dayTouched = false;
let allDays = false;
let clearing = false;

function say(text) {
  $("said").textContent = text;
}

function warn(text) {
  $("notice").textContent = text;
  $("notice").hidden = !text;
}

// -- a record in words ----------------------------------------------------------------------------

function kindName(key) {
  const input = document.querySelector(`input[name="kind"][value="${CSS.escape(key)}"]`);
  return input ? input.labels[0].textContent : key;
}

function headline(record) {
  if (record.record === "hours") {
    const who = record.person || "nobody on site";
    const hours = record.hours ? `, ${sayHours(record.hours)} h` : "";
    const waits = record.waiting ? `, waiting${record.why ? ` for ${record.why}` : ""}` : "";
    return who + hours + waits;
  }
  if (record.record === "receipt") {
    const taxed = { in: "with tax", out: "before tax", none: "no tax" }[record.taxed];
    const kind = record.kind ? kindName(record.kind) : "kind not sure";
    return `Receipt ${cash(record.cents)} ${taxed}, ${kind}${record.payee ? `, ${record.payee}` : ""}`;
  }
  if (record.record === "job") return `Finished: ${record.line}`;
  const answer = { verbal: "asked for", approved: "approved", declined: "declined" }[record.answer];
  const price = record.price === null ? "no price yet" : cash(record.price);
  return `Extra, ${answer}: ${record.label}, ${price}`;
}

const underline = (record) =>
  [record.job || "no one job", record.phase, record.note].filter(Boolean).join(" · ");

// -- saving ---------------------------------------------------------------------------------------

const NEVER = ["id", "version", "made", "removed"];
const alike = (one, other) =>
  Object.keys(one).every((key) => NEVER.includes(key) || one[key] === other[key]);

// What may be a slip; saving once more overrules it.
function doubts(fresh) {
  const found = [];
  if ($("day").value > dayOf(new Date())) found.push(`${sayDay($("day").value)} is still to come.`);
  const others = store.all().records.filter((record) => !record.removed && record.id !== editing?.id);
  if (fresh.some((record) => others.some((other) => alike(record, other)))) {
    found.push("The same entry is written down already.");
  }
  const now = editing && store.get(editing.id);
  if (now && now.version !== editing.version) {
    found.push(`Another window changed this entry meanwhile; it now says: ${headline(now)}.`);
  }
  return found.join(" ");
}

function showFaults(found) {
  markFaults(found);
  const first = found[0] && $(found[0].focus);
  if (!first) return;
  first.focus();
  first.scrollIntoView({ block: "center" });
}

function markFaults(found) {
  for (const line of document.querySelectorAll(".wrong")) line.textContent = "";
  for (const input of document.querySelectorAll("[aria-invalid]")) input.removeAttribute("aria-invalid");
  for (const fault of found) {
    $(fault.id + "-wrong").textContent = fault.text;
    $(fault.focus)?.setAttribute("aria-invalid", "true");
  }
}

// What was found missing goes as soon as it is there; nothing new is held against a half-filled form.
function lessFaults() {
  const told = new Set([...document.querySelectorAll(".wrong:not(:empty)")].map((line) => line.id));
  if (!told.size) return;
  const left = faults(kindNow()).filter((fault) => told.has(fault.id + "-wrong"));
  markFaults(left);
  if (!left.length) say("");
}

function save(event) {
  event.preventDefault();
  const kind = kindNow();
  const found = faults(kind);
  showFaults(found);
  if (found.length) return say(`Not saved yet. ${found[0].text}`);
  const fresh = readForm(kind);
  const doubt = doubts(fresh);
  if (doubt && doubt !== doubted) {
    doubted = doubt;
    return say(`Not saved yet. ${doubt} Save once more if it is right all the same.`);
  }
  // The people of one entry keep their order in the list.
  const made = (i) => Date.now() + i / 1000;
  const records = fresh.map((record, i) => ({ ...record, id: freshId(), version: 1, made: made(i) }));
  if (editing) {
    // The entry of the person it was about stays that record; others are new.
    const same = Math.max(0, fresh.findIndex((record) => record.person === editing.person));
    const version = Math.max(editing.version, store.get(editing.id)?.version || 0) + 1;
    Object.assign(records[same], { id: editing.id, version, made: editing.made });
  }
  if (!store.put(records)) {
    warn("The storage of this browser is full or closed to this page. The entry is NOT kept: it still stands in the form. Make the file below, take handed-over entries off this page, then save again.");
    return say("Not saved: the storage is full or closed.");
  }
  const what = records.map(headline).join("; ");
  finish(`Saved: ${what}, ${sayDay(records[0].day)}.`);
}

function finish(text) {
  editing = null;
  doubted = "";
  if (store.lasts) warn("");
  forgetDraft();
  showEditing();
  empty();
  redraw();
  say(text);
}

function showEditing() {
  $("doing").textContent = editing ? "Change an entry" : "Write down";
  $("save").textContent = editing ? "Save the change" : "Save";
  $("leave").hidden = !editing;
  for (const id of ["is-hours", "is-receipt", "is-extra", "is-job"]) $(id).disabled = editing !== null;
}

function change(record) {
  editing = record;
  doubted = "";
  dayTouched = true;
  $("day").value = record.day;
  empty();
  fill(record, record.person ? [record.person] : []);
  showFaults([]);
  showEditing();
  say("");
  $("doing").focus();
  $("doing").scrollIntoView();
  keepDraft();
}

// Taken out or put back: a version of its own, so that the book hears of it.
function mark(record, removed) {
  const now = store.get(record.id) || record;
  if (!store.put([{ ...now, removed, version: now.version + 1 }])) {
    return warn("The storage of this browser is full or closed to this page: nothing was changed.");
  }
  redraw();
  $("list-title").focus();
  say(`${removed ? "Taken out" : "Put back"}: ${headline(now)}, ${sayDay(now.day)}.`);
}

// -- the list -------------------------------------------------------------------------------------

function line(record) {
  const item = element("li", "", record.removed ? { class: "out" } : {});
  const words = element("div");
  const buttons = element("span", "", { class: "row" });
  words.append(element("strong", (record.removed ? "Taken out: " : "") + headline(record)));
  words.append(element("span", underline(record)));
  item.append(words, buttons);
  const button = (text, act) => {
    const made = element("button", text, { type: "button", "aria-label": `${text}: ${headline(record)}` });
    made.addEventListener("click", act);
    buttons.append(made);
  };
  if (record.removed) button("Put back", () => mark(record, false));
  else {
    button("Change", () => change(record));
    button("Take out", () => mark(record, true));
  }
  return item;
}

function redraw() {
  const { records, spoiled } = store.all();
  const shown = records.filter((record) => !record.removed || !store.handedOver(record));
  const days = [...new Set(shown.map((record) => record.day))].reverse();
  const parts = (allDays ? days : days.slice(0, SHOWN_DAYS)).flatMap((day) => {
    const list = element("ul");
    list.append(...shown.filter((record) => record.day === day).reverse().map(line));
    return [element("h3", sayDay(day)), list];
  });
  if (!parts.length) parts.push(element("p", "Nothing yet.", { class: "hint" }));
  $("list").replaceChildren(...parts);
  $("more-days").hidden = allDays || days.length <= SHOWN_DAYS;
  const standing = records.filter((record) => !record.removed).length;
  const waiting = records.filter((record) => !store.handedOver(record)).length;
  const spoilt = spoiled ? ` ${spoiled} cannot be read and stay where they are.` : "";
  const open = waiting ? `${waiting} not handed over yet` : "all handed over";
  const many = `${standing} ${standing === 1 ? "entry" : "entries"} on this page; ${open}.`;
  $("count").textContent = (records.length ? many : "Nothing to hand over yet.") + spoilt;
  $("export").disabled = !records.length;
  drawPicks();
}

// -- handing over ---------------------------------------------------------------------------------

function fileNow() {
  store.changed();
  const { records } = store.all();
  const text = tableOf(records);
  const name = `daysheet-${dayOf(new Date())}.csv`;
  return { records, text, file: new File([text], name, { type: "text/csv" }) };
}

function handedOver({ records, text, file }, how) {
  store.handOver(records);
  $("text").value = text;
  const count = counted(records);
  redraw();
  $("handed").textContent = `${how} ${file.name} with ${count}. Next: costlearn import ${file.name}`;
}

function makeFile() {
  const made = fileNow();
  const link = element("a", "", { href: URL.createObjectURL(made.file), download: made.file.name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  handedOver(made, "Made");
}

async function send() {
  const made = fileNow();
  try {
    await navigator.share({ files: [made.file] });
  } catch {
    $("handed").textContent = "Nothing was sent.";
    return;
  }
  handedOver(made, "Sent");
}

const counted = (all) => `${all.length} ${all.length === 1 ? "entry" : "entries"}`;

function clearAway() {
  store.changed();
  const done = store.all().records.filter(store.handedOver);
  if (!clearing || !done.length) {
    clearing = done.length > 0;
    $("handed").textContent = done.length
      ? `Press again to take ${counted(done)} handed over off this page.`
      : "Nothing was handed over yet, so nothing is taken off.";
    return;
  }
  clearing = false;
  store.drop(done);
  redraw();
  $("handed").textContent = `${counted(done)} taken off this page.`;
}

// -- what was begun, kept over a reload -----------------------------------------------------------

function keepDraft() {
  const fields = {};
  for (const input of $("entry").querySelectorAll("input[id], textarea[id], select[id]")) {
    if (!["job", "people"].includes(input.name)) {
      fields[input.id] = ["radio", "checkbox"].includes(input.type) ? input.checked : input.value;
    }
  }
  try {
    sessionStorage.setItem(DRAFT, JSON.stringify({ fields, job: jobNow(), people: peopleNow(), phase: phaseNow(), editing, dayTouched }));
  } catch {
    // A draft is a comfort; where nothing is kept, a notice says so already.
  }
}

function forgetDraft() {
  try {
    sessionStorage.removeItem(DRAFT);
  } catch {
    // Nothing was kept.
  }
}

function takeUpDraft() {
  let draft = null;
  try {
    draft = JSON.parse(sessionStorage.getItem(DRAFT));
  } catch {
    draft = null;
  }
  if (!draft) return;
  for (const [id, value] of Object.entries(draft.fields)) {
    const input = $(id);
    if (input && typeof value === "boolean") input.checked = value;
    else if (input && id !== "phase") input.value = value;
  }
  editing = draft.editing;
  dayTouched = draft.dayTouched;
  setJob(draft.job);
  setPeople(draft.people);
  setPhase(draft.phase);
  showEditing();
  say("What you had begun is back in the form.");
}

// -- start ----------------------------------------------------------------------------------------

// The day follows the clock until somebody chooses one: a page may stay open over midnight.
function setDay(day, touched) {
  $("day").value = day;
  dayTouched = touched;
  showKind();
}

function followClock() {
  if (!dayTouched && !editing && !document.hidden) setDay(dayOf(new Date()), false);
}

function step(by) {
  const hours = readHours($("hours").value) ?? CHOICES.hours;
  const next = by > 0 ? Math.floor(hours * 2 + 1) / 2 : Math.ceil(hours * 2 - 1) / 2;
  $("hours").value = sayHours(Math.min(24, Math.max(0.5, next)));
  keepDraft();
}

function canShare() {
  try {
    return navigator.canShare({ files: [new File(["a"], "a.csv", { type: "text/csv" })] });
  } catch {
    return false;
  }
}

function start() {
  $("day").value = dayOf(new Date());
  $("hours").value = sayHours(CHOICES.hours);
  redraw();
  takeUpDraft();
  showKind();
  $("entry").addEventListener("submit", save);
  $("entry").addEventListener("input", (event) => {
    if (event.target.id === "day") dayTouched = true;
    doubted = "";
    showKind();
    lessFaults();
    keepDraft();
  });
  $("yesterday").addEventListener("click", () => setDay(dayOf(noonOf(dayOf(new Date()), -1)), true));
  $("today").addEventListener("click", () => setDay(dayOf(new Date()), false));
  $("less").addEventListener("click", () => step(-1));
  $("more").addEventListener("click", () => step(1));
  $("leave").addEventListener("click", () => finish("Left as it was."));
  $("more-days").addEventListener("click", () => {
    allDays = true;
    redraw();
  });
  $("export").addEventListener("click", makeFile);
  $("share").hidden = !canShare();
  $("share").addEventListener("click", send);
  $("clear").addEventListener("click", clearAway);
  $("print").addEventListener("click", () => window.print());
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) return;
    // A window that slept may not have heard what another one wrote.
    store.changed();
    redraw();
    followClock();
  });
  window.addEventListener("focus", followClock);
  window.addEventListener("storage", (event) => {
    if (event.key !== null && !event.key.startsWith(MARK)) return;
    store.changed();
    redraw();
  });
  if (!store.lasts) {
    warn("This browser keeps nothing for this page (a private window, or storage is switched off). What you write is lost when the page is closed: make the file before.");
    window.addEventListener("beforeunload", (event) => {
      if (store.all().records.some((record) => !store.handedOver(record))) event.preventDefault();
    });
  }
  navigator.storage?.persist?.().catch(() => {});
}

start();
