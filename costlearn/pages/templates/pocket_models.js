"use strict";
/* Distributions and regressions for the sheet: Student's t, ranges, fits made ready to foretell.
   It follows costlearn/models step by step; the tests hold both together. */
const Models = (() => {
  const said = (v) => v !== null && v !== undefined && !Number.isNaN(v);

  /* Linear interpolation; outside the table its end values. */
  function between(x, xs, ys) {
    let low = 0;
    let high = xs.length - 1;
    if (x >= xs[high]) return ys[high];
    if (x < xs[0]) return ys[0];
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (xs[middle] <= x) low = middle;
      else high = middle;
    }
    return ((ys[high] - ys[low]) / (xs[high] - xs[low])) * (x - xs[low]) + ys[low];
  }

  /* The regularised incomplete beta function by its continued fraction (NIST Handbook of
     Mathematical Functions, 2010, 8.17.22), for x below (a + 1) / (a + b + 2). */
  function betaPart(a, b, x, logBeta) {
    const tiny = 1e-300;
    const kept = (v) => (Math.abs(v) < tiny ? tiny : v);
    let c = 1;
    let d = 1 / kept(1 - ((a + b) * x) / (a + 1));
    let sum = d;
    for (let m = 1; m < 500; m += 1) {
      const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
      d = 1 / kept(1 + even * d);
      c = kept(1 + even / c);
      sum *= d * c;
      const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
      d = 1 / kept(1 + odd * d);
      c = kept(1 + odd / c);
      const step = d * c;
      sum *= step;
      if (Math.abs(step - 1) < 1e-16) break;
    }
    return (Math.exp(a * Math.log(x) + b * Math.log1p(-x) - logBeta) * sum) / a;
  }

  /* The chance that Student's t lies within t of 0, t not below 0; logBeta is ln B(df/2, 1/2). */
  function within(t, df, logBeta) {
    if (t === 0) return 0;
    const x = df / (df + t * t);
    const a = df / 2;
    if (x < (a + 1) / (a + 2.5)) return 1 - betaPart(a, 0.5, x, logBeta);
    return betaPart(0.5, a, (t * t) / (df + t * t), logBeta);
  }

  /* The t that Student's t stays within with a chance, by halving a bracket and Newton's steps. */
  function reachOf(chance, df, logBeta) {
    let low = 0;
    let high = 1;
    while (within(high, df, logBeta) < chance && high < 1e300) high *= 2;
    for (let i = 0; i < 200 && high - low > 1e-15 * high; i += 1) {
      const middle = (low + high) / 2;
      if (within(middle, df, logBeta) < chance) low = middle;
      else high = middle;
    }
    return (low + high) / 2;
  }

  /* A distribution symmetric in the logarithm; its table says how many scales wide a level is. */
  class Spread {
    constructor(centre, scale, table, levels) {
      Object.assign(this, { centre, scale, table, levels });
    }
    get median() { return Math.exp(this.centre); }
    reachAt(level) {
      const { reach, df, top, log_beta: logBeta } = this.table;
      const last = this.levels.length - 1;
      if (level <= this.levels[last]) return between(level, this.levels, reach);
      return (reach[last] * reachOf(level, df, logBeta)) / top;
    }
    quantile(p) {
      const reach = this.reachAt(Math.abs(2 * p - 1));
      return Math.exp(this.centre + Math.sign(p - 0.5) * reach * this.scale);
    }
    cdf(value) {
      if (!(value > 0)) return 0;
      const off = (Math.log(value) - this.centre) / this.scale;
      const { reach, df, top, log_beta: logBeta } = this.table;
      const far = Math.abs(off);
      const last = reach[reach.length - 1];
      const level = far <= last
        ? between(far, reach, this.levels)
        : within((far * top) / last, df, logBeta);
      return 0.5 + (Math.sign(off) * level) / 2;
    }
    interval(level) {
      return { level, low: this.quantile((1 - level) / 2), high: this.quantile((1 + level) / 2) };
    }
    wider(factor) { return new Spread(this.centre, this.scale * factor, this.table, this.levels); }
  }

  /* The inverse of a symmetric positive matrix (rows of Float64Array), by Cholesky's way. */
  function inverse(matrix) {
    const n = matrix.length;
    const root = matrix.map((row) => Float64Array.from(row));
    for (let j = 0; j < n; j += 1) {
      for (let k = 0; k < j; k += 1) root[j][j] -= root[j][k] * root[j][k];
      root[j][j] = Math.sqrt(root[j][j]);
      for (let i = j + 1; i < n; i += 1) {
        for (let k = 0; k < j; k += 1) root[i][j] -= root[i][k] * root[j][k];
        root[i][j] /= root[j][j];
      }
    }
    const under = root.map(() => new Float64Array(n));
    for (let j = 0; j < n; j += 1) {
      under[j][j] = 1 / root[j][j];
      for (let i = j + 1; i < n; i += 1) {
        let sum = 0;
        for (let k = j; k < i; k += 1) sum -= root[i][k] * under[k][j];
        under[i][j] = sum / root[i][i];
      }
    }
    const found = matrix.map(() => new Float64Array(n));
    for (let i = 0; i < n; i += 1) {
      for (let j = 0; j <= i; j += 1) {
        let sum = 0;
        for (let k = i; k < n; k += 1) sum += under[k][i] * under[k][j];
        found[i][j] = sum;
        found[j][i] = sum;
      }
    }
    return found;
  }

  const dot = (a, b) => {
    let sum = 0;
    for (let i = 0; i < a.length; i += 1) sum += a[i] * b[i];
    return sum;
  };

  /* A regression made ready to foretell: means, spreads, inverses and effects of its columns. */
  function ready(member, rows, grid) {
    const { fit, terms } = member;
    const mine = member.rows.map((i) => rows[i]);
    const means = terms.map((_, j) => {
      const known = mine.map((r) => r[j]).filter((v) => !Number.isNaN(v));
      return known.reduce((a, b) => a + b, 0) / Math.max(known.length, 1);
    });
    const spreads = terms.map((_, j) => {
      const known = mine.map((r) => r[j]).filter((v) => !Number.isNaN(v));
      const square = known.reduce((a, v) => a + (v - means[j]) ** 2, 0);
      return Math.sqrt(square / Math.max(known.length, 1));
    });
    const design = mine.map((r) =>
      Float64Array.from([1, ...r.map((v, j) => (Number.isNaN(v) ? 0 : v - means[j]))]));
    const size = terms.length + 1;
    const gram = Array.from({ length: size }, () => new Float64Array(size));
    for (const row of design) {
      for (let i = 0; i < size; i += 1) {
        if (row[i]) for (let j = 0; j < size; j += 1) gram[i][j] += row[i] * row[j];
      }
    }
    const inverses = grid.map((step) => inverse(gram.map((row, i) => {
      const full = Float64Array.from(row);
      const spread = i === 0 ? fit.intercept_sd : terms[i - 1][1] * (terms[i - 1][2] ? step : 1);
      full[i] += spread ** -2;
      return full;
    })));
    const effects = fit.shares.flatMap((share, which) => {
      const prior = [fit.level, ...terms.map(([mean, , shrunk, drift]) =>
        (shrunk && !drift ? share * mean : mean))];
      return inverses.map((one) => prior.map((p, i) => p + dot(one[i], fit.cross[which])));
    });
    return { fit, means, spreads, inverses, effects };
  }

  const form = (matrix, x) => {
    let sum = 0;
    for (let i = 0; i < x.length; i += 1) if (x[i]) sum += x[i] * dot(matrix[i], x);
    return sum;
  };

  /* Mean and scale of a mixture of members with weights. */
  function mixed(weight, means, variances) {
    const centre = dot(weight, means);
    const spread = weight.reduce((a, w, i) => a + w * (variances[i] + (means[i] - centre) ** 2), 0);
    return { centre, scale: Math.sqrt(spread) };
  }

  /* Where a row lands: "blank" columns are not said, so the spread widens by what they may be. */
  function locate(model, values) {
    const { fit, means, spreads, inverses, effects } = model;
    const x = Float64Array.from([1, ...values.map((v, j) => (said(v) ? v - means[j] : 0))]);
    const blank = values.flatMap((v, j) => (v !== null && Number.isNaN(v) ? [j] : []));
    const forms = inverses.map((one) => form(one, x));
    const at = (m) => m % inverses.length;
    const variances = effects.map((effect, m) => fit.variance[m] * (1 + forms[at(m)]) +
      blank.reduce((sum, j) => sum + spreads[j] ** 2 *
        (effect[j + 1] ** 2 + inverses[at(m)][j + 1][j + 1] * fit.variance[m]), 0));
    const leverage = effects.reduce((sum, _, m) => sum + fit.weight[m] * forms[at(m)], 0);
    return { ...mixed(fit.weight, effects.map((e) => dot(e, x)), variances), leverage };
  }

  /* What amounts of columns add together: mean and spread in log points. */
  function combined(model, amounts) {
    const { fit, inverses, effects } = model;
    const x = Float64Array.from([0, ...amounts]);
    const forms = inverses.map((one) => form(one, x));
    const own = effects.map((_, m) => fit.variance[m] * forms[m % inverses.length]);
    const { centre, scale } = mixed(fit.weight, effects.map((e) => dot(e, x)), own);
    return { mean: centre, sd: scale, df: fit.df, wide: fit.wide };
  }

  return { Spread, within, reachOf, between, inverse, ready, locate, combined, said };
})();
