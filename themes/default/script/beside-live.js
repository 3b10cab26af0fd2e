// Makes a drawing of units beside each other answer, as the charts of sheets do: a mark that is pointed at, tapped or
// reached by arrow keys tells its figure, and each unit can be taken out of sight. The chart library would be a
// hundred times this script, and a drawing that is there needs no second one. Nothing is computed here.
(() => {
  'use strict';

  const NEAR = 18; // pixels from a mark within which pointing at it counts
  const STEPS = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };
  let numbers = 0;

  function element(name, attributes, ...inside) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...inside);
    return made;
  }

  const middle = (mark) => {
    const at = mark.getBoundingClientRect();
    return [at.left + at.width / 2, at.top + at.height / 2];
  };

  // live is given a figure with its box of drawings, whose marks are numbered, and what each mark tells: lines of text.
  function live(figure, title, told) {
    const box = figure.querySelector('.beside-box');
    const hint = element('p', { class: 'chart-hint', id: `beside-hint-${++numbers}` },
      'Point at a mark, tap it, or use the arrow keys for its figure and conditions. Escape closes them.');
    const tip = element('div', { class: 'beside-tip chart-tip-text', hidden: '' });
    const said = element('p', { class: 'chart-say', 'aria-live': 'polite' });
    let current = null, leaving = 0;
    for (const [key, value] of Object.entries({ tabindex: 0, role: 'application', 'aria-roledescription': 'chart', 'aria-label': title, 'aria-describedby': hint.id })) box.setAttribute(key, value);
    box.before(hint);
    box.append(tip, said);

    // marks are those that are seen, in the order of their numbers: of one drawing, for the other is for another width.
    const marks = () => [...box.querySelectorAll('.beside-point')].filter((mark) => mark.getClientRects().length)
      .sort((a, b) => a.dataset.point - b.dataset.point);

    function hide() {
      clearTimeout(leaving);
      current?.classList.remove('beside-on');
      current = null;
      tip.hidden = true;
    }

    function reveal(mark, speak) {
      clearTimeout(leaving);
      if (mark === current && !speak) return;
      hide();
      current = mark;
      mark.classList.add('beside-on');
      const lines = told[mark.dataset.point];
      tip.replaceChildren(...lines.map((line) => element('p', {}, line)));
      tip.hidden = false;
      const [x, y] = middle(mark), around = box.getBoundingClientRect();
      const left = x - around.left - tip.offsetWidth / 2, above = y - around.top - tip.offsetHeight - 14;
      tip.style.left = `${Math.max(0, Math.min(left, around.width - tip.offsetWidth))}px`;
      tip.style.top = `${above < 0 ? y - around.top + 14 : above}px`;
      if (speak) {
        const all = marks();
        said.textContent = `${lines.join('. ')}. Point ${all.indexOf(mark) + 1} of ${all.length}.`;
      }
    }

    function leave() {
      clearTimeout(leaving);
      leaving = setTimeout(hide, 250);
    }

    function point(event) {
      if (tip.contains(event.target)) { clearTimeout(leaving); return; }
      let best = null, nearest = NEAR;
      for (const mark of marks()) {
        const [x, y] = middle(mark), distance = Math.hypot(x - event.clientX, y - event.clientY);
        if (distance < nearest) [best, nearest] = [mark, distance];
      }
      if (best) reveal(best); else leave();
    }

    box.addEventListener('pointermove', (event) => { if (event.pointerType === 'mouse') point(event); });
    box.addEventListener('click', point);
    box.addEventListener('pointerleave', (event) => { if (event.pointerType === 'mouse') leave(); });
    box.addEventListener('blur', hide);
    box.addEventListener('keydown', (event) => {
      const all = marks(), last = all.length - 1, at = all.indexOf(current);
      if (event.altKey || event.ctrlKey || event.metaKey || last < 0) return;
      if (event.key === 'Escape') {
        hide();
        said.textContent = '';
      } else if (event.key in STEPS) {
        const from = at < 0 && STEPS[event.key] < 0 ? last + 1 : at;
        reveal(all[Math.min(Math.max(from + STEPS[event.key], 0), last)], true);
      } else if (event.key === 'Home' || event.key === 'End') {
        reveal(all[event.key === 'Home' ? 0 : last], true);
      } else return;
      event.preventDefault();
    });
    for (const button of figure.querySelectorAll('button[data-series]')) {
      button.addEventListener('click', () => {
        const out = button.getAttribute('aria-pressed') === 'true';
        button.setAttribute('aria-pressed', String(!out));
        for (const series of box.querySelectorAll(`[data-series="${button.dataset.series}"]`)) series.classList.toggle('beside-off', out);
        hide();
      });
    }
    return figure;
  }

  const root = globalThis.wattsheet = globalThis.wattsheet || {};
  root.live = live;
})();
