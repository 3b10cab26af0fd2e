// Two units compared at one load and method, as the generator compares them: each total is carried to the mean of the
// two supply voltages and the nominal load, over all corners of the conditions. The data of a unit says what each
// cause of error contributes at its run's own voltage v and the load exponents −1 and +1; carried to V it goes with
// (V/v)^k. No page is touched here.
(() => {
  'use strict';

  const LOADS = [-1, 1];

  // ---- Student's t distribution; degrees of freedom need not be whole ----

  // ln Γ((ν+1)/2) − ln Γ(ν/2): Stirling's series for the ratio, raised to where it converges (Abramowitz and Stegun, 6.1.47).
  function gammaRatio(a) {
    let shift = 0;
    for (; a < 20; a++) shift -= Math.log((a + 0.5) / a);
    const r = 1 / a, r2 = r * r;
    return shift + Math.log(a) / 2 - r / 8 * (1 - r2 / 24 * (1 - r2 * 0.3 * (1 - r2 * 85 / 112)));
  }

  // The continued fraction of the incomplete beta function (Abramowitz and Stegun, 26.5.8), by Lentz's method.
  function fraction(x, a, b) {
    const least = 1e-300;
    let c = 1, d = 1 - (a + b) * x / (a + 1);
    d = 1 / (Math.abs(d) < least ? least : d);
    let h = d;
    for (let m = 1; m < 20000; m++) {
      for (const step of [m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)), -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))]) {
        d = 1 + step * d;
        c = 1 + step / c;
        d = 1 / (Math.abs(d) < least ? least : d);
        if (Math.abs(c) < least) c = least;
        h *= d * c;
      }
      if (Math.abs(d * c - 1) < 1e-15) break;
    }
    return h;
  }

  // P(|T| >= t) = I_x(ν/2, 1/2), x = ν/(ν + t²) (Abramowitz and Stegun, 26.7.1 and 26.5.27).
  function bothTails(t, dof) {
    const a = dof / 2, y = t * t / (dof + t * t);
    const log = gammaRatio(a) - Math.log(Math.PI) / 2 + a * Math.log1p(-y) + Math.log(y) / 2;
    const x = 1 - y;
    return x < (a + 1) / (a + 2.5) ? Math.exp(log) * fraction(x, a, 0.5) / a : 1 - Math.exp(log) * fraction(y, 0.5, a) * 2;
  }

  // P(Z <= z) of the normal distribution (Abramowitz and Stegun, 26.2.11; beyond 7 only its size counts).
  function normal(z) {
    const x = Math.abs(z);
    if (x > 7) return z > 0 ? 1 : Math.exp(-x * x / 2) / (x * Math.sqrt(2 * Math.PI));
    let term = x, sum = x;
    for (let n = 3; term > sum * 1e-17; n += 2) sum += term *= x * x / n;
    const above = Math.exp(-x * x / 2) / Math.sqrt(2 * Math.PI) * sum;
    return z > 0 ? 0.5 + above : 0.5 - above;
  }

  const NEAR_NORMAL = 1e5;

  // P(T <= t); many degrees of freedom by 26.7.8.
  function student(t, dof) {
    if (t === 0) return 0.5;
    if (dof >= NEAR_NORMAL) return normal(t * (1 - 1 / (4 * dof)) / Math.sqrt(1 + t * t / (2 * dof)));
    if (t * t / dof === 0) return 0.5;
    const tail = bothTails(t, dof) / 2;
    return t > 0 ? 1 - tail : tail;
  }

  // The value that T stays below with probability p > 1/2: halving, as it is needed seldom.
  function quantile(p, dof) {
    let low = 0, high = 1;
    while (student(high, dof) < p && high < 1e9) high *= 2;
    for (let n = 0; n < 60; n++) {
      const middle = (low + high) / 2;
      if (student(middle, dof) < p) low = middle; else high = middle;
    }
    return (low + high) / 2;
  }

  // ---- The difference of two totals at a corner ----

  // merged lists the causes of error of both units by group: what both have under one id is one error.
  function merged(a, b) {
    const slots = [], named = new Map();
    [a, b].forEach((point, side) => {
      for (const error of point.errors || []) {
        let slot = error.id ? named.get(error.id) : undefined;
        if (!slot) {
          slot = { group: error.group || '', dof: error.dof || Infinity, estimate: error.estimate || '', of: [null, null] };
          slots.push(slot);
          if (error.id) named.set(error.id, slot);
        }
        if ((error.dof || Infinity) < slot.dof) Object.assign(slot, { dof: error.dof, estimate: error.estimate });
        slot.of[side] = error;
      }
    });
    const groups = new Map();
    slots.forEach((slot, n) => {
      const key = slot.group || n;
      if (!groups.has(key)) groups.set(key, []);
      groups.get(key).push(slot);
    });
    return [...groups.values()];
  }

  class Duel {
    constructor(a, b, rule) {
      this.sides = [a, b];
      this.rule = rule;
      this.volts = (a.supply_v + b.supply_v) / 2;
      this.ohm = Math.min(a.ohm, b.ohm);
      this.groups = merged(a, b);
      this.supplies = [0, rule.supply_most];
    }

    // carried is by what each level of a side is multiplied at k and m.
    carried(side, k, m) {
      const point = this.sides[side], load = (point.ohm / this.ohm) ** m;
      return point.levels_v.map((v) => (this.volts / v) ** k * load);
    }

    estimate(ka, ma, kb, mb) {
      const k = [ka, kb], m = [ma, mb].map((x) => LOADS.indexOf(x));
      const by = [this.carried(0, ka, ma), this.carried(1, kb, mb)];
      const sum = (levels, factors) => levels.reduce((total, x, n) => total + x * factors[n], 0);
      const y = [0, 1].map((side) => sum(this.sides[side].watts[m[side]], by[side]));
      const estimates = new Map();
      let variance = 0;
      const add = (slot, v) => {
        variance += v;
        if (slot.dof < Infinity && v > 0) {
          const one = estimates.get(slot.estimate) || { v: 0, dof: slot.dof };
          one.v += v;
          estimates.set(slot.estimate, one);
        }
      };
      for (const group of this.groups) {
        const c = group.map((slot) => [0, 1].reduce((total, side) => {
          const error = slot.of[side];
          if (!error) return total;
          const one = (error.at ? sum(error.at[m[side]], by[side]) : 0) + (error.slope ? k[side] * sum(error.slope[m[side]], by[side]) : 0);
          return side ? total - one : total + one;
        }, 0));
        const all = c.reduce((total, x) => total + x, 0), squares = c.reduce((total, x) => total + x * x, 0);
        if (group.length > 1 && all * all > squares) {
          add(group.reduce((fewest, slot) => (slot.dof < fewest.dof ? slot : fewest)), all * all);
        } else {
          group.forEach((slot, n) => add(slot, c[n] * c[n]));
        }
      }
      let few = 0;
      for (const one of estimates.values()) few += one.v * one.v / one.dof;
      return { ka, ma, kb, mb, ya: y[0], yb: y[1], u: Math.sqrt(variance), dof: few > 0 ? variance * variance / few : Infinity };
    }

    at(ka, ma, kb, mb) {
      const c = this.estimate(ka, ma, kb, mb), d = c.ya - c.yb;
      c.p = c.u === 0 ? (d === 0 ? 0.5 : d > 0 ? 1 : 0) : student(d / c.u, c.dof);
      return c;
    }

    corners() {
      const out = [], [kas, kbs] = [this.exponents(0), this.exponents(1)];
      for (const ka of kas) for (const kb of kbs) for (const ma of LOADS) for (const mb of LOADS) out.push(this.at(ka, ma, kb, mb));
      return out;
    }

    // exponents are a side's supply exponents: the ends and, where its runs lie on both sides of the voltage, the worst between.
    exponents(side) {
      const ks = [...this.supplies], levels = this.sides[side].levels_v;
      if (!levels.some((v) => v < this.volts) || !levels.some((v) => v > this.volts)) return ks;
      const along = this.slices(side), t = quantile(this.rule.met_from, along[0].middle.dof);
      for (const sign of [-1, 1]) {
        for (const f of [(c) => sign * (c.ya - c.yb) / c.u, (c) => sign * (c.ya - c.yb) - t * c.u]) {
          const k = leastOf(along, f, this.rule.supply_most);
          if (k !== null) ks.push(k);
        }
      }
      return distinct(ks, this.rule.supply_most);
    }

    slices(side) {
      const out = [], most = this.rule.supply_most;
      for (const own of LOADS) for (const m of LOADS) for (const k of this.supplies) {
        const at = side ? (x) => this.estimate(k, m, x, own) : (x) => this.estimate(x, own, k, m);
        out.push({ at, first: at(0), middle: at(most / 2), end: at(most) });
      }
      return out;
    }
  }

  function distinct(ks, most) {
    ks.sort((a, b) => a - b);
    const out = [ks[0]];
    for (const k of ks.slice(1)) if (k === most || Math.min(k - out.at(-1), most - k) > 0.01) out.push(k);
    return out;
  }

  // lowest is the lowest point of the parabola through three points, a step apart.
  function lowest(x, step, before, at, after) {
    const slope = (after - before) / 2, bend = before - 2 * at + after;
    if (!(bend > 0)) {
      const least = Math.min(before, at, after);
      return [least === before ? x - step : least === after ? x + step : x, least];
    }
    return [x - step * slope / bend, at - slope * slope / (2 * bend)];
  }

  // leastOf is the exponent within at which a function of the corner is smallest over all slices; null where that is an end.
  function leastOf(all, f, most) {
    let least = Infinity, k = null, of = null;
    for (const s of all) {
      const [first, middle, end] = [f(s.first), f(s.middle), f(s.end)];
      if (Math.min(first, end) < least) [least, k] = [Math.min(first, end), null];
      const [x, y] = lowest(most / 2, most / 2, first, middle, end);
      if (y < least && x > 0 && x < most) [least, k, of] = [y, x, s];
    }
    if (k === null) return null;
    const near = 0.05;
    k = Math.min(Math.max(k, near), most - near);
    const [x] = lowest(k, near, f(of.at(k - near)), f(of.at(k)), f(of.at(k + near)));
    return Math.abs(x - k) < near ? x : k;
  }

  // ---- Texts ----

  // fixed writes x with so many decimals, half away from zero on its first twelve digits.
  function fixed(x, decimals) {
    const [digits, exponent] = Math.abs(x).toExponential(11).split('e'), all = digits.replace('.', '');
    const keep = Number(exponent) + 1 + decimals; // how many of the digits are kept
    let n = keep < 0 ? '0' : String(BigInt(all.slice(0, keep) || '0') + (all[keep] >= '5' ? 1n : 0n));
    if (keep > 12) n += '0'.repeat(keep - 12);
    n = n.padStart(decimals + 1, '0');
    return (x < 0 && /[1-9]/.test(n) ? '-' : '') + (decimals > 0 ? `${n.slice(0, -decimals)}.${n.slice(-decimals)}` : n);
  }

  // chance writes a probability with two decimals, never rounded across the bounds that decide, nor to a certainty.
  function chance(p, rule) {
    const side = (x) => (x >= rule.met_from ? 1 : x <= rule.short_to ? -1 : 0);
    for (let decimals = 2; decimals <= 12; decimals++) {
      for (const by of [0, -1, 1]) {
        let text = fixed(p, decimals);
        if (by) text = fixed(Number(text) + by * 10 ** -decimals, decimals);
        const f = Number(text);
        if (f <= 0 && !by) return '< 0.01';
        if (f >= 1 && !by) return '> 0.99';
        if (f > 0 && f < 1 && side(f) === side(p)) return text;
      }
    }
    return fixed(p, 12);
  }

  const fill = (text, gaps) => text.replace(/\{(\w+)\}/g, (whole, name) => (Object.hasOwn(gaps, name) ? gaps[name] : whole));

  // ---- The comparison ----

  const stands = (point) => Boolean(point.levels_v && point.levels_v.length);
  const within = (x, ref, part) => Math.abs(x - ref) <= part * Math.abs(ref) * (1 + 1e-12);

  // ohms is the load that both are carried to: loads within 1 % are one, by the smaller.
  const ohms = (a, b) => (a.point.ohm <= b.point.ohm ? a : b).point.ohms;

  function reason(a, b, rule) {
    const [p, q] = [a.point, b.point], volts = ((p.supply_v || 0) + (q.supply_v || 0)) / 2;
    const reaches = (point) => point.levels_v.every((v) => within(v, volts, rule.supply_reach));
    if (a.slug === b.slug) return 'same';
    if (!stands(p) || !stands(q)) return 'no-figure';
    const [f, g] = [p.freq_hz || 0, q.freq_hz || 0];
    if (Math.abs(f - g) > rule.nominal_reach * Math.max(f, g)) return 'frequency';
    if (!reaches(p) || !reaches(q)) return 'voltage';
    return (p.doubt ? p.doubt_code : q.doubt_code) || '';
  }

  // conditions names the conditions along which the corners of a pair that is not told apart differ.
  function conditions(corners, side) {
    let supply = false, load = false;
    corners.forEach((c, n) => corners.slice(0, n).forEach((o) => {
      if (side(c.p) === side(o.p)) return;
      supply ||= c.ma === o.ma && c.mb === o.mb;
      load ||= c.ka === o.ka && c.kb === o.kb;
    }));
    return [supply && 'supply', load && 'load'].filter(Boolean).join(', ') || 'close';
  }

  // isolated is a name as it stands in a sentence: one with letters from right to left turns nothing beside it.
  const isolated = (name) => (/[\u0590-\u08ff\u200f\ufb1d-\ufdff\ufe70-\ufeff\u{10800}-\u{10fff}\u{1e800}-\u{1efff}]/u.test(name) ? `\u2068${name}\u2069` : name);

  // why says the result in a sentence, by the phrases that the page brings.
  function why(d, a, b, at, words) {
    const say = (id, gaps = {}) => fill(words.phrases[id], gaps);
    const load = ohms(a, b);
    const [nameA, nameB] = [a, b].map(({ name, slug }) => (a.name === b.name ? say('twin', { name: isolated(name), slug }) : isolated(name)));
    if (d.side) return say('told', { more: d.side > 0 ? nameA : nameB, less: d.side > 0 ? nameB : nameA, at });
    const listed = (test, id) => [[nameA, a], [nameB, b]].filter(([, { point }]) => test(point)).map(([unit, { point }]) => say(id, { ...point, unit })).join(say('and'));
    let text;
    if (d.reason === 'no-figure') text = listed((point) => !stands(point), 'no-figure');
    else if (['frequency', 'voltage', 'same'].includes(d.reason)) {
      text = say(d.reason, { a: nameA, b: nameB, a_freq: a.point.freq, b_freq: b.point.freq, a_supply: a.point.supply, b_supply: b.point.supply });
    } else if (d.corners.length) text = say(d.reason, { load });
    else text = listed((point) => point.doubt, 'doubt');
    return say('not', { why: text });
  }

  // compare compares two sides, each { slug, name, point }, at a point whose title is at.
  function compare(a, b, at, words) {
    const rule = words.rule, swap = a.slug > b.slug, [first, second] = swap ? [b, a] : [a, b];
    const d = { side: 0, reason: reason(first, second, rule), corners: [] };
    const side = (p) => (p >= rule.met_from ? 1 : p <= rule.short_to ? -1 : 0);
    if (!d.reason) {
      const duel = new Duel(first.point, second.point, rule);
      d.volts = duel.volts;
      d.corners = duel.corners();
      const sides = new Set(d.corners.map((c) => side(c.p)));
      if (sides.size === 1) [d.side] = sides;
      if (!d.side) d.reason = conditions(d.corners, side);
      if (swap) {
        d.side = -d.side;
        d.corners = d.corners.map((c) => ({ ...c, ka: c.kb, ma: c.mb, kb: c.ka, mb: c.ma, ya: c.yb, yb: c.ya, p: 1 - c.p }));
      }
      const span = (of) => [Math.min(...d.corners.map(of)), Math.max(...d.corners.map(of))];
      [d.p, d.a, d.b] = [span((c) => c.p), span((c) => c.ya), span((c) => c.yb)];
      const range = ([low, high]) => (low === high ? low : fill(words.phrases.range, { low, high }));
      const watts = (ends, point) => `${range(ends.map((x) => fixed(x, point.places || 0)))}\u00a0W`;
      d.pText = range(d.p.map((p) => chance(p, rule)));
      d.chance = fill(words.phrases.chance, { unit: a.called || a.slug, p: d.pText, corners: String(d.corners.length) });
      d.carried = fill(words.phrases.carried, {
        volts: fixed(d.volts, 2), load: ohms(a, b), a_watts: watts(d.a, a.point), b_watts: watts(d.b, b.point),
      });
    }
    d.why = why(d, a, b, at, words);
    return d;
  }

  const root = globalThis.wattsheet = globalThis.wattsheet || {};
  root.apart = { compare, student, fixed, chance, fill, stands, isolated };
})();
