// The drawings of the page that sets units beside each other: totals and efficiencies by load, and claim lines.
(() => {
  'use strict';

  const SPACE = 'http://www.w3.org/2000/svg';
  // Units differ by mark and dash before colour, as methods do in the other charts.
  const MARKS = ['M-4.6 0a4.6 4.6 0 1 0 9.2 0a4.6 4.6 0 1 0 -9.2 0z', 'M-4.2 -4.2h8.4v8.4h-8.4z', 'M0 -5.4l5.2 9h-10.4z', 'M0 -5.8l5.8 5.8l-5.8 5.8l-5.8 -5.8z'];
  const DASHES = ['', '8 4', '2 4', '9 3 2 3'];

  function draw(name, attributes = {}, ...inside) {
    const made = document.createElementNS(SPACE, name);
    for (const [key, value] of Object.entries(attributes)) if (value !== '') made.setAttribute(key, value);
    made.append(...inside);
    return made;
  }

  function html(name, attributes = {}, ...inside) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...inside);
    return made;
  }

  // ---- Claim lines, as the sheets draw them ----

  // scaleOf is the scale in percent that claims share: multiples of 5 that hold bars and whiskers, between 50 and 150.
  function scaleOf(claims) {
    let [low, high] = [95, 105];
    for (const c of claims) {
      if (!c.limit) continue;
      for (const x of [c.limit, ...(c.mean ? [c.mean - c.u || c.mean, c.mean + (c.u || 0), ...(c.bar || [])] : [])]) [low, high] = [Math.min(low, x - 1), Math.max(high, x + 1)];
    }
    return [5 * Math.floor(Math.max(low, 50) / 5), 5 * Math.ceil(Math.min(high, 150) / 5)];
  }

  function claimLine(c, [low, high]) {
    const x = (percent) => `${(100 * (Math.min(Math.max(percent, low), high) - low) / (high - low)).toFixed(2)}%`;
    const holds = (percent) => percent >= low && percent <= high;
    const width = (from, to) => `${Math.max(parseFloat(x(to)) - parseFloat(x(from)), 0).toFixed(2)}%`;
    const level = (of, from, to, more = {}) => draw('line', { class: of, x1: from, x2: to, y1: 18, y2: 18, stroke: 'currentColor', 'stroke-width': 1.6, ...more });
    const upright = (of, at, top, bottom, more) => draw('line', { class: of, x1: at, x2: at, y1: top, y2: bottom, ...more });
    const svg = draw('svg', { class: `claim-line verdict-${c.verdict}`, width: '100%', height: 36, role: 'img', 'aria-label': c.alt },
      draw('rect', { class: 'claim-ground-short', x: '0%', width: x(c.limit), y: 11, height: 14, 'fill-opacity': 0.1 }),
      draw('rect', { class: 'claim-ground', x: x(c.limit), width: width(c.limit, high), y: 11, height: 14, 'fill-opacity': 0.035 }),
      upright('claim-limit', x(c.limit), 2, 34, { 'stroke-width': 2.6 }));
    if (!c.mean) return svg;
    if (!holds(c.mean)) {
      const right = c.mean > high;
      svg.append(draw('svg', { class: 'claim-arrow', x: right ? '100%' : '0%', overflow: 'visible' },
        draw('path', { d: right ? 'M-2 18l-10 -7v14z' : 'M2 18l10 -7v14z', fill: 'currentColor' }),
        draw('text', { x: right ? -18 : 18, y: 22.5, 'text-anchor': right ? 'end' : 'start', fill: 'currentColor', 'font-weight': 600, 'font-size': 13, 'stroke-width': 4, 'stroke-linejoin': 'round', 'paint-order': 'stroke' }, c.value)));
      return svg;
    }
    const u = c.u || 0;
    if (u) {
      svg.append(level('claim-whisker', x(c.mean - u), x(c.mean + u)));
      for (const end of [c.mean - u, c.mean + u]) if (holds(end)) svg.append(upright('claim-whisker', x(end), 11, 25, { stroke: 'currentColor', 'stroke-width': 1.6 }));
    }
    if (c.bar) svg.append(draw('rect', { class: 'claim-bar', x: x(c.bar[0]), width: width(...c.bar), y: 14, height: 8, fill: 'currentColor' }));
    const [openLow, openHigh] = c.open || [], [from, to] = c.bar || [c.mean, c.mean], dashed = { 'stroke-width': 8, 'stroke-dasharray': '3 4' };
    if (openLow) svg.append(level('claim-open', '0%', x(from), dashed));
    if (openHigh) svg.append(level('claim-open', x(to), '100%', dashed));
    svg.append(draw('circle', { class: 'claim-ring', cx: x(c.mean), cy: 18, r: 4.4, stroke: 'currentColor', 'stroke-width': 2.2 }));
    return svg;
  }

  // ---- Figures by load ----

  function steps(most, intervals) {
    const power = 10 ** Math.floor(Math.log10(most / intervals));
    const step = [1, 2, 2.5, 5, 10].map((m) => m * power).find((s) => s * intervals >= most * (1 - 1e-9));
    return Array.from({ length: Math.ceil(most / step - 1e-9) + 1 }, (x, n) => n * step);
  }

  const markOf = (n, bridged, hollow) => {
    const path = (scale) => draw('path', { d: MARKS[n], transform: scale === 1 ? '' : `scale(${scale})`, fill: scale === 1 ? 'currentColor' : 'none', stroke: scale === 1 ? 'none' : 'currentColor', 'stroke-width': 0.8, class: scale === 1 ? '' : 'beside-double' });
    return bridged ? [path(1), path(1.7)] : [path(1)];
  };

  // key is the sample of a unit: its line with its mark.
  const key = (n, bridged) => draw('svg', { class: `series-${n + 1} beside-key`, width: 34, height: 20, viewBox: '-17 -10 34 20', 'aria-hidden': 'true' },
    draw('line', { x1: -16, x2: 16, y1: 0, y2: 0, stroke: 'currentColor', 'stroke-width': 2, 'stroke-dasharray': DASHES[n] }), ...markOf(n, bridged));

  function plot(units, unit, title, wide) {
    const [width, height] = wide ? [900, 340] : [358, 330], [left, right, top, bottom] = wide ? [52, 850, 26, 292] : [44, 338, 26, 282];
    const all = units.flatMap(({ points }) => points);
    const loads = [...new Set(all.map((p) => p.ohm))].sort((a, b) => b - a);
    const ticks = steps(Math.max(...all.map((p) => p.y + p.u)), wide ? 6 : 5), most = ticks.at(-1);
    const span = Math.log2(loads[0] / loads.at(-1)) || 1;
    const inner = (right - left) * (loads.length > 1 ? 0.06 : 0.5);
    const x = (ohm) => left + inner + (right - left - 2 * inner) * Math.log2(loads[0] / ohm) / span;
    const y = (value) => bottom - (bottom - top) * value / most;
    const svg = draw('svg', { class: 'beside-plot', viewBox: `0 0 ${width} ${height}`, role: 'img', 'aria-label': `${title}. Loads from high on the left to low on the right, from zero upwards. The figures stand in the tables.` });
    for (const t of ticks) {
      svg.append(draw('line', { class: t ? 'still-line' : 'still-tick', x1: left, x2: right, y1: y(t), y2: y(t), 'stroke-width': 1 }),
        draw('text', { class: 'still-soft', x: left - 8, y: y(t) + 4.5, 'text-anchor': 'end' }, String(Math.round(t * 100) / 100)));
    }
    svg.append(draw('text', { class: 'still-soft', x: left - 8, y: 12, 'text-anchor': 'start', 'font-weight': 600 }, unit));
    let last = -Infinity;
    for (const ohm of loads) {
      svg.append(draw('line', { class: 'still-tick', x1: x(ohm), x2: x(ohm), y1: bottom, y2: bottom + 5, 'stroke-width': 1 }));
      if (x(ohm) - last < (wide ? 30 : 40)) continue; // no room for its number
      last = x(ohm);
      svg.append(draw('text', { class: 'still-soft', x: x(ohm), y: bottom + 21, 'text-anchor': 'middle' }, String(Math.round(ohm * 100) / 100)));
    }
    svg.append(draw('text', { class: 'still-soft', x: (left + right) / 2, y: height - 6, 'text-anchor': 'middle', 'font-weight': 600 }, 'load / Ω'));
    units.forEach(({ points }, n) => {
      const shift = (n - (units.length - 1) / 2) * 7; // so that marks of one load stand beside each other
      const series = draw('g', { class: `series-${n + 1}`, 'data-series': n });
      for (const bridged of [false, true]) {
        const of = points.filter((p) => p.bridged === bridged).sort((a, b) => b.ohm - a.ohm);
        if (of.length > 1) series.append(draw('polyline', { points: of.map((p) => `${x(p.ohm) + shift},${y(p.y)}`).join(' '), fill: 'none', stroke: 'currentColor', 'stroke-width': 1.8, 'stroke-dasharray': DASHES[n] }));
        for (const p of of) {
          const at = x(p.ohm) + shift;
          series.append(draw('line', { x1: at, x2: at, y1: y(Math.max(p.y - p.u, 0)), y2: y(p.y + p.u), stroke: 'currentColor', 'stroke-width': 1.8 }),
            draw('g', { class: 'beside-point', 'data-point': p.number, 'paint-order': 'stroke', transform: `translate(${at} ${y(p.y)})` }, ...markOf(n, bridged)));
        }
      }
      svg.append(series);
    });
    return svg;
  }

  // byLoad is a figure of one quantity by load, for wide and for narrow screens; null without a point. Of several units
  // each has a button that takes it out of sight.
  function byLoad(title, unit, units) {
    const told = units.flatMap(({ points }) => points);
    if (!told.length) return null;
    told.forEach((point, number) => { point.number = number; });
    const keys = html('ul', { class: 'beside-keys chart-parts' });
    units.forEach(({ name, points }, n) => {
      const inside = [key(n, false), html('bdi', { class: 'chart-name' }, name)];
      keys.append(html('li', {}, ...(units.length > 1 && points.length
        ? [html('button', { type: 'button', class: `chart-button series-${n + 1}`, 'aria-pressed': 'true', 'data-series': n }, ...inside)]
        : [...inside, points.length ? '' : html('span', { class: 'soft' }, ' no figure')])));
    });
    if (told.some((p) => p.bridged)) keys.append(html('li', { class: 'soft' }, 'Drawn double: bridged'));
    const [wide, tall] = [plot(units, unit, title, true), plot(units, unit, title, false)];
    wide.classList.add('beside-wide');
    tall.classList.add('beside-tall');
    return wattsheet.live(html('figure', { class: 'chart beside-chart' },
      html('figcaption', {}, html('h2', { class: 'chart-title' }, title), html('p', {}, 'Means of the runs at each load; uprights are ±\u00a0U (95\u00a0%). Loads as tested, on a logarithmic axis.')),
      keys, html('div', { class: 'beside-box' }, wide, tall)), title, told.map((point) => point.told));
  }

  const root = globalThis.wattsheet = globalThis.wattsheet || {};
  root.chart = { scaleOf, claimLine, byLoad };
})();
