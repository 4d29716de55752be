"use strict";
/* The arithmetic of the sheet, without a page: scopes and numbers in, numbers out. It follows
   costlearn/questions/learning.py step by step; the tests hold both together. */
const Sums = (() => {
  const { Spread, ready, locate, combined, said } = Models;
  const orNaN = (v) => (said(v) ? Number(v) : NaN);

  /* A date such as 2026-11-02 as an ordinal: 1 is 1 January of the year 1. */
  const ordinal = (text) => Date.parse(text + "T00:00:00Z") / 864e5 + 719163;

  /* How much of an item a job has; a job that says no scope says nothing of any item. */
  const sizeOf = (job, item) =>
    job.scoped ? (job.scope.has(item) ? orNaN(job.scope.get(item)) : 0) : NaN;

  const many = (count, unit) => Math.log(1 + count) / Math.log(1 + unit);
  const kindOf = (job, kind) => (said(job.kind) ? Number(job.kind === kind) : NaN);

  function measurer(carried) {
    const k = carried.constants;
    const numbers = new Map(carried.items.map((item, i) => [item.key, i]));
    const entering = (how) =>
      carried.items.flatMap((item, i) => (item.enters === how ? [i] : []));
    const moved = entering("moved");
    const lights = entering("lights");
    const wall = numbers.get("wall_tile");
    const sum = (job, items) => items.reduce((total, i) => total + sizeOf(job, i), 0);
    return (column, job, target) => {
      switch (column.how) {
        case "area": return job.area ? Math.log(job.area) : NaN;
        case "wall": return Math.log(1 + sizeOf(job, wall) / k.wall_unit);
        case "item": return Math.sign(sizeOf(job, column.of));
        case "moved": return many(sum(job, moved), 2);
        case "lights": return many(sum(job, lights), 3);
        case "grade": return orNaN(job.grade);
        case "old": return orNaN(job.old);
        case "condo": return orNaN(job.condo);
        case "kitchen": return kindOf(job, "kitchen");
        case "laundry": return kindOf(job, "laundry");
        case "crew": return job.crew ? Math.log2(job.crew) : NaN;
        case "steady": return job.steady ? Math.log2(job.steady) : NaN;
        case "years": return said(job.day) ? (job.day - target.middle) / 365.25 / 3 : NaN;
        default: return said(job.day) ? Number(job.day >= column.of) : NaN;
      }
    };
  }

  /* What the firm's stated rates, else its usual figure per area, say of a job; null if nothing. */
  function believed(carried, job, target) {
    const b = carried.belief;
    if (!b) return null;
    const sizes = [...job.scope].filter(([, size]) => size);
    const rates = new Map(b.rates.map(([item, days, bought]) => [item, { days, bought }]));
    const used = sizes.filter(([item, size]) =>
      rates.has(item) && !(size === 1 && carried.items[item].unit !== "each"));
    if (used.length && used.length >= b.covered * sizes.length) {
      const sum = (what) => used.reduce((a, [item, size]) => a + size * rates.get(item)[what], 0);
      const days = sum("days");
      const value = {
        person_days: days,
        cost: said(b.day_rate) ? days * b.day_rate + sum("bought") : null,
        site_days: job.crewStated ? days / job.crewStated : null,
        elapsed_days: null,
      }[target];
      if (value !== null && value > 0) return value;
    }
    const usual = b.usual[target];
    if (!usual || !job.area) return null;
    const unit = carried.grounds.area_unit === "sqm" ? carried.constants.sqft_per_sqm : 1;
    return usual * (job.area / unit);
  }

  /* What of a new job the finished ones do not reach. */
  function reach(carried, jobs, job) {
    const k = carried.constants;
    const scoped = jobs.filter((j) => j.scoped);
    const wanted = carried.items.flatMap((_, i) => (job.scope.get(i) ? [i] : []));
    const seen = (i) => scoped.filter((j) => j.scope.get(i)).length;
    const areas = jobs.map((j) => j.area).filter(Boolean).sort((a, b) => a - b);
    let near = null;
    if (areas.length && job.area) {
      const gap = (a) => Math.abs(Math.log(a / job.area));
      near = areas.reduce((best, a) => (gap(a) < gap(best) ? a : best));
    }
    let side = "";
    if (near !== null) {
      if (job.area > areas[areas.length - 1]) side = "above";
      else if (job.area < areas[0]) side = "below";
      else if (Math.abs(Math.log(job.area / near)) > Math.log(k.near_factor)) side = "between";
    }
    const kinds = new Set(jobs.map((j) => j.kind).filter(Boolean));
    return {
      never: scoped.length ? wanted.filter((i) => seen(i) === 0) : [],
      seldom: wanted.map((i) => [i, seen(i)]).filter(([, n]) => n > 0 && n < k.few),
      area: side,
      range: areas.length ? [areas[0], areas[areas.length - 1]] : null,
      near,
      kindUnseen: kinds.size > 0 && said(job.kind) && !kinds.has(job.kind),
      scoped: scoped.length,
    };
  }

  function outsideFactor(carried, outside, job) {
    if (!outside.near || !job.area) return 1;
    const far = 1 + Math.abs(Math.log(job.area / outside.near));
    return Math.max(carried.constants.outside_wider, far);
  }

  /* Wider for a kind never done, and for newest jobs that lie off the others. */
  function widened(spread, kindSd, gap) {
    let found = spread;
    if (kindSd) found = found.wider(Math.hypot(found.scale, kindSd) / found.scale);
    if (gap) {
      const { low, high } = found.interval(0.8);
      found = found.wider(1 + Math.abs(gap) / (Math.log(high / low) / 2));
    }
    return found;
  }

  class Engine {
    constructor(carried) {
      this.carried = carried;
      this.measure = measurer(carried);
      this.jobs = carried.jobs.map((j) => ({ ...j, scope: new Map(j.scope) }));
      this.targets = carried.targets.map((t) => this.prepared(t));
    }

    prepared(t) {
      const jobs = t.jobs.map((i) => this.jobs[i]);
      const rows = jobs.map((j) => t.columns.map((c) => this.measure(c, j, t)));
      /* What all jobs say alike of a column that none of them tells apart; NaN where none says. */
      const alike = t.columns.map((c, j) => {
        const known = rows.map((r) => r[j]).find((v) => !Number.isNaN(v));
        return c.seen || known === undefined ? NaN : known;
      });
      const { grid } = this.carried.constants;
      const way = (w) => w && {
        ...w,
        items: ready(w.items, rows, grid),
        belief: w.belief && ready(w.belief, rows, grid),
      };
      return { ...t, list: jobs, rows, alike, ways: { plain: way(t.plain), sized: way(t.sized) } };
    }

    /* A scope as the page holds it, as a job: area in square feet, items by their number. */
    job(scope) {
      const entries = [...scope.items].filter(([, size]) => said(size));
      return {
        kind: scope.kind || null,
        area: scope.area || null,
        grade: said(scope.grade) ? scope.grade : null,
        old: said(scope.year) ? Number(scope.year < this.carried.constants.old_house) : null,
        year: said(scope.year) ? scope.year : null,
        condo: said(scope.condo) ? Number(scope.condo) : null,
        crew: scope.crew ? Math.max(scope.crew, 1) : null,
        steady: scope.crew ? Math.max(scope.crew, 1) : null,
        crewStated: scope.crew || null,
        day: ordinal(scope.date),
        scoped: entries.length > 0,
        scope: new Map(entries),
      };
    }

    /* The columns of a new job: NaN is not said, null a column that takes no part. */
    row(t, job) {
      return t.columns.map((c, j) => {
        const value = this.measure(c, job, t);
        if (c.seen) return value;
        return Number.isNaN(value) || Number.isNaN(t.alike[j]) || value === t.alike[j] ? null : value;
      });
    }

    predict(t, job) {
      const k = this.carried.constants;
      const n = t.jobs.length;
      const belief = believed(this.carried, job, t.target);
      if (n < (belief === null ? k.min_jobs : 1)) {
        return belief === null ? null : this.byBelief(t, job, belief);
      }
      const values = this.row(t, job);
      const sized = t.ways.sized && t.columns.some((c, j) => c.how === "area" && said(values[j]));
      const way = t.ways[sized ? "sized" : "plain"];
      const mixing = belief !== null && way.belief !== null;
      if (belief !== null && !mixing && n < k.min_jobs) return this.byBelief(t, job, belief);
      const items = locate(way.items, values);
      let spread = new Spread(items.centre, items.scale, way.table, k.levels);
      if (mixing) {
        const rated = locate(way.belief, values);
        const own = way.weights.items || 0;
        spread = new Spread(
          own * items.centre + way.weights.belief * (rated.centre + Math.log(belief)),
          own * items.scale + way.weights.belief * rated.scale,
          way.mixed,
          k.levels,
        );
      }
      const outside = reach(this.carried, t.list, job);
      if (outside.area && n >= k.min_jobs) {
        spread = spread.wider(outsideFactor(this.carried, outside, job));
      }
      const kindSd = mixing ? k.kind_sd_mixed : k.kind_sd;
      const gap = mixing ? way.mixed_gap : way.gap;
      spread = widened(spread, Math.hypot(outside.kindUnseen ? kindSd : 0, t.untaught), gap);
      const far = items.leverage > k.far_leverage;
      const unlike = Boolean(outside.area || outside.never.length || outside.kindUnseen || far);
      const weight = mixing ? way.weights.belief : 0;
      const doubts = mixing ? way.mixed_doubts : way.doubts;
      return { t, job, spread, outside, unlike, values, way, belief, weight, doubts,
        leverage: items.leverage };
    }

    byBelief(t, job, belief) {
      const b = this.carried.belief;
      const spread = new Spread(Math.log(belief), b.scale, b.table, this.carried.constants.levels);
      const outside = reach(this.carried, t.list, job);
      const unlike = Boolean(outside.area || outside.never.length || outside.kindUnseen);
      return { t, job, spread, outside, unlike, values: this.row(t, job), way: null, belief,
        weight: 1, doubts: { first: "", said: [] }, leverage: 0 };
    }

    /* All targets that can be told of a scope, by name, cost first. */
    ask(scope) {
      const job = this.job(scope);
      const found = this.targets.map((t) => this.predict(t, job)).filter((p) => p !== null);
      return new Map(found.map((p) => [p.t.target, p]));
    }

    /* The finished jobs most like a prediction's job: their numbers and distances, nearest first. */
    nearest(prediction, count) {
      const { t, values } = prediction;
      const gaps = t.rows.map((row) => Math.sqrt(t.columns.reduce((sum, c, j) => {
        if (c.how === "years" || c.how === "since" || !said(values[j]) || Number.isNaN(row[j])) {
          return sum;
        }
        return sum + ((row[j] - values[j]) * (c.how === "area" ? 3 : 1)) ** 2;
      }, 0)));
      return gaps
        .map((distance, i) => ({ job: t.jobs[i], distance, i }))
        .sort((a, b) => a.distance - b.distance || a.i - b.i)
        .slice(0, count);
    }

    /* What a second scope comes to more than a first, in one target: middle and 80 % ends, in the
       target's unit. The lasting effects of columns are common to both, so nothing is computed by
       taking one range off another. Only the middle where no job tells what an item adds; null
       where what was stated speaks for one of them alone. */
    difference(one, other) {
      const ratio = one.belief && other.belief ? Math.log(other.belief / one.belief) : 0;
      const base = one.spread.median;
      if (!one.way || !other.way) {
        return one.way || other.way ? null : { middle: other.spread.median - base };
      }
      if ((one.weight > 0) !== (other.weight > 0)) return null;
      const at = (p, j) => (p.values[j] === null ? one.t.alike[j] : p.values[j]);
      const steps = one.t.columns.map((_, j) => {
        const step = at(other, j) - at(one, j);
        return Number.isNaN(step) ? 0 : step;
      });
      /* A floor that alone tells sizes apart changes only where the noise starts: the version that
         looks at it is the one to trust for both. */
      const way = other.way === one.way ? one.way : one.t.ways.sized;
      let { mean, sd, df, wide } = combined(way.items, steps);
      if (one.weight > 0) {
        const rated = combined(way.belief, steps);
        const own = way.weights.items || 0;
        mean = own * mean + way.weights.belief * (rated.mean + ratio);
        sd = own * sd + way.weights.belief * rated.sd;
        if (!own || rated.df < df) ({ df, wide } = rated);
      }
      if (one.job.area !== other.job.area) sd *= this.widest(one, other);
      const money = (step) => base * (Math.exp(step) - 1);
      return { mean, sd, low: money(mean - wide * sd), middle: money(mean), high: money(mean + wide * sd) };
    }

    widest(...predictions) {
      const factors = predictions
        .filter((p) => p.outside.area && p.t.jobs.length >= this.carried.constants.min_jobs)
        .map((p) => outsideFactor(this.carried, p.outside, p.job));
      return Math.max(1, ...factors);
    }
  }

  return { Engine, ordinal };
})();
