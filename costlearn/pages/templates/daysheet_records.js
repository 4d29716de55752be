// What is kept, how it is read from what was typed, and the table that is handed over.

const MARK = "costlearn.day-sheet.";
const ROW = MARK + "record.";
const OUT = MARK + "out.";
const LETTERS = "bcdfghjkmnpqrstvwxyz";

// -- days: always those of the wall clock here, never of another time zone ------------------------

const WEEKDAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];
const MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split(" ");
const two = (number) => String(number).padStart(2, "0");
const dayOf = (moment) =>
  `${moment.getFullYear()}-${two(moment.getMonth() + 1)}-${two(moment.getDate())}`;

// Noon, so that no change of the clocks moves a day.
function noonOf(day, more = 0) {
  const [year, month, date] = day.split("-").map(Number);
  return new Date(year, month - 1, date + more, 12);
}

function sayDay(day) {
  const noon = noonOf(day);
  return `${WEEKDAYS[noon.getDay()]} ${noon.getDate()} ${MONTHS[noon.getMonth()]}`;
}

// -- what was typed -------------------------------------------------------------------------------

const cleaned = (text) => text.replace(/\s+/g, " ").trim();

// Hours as "7.5", "7,5", "7:30" or "7.5 h"; null for anything else.
function readHours(text) {
  const said = cleaned(text).replace(/\s*h(ou)?rs?$|\s*h(ours?)?$/i, "");
  const clock = /^(\d{1,2}):([0-5]\d)$/.exec(said);
  if (clock) return Math.round((Number(clock[1]) + Number(clock[2]) / 60) * 100) / 100;
  return /^(\d{1,2}([.,]\d{0,2})?|[.,]\d{1,2})$/.test(said) ? Number(said.replace(",", ".")) : null;
}

// Money in cents; null for what is none or could be two amounts ("1.234").
function readMoney(text) {
  const said = cleaned(text).replace(/[\s'’]/g, "").replace("−", "-").replace(/^(-?)[$£€]/, "$1").replace(/[$£€]$/, "");
  const plain = /^(-?)(\d{1,8})(?:[.,](\d{1,2}))?$/.exec(said);
  const commas = /^(-?)(\d{1,3}(?:,\d{3})+)(?:\.(\d{1,2}))?$/.exec(said);
  const points = /^(-?)(\d{1,3}(?:\.\d{3})+),(\d{1,2})$/.exec(said);
  const found = plain || commas || points;
  if (!found) return null;
  const cents = Number(found[2].replace(/[.,]/g, "")) * 100 + Number((found[3] || "").padEnd(2, "0"));
  return found[1] ? -cents : cents;
}

const sayHours = (hours) => String(hours);
const money = (cents) => {
  const size = Math.abs(cents);
  return `${cents < 0 ? "-" : ""}${Math.floor(size / 100)}.${two(size % 100)}`;
};

// -- the table that is handed over ----------------------------------------------------------------

const HEADINGS = [
  "record", "day", "job", "person", "phase", "hours", "waiting", "waiting for", "note",
  "paid to", "cost kind", "amount before tax", "tax", "amount with tax",
  "extra", "price", "answer", "record id", "version", "removed", "line",
];
const ACTS = /^(?:['\t\r]|[\s"'`‘’“”„‚«»\u200b\u2060]*[=+\-@＝＋－＠])/;
const PARTS =
  /[;\n](?=(?:[^\S\n]|["'`‘’“”„‚«»\u200b\u2060])*(?:[=@＝＠]|[+\-＋－]\S))/g;
const FRAGILE = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u2028\u2029\ufeff\ufffe\uffff]/g;
const CODED = /_(?=x[0-9A-Fa-f]{4}_)/g;

// A text as no spreadsheet takes it for a formula or changes it; the import takes it back.
function guard(text) {
  if (!text) return "";
  const parts = [CODED, PARTS, FRAGILE];
  if (!ACTS.test(text) && parts.every((pattern) => text.search(pattern) < 0)) return text;
  const code = (sign) => "\\u" + sign.charCodeAt(0).toString(16).padStart(4, "0");
  return "'" + parts.reduce((safe, one) => safe.replace(one, code), text.replaceAll("\\", "\\\\"));
}

