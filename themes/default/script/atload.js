// Shows the rows of the tables of "at my load" that a reader asks for. Loads, figures and sentences are all in the page;
// nothing is computed here. What was chosen stands in the address, so that it can be linked.
(function () {
  'use strict';

  const part = document.querySelector('.at-load');
  if (!part) return;
  const find = (selector) => part.querySelector(selector);
  const form = find('.at-form');
  const answer = find('.at-answer');
  const data = JSON.parse(find('.at-data').textContent);
  const results = [...part.querySelectorAll('.at-results tbody tr')];
  const heads = [...part.querySelectorAll('.at-results thead th')];
  const leads = [...part.querySelectorAll('.at-leads tbody tr')];
  const fields = form.elements;
  const NAME = '#at-my-load';

  function element(name, kind, ...content) {
    const made = document.createElement(name);
    if (kind) made.className = kind;
    made.append(...content);
    return made;
  }

  const chosen = (name) => (fields[name] ? fields[name].value : '');

  // The ways to wire the chosen coils, as buttons; the one asked for, or else the lowest load, is set.
  function wire(asked) {
    const [coils, ohm] = chosen('coils').split('x');
    const ways = data.wired.filter((w) => String(w[0]) === chosen('speakers') && String(w[1]) === coils);
    const at = [...fields.coils].filter((c) => c.value.startsWith(coils + 'x')).findIndex((c) => c.value === coils + 'x' + ohm);
    const row = find('.at-wired');
    row.replaceChildren(...ways.map((w, i) => {
      const input = element('input');
      Object.assign(input, { type: 'radio', name: 'wired', value: w[2] });
      input.dataset.load = w[4 + at];
      input.checked = w[2] === asked || (i === 0 && !ways.some((o) => o[2] === asked));
      return element('label', '', input, ' ' + w[3]);
    }));
    row.parentNode.hidden = ways.length < 2;
  }

  // The load asked for as the tables name it, and how the answer names it.
  function load() {
    if (chosen('load')) return [chosen('load'), chosen('load')];
    const input = form.querySelector('input[name=wired]:checked');
    const name = input.dataset.load + (chosen('to') === 'pair' ? ' bridged' : '');
    const n = chosen('speakers');
    const how = form.querySelectorAll('input[name=wired]').length > 1 ? ' ' + input.parentNode.textContent.trim() : '';
    const speaker = (chosen('coils')[0] === '1' ? 'single ' : '') + form.querySelector('input[name=coils]:checked').parentNode.textContent.trim();
    const title = (n === '1' ? '' : n + ' × ') + speaker + how + ': ' + name;
    return [name, title[0].toUpperCase() + title.slice(1)];
  }

  const cells = (row) => [...row.cells].slice(-(heads.length - 1));
  const words = (cell) => cell.textContent.trim();

  function fact(list, name, ...content) {
    list.append(element('div', '', element('dt', '', name), element('dd', '', ...content)));
  }

  function result(at) {
    const [method, how, power, u, claim, amps, heat, fuse, least, leastU] = cells(results[at]);
    const box = element('div', 'at-result');
    const estimate = how.className === 'estimate';
    const kind = element('p', 'at-kind', element('strong', '', estimate ? 'Estimate' : 'Measured'), ', ' + words(method));
    const alone = least && words(leastU) === '–';
    if (alone) kind.append(', ' + words(least));
    if (estimate) kind.append(', by the load line: no measurement');
    else kind.append(', ', ...[...how.cloneNode(true).childNodes]);
    box.append(kind);
    const exact = (text, unit) => (text.includes('±') ? '(' + text + ')' : text) + '\u00a0' + unit;
    if (words(power) !== '–') {
      box.append(element('p', 'at-figure', element('strong', 'figure', words(u) === '–' ? words(power) + '\u00a0W' : '(' + words(power) + ' ± ' + words(u) + ')\u00a0W'), least && !alone ? ' in all' : '', ...claim.cloneNode(true).childNodes));
    }
    const facts = element('dl', 'facts');
    if (least && !alone) fact(facts, 'A channel, at least', words(least) + ' ± ' + words(leastU) + '\u00a0W');
    if (words(amps) !== '–') fact(facts, 'Supply', exact(words(amps), 'A'));
    if (words(heat) !== '–') fact(facts, 'Heat in it', exact(words(heat), 'W'));
    if (words(fuse) !== '–') fact(facts, 'Fuse', ...fuse.cloneNode(true).childNodes);
    const lead = leads[data.lead[at]];
    if (lead) {
      const column = 1 + fields.metal.selectedIndex * fields.m.options.length + fields.m.selectedIndex;
      fact(facts, 'Lead, ' + chosen('m') + '\u00a0m of ' + chosen('metal'), words(lead.cells[column]) + ' lost');
    }
    box.append(facts);
    return box;
  }

  function show() {
    const [name, title] = load();
    const found = data.loads[name];
    const head = element('h3', '', title);
    if (Array.isArray(found)) {
      answer.replaceChildren(head, ...Array.from({ length: found[1] }, (_, i) => result(found[0] + i)));
    } else {
      answer.replaceChildren(head, element('p', 'at-refused', data.why[found].replace('*', name)));
    }
  }

  function address() {
    const state = new URLSearchParams();
    if (chosen('load')) state.set('load', chosen('load').replace('\u00a0Ω', ''));
    else {
      const [coils, ohm] = chosen('coils').split('x');
      for (const [key, value] of [['speakers', chosen('speakers')], ['coils', coils], ['ohm', ohm], ['wired', chosen('wired')]]) state.set(key, value);
      if (chosen('to') === 'pair') state.set('to', 'pair');
    }
    if (fields.m) for (const key of ['m', 'metal']) if (fields[key].selectedIndex !== +fields[key].dataset.usual) state.set(key, chosen(key));
    history.replaceState(null, '', NAME + '?' + state);
  }

  // Sets a field to a value of its own; anything else leaves it.
  function set(name, value) {
    const field = fields[name];
    if (field && value && [...(field.options || field)].some((o) => o.value === value)) field.value = value;
  }

  function read() {
    if (!location.hash.startsWith(NAME)) return false;
    const state = new URLSearchParams(location.hash.slice(NAME.length + 1));
    set('coils', state.get('coils') + 'x' + state.get('ohm'));
    for (const key of ['speakers', 'to', 'm', 'metal']) set(key, state.get(key));
    const load = state.get('load') || '';
    set('load', load.replace(/^[\d.]+/, '$&\u00a0Ω'));
    if (!load) fields.load.value = '';
    settle(state.get('wired'));
    return true;
  }

  // What isn't chosen is as usual; of a load asked for by itself, no coils are.
  function settle(asked) {
    if (chosen('load')) {
      for (const input of form.querySelectorAll('input')) input.checked = false;
    } else {
      for (const [name, value] of [['coils', '1x4'], ['speakers', '1'], ['to', 'channel']]) if (!chosen(name)) set(name, value);
    }
    wire(asked);
  }

  set('m', '5');
  for (const key of ['m', 'metal']) if (fields[key]) fields[key].dataset.usual = fields[key].selectedIndex;
  const asked = read();
  if (!asked) settle('');
  form.hidden = answer.hidden = false;
  show();
  if (asked) part.scrollIntoView();

  form.addEventListener('change', (event) => {
    if (!['load', 'm', 'metal'].includes(event.target.name)) fields.load.value = '';
    if (event.target.name !== 'wired') settle(chosen('wired'));
    show();
    address();
  });
  addEventListener('hashchange', () => { if (read()) show(); });
})();
