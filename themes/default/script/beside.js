// Sets two to four units beside each other. The address names them after its #, and the point at which they are
// compared: #slug+slug&at=4-thd1. Names are looked up in the list of all units before anything is loaded for them.
(() => {
  'use strict';

  const MOST = 4;
  const page = document.getElementById('beside');
  const words = JSON.parse(document.getElementById('beside-words').textContent);
  const { apart, chart } = wattsheet;
  const [choose, search, hint, found, said, result] = ['choose', 'search', 'hint', 'found', 'said', 'result'].map((id) => document.getElementById(`beside-${id}`));
  const methods = new Map(words.methods.map(({ id, title }) => [id, title]));
  const narrow = matchMedia('(max-width: 43.99rem)');
  let list = null; // the units of the site by slug, once it is there
  let state = { slugs: [], at: '' };
  let shown = []; // the data of the units that are shown
  let asked = false; // the reader did something here: the focus then goes to what came of it
  let times = 0; // how often something was asked for: what comes late is dropped

  // ---- Elements ----

  function element(name, attributes = {}, ...inside) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) {
      if (key === 'onclick') made.addEventListener('click', value);
      else if (value !== false) made.setAttribute(key, value === true ? '' : value);
    }
    put(made, inside);
    return made;
  }

  const put = (into, ...inside) => into.append(...inside.flat(Infinity).filter((x) => x !== null && x !== undefined));
  const button = (text, onclick, more = {}) => element('button', { type: 'button', class: 'beside-button', onclick, ...more }, text);
  const name = (text) => element('bdi', {}, text);
  const isolated = (unit) => apart.isolated(unit.name);
  const mark = (verdict) => document.querySelector(`template[data-mark="${CSS.escape(verdict)}"]`)?.content.cloneNode(true) ?? '';
  const verdict = (of, text) => element('span', { class: `verdict ${of}` }, mark(of), element('span', {}, text));
  const value = (text) => (text ? element('span', { class: 'value' }, text) : null);
  const home = (unit, id = '') => `${words.units}${unit.slug}/index.html${id}`;
  const say = (text) => { said.textContent = text; };
  const tip = (text) => { hint.textContent = text; say(text); };

  // ---- What is asked for ----

  function read() {
    const [units, ...rest] = decodeURIComponent(location.hash.slice(1).replace(/%(?![0-9a-f]{2})/gi, '%25')).split('&');
    const at = rest.find((part) => part.startsWith('at='));
    return { slugs: [...new Set(units.split('+').filter(Boolean))], at: at ? at.slice(3) : '' };
  }

  const hash = ({ slugs, at }) => `#${slugs.join('+')}${at ? `&at=${at}` : ''}`;

  function go(next, quietly) {
    if (hash(next) === location.hash || (!next.slugs.length && !location.hash)) return show();
    if (!quietly) { location.hash = hash(next); return undefined; }
    history.replaceState(null, '', hash(next));
    return show();
  }

  const ready = () => new Promise((done, failed) => wattsheet.readList(words.list, (all) => {
    list ??= new Map(all.units.map((unit) => [unit.slug, unit]));
    done(list);
  }, failed));

  const loads = new Map();

  // load gives a unit's data. The slug is one of the list's: no other ever becomes part of a path.
  function load(slug) {
    if (!loads.has(slug)) {
      loads.set(slug, new Promise((done, failed) => {
        const script = element('script', { src: `${words.units}${slug}/${words.script}` });
        script.addEventListener('load', () => done(wattsheet.beside[slug]));
        script.addEventListener('error', () => { loads.delete(slug); failed(new Error(slug)); });
        document.head.append(script);
      }));
    }
    return loads.get(slug);
  }

  async function show() {
    const mine = ++times;
    state = read();
    arrange(state.slugs.length > 1);
    if (!state.slugs.length) { shown = []; draw([]); return; }
    const wrong = [];
    try {
      await ready();
      const known = state.slugs.filter((slug) => list.has(slug));
      const left = state.slugs.filter((slug) => !list.has(slug));
      if (left.length) wrong.push(`No sheet here is called ${left.map((slug) => `“${slug.slice(0, 60)}”`).join(', ')}.`);
      if (known.length > MOST) wrong.push(`${MOST} units fit beside each other: the first ${MOST} are shown.`);
      const units = await Promise.all(known.slice(0, MOST).map((slug) => load(slug)));
      if (mine !== times) return;
      shown = units;
    } catch {
      if (mine !== times) return;
      shown = [];
      wrong.push('The data could not be loaded. Where this page was saved by itself, open it on its site.');
    }
    draw(wrong);
  }

  // ---- Choosing ----

  const plain = (text) => text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase();

  async function look() {
    const wanted = plain(search.value).split(/\s+/).filter(Boolean);
    try {
      await ready();
    } catch {
      tip('The list of units could not be loaded.');
      return;
    }
    const has = (unit) => { const text = plain(`${unit.name} ${unit.kind} ${unit.year}`); return wanted.every((word) => text.includes(word)); };
    const like = list.get(state.slugs.find((slug) => list.has(slug)))?.kind; // what is asked about is mostly another of a kind
    const hits = [...list.values()].filter((unit) => !state.slugs.includes(unit.slug) && has(unit));
    if (!wanted.length) hits.sort((a, b) => (b.kind === like) - (a.kind === like));
    found.replaceChildren(...hits.slice(0, 8).map((unit) => element('li', {},
      button([name(unit.name), element('span', { class: 'soft' }, ` ${[unit.kind, unit.year].filter(Boolean).join(', ')}`)], () => add(unit)))));
    found.hidden = !hits.length;
    const rest = hits.length > 8 ? ', the first 8 are shown' : '';
    if (!wanted.length) tip(hits.length ? `The newest${like ? `, ${like} first` : ''}. Type to find others.` : '');
    else tip(hits.length === 1 ? '1 unit found.' : `${hits.length || 'No'} units found${rest}.`);
  }

  // close takes the offers away.
  function close() {
    found.replaceChildren();
    found.hidden = true;
    hint.textContent = '';
  }

  function add(unit) {
    const room = state.slugs.filter((slug) => list.has(slug));
    if (room.length >= MOST) { tip(`${MOST} units are chosen already: take one out first.`); return; }
    search.value = '';
    close();
    asked = true;
    go({ ...state, slugs: [...room, unit.slug] });
  }

  function takeOut(unit) {
    asked = true;
    go({ ...state, slugs: state.slugs.filter((slug) => slug !== unit.slug && (!list || list.has(slug))) });
  }

  // arrange puts what is chosen first and the choosing behind it, once there is something to see.
  function arrange(several) {
    page.dataset.several = several;
    document.body.classList.toggle('beside-several', several);
    if (several) result.after(choose); else result.before(choose);
  }

  // ---- Points ----

  const pointOf = (unit, key) => unit.points.find((point) => point.key === key);
  const title = (point) => apart.fill(words.phrases.at, { load: point.load, method: methods.get(point.method) ?? point.method });

  // points are those of the units shown: by method in the site's order, then load; each with who stands there.
  function points() {
    const all = new Map();
    for (const unit of shown) {
      for (const point of unit.points) {
        if (!all.has(point.key)) all.set(point.key, { key: point.key, point, title: title(point), units: 0 });
        if (apart.stands(point)) all.get(point.key).units++;
      }
    }
    const order = words.methods.map(({ id }) => id);
    return [...all.values()].sort((a, b) => order.indexOf(a.point.method) - order.indexOf(b.point.method)
      || b.point.ohm - a.point.ohm || Number(a.point.bridged ?? false) - Number(b.point.bridged ?? false));
  }

  // chosen is the point of the address, or else the one that most units share, the highest load by the first method.
  const chosen = (all) => all.find(({ key }) => key === state.at) ?? all.reduce((best, p) => (best && best.units >= p.units ? best : p), null);

  // pairs are all pairs of the units that have runs at a point, compared.
  function pairs(at) {
    const there = shown.filter((unit) => pointOf(unit, at.key));
    const side = ({ slug, name: called }) => ({ slug, name: called, called, point: pointOf(shown.find((u) => u.slug === slug), at.key) });
    return there.flatMap((a, n) => there.slice(n + 1).map((b) => apart.compare(side(a), side(b), at.title, words)));
  }

  // ---- Drawing ----

  function tell() {
    const names = shown.map(isolated).join(', ');
    if (!shown.length) say('');
    else if (shown.length === 1) say(`${names} is chosen. Add another to compare it with.`);
    else say(`${shown.length} units are beside each other: ${names}.`);
  }

  function draw(wrong) {
    const all = points(), at = chosen(all);
    if (at && state.at && at.key !== state.at) wrong.push(`None of these has a run at “${state.at.slice(0, 60)}”: another point is shown.`);
    document.title = `${shown.length ? shown.map(isolated).join(' beside ') : 'Units beside each other'}`;
    result.dataset.units = shown.length;
    result.replaceChildren(...wrong.map((text) => element('p', { class: 'beside-wrong' }, text)));
    if (shown.length < 2) arrange(false);
    if (!shown.length) { put(result, empty()); say(wrong.join(' ')); refocus(); return; }
    put(result, finding(all, at), sideBySide(at));
    if (at) put(result, ...drawings(at));
    if (shown.length > 1 && all.length) put(result, everywhere(all));
    tell();
    if (wrong.length) say(`${wrong.join(' ')} ${said.textContent}`);
    refocus();
  }

  // refocus takes the focus on after something was added or taken out, as what had it is gone.
  function refocus() {
    if (!asked) return;
    asked = false;
    (shown.length > 1 ? document.getElementById('beside-head') : search).focus();
  }

  const empty = () => element('p', { class: 'soft' }, 'No unit is chosen yet. Type a name above, or follow “Set beside” on a sheet or in a list.');

  // finding is the headline: what the measurements tell at the point, with the choice of the point.
  function finding(all, at) {
    const section = element('section', { class: 'beside-finding', 'aria-labelledby': 'beside-head' });
    const head = (text) => element('h2', { id: 'beside-head', class: 'beside-head', tabindex: '-1' }, text);
    if (shown.length === 1) {
      put(section, head('One unit so far'), element('p', { class: 'soft' }, 'Add one or more to set beside it.'));
    } else if (!at) {
      put(section, head('No point in common'), element('p', { class: 'soft' }, 'None of these units has a run.'));
    } else {
      const compared = pairs(at), told = compared.filter((d) => d.side).length;
      if (!compared.length || at.units < 2) {
        put(section, head(`Not compared at ${at.title}`));
        put(section, element('p', { class: 'soft' }, all.some((p) => p.units > 1)
          ? 'Fewer than two of them have a figure there. Choose another load.' : 'They have no load and method in common at which both have a figure.'));
        put(section, ...compared.map((d) => element('p', {}, d.why)));
      } else if (compared.length === 1) {
        put(section, head(compared[0].why), numbers(compared[0]));
      } else {
        put(section, head(`${told === 0 ? 'None' : told} of ${compared.length} pairs told apart into ${at.title}`));
        put(section, controls(all, at), element('ul', { class: 'beside-pairs' }, compared.map((d) => element('li', {}, d.why))));
        return section;
      }
    }
    put(section, controls(all, at));
    return section;
  }

  const numbers = (d) => (d.chance ? element('p', { class: 'soft' }, `${d.chance}; ${d.carried}.`) : null);

  function controls(all, at) {
    const select = element('select', { id: 'beside-at', class: 'beside-select' }, all.map((p) => element('option', { value: p.key, selected: p === at },
      `${p.title}${shown.length > 1 ? ` (${p.units} of ${shown.length})` : ''}`)));
    select.addEventListener('change', () => { go({ slugs: shown.map((unit) => unit.slug), at: select.value }, true); document.getElementById('beside-at')?.focus(); });
    const more = shown.length > 1 && shown.length < MOST ? button('Add a unit', () => search.focus()) : null;
    const copy = button('Copy the link', async () => {
      try {
        await navigator.clipboard.writeText(location.href);
        say('The link is copied.');
      } catch {
        say('The browser doesn’t let this page copy. The link is in the address bar.');
      }
    });
    return element('div', { class: 'beside-controls' },
      all.length ? element('label', { for: 'beside-at' }, 'Load and method') : null, all.length ? select : null, more, copy);
  }

  // row is one fact of all units: its name beside them, or above them on narrow screens.
  function row(label, cells, href) {
    const head = href ? element('a', { href }, label) : label;
    const tds = cells.map((cell) => element('td', {}, cell ?? element('span', { class: 'soft' }, '–')));
    if (!narrow.matches) return element('tbody', {}, element('tr', {}, element('th', { scope: 'row' }, head), tds));
    return element('tbody', {}, element('tr', {}, element('th', { scope: 'rowgroup', colspan: cells.length }, head)), element('tr', {}, tds));
  }

  const group = (text) => element('tbody', { class: 'beside-group' },
    element('tr', {}, element('th', { scope: 'rowgroup', colspan: shown.length + (narrow.matches ? 0 : 1) }, text)));

  function heads(more) {
    return element('thead', {}, element('tr', {}, narrow.matches ? null : element('td', {}),
      shown.map((unit) => element('th', { scope: 'col' }, element('a', { href: home(unit) }, name(unit.name)), more ? more(unit) : null))));
  }

  const boxed = (label, id, ...inside) => {
    const table = element('table', { class: `beside-table beside-${shown.length}` }, element('caption', {}, label), inside);
    return element('div', { class: 'table-box', tabindex: '0', role: 'region', 'aria-label': `${label}: the table`, id }, table);
  };

  // facts gives one row for each name that any of the units has a fact of, in the order met.
  function facts(of) {
    const names = [...new Set(shown.flatMap((unit) => of(unit).map((fact) => fact.name)))];
    return names.map((label) => row(label, shown.map((unit) => of(unit).find((fact) => fact.name === label)?.text).map((text) => (/ ± /.test(text) ? value(text) : text))));
  }

  function sideBySide(at) {
    const section = element('section', { 'aria-labelledby': 'beside-side' });
    const out = (unit) => button('Take out', () => takeOut(unit), { 'aria-label': `Take out ${isolated(unit)}` });
    const rows = [];
    if (at) {
      const there = (unit) => pointOf(unit, at.key);
      rows.push(group(`Measured at ${at.title}`));
      rows.push(row('Total power', shown.map((unit) => power(there(unit)))));
      rows.push(row('Efficiency', shown.map((unit) => value(there(unit)?.efficiency))));
      rows.push(...facts((unit) => there(unit)?.ratios ?? []));
    }
    const claimed = [...new Set(shown.flatMap((unit) => unit.claims.map((claim) => claim.what)))];
    if (claimed.length) {
      rows.push(group('Claims, on one scale'));
      const scale = chart.scaleOf(shown.flatMap((unit) => unit.claims));
      for (const what of claimed) rows.push(row(what, shown.map((unit) => claims(unit, what, scale))));
    }
    rows.push(group('The units'), row('Claims', shown.map((unit) => (unit.counts.length
      ? element('ul', { class: 'beside-counts' }, unit.counts.map((c) => element('li', {}, verdict(c.verdict, c.text)))) : null))));
    rows.push(...facts((unit) => unit.facts), row('How it came', shown.map((unit) => unit.source)));
    put(section, element('h2', { id: 'beside-side' }, shown.length > 1 ? 'Side by side' : 'The unit'), boxed('Side by side', 'beside-sides', heads(out), rows));
    return section;
  }

  const driven = (point) => `${point.channels}\u00a0${point.bridged ? 'bridged pair' : 'channel'}${point.channels > 1 ? 's' : ''} driven, ${point.supply}`;

  function power(point) {
    if (!point) return element('span', { class: 'soft' }, 'no run there');
    if (!apart.stands(point)) return element('span', { class: 'soft' }, `no figure: ${point.why}`);
    return [element('strong', { class: 'figure' }, point.total), element('span', { class: 'note' }, driven(point)),
      point.lacks ? element('span', { class: 'lacks' }, 'uncertainty incomplete') : null, point.doubt ? element('span', { class: 'note' }, point.doubt) : null];
  }

  // claims are what a unit's maker claims for one thing; the label tells what is special about it.
  function claims(unit, what, scale) {
    const all = unit.claims.filter((claim) => claim.what === what);
    if (!all.length) return null;
    return all.map((claim) => element('div', { class: `beside-claim ${claim.verdict}` },
      claim.label === what ? null : element('span', { class: 'note' }, claim.label),
      element('a', { class: 'beside-verdict', href: home(unit, `#claim-${claim.id}`) }, verdict(claim.verdict, claim.word)),
      element('div', { class: 'claim-drawing' }, claim.limit ? chart.claimLine(claim, scale) : ''),
      claim.figure ? element('strong', { class: 'figure in-words' }, claim.figure) : null, ' ', element('span', { class: 'of' }, claim.of),
      claim.lacks ? element('span', { class: 'lacks' }, 'uncertainty incomplete') : null));
  }

  // drawings are the charts of the method that was chosen; their data stand in the tables.
  function drawings(at) {
    const title = methods.get(at.point.method) ?? at.point.method;
    const of = (value, spread, text) => shown.map((unit) => ({ name: unit.name, model: unit.model, points: unit.points
      .filter((p) => p.method === at.point.method && apart.stands(p) && p[value] > 0)
      .map((p) => ({ ohm: p.ohm, bridged: p.bridged ?? false, y: p[value], u: p[spread] ?? 0, told: [p[text], unit.name, `${p.load}, ${driven(p)}`] })) }));
    return [['Total power by load', 'P / W', 'total_w', 'total_u_w', 'total'], ['Efficiency by load', 'η / %', 'efficiency_pct', 'efficiency_u_pct', 'efficiency']]
      .map(([head, unit, ...names]) => chart.byLoad(`${head}, ${title}`, unit, of(...names))).filter(Boolean);
  }

  // everywhere is the comparison at each point, in the order of the loads.
  function everywhere(all) {
    const section = element('section', { 'aria-labelledby': 'beside-all' }), width = shown.length + (narrow.matches ? 0 : 1);
    const bodies = all.map((at) => {
      const body = row(at.title, shown.map((unit) => { const p = pointOf(unit, at.key); return [power(p), p?.efficiency ? element('span', { class: 'note' }, `efficiency ${p.efficiency}`) : null]; }),
        hash({ slugs: shown.map((unit) => unit.slug), at: at.key }));
      const compared = at.units > 1 ? pairs(at) : [];
      if (compared.length) {
        body.append(element('tr', { class: 'beside-told' }, narrow.matches ? null : element('td', {}),
          element('td', { colspan: shown.length }, compared.map((d) => element('p', {}, d.why, compared.length > 1 && d.chance ? element('span', { class: 'soft' }, ` ${d.chance}; ${d.carried}.`) : d.pText ? element('span', { class: 'soft' }, ` P\u00a0${/^[<>]/.test(d.pText) ? '' : '=\u00a0'}${d.pText}`) : null)))));
      }
      return body;
    });
    put(section, element('h2', { id: 'beside-all' }, 'At every load'),
      shown.length > 2 ? null : element('p', { class: 'soft' }, 'P is the probability that ', name(shown[0].name), ' gives more, over the corners of the conditions.'),
      boxed('At every load', 'beside-everywhere', heads(), bodies));
    return section;
  }

  // ---- Beginning ----

  page.hidden = false;
  search.addEventListener('input', look);
  search.addEventListener('focus', look);
  search.addEventListener('keydown', (event) => {
    if (event.key === 'Escape') { search.value = ''; close(); }
    if (event.key === 'Enter' && found.children.length === 1) found.querySelector('button').click();
  });
  addEventListener('hashchange', show);
  narrow.addEventListener('change', () => draw([]));
  show();
})();
