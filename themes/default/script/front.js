// Finds units on the front page: search, filters, sorting, with what was asked for in the address. The index of all
// units is loaded when a reader first asks for something, or comes by an address that does. Rows are the same as those
// that stand in the page (generator/site/page_row.go).
(function () {
  'use strict';

  const form = document.getElementById('find');
  const field = (name) => document.getElementById('find-' + name);
  if (!form || !window.wattsheet) return;
  const listed = document.querySelector('.sheets .units');
  const section = listed.parentNode;
  const pager = document.querySelector('.pager');
  const found = form.querySelector('.found');
  const chosen = form.querySelector('.chosen');
  const boxes = [...form.querySelectorAll('.picks input')];
  const more = document.getElementById('more');
  const here = document.getElementById('here');
  const { index, pace, currency, methodology } = form.dataset;
  const PACE = Number(pace);
  const NBSP = '\u00a0';
  const MONTHS = 'January February March April May June July August September October November December'.split(' ');
  const TEXTS = ['q', 'kind', 'class', 'load', 'maker', 'from', 'to', 'price'];
  const ORDERS = {
    date: 'newest test first', name: 'by name', power: 'most power first', money: 'most power for money first',
    efficiency: 'most efficient first', price: 'lowest price first',
  };
  const atFirst = found.textContent;

  let list; // the index; unset until it is loaded
  let state = asked();
  let shown = PACE;
  let latest = 0;

  // ---- What is asked for: in the address, in the form ----

  function asked() {
    const made = { verdict: [], sort: 'date' };
    const hash = location.hash.slice(1);
    const given = new URLSearchParams(hash.includes('=') ? hash : '');
    for (const name of TEXTS) made[name] = (given.get(name) || '').trim();
    made.verdict = (given.get('verdict') || '').split(',').filter((v) => boxes.some((b) => b.value === v));
    if (ORDERS[given.get('sort')]) made.sort = given.get('sort');
    return made;
  }

  function plain(of) {
    return !of.verdict.length && of.sort === 'date' && TEXTS.every((name) => !of[name]);
  }

  function address(of) {
    const said = new URLSearchParams();
    for (const name of TEXTS) if (of[name]) said.set(name, of[name]);
    let hash = said.toString();
    if (of.verdict.length) hash += (hash && '&') + 'verdict=' + of.verdict.join(',');
    if (of.sort !== 'date') hash += (hash && '&') + 'sort=' + of.sort;
    return hash;
  }

  function fromForm() {
    const made = { verdict: [], sort: field('sort').value };
    for (const name of TEXTS) made[name] = field(name).value.trim();
    for (const box of boxes) if (box.checked) made.verdict.push(box.value);
    return made;
  }

  function toForm() {
    for (const name of TEXTS) field(name).value = state[name];
    for (const box of boxes) box.checked = state.verdict.includes(box.value);
    field('sort').value = state.sort;
  }

  // ---- What fits ----

  const fold = (text) => text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase();

  // A number as typed, with a comma or a point; NaN where it is none.
  const number = (text) => (/^\d+([.,]\d*)?$/.test(text) ? Number(text.replace(',', '.')) : NaN);

  function at(unit, load) {
    return unit.points.filter((p) => p.load === load);
  }

  // What a row tells, at the load asked for: by the site's first method, so that all are alike.
  function figures(unit, load) {
    if (!load) return { power: unit.power, at: unit.at, efficiency: unit.efficiency };
    const point = at(unit, load).find((p) => p.method === list.methods[0][0]) || {};
    return { power: point.total || null, at: loadText(load), efficiency: point.efficiency || null };
  }

  // Spellings of one maker's name are one maker, as on the makers' pages (generator/site/maker_name.go).
  const makerOf = (name) => name.normalize('NFKD').toLowerCase().normalize('NFKC').replace(/&/g, ' and ').replace(/[,'’]/g, '')
    .replace(/ς/g, 'σ').split(/[\s.\u2010-]+/).filter(Boolean).join(' ') || name;

  const tests = {
    q: (text) => {
      const words = fold(text).split(/\s+/).filter(Boolean);
      return (u) => {
        u.hay ||= fold([u.name, u.kind, u.class && 'class ' + u.class, u.year].join(' '));
        return words.every((w) => u.hay.includes(w));
      };
    },
    kind: (text) => (u) => u.kind === text,
    class: (text) => (u) => u.class === text,
    maker: (text) => (u) => makerOf(u.maker) === makerOf(text),
    load: (text) => (u) => at(u, Number(text)).length > 0,
    from: (text, load) => (u) => (figures(u, load).power || { is: -1 }).is >= number(text),
    to: (text, load) => (u) => (figures(u, load).power || { is: Infinity }).is <= number(text),
    price: (text) => (u) => u.price && u.priceIs <= number(text),
    verdict: (words) => (u) => !!u.claim && words.includes(u.claim.verdict),
  };

  const isNumber = (name) => ['from', 'to', 'price'].includes(name);

  // The names of what is asked for and can be judged by.
  function active(of) {
    const wrong = (name) => Number.isNaN(name === 'load' ? Number(of.load) : isNumber(name) ? number(of[name]) : 0);
    return Object.keys(tests).filter((name) => of[name].length && !wrong(name));
  }

  function fitting(of, but) {
    const all = active(of).filter((name) => name !== but);
    const load = all.includes('load') ? Number(of.load) : 0;
    const judges = all.map((name) => tests[name](of[name], load));
    return list.units.filter((u) => judges.every((fits) => fits(u)));
  }

  function sorted(units, by, load) {
    if (by === 'date') return units;
    const order = new Intl.Collator('en', { numeric: true }).compare;
    if (by === 'name') return units.slice().sort((a, b) => order(a.name, b.name));
    const keys = {
      power: (u) => figures(u, load).power, efficiency: (u) => figures(u, load).efficiency, money: (u) => u.perMoney,
      price: (u) => (u.price ? { is: -u.priceIs } : null),
    };
    const key = keys[by];
    return units.map((u) => [u, key(u)]).sort(([, a], [, b]) => (b ? b.is : -Infinity) - (a ? a.is : -Infinity) || 0).map(([u]) => u);
  }

  // ---- Rows ----

  function element(name, attributes, ...content) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) if (value !== '') made.setAttribute(key, value);
    made.append(...content);
    return made;
  }

  function shape(name, attributes, ...content) {
    const made = document.createElementNS('http://www.w3.org/2000/svg', name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...content);
    return made;
  }

  const text = (amount, unit) => (amount.u ? '(' + amount.value + ' ± ' + amount.u + ')' : amount.value) + NBSP + unit;

  function loadText(load) {
    return Math.abs(load) + NBSP + 'Ω' + (load < 0 ? ' bridged' : '');
  }

  function day(iso) {
    const [year, month, date] = iso.split('-').map(Number);
    return element('time', { datetime: iso }, date + ' ' + MONTHS[month - 1] + ' ' + year);
  }

  // The line of a claim: charts/claimline.go draws the same, charts/claimplace.go says where.
  function claimLine(c) {
    if (!c.line.length) return [];
    const colours = { met: '#0b6e63', short: '#b3400a', open: '#5b4bb0' };
    const percent = (n) => n / 100 + '%';
    const upright = (name, x, y1, y2, width, paint) => shape('line', { class: name, x1: percent(x), x2: percent(x), y1, y2, stroke: paint, 'stroke-width': width });
    const box = (name, x, width, y, height, paint) => shape('rect', { class: name, x: percent(x), width: percent(width), y, height, ...paint });
    const [limit, off, ring, from, to, ticks, bar, wide, open, left, right] = c.line;
    const svg = shape('svg', {
      class: 'claim-line verdict-' + c.verdict, width: '100%', height: 36, role: 'img',
      'aria-label': alternative(c, open), color: colours[c.verdict] || '#5a6068',
    },
    box('claim-ground-short', 0, limit, 11, 14, { fill: '#1b1f23', 'fill-opacity': '0.1' }),
    box('claim-ground', limit, 10000 - limit, 11, 14, { fill: '#1b1f23', 'fill-opacity': '0.035' }),
    upright('claim-limit', limit, 2, 34, '2.6', '#1b1f23'));
    if (off) {
      const ahead = off > 0;
      svg.append(shape('svg', { class: 'claim-arrow', x: ahead ? '100%' : '0%', overflow: 'visible', 'font-family': 'system-ui, sans-serif', 'font-size': 13 },
        shape('path', { d: ahead ? 'M-2 18l-10 -7v14z' : 'M2 18l10 -7v14z', fill: 'currentColor' }),
        shape('text', {
          x: ahead ? '-18' : '18', y: '22.5', 'text-anchor': ahead ? 'end' : 'start', fill: 'currentColor', 'font-weight': '600',
          stroke: '#ffffff', 'stroke-width': '4', 'stroke-linejoin': 'round', 'paint-order': 'stroke',
        }, c.mean.value + NBSP + 'W')));
    } else if (ring !== undefined) {
      if (from >= 0) {
        svg.append(shape('line', { class: 'claim-whisker', x1: percent(from), x2: percent(to), y1: 18, y2: 18, stroke: 'currentColor', 'stroke-width': '1.6' }));
        if (ticks & 1) svg.append(upright('claim-whisker', from, 11, 25, '1.6', 'currentColor'));
        if (ticks & 2) svg.append(upright('claim-whisker', to, 11, 25, '1.6', 'currentColor'));
      }
      if (bar >= 0) svg.append(box('claim-bar', bar, wide, 14, 8, { fill: 'currentColor' }));
      const dashed = (a, b) => shape('line', { class: 'claim-open', x1: percent(a), x2: percent(b), y1: 18, y2: 18, stroke: 'currentColor', 'stroke-width': 8, 'stroke-dasharray': '3 4' });
      if (open & 1) svg.append(dashed(0, left));
      if (open & 2) svg.append(dashed(right, 10000));
      svg.append(shape('circle', { class: 'claim-ring', cx: percent(ring), cy: 18, r: '4.4', fill: '#ffffff', stroke: 'currentColor', 'stroke-width': '2.2' }));
    }
    return [svg];
  }

  function alternative(c, open) {
    const claimed = c.claimed + NBSP + 'W claimed' + (c.limit && ', limit ' + c.limit + NBSP + 'W');
    if (!c.mean) return c.word + ': ' + claimed;
    const side = { 1: 'above', 2: 'below' }[open];
    return c.word + ': ' + text(c.mean, 'W') + ' measured, ' + claimed + (side ? '; the runs bound the power only from ' + side : '');
  }

  function claimParts(c, page) {
    const figure = c.brief || (c.mean && text(c.mean, 'W'));
    const href = c.brief ? page + '#claim-' + c.id : c.formula && methodology + '#formula-' + c.formula;
    const parts = element('p', { class: 'figures' }, element('span', { class: 'claim-label' }, c.label), ' ');
    if (figure) {
      parts.append(element('strong', { class: 'figure' + (c.brief ? ' in-words' : '') }, href ? element('a', { href }, figure) : figure), ' ');
    }
    parts.append(element('span', { class: 'of' }, (c.mean ? 'of ' : '') + c.claimed + NBSP + 'W claimed'));
    if (c.lacks) parts.append(' ', element('span', { class: 'lacks' }, 'uncertainty incomplete'));
    const mark = form.querySelector('.mark-' + c.verdict).cloneNode(true);
    return [
      element('p', { class: 'verdict ' + c.verdict }, mark, element('span', {}, c.word)),
      element('div', { class: 'claim-drawing ' + c.verdict }, ...claimLine(c)), parts,
    ];
  }

  function counts(unit) {
    const all = unit.counts.reduce((sum, c) => sum + c.n, 0);
    if (all < 2) return all ? '1 claim' : 'no claims recorded';
    return all + NBSP + 'claims: ' + unit.counts.map(({ word, n }) => {
      const small = word.toLowerCase();
      return n + NBSP + (n > 1 ? small.replace('falls', 'fall') : small);
    }).join(', ');
  }

  function fact(name, amount, unit, note) {
    const said = [amount && note, amount && amount.lacks && 'uncertainty incomplete'].filter(Boolean).join(', ');
    const made = element('dd', {}, amount ? text(amount, unit) : '–');
    if (said) made.append(' ', element('span', {}, said));
    return element('div', {}, element('dt', {}, name), made);
  }

  function row(unit, load) {
    const page = 'units/' + unit.slug + '/index.html';
    const is = element('p', { class: 'unit-is' }, [unit.kind, unit.class && 'class' + NBSP + unit.class].filter(Boolean).join(', '));
    if (unit.tested) is.append(is.textContent && ', ', element('span', {}, 'tested ', day(unit.tested)));
    const made = element('li', { class: 'unit', id: 'unit-' + unit.slug }, element('h3', {}, element('a', { href: page }, element('bdi', {}, unit.name))), is);
    if (unit.claim) made.append(...claimParts(unit.claim, page));
    const beside = element('a', { href: 'compare/index.html#' + unit.slug, 'aria-label': 'Set beside others: ' + unit.name }, 'Set beside others');
    made.append(element('p', { class: 'unit-claims' }, element('span', {}, counts(unit)), ' ', beside));
    if (unit.lacks) made.append(element('p', { class: 'lacking' }, unit.lacks));
    const here = figures(unit, load);
    const elsewhere = load && here.at !== unit.at ? 'at ' + unit.at : '';
    made.append(element('dl', { class: 'unit-facts' },
      fact('Power', here.power, 'W', 'at ' + here.at), fact('Power for money', unit.perMoney, 'W/' + currency, elsewhere),
      fact('Efficiency', here.efficiency, '%', ''),
      element('div', {}, element('dt', {}, 'Price'), element('dd', {}, unit.price ? unit.price + NBSP + currency : 'not stated'))));
    return made;
  }

  // ---- What is shown ----

  const thousands = (n) => String(n).replace(/\B(?=(\d{3})+$)/g, ',');
  const units = (n) => thousands(n) + NBSP + (n === 1 ? 'unit' : 'units');

  const names = {
    q: (v) => '“' + v + '”', kind: (v) => v, class: (v) => 'class' + NBSP + v, maker: (v) => v, load: (v) => 'tested at ' + loadText(Number(v)),
    from: (v) => 'from ' + v + NBSP + 'W', to: (v) => 'up to ' + v + NBSP + 'W', price: (v) => 'up to ' + v + NBSP + currency,
    verdict: (v) => v.map((w) => boxes.find((b) => b.value === w).parentNode.textContent.trim().toLowerCase()).join(', '),
  };

  function button(say, act, label) {
    const made = element('button', { type: 'button', 'aria-label': label || '' }, say);
    made.addEventListener('click', act);
    return made;
  }

  // Leaves something out; the button that was pressed is gone then, so the focus goes to what is said.
  function leave(next) {
    ask(next, true);
    found.focus();
  }

  const without = (name) => ({ ...state, [name]: name === 'verdict' ? [] : '' });
  const nothing = () => ({ ...Object.fromEntries(TEXTS.map((name) => [name, ''])), verdict: [], sort: state.sort });

  function showChosen() {
    const all = active(state);
    chosen.replaceChildren(...all.map((name) => {
      const says = names[name](state[name]);
      return element('li', {}, button(says + ' ×', () => leave(without(name)), 'Leave out: ' + says));
    }));
    if (all.length > 1) chosen.append(element('li', {}, button('Clear all', () => leave(nothing()))));
    for (const name of TEXTS.filter(isNumber)) {
      field(name).setAttribute('aria-invalid', String(!!state[name] && Number.isNaN(number(state[name]))));
    }
  }

  function put(rows) {
    const old = section.querySelector('.units, .none');
    if (old !== rows) old.replaceWith(rows);
  }

  // Says which of the things asked for are in the way.
  function none() {
    const box = element('div', { class: 'none' }, element('p', {}, 'No unit fits all of this.'));
    const ways = active(state).map((name) => [name, fitting(state, name).length]).filter(([, n]) => n).sort((a, b) => b[1] - a[1]);
    if (ways.length) {
      box.append(element('ul', {}, ...ways.map(([name, n]) => element('li', {}, button('Leave out ' + names[name](state[name]) + ': ' + units(n), () => leave(without(name)))))));
    } else {
      box.append(element('p', {}, 'No one thing left out is enough.'));
    }
    box.append(button('Clear all', () => leave(nothing())));
    return box;
  }

  function show() {
    const load = active(state).includes('load') ? Number(state.load) : 0;
    const fit = sorted(fitting(state), state.sort, load);
    const count = fit.length === list.units.length ? units(fit.length) : thousands(fit.length) + ' of ' + units(list.units.length);
    found.textContent = fit.length ? count + ', ' + ORDERS[state.sort] + '.' : count + '.';
    here.hidden = !load || !fit.length;
    if (load) here.textContent = 'Power and efficiency are those at ' + loadText(load) + ', ' + list.methods[0][1] + '.';
    if (fit.length) put(element('ol', { class: load ? 'units for-load' : 'units' }, ...fit.slice(0, shown).map((u) => row(u, load))));
    else put(none());
    more.hidden = fit.length <= shown;
    more.textContent = 'Show ' + Math.min(PACE, fit.length - shown) + ' more';
    section.classList.remove('waiting');
  }

  function apply() {
    showChosen();
    if (pager) pager.hidden = !plain(state);
    if (plain(state)) {
      latest++;
      put(listed);
      more.hidden = here.hidden = true;
      found.textContent = atFirst;
      section.classList.remove('waiting');
      return;
    }
    if (list) return show();
    const turn = ++latest;
    found.textContent = 'Fetching the list of all units …';
    window.wattsheet.readList(index, (read) => {
      list = read;
      if (turn === latest) {
        show();
        if (history.state && history.state.y) scrollTo(0, history.state.y);
      }
    }, () => {
      section.classList.remove('waiting');
      found.textContent = 'The list could not be fetched. All units stand below, by date.';
      put(listed);
      more.hidden = here.hidden = true;
      if (pager) pager.hidden = false;
    });
  }

  // Asks for something else; step says that the way back should lead here.
  function ask(next, step) {
    const was = address(state);
    state = next;
    shown = PACE;
    const now = address(state);
    if (now !== was) history[step ? 'pushState' : 'replaceState'](null, '', now ? '#' + now : location.pathname + location.search);
    toForm();
    apply();
  }

  let typing, typed;
  form.addEventListener('input', (event) => {
    if (event.target.type !== 'search' && event.target.type !== 'text') return;
    clearTimeout(typing);
    typing = setTimeout(() => {
      ask(fromForm(), typed !== event.target);
      typed = event.target;
    }, 200);
  });
  form.addEventListener('change', (event) => {
    clearTimeout(typing);
    typed = null;
    ask(fromForm(), true);
  });
  form.addEventListener('keydown', (event) => {
    if (event.key === 'Enter' && event.target.type === 'search') event.target.blur(); // a phone's keyboard goes
  });
  more.addEventListener('click', () => {
    const next = shown;
    shown += PACE;
    show();
    section.querySelectorAll('.unit h3 a')[next].focus();
  });
  addEventListener('popstate', () => {
    if (location.hash && !location.hash.includes('=')) return; // a place on this page
    state = asked();
    shown = PACE;
    typed = null;
    toForm();
    apply();
  });
  addEventListener('pagehide', () => {
    if (!plain(state)) history.replaceState({ y: scrollY }, '');
  });

  toForm();
  if (!plain(state)) {
    section.classList.add('waiting'); // nothing that goes at once is painted
    apply();
    if (!history.state) form.scrollIntoView();
  }
})();
