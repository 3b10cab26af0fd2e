// Shows the rows of "at my load" that are asked for; all are in the page, nothing is computed. The address keeps the choice.
(function () {
  'use strict';

  const part = document.querySelector('.at-load');
  if (!part) return;
  const find = (selector) => part.querySelector(selector);
  const all = (selector) => [...part.querySelectorAll(selector)];
  const form = find('.at-form');
  const answer = find('.at-answer');
  const data = JSON.parse(find('.at-data').textContent);
  const results = all('.at-results tbody tr');
  const columns = all('.at-results thead th').length;
  const leads = all('.at-leads tbody tr');
  const NAME = '#at-my-load';
  const USUAL = { coils: '1x4', speakers: '1', to: 'channel', m: '5', metal: 'copper' };

  function element(name, kind, ...content) {
    const made = document.createElement(name);
    if (kind) made.className = kind;
    made.append(...content);
    return made;
  }

  const fields = (name) => all('[name=' + name + ']');
  const chosen = (name) => (fields(name).find((f) => f.options || f.checked) || { value: '' }).value;
  const words = (node) => node.textContent.trim();
  const exact = (text, unit) => (text.includes('±') ? '(' + text + ')' : text) + '\u00a0' + unit;

  // Any other value than its own leaves a field.
  function set(name, value) {
    for (const f of fields(name)) {
      if (!f.options) f.checked = f.checked || f.value === value;
      else if ([...f.options].some((o) => o.value === value)) f.value = value;
    }
  }

  let astray; // in ohms

  const clear = () => all('input').forEach((input) => { input.checked = false; });

  // A load by itself has no coils; else what isn't chosen is as at first.
  function settle(asked) {
    if (chosen('load')) clear();
    else {
      for (const name of ['coils', 'speakers', 'to']) {
        if (!chosen(name)) fields(name).forEach((f) => { f.checked = f.defaultChecked; });
        if (!chosen(name)) set(name, USUAL[name]);
      }
    }
    const coils = chosen('coils');
    const alike = fields('coils').map((c) => c.value).filter((v) => v[0] === coils[0]);
    const ways = data.wired.filter((w) => w[0] + ' ' + w[1] === chosen('speakers') + ' ' + coils[0]);
    const row = find('.at-wired');
    row.replaceChildren(...ways.map((w) => {
      const input = element('input');
      Object.assign(input, { type: 'radio', name: 'wired', value: w[2] });
      input.dataset.load = w[4 + alike.indexOf(coils)];
      return element('label', '', input, ' ' + w[3]);
    }));
    row.parentNode.hidden = ways.length < 2;
    if (ways.length) {
      row.querySelector('input').checked = true;
      set('wired', asked);
    }
  }

  function load() {
    if (chosen('load')) return [chosen('load'), chosen('load')];
    const input = find('[name=wired]:checked');
    const name = input.dataset.load + (chosen('to') === 'pair' ? ' bridged' : '');
    const many = chosen('speakers') === '1' ? '' : chosen('speakers') + ' × ';
    const coil = (chosen('coils')[0] === '1' ? 'single ' : '') + words(find('[name=coils]:checked').parentNode);
    const title = many + coil + (fields('wired').length > 1 ? ' ' + words(input.parentNode) : '') + ': ' + name;
    return [name, title[0].toUpperCase() + title.slice(1)];
  }

  function result(at) {
    const [method, how, power, u, claim, amps, heat, fuse, least, leastU] = [...results[at].cells].slice(1 - columns);
    const copy = (cell) => [...cell.cloneNode(true).childNodes];
    const estimate = how.className === 'estimate';
    const alone = least && words(leastU) === '–';
    const kind = element('p', 'at-kind', element('strong', '', estimate ? 'Estimate' : 'Measured'), ', ' + words(method) + (alone ? ', ' + words(least) : ''));
    kind.append(', ', ...(estimate ? ['by the load line: no measurement'] : copy(how)));
    const facts = element('dl', 'facts');
    const fact = (name, cell, ...content) => {
      if (words(cell) !== '–') facts.append(element('div', '', element('dt', '', name), element('dd', '', ...content)));
    };
    const box = element('div', 'at-result', kind);
    if (words(power) !== '–') {
      const figure = words(u) === '–' ? words(power) : words(power) + ' ± ' + words(u);
      box.append(element('p', 'at-figure', element('strong', 'figure', exact(figure, 'W')), least && !alone ? ' in all' : '', ...copy(claim)));
    }
    if (least && !alone) fact('A channel, at least', least, words(least) + ' ± ' + words(leastU) + '\u00a0W');
    fact('Supply', amps, exact(words(amps), 'A'));
    fact('Heat in it', heat, exact(words(heat), 'W'));
    fact('Fuse', fuse, ...copy(fuse));
    const lead = leads[data.lead[at]];
    if (lead) {
      const [metal, m] = [fields('metal')[0], fields('m')[0]];
      const cell = lead.cells[1 + metal.selectedIndex * m.length + m.selectedIndex];
      fact('Lead, ' + chosen('m') + '\u00a0m of ' + chosen('metal'), cell, words(cell));
    }
    box.append(facts);
    return box;
  }

  function show() {
    const [name, title] = load();
    const found = data.loads[name];
    const told = found.length ? Array.from({ length: found[1] }, (_, i) => result(found[0] + i))
      : [element('p', 'at-refused', data.why[found].replace('*', name))];
    answer.replaceChildren(element('h3', '', (astray ? astray + '\u00a0Ω has no figure here. ' : '') + title), ...told);
    astray = 0;
  }

  function address() {
    const state = new URLSearchParams();
    const coils = chosen('coils').split('x');
    const entries = chosen('load') ? [['load', chosen('load').replace('\u00a0Ω', '')]]
      : [['speakers', chosen('speakers')], ['coils', coils[0]], ['ohm', coils[1]], ['wired', chosen('wired')], ['to', chosen('to')]];
    for (const [key, value] of [...entries, ['m', chosen('m')], ['metal', chosen('metal')]]) {
      if (value && (key === 'speakers' || value !== USUAL[key])) state.set(key, value);
    }
    history.replaceState(null, '', NAME + '?' + state);
  }

  // False where the address is none of ours.
  function read() {
    if (!location.hash.startsWith(NAME)) return false;
    const state = new URLSearchParams(location.hash.slice(NAME.length + 1));
    clear();
    set('load', '');
    set('load', (state.get('load') || '').replace(/^[\d.]+/, '$&\u00a0Ω'));
    set('coils', state.get('coils') + 'x' + state.get('ohm'));
    astray = chosen('load') || chosen('coils') ? 0 : +(state.get('load') || state.get('ohm'));
    for (const key of ['speakers', 'to', 'm', 'metal']) set(key, state.get(key) || USUAL[key]);
    settle(state.get('wired'));
    return true;
  }

  const asked = read();
  if (!asked) {
    set('m', USUAL.m);
    settle();
  }
  form.hidden = answer.hidden = false;
  show();
  if (asked) part.scrollIntoView();

  form.addEventListener('change', (event) => {
    const name = event.target.name;
    if (!['load', 'm', 'metal'].includes(name)) set('load', '');
    if (name !== 'wired') settle(chosen('wired'));
    show();
    address();
  });
  addEventListener('hashchange', () => { if (read()) show(); });
})();