// Amount before tax, tax and amount with tax, as far as they are known.
function sums(record) {
  const { cents, taxed, tax } = record;
  if (taxed === "none") return [cents, 0, cents];
  if (taxed === "in") return tax === null ? [null, null, cents] : [cents - tax, tax, cents];
  return tax === null ? [cents, null, null] : [cents, tax, cents + tax];
}

function cellsOf(record) {
  const cells = {
    "record": record.record, "day": record.day, "job": guard(record.job),
    "phase": guard(record.phase), "note": guard(record.note), "record id": record.id,
    "version": String(record.version), "removed": record.removed ? "yes" : "",
  };
  if (record.record === "hours") {
    cells.person = guard(record.person);
    cells.hours = String(record.hours);
    cells.waiting = record.waiting ? "yes" : "";
    cells["waiting for"] = guard(record.why);
  } else if (record.record === "receipt") {
    const [before, tax, whole] = sums(record).map((sum) => (sum === null ? "" : money(sum)));
    Object.assign(cells, { "amount before tax": before, tax, "amount with tax": whole });
    cells["paid to"] = guard(record.payee);
    cells["cost kind"] = record.kind;
  } else if (record.record === "job") {
    cells.line = guard(record.line);
  } else {
    cells.extra = guard(record.label);
    cells.price = record.price === null ? "" : money(record.price);
    cells.answer = record.answer;
  }
  return HEADINGS.map((heading) => cells[heading] || "");
}

function tableOf(records) {
  const quoted = (cell) => (/[",;\r\n]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell);
  const rows = [HEADINGS, ...records.map(cellsOf)];
  return "\ufeff" + rows.map((row) => row.map(quoted).join(",") + "\r\n").join("");
}

// -- keeping --------------------------------------------------------------------------------------

// One record, one key: two windows never write over each other's records.
const store = (() => {
  const memory = new Map();
  let box = null;
  let read = null;
  try {
    box = window.localStorage;
    box.getItem(MARK);
  } catch {
    box = null;
  }
  const get = (key) => (box ? box.getItem(key) : memory.get(key) ?? null);
  const set = (key, text) => (box ? box.setItem(key, text) : memory.set(key, text));
  const remove = (key) => (box ? box.removeItem(key) : memory.delete(key));
  const keys = () => (box ? Object.keys(box) : [...memory.keys()]);

  function parsed(text) {
    try {
      const record = JSON.parse(text);
      return record && record.id && record.day ? record : null;
    } catch {
      return null;
    }
  }

  return {
    lasts: box !== null,

    // All records, and how many keys hold something that is none; read again once something changed,
    // for the form asks with every letter that is typed.
    all() {
      if (read) return read;
      const texts = keys().filter((key) => key.startsWith(ROW)).map(get);
      const records = texts.map(parsed);
      const found = records.filter(Boolean);
      found.sort((a, b) => a.day.localeCompare(b.day) || a.made - b.made || (a.id < b.id ? -1 : 1));
      read = { records: found, spoiled: records.length - found.length };
      return read;
    },

    // Another window wrote something.
    changed() {
      read = null;
    },

    get: (id) => parsed(get(ROW + id)),

    // All of some records or none; true if they are kept.
    put(records) {
      read = null;
      const before = records.map((record) => get(ROW + record.id));
      let done = 0;
      try {
        for (const record of records) {
          set(ROW + record.id, JSON.stringify(record));
          done += 1;
        }
        return true;
      } catch {
        records.slice(0, done).forEach((record, i) => {
          if (before[i] === null) remove(ROW + record.id);
          else set(ROW + record.id, before[i]);
        });
        return false;
      }
    },

    drop(records) {
      read = null;
      for (const record of records) {
        remove(ROW + record.id);
        remove(OUT + record.id);
      }
    },

    handedOver: (record) => get(OUT + record.id) === String(record.version),

    handOver(records) {
      try {
        for (const record of records) set(OUT + record.id, String(record.version));
      } catch {
        // The mark only spares a reminder; without it the record counts as not handed over.
      }
    },
  };
})();

function freshId() {
  const bytes = crypto.getRandomValues(new Uint32Array(16));
  return "k" + [...bytes].map((number) => LETTERS[number % LETTERS.length]).join("");
}
