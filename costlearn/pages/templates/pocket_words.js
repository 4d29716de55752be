"use strict";
/* How the sheet says its figures: the words of costlearn/units.py and of the estimate, and the
   scope as a file. The tests hold every sentence beside the one the command prints. */
const Words = (() => {
  const FIGURES = ["cost", "person_days", "site_days", "elapsed_days"];
  const PLAIN = {
    cost: "direct cost",
    person_days: "person-days of work",
    site_days: "days on site",
    elapsed_days: "working days from first to last",
  };
  const SHORT = {
    cost: "in direct cost",
    site_days: "on site",
    elapsed_days: "from first to last",
    person_days: "of work",
  };
  const GRADES = ["basic", "middle", "high"];

  /* Whole numbers, an exact half to the even one. */
  const whole = (x) => {
    const down = Math.floor(x);
    if (x - down === 0.5) return down % 2 ? down + 1 : down;
    return Math.round(x);
  };
  const grouped = (n) => String(n).replace(/\B(?=(\d{3})+$)/g, ",");

  function figures(value) {
    if (value === 0) return 0;
    const unit = 10 ** (Number(value.toExponential().split("e")[1]) - 2);
    const tie = unit >= 1 && Math.abs(value / unit) % 1 === 0.5;
    return tie ? whole(value / unit) * unit : Number(value.toPrecision(3));
  }

  function oneDecimal(x) {
    if ((x * 4) % 1 === 0 && (x * 2) % 1 !== 0) return (whole(x * 10) / 10).toFixed(1);
    return x.toFixed(1);
  }

  const count = (n, word) => `${n} ${word}${n === 1 ? "" : "s"}`;
  const list = (words) =>
    words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;
  const percent = (share) => `${Math.floor(Math.abs(share) * 100 + 0.5) * Math.sign(share || 1)} %`;

  function days(value) {
    const halves = Math.floor(value * 2 + 0.5) / 2;
    const shown = Number.isInteger(halves)
      ? grouped(halves)
      : `${grouped(Math.floor(halves))}.5`;
    return `${shown} day${halves === 1 ? "" : "s"}`;
  }

  function odds(chance, verb = ["", ""]) {
    let text = "more than 99 jobs in 100";
    let one = false;
    if (chance < 0.005) {
      text = "fewer than 1 job in 100";
      one = true;
    } else if (chance < 0.995) {
      const of = chance < 0.075 || chance > 0.925 ? 100 : 10;
      const jobs = Math.floor(chance * of + 0.5);
      one = jobs === 1;
      text = `${jobs} job${one ? "" : "s"} in ${of}`;
    }
    return `${text} ${verb[one ? 0 : 1]}`.trimEnd();
  }

  const begin = (text) => text.charAt(0).toUpperCase() + text.slice(1);

  class Speaker {
    constructor(carried) {
      this.carried = carried;
      this.k = carried.constants;
      this.unit = carried.grounds.area_unit;
    }

    money(amount) {
      const shown = grouped(whole(Math.abs(figures(amount))));
      return `${amount < 0 && shown !== "0" ? "-" : ""}${this.carried.sign}${shown}`;
    }

    area(sqft) {
      return this.unit === "sqm"
        ? `${oneDecimal(sqft / this.k.sqft_per_sqm)} m²`
        : `${whole(sqft)} sq ft`;
    }

    figure(value, target) { return target === "cost" ? this.money(value) : days(value); }

    range({ low, high }, target) {
      const from = this.figure(low, target);
      return `${target === "cost" ? from : from.split(" ")[0]} to ${this.figure(high, target)}`;
    }

    verdict(p) {
      const n = p.t.jobs.length;
      if (n < this.k.min_jobs) return "what you stated, not experience";
      const { low, high } = p.spread.interval(0.8);
      if (high / low > this.k.too_wide) return p.unlike ? this.k.unlike : this.k.unlike_each_other;
      return n < this.k.mostly_assumed ? "mostly assumptions, few jobs" : "";
    }

    names(items) { return list(items.map((i) => this.carried.items[i].name)); }

    reach(outside) {
      const said = [];
      if (outside.area === "between" && outside.near) {
        said.push("No finished job has a floor near this size (the nearest is " +
          `${this.area(outside.near)}): treat as a guess.`);
      } else if (outside.area && outside.range) {
        const side = outside.area === "above" ? "larger" : "smaller";
        const [low, high] = outside.range.map((a) => this.area(a));
        said.push(`The floor is ${side} than any finished job on file (${low} to ${high}): ` +
          "treat as a guess.");
      }
      if (outside.kindUnseen) said.push("No finished job of this kind is on file.");
      if (!outside.scoped) {
        said.push("No finished job says its scope, so items count for nothing here.");
      }
      if (outside.never.length) {
        said.push(`Never done before: ${this.names(outside.never)}. ` +
          "Nothing on file tells what that costs.");
      }
      if (outside.seldom.length) {
        const names = outside.seldom.map(([i, n]) =>
          `${this.carried.items[i].name} (${count(n, "job")})`);
        said.push(`Seldom done: ${list(names)}.`);
      }
      return said;
    }

    late(p, date) {
      const newest = Math.max(...p.t.list.map((j) => j.day).filter((d) => d !== null));
      if (!Number.isFinite(newest) || p.job.day - newest <= 366) return [];
      const years = oneDecimal((p.job.day - newest) / 365.25);
      return [`The newest job is ${years} years older than the date asked for (${date}): the rise ` +
        "of prices is carried on that far."];
    }

    /* What lies outside the history, a sentence each. */
    outside(found, date) {
      const p = found.get("cost") || found.values().next().value;
      const some = p.t.jobs.length >= this.k.min_jobs;
      return [...(some ? this.reach(p.outside) : []), ...this.late(p, date)];
    }

    /* Whether a range is so wide that it is no answer. */
    hopeless(p) {
      const { low, high } = p.spread.interval(0.8);
      return high / low > this.k.no_price;
    }

    /* Whether no figure of it is given, and what is said in its place. */
    withheld(p) {
      const { low, high } = p.spread.interval(0.8);
      return !(high / low <= this.k.most_told);
    }

    silence(p, found, date) {
      const what = p.t.target === "cost" ? "price" : "number of days";
      const text = `Your records hold no ${what} for this: the range would reach from one figure ` +
        `to over ${grouped(this.k.most_told)} times as much, so none is given.`;
      const outside = this.outside(found, date).slice(0, 1);
      return [text, ...outside.map((said) => said.replace(this.k.guess, "."))].join(" ") +
        p.doubts.first;
    }

    /* The answer, as the estimate says it. */
    sentence(found, date) {
      const p = found.get("cost") || found.values().next().value;
      const { target } = p.t;
      if (this.withheld(p)) return this.silence(p, found, date);
      const n = p.t.jobs.length;
      let text = n < this.k.min_jobs ? "By what you stated, not yet by experience: " : "";
      if (this.hopeless(p)) text = "Your records hold no price for this. ";
      text += `8 jobs in 10 like this land at ${this.range(p.spread.interval(0.8), target)} ` +
        `${SHORT[target]}; the middle is ${this.figure(p.spread.median, target)}.`;
      const times = ["site_days", "elapsed_days"]
        .filter((t) => found.has(t) && t !== target && !this.hopeless(found.get(t)))
        .map((t) => `${this.range(found.get(t).spread.interval(0.8), t)} ${SHORT[t]}`);
      if (times.length) text += ` Taken on their own, 8 in 10 take ${list(times)}.`;
      const verdict = this.verdict(p);
      if (verdict === this.k.unlike || verdict === this.k.unlike_each_other) {
        text += ` That is ${verdict}.`;
      } else if (n >= this.k.min_jobs && n < this.k.mostly_assumed) {
        text += ` With ${count(n, "job")} on file this is mostly assumptions.`;
      }
      const outside = this.outside(found, date);
      if (outside.length) text += ` ${outside[0]}`;
      if (!p.job.area) text += " No floor area was given, so the range is wider than it need be.";
      return text + p.doubts.first;
    }

    /* How much of it is what the firm states; empty where nothing is. */
    leaning(p) {
      if (!p.weight) return "";
      const what = begin({ cost: "direct cost", person_days: "person-days", site_days: "site days",
        elapsed_days: "elapsed days" }[p.t.target]);
      const n = p.t.jobs.length;
      const rest = n ? `, corrected by ${count(n, "finished job")}` : "";
      return `${what}: a belief of yours counts for ${percent(p.weight)}${rest}.`;
    }

    /* The odds of a price, as the quote check says them. */
    priced(p, price, margin) {
      let text = `${begin(odds(1 - p.spread.cdf(price), ["costs", "cost"]))} more than your price ` +
        `of ${this.money(price)}`;
      if (margin !== null) {
        const keeps = p.spread.cdf(price * (1 - margin));
        text += `, and ${odds(keeps, ["leaves", "leave"])} the ${percent(margin)} margin you want`;
      }
      return `${text}.`;
    }

    /* Prices that leave a margin, each with how sure and the odds of losing money. */
    ladder(p, margin) {
      return [0.5, 0.8, 0.9].map((sure) => {
        const price = p.spread.quantile(sure) * (1 + margin / (1 - margin));
        return { sure, price, loss: 1 - p.spread.cdf(price) };
      });
    }

    /* A finished job like the new one, without its name. */
    similar(job, scope) {
      const kind = (this.carried.kinds.find((k) => k.key === job.kind) || { name: "job" }).name;
      const parts = [`${/^[aeiou]/.test(kind) ? "an" : "a"} ${kind}`];
      if (job.area) parts[0] += ` of ${this.area(job.area)}`;
      if (job.year) parts.push(String(job.year));
      parts.push(job.cost === "not known" ? "cost not known" : job.cost);
      const has = (one, other) => this.carried.items
        .filter((_, i) => one.get(i) && !other.get(i))
        .sort((a, b) => (a.key < b.key ? -1 : 1))
        .map((item) => item.name);
      const more = scope.size ? has(job.scope, scope) : [];
      const less = job.scoped ? has(scope, job.scope) : [];
      const differs = [];
      if (more.length) differs.push(`with ${list(more.slice(0, 4))}`);
      if (less.length) differs.push(`without ${list(less.slice(0, 4))}`);
      return { what: parts.join(", "), differs: differs.join("; ") || "nothing on record" };
    }

    /* More or less of a target, ends in words: "$640 to $1,900 more". */
    change({ low, high }, target) {
      const size = (v) => (target === "cost" ? this.money(Math.abs(v)) : oneDecimal(Math.abs(v)));
      const after = target === "cost" ? "" : " days";
      if (low === high) return low === 0 ? "no change" : `${size(low)}${after} ${low > 0 ? "more" : "less"}`;
      if (low >= 0) return `${size(low)} to ${size(high)}${after} more`;
      if (high <= 0) return `${size(high)} to ${size(low)}${after} less`;
      return `${size(low)}${after} less to ${size(high)}${after} more`;
    }

    cautions(job) {
      const shown = this.carried.by_scope.filter((rule) =>
        (rule.items === null || rule.items.some((i) => job.scope.get(i))) &&
        (rule.before === null || job.year === null || job.year < rule.before));
      return [...new Set([...shown.map((rule) => rule.text), ...this.carried.cautions])];
    }

    /* The unit an item is measured in, as written and as converted to its own unit. */
    measure(item) {
      const metric = this.unit === "sqm";
      if (item.unit === "sqft") {
        return metric ? { name: "m²", written: "m2", factor: this.k.sqft_per_sqm }
          : { name: "sq ft", written: "sq ft", factor: 1 };
      }
      if (item.unit === "lnft") {
        return metric ? { name: "m", written: "m", factor: this.k.ft_per_m }
          : { name: "ft", written: "ft", factor: 1 };
      }
      return { name: "pieces", written: "", factor: 1 };
    }

    /* What was noted, as a scope for the arithmetic: sizes and floor in the house's own units. */
    scope(noted) {
      const floor = this.unit === "sqm" ? this.k.sqft_per_sqm : 1;
      const items = [...noted.items].map(([i, size]) =>
        [i, size === null ? 1 : size * this.measure(this.carried.items[i]).factor]);
      return { ...noted, area: noted.area ? noted.area * floor : null, items: new Map(items) };
    }

    /* What was noted, as a file the commands read. */
    toml(noted) {
      const lines = [`# A scope from the pocket sheet made ${this.carried.made}.`, "[scope]"];
      if (noted.kind) lines.push(`kind = "${noted.kind}"`);
      if (noted.area) lines.push(`area = "${noted.area} ${this.unit === "sqm" ? "m2" : "sq ft"}"`);
      if (noted.grade !== null) lines.push(`grade = "${GRADES[noted.grade]}"`);
      if (noted.year !== null) lines.push(`house_year = ${noted.year}`);
      if (noted.condo !== null) lines.push(`condo = ${noted.condo}`);
      if (noted.crew) lines.push(`crew = ${noted.crew}`);
      const items = [...noted.items].sort(([a], [b]) => a - b).map(([i, size]) => {
        const item = this.carried.items[i];
        const sized = size === null ? "" : ` ${size} ${this.measure(item).written}`.trimEnd();
        return `  "${item.name}${sized}",`;
      });
      if (items.length) lines.push("items = [", ...items, "]");
      lines.push("", "[quote]", `date = ${noted.date}`);
      if (noted.price) lines.push(`price = ${noted.price}`);
      return `${lines.join("\n")}\n`;
    }
  }

  return { Speaker, FIGURES, PLAIN, SHORT, GRADES, odds, days, percent, count, begin, list };
})();
