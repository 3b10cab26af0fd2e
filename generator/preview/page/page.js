// The second part of the preview's script: keeps a page current. It hears from the worker what became of the page, loads it
// again where the reader was, swaps stylesheets without that, and lists what is wrong in the content. Published pages don't
// have this script. Texts of the content are only ever set as text.
(function () {
  'use strict';

  const tag = document.currentScript;
  const framed = window !== top; // the page around it tells of everything
  const own = 'own' in tag.dataset || framed; // the problems are listed already
  const folder = new URL('.', tag.src);
  const mine = { page: tag.dataset.page, have: tag.dataset.have, look: tag.dataset.look };

  // ---- Where the reader was ----

  const KEY = 'preview ' + location.pathname;

  let named; // what has a name on the page as it was read: what scripts add later has other names the next time

  // The anchor of a place on the page: the last named element above the top of the window, and how far above. What is folded,
  // or laid out only near the window, isn't asked: that would lay it out.
  const laidOut = (one) => !one.checkVisibility || one.checkVisibility({ contentVisibilityAuto: true });
  function anchor() {
    let found = null;
    for (const one of document.querySelectorAll('main [id]')) {
      const [box] = laidOut(one) ? one.getClientRects() : [];
      if (box && box.top <= 0 && named.has(one)) found = { id: one.id, above: box.top };
    }
    return found;
  }

  // A name of an element by which it is found on the page when that is loaded again: the how-manieth of its kind within
  // the nearest named element, or the named element itself. What is quoted has a mark for the time being.
  const classesOf = (one) => [...one.classList].filter((name) => name !== 'quoted').join('.');
  const kindOf = (one) => [one.localName, classesOf(one), one.name || '', one.type === 'radio' ? one.value : ''].join(' ');
  const alike = (around, kind) => [...around.querySelectorAll('*')].filter((one) => kindOf(one) === kind);

  function nameOf(one) {
    const around = one.closest('[id]') || document.body;
    return { around: around.id, kind: kindOf(one), at: around === one ? -1 : alike(around, kindOf(one)).indexOf(one) };
  }

  function find({ around, kind, at }) {
    const inside = around ? document.getElementById(around) : document.body;
    return inside && (at < 0 ? inside : alike(inside, kind)[at]);
  }

  // What is scrolled within the page, such as a wide table. Asking every element where it is scrolled to would lay all of a
  // page out that isn't seen: they tell it.
  const scrolled = new Set();
  document.addEventListener('scroll', ({ target }) => {
    if (target instanceof Element) scrolled.add(target);
  }, { capture: true, passive: true });

  function boxes() {
    const moved = [...scrolled].filter((box) => box.isConnected && box.closest('main') && (box.scrollLeft || box.scrollTop));
    return moved.map((box) => ({ ...nameOf(box), x: box.scrollLeft, y: box.scrollTop }));
  }

  function putBox(kept) {
    find(kept)?.scrollTo({ left: kept.x, top: kept.y, behavior: 'instant' });
  }

  // What the reader typed or chose in fields, also where no address keeps it.
  const touched = new Set();
  const ticked = (field) => (field.type === 'radio' || field.type === 'checkbox' ? 'checked' : 'value');
  addEventListener('input', ({ target, isTrusted }) => {
    if (isTrusted && target.form !== undefined && target.type !== 'file') touched.add(target);
  }, true);

  const fields = () => [...touched].filter((f) => f.isConnected && (f.type !== 'radio' || f.checked)).map((f) => ({ ...nameOf(f), is: f[ticked(f)] }));

  function putField(kept) {
    const field = find(kept);
    if (!field) return;
    touched.add(field);
    if (field[ticked(field)] === kept.is) return;
    field[ticked(field)] = kept.is;
    for (const kind of ['input', 'change']) field.dispatchEvent(new Event(kind, { bubbles: true }));
  }

  // Where the reader is with the keyboard. While the preview's own dialog is open, that is where it took the focus from.
  let before = null;

  function focused() {
    const one = document.activeElement === host ? before : document.activeElement;
    if (!one || !one.isConnected || one === document.body || one === host) return null;
    return { ...nameOf(one), range: typeof one.selectionStart === 'number' ? [one.selectionStart, one.selectionEnd] : null };
  }

  function putFocus(kept) {
    const one = kept && document.activeElement === document.body && find(kept);
    if (!one) return;
    one.focus({ preventScroll: true });
    if (kept.range) one.setSelectionRange(...kept.range);
  }

  // What lies over the page: a theme's dialogs, and the bar of a figure that is quoted, with what was clicked for it.
  const over = () => [...document.querySelectorAll('dialog[open]')].map((one) => ({ ...nameOf(one), modal: one.matches(':modal') }));
  const bar = () => document.querySelector('.quote-bar:not([hidden])');
  let clicked = [];
  function click({ target }) {
    if (!bar()) clicked = [];
    else if (!bar().contains(target)) clicked = [...clicked.slice(0, 1), nameOf(target)];
  }

  function putOver(dialogs, clicks) {
    for (const kept of dialogs) {
      const one = find(kept);
      if (one && !one.open) one[kept.modal ? 'showModal' : 'show']();
    }
    const stay = (event) => event.preventDefault(); // where nothing takes the click, a link would lead away
    addEventListener('click', stay);
    for (const kept of clicks) find(kept)?.click();
    removeEventListener('click', stay);
  }

  // A fold's name: the nearest named element around it, and which of its folds it is.
  function foldName(fold) {
    const around = fold.closest('[id]') || document.body;
    return around.id + ' ' + [...around.querySelectorAll('details')].indexOf(fold);
  }

  // Folds tell that they were opened or closed: to find the names of all of them takes a while on a page of many.
  const turned = new Set();
  document.addEventListener('toggle', ({ target }) => {
    if (target.localName === 'details') turned.add(target);
  }, true);

  const folds = () => [...turned].filter((fold) => fold.isConnected).map((fold) => [foldName(fold), fold.open]);

  // What is chosen at a chart, by its buttons: charts know nothing of the preview.
  const buttons = (figure) => [...figure.querySelectorAll('.chart-controls button')];
  const pressed = (button) => button.getAttribute('aria-pressed') === 'true';
  const wishes = new Map(); // of charts that aren't live yet, by their id

  function charts() {
    const all = Object.fromEntries(wishes);
    for (const figure of document.querySelectorAll('figure.chart[id]')) {
      if (figure.dataset.live === 'ready') all[figure.id] = buttons(figure).map((b) => [b.textContent, pressed(b)]);
    }
    return all;
  }

  function choose(figure, wish) {
    const wanted = new Map(wish);
    for (const button of buttons(figure)) {
      const want = wanted.get(button.textContent);
      const view = button.closest('.chart-scales');
      if (want === undefined || want === pressed(button) || view && !want) continue;
      button.click();
    }
  }

  function whenLive(figure, act) {
    if (figure.dataset.live === 'ready') return act();
    new MutationObserver((_, watch) => {
      if (figure.dataset.live !== 'ready') return;
      watch.disconnect();
      act();
    }).observe(figure, { attributes: true, attributeFilter: ['data-live'] });
  }

  function keep() {
    try {
      const place = { x: scrollX, y: scrollY, anchor: scrollY > 0 ? anchor() : null };
      sessionStorage.setItem(KEY, JSON.stringify({
        place, folds: folds(), charts: charts(), boxes: boxes(), fields: fields(), focus: focused(), over: over(), clicks: bar() ? clicked : [],
      }));
    } catch { /* no storage: the page begins at its top */ }
  }

  // playing finds a video that was started. Loaded again it would begin anew, or stop.
  const playing = () => document.querySelector('.player iframe') || [...document.querySelectorAll('video, audio')].find((one) => !one.paused);

  // A page that the reader is leaving isn't loaded again, which would take the place of the one that is on its way. Where
  // none came, as after a download, it is loaded a while later.
  const LEAVES = 10000;
  let left = -LEAVES, again = 0;
  addEventListener('beforeunload', () => { left = performance.now(); });

  // reloadSoon loads the page again, but not while a video plays: then the line says so.
  function reloadSoon() {
    const leaves = left + LEAVES - performance.now();
    clearTimeout(again);
    if (leaves > 0) {
      again = setTimeout(reloadSoon, leaves);
      return;
    }
    const player = playing();
    if (!player) return reload();
    state.waits = true;
    player.addEventListener('pause', () => { if (!playing()) reload(); }, { once: true }); // a frame tells nothing
    draw();
  }

  function reload() {
    keep();
    try { history.scrollRestoration = 'manual'; } catch { /* as the browser likes */ }
    location.reload();
  }

  function put(place) {
    const at = place.anchor && document.getElementById(place.anchor.id);
    const [box] = at ? at.getClientRects() : [];
    scrollTo({ left: place.x, top: box ? box.top + scrollY - place.anchor.above : place.y, behavior: 'instant' });
  }

  function restore() {
    let kept = null;
    try {
      kept = JSON.parse(sessionStorage.getItem(KEY));
      sessionStorage.removeItem(KEY);
    } catch { /* nothing is restored */ }
    if (!kept) return;
    const open = new Map(kept.folds);
    for (const fold of open.size ? document.querySelectorAll('details') : []) {
      const want = open.get(foldName(fold));
      if (want !== undefined) turned.add(fold);
      if (want !== undefined && want !== fold.open) fold.open = want;
    }
    kept.fields.forEach(putField);
    putOver(kept.over, kept.clicks);
    kept.boxes.forEach(putBox);
    document.activeElement.blur();
    putFocus(kept.focus);
    for (const [id, wish] of Object.entries(kept.charts)) {
      const figure = document.getElementById(id);
      if (!figure) continue;
      wishes.set(id, wish);
      whenLive(figure, () => {
        wishes.delete(id);
        choose(figure, wish);
        putFocus(kept.focus); // on one of its buttons
      });
    }
    // Until all is loaded the place may move; then the browser goes to the address's anchor. The reader comes first.
    let moved = false;
    const hand = () => { moved = true; };
    const hands = ['wheel', 'touchstart', 'keydown', 'pointerdown'];
    for (const kind of hands) addEventListener(kind, hand, { passive: true });
    // Who was at the top is there already, unless a dialog took the keyboard: to ask would lay the page out before it is seen.
    if (kept.place.x || kept.place.y || location.hash || kept.over.length) put(kept.place);
    const settle = () => {
      if (!moved) putFocus(kept.focus);
      if (!moved) put(kept.place);
      for (const kind of hands) removeEventListener(kind, hand);
      history.scrollRestoration = 'auto';
    };
    addEventListener('load', () => requestAnimationFrame(settle));
  }

  // ---- Stylesheets ----

  // restyle gives the page's stylesheets their new addresses. The old one goes when the new one is there.
  function restyle(styles) {
    const links = [...document.querySelectorAll('link[rel="stylesheet"]')].filter((link) => !link.dataset.old);
    if (links.length !== styles.length) return reloadSoon();
    const loads = links.map((link, i) => {
      if (link.getAttribute('href') === styles[i]) return null;
      const fresh = link.cloneNode();
      link.dataset.old = '';
      return new Promise((done, failed) => {
        fresh.onload = () => { link.remove(); done(); };
        fresh.onerror = failed;
        fresh.href = styles[i];
        link.after(fresh);
      });
    });
    Promise.all(loads).then(redraw, reloadSoon);
  }

  // Charts take their colours from the style when they are drawn. To choose what is chosen draws them again.
  function redraw() {
    for (const figure of document.querySelectorAll('figure.chart[data-live="ready"]')) {
      const [one] = buttons(figure).filter((b) => pressed(b) && !b.disabled);
      if (!one) continue;
      one.click();
      if (!pressed(one)) one.click();
    }
  }

  // ---- What is wrong ----

  const state = { errors: [], warnings: [], slips: tag.slips, more: 0, gone: false, lost: false, waits: false };
  const quiet = () => !state.warnings.length && !state.slips.length;
  let icons, title, titled; // of the page as it was read; its scripts may give it another title, and titled is what was set here
  let host, dialog, heading, text, list, strip, line, show, load, marked = '', drawn = '';
  let closed = ''; // what was wrong when the reader closed the dialog
  let asked = false; // the reader opened it
  let going = 0; // the timer of a page that may be gone

  function element(name, attributes, ...content) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...content);
    return made;
  }

  const count = (n, thing) => (n === 1 ? '1 ' + thing : n + ' ' + thing + 's');

  // build makes the dialog and the line at the window's foot, apart from the page and its styles.
  function build() {
    host = element('div', { id: 'wattsheet-preview', lang: 'en' });
    const shadow = host.attachShadow({ mode: 'open' });
    const style = element('link', { rel: 'stylesheet', href: new URL('page.css', folder) });
    heading = element('h2', { id: 'heading', tabindex: '-1' });
    text = element('p', { id: 'text' });
    list = element('ol', { tabindex: '0', 'aria-label': 'Problems' });
    const close = element('button', { type: 'button' }, 'Close');
    dialog = element('dialog', { 'aria-labelledby': 'heading', 'aria-describedby': 'text' },
      element('div', { class: 'head' }, heading, close), text, list);
    line = element('span', { role: 'status' });
    show = element('button', { type: 'button' }, 'Show');
    load = element('button', { type: 'button' }, 'Load it');
    strip = element('div', { class: 'strip', hidden: '' }, line, show, load);
    load.addEventListener('click', reload);
    close.addEventListener('click', () => dialog.close());
    show.addEventListener('click', () => { asked = true; draw(); });
    dialog.addEventListener('close', () => {
      asked = false;
      closed = wrong();
      draw();
    });
    shadow.append(style, dialog, strip);
    host.hidden = true;
    style.onload = () => { host.hidden = false; draw(); };
    document.documentElement.append(host);
  }

  // wrong names what is wrong, so that what is closed stays closed until it is something else.
  const wrong = () => (state.gone ? 'gone' : state.errors.length ? JSON.stringify(state.errors) : '');

  function item(problem) {
    const place = problem.Line ? `${problem.File}:${problem.Line}:${problem.Column}` : problem.File;
    const made = element('li', {});
    if (place) made.append(element('p', { class: 'place' }, place));
    made.append(element('p', { class: 'summary' }, (problem.Warning ? 'warning: ' : '') + problem.Summary));
    if (problem.Before || problem.Marked || problem.After) {
      made.append(element('pre', { tabindex: '0', role: 'group', 'aria-label': 'Line ' + problem.Line }, element('span', { class: 'number' }, problem.Line + ' '), problem.Before,
        element('mark', {}, problem.Marked || '\u2038'), problem.After));
    }
    if (problem.Hint) made.append(element('p', { class: 'hint' }, 'hint: ' + problem.Hint));
    return made;
  }

  // bringMarks scrolls long source lines to what is marked in them.
  function bringMarks() {
    for (const line of list.querySelectorAll('pre')) {
      const [, mark] = line.children;
      const beyond = mark.offsetLeft + mark.offsetWidth - line.offsetLeft - line.clientWidth;
      if (beyond > 0 && !line.scrollLeft) line.scrollLeft = beyond + line.clientWidth / 3;
    }
  }

  function words() {
    const errors = count(state.errors.length, 'error');
    if (state.gone) {
      return ['This page is gone', 'The site has no page of this address any more: it was deleted or moved. What is behind this is its last state.', 'This page is gone from the site.'];
    }
    if (state.errors.length) {
      return [errors, 'The page behind this is the last good one. It becomes current, and this goes, when the content has no errors.', `${errors}: this page is the last good one.`];
    }
    const warnings = count(state.warnings.length, 'warning');
    if (state.slips.length) {
      const slips = count(state.slips.length, 'mistake');
      return [`${slips} of this page`, 'What its scripts did wrong, what its policy refused and files that aren’t there, here as for readers. The list goes when the page is loaded again.',
        `${slips} of this page${state.warnings.length ? `, ${warnings}` : ''}`];
    }
    return [warnings, 'Warnings don’t keep the site from being made.', warnings];
  }

  // draw shows the state: title, icon, dialog and line.
  function draw() {
    mark(state.gone ? 'gone' : state.errors.length ? count(state.errors.length, 'error') : '');
    if (!host) {
      if (framed || !wrong() && quiet() && !state.lost && !state.waits) return;
      build();
    }
    if (host.hidden) return; // until its style is there
    const problems = [...state.errors, ...state.slips, ...state.warnings];
    const now = JSON.stringify([state.gone, problems]);
    if (now !== drawn) {
      drawn = now;
      const [head, below] = words();
      heading.textContent = head;
      text.replaceChildren(below);
      if (state.gone) text.append(' ', element('a', { href: '/' }, 'To the front page'));
      list.replaceChildren(...(problems.map(item)));
      if (state.more) list.append(element('li', {}, count(state.more, 'more problem')));
      list.hidden = !problems.length;
    }
    if (!wrong()) closed = '';
    const wanted = wrong() && !own && closed !== wrong() || asked && (wrong() || !quiet());
    if (wanted && !dialog.open) {
      before = document.activeElement;
      dialog.showModal();
      heading.focus();
    } else if (!wanted && dialog.open) {
      dialog.close();
    }
    if (dialog.open) bringMarks();
    const said = [];
    if (state.lost) said.push('The preview has ended: this page isn’t kept current.');
    if (state.waits) said.push('This page is another now. It isn’t loaded again while a video plays.');
    if (!state.lost && (wrong() || !quiet())) said.push(words()[2]);
    if (line.textContent !== said.join(' ')) line.textContent = said.join(' ');
    show.hidden = state.lost || !wrong() && quiet();
    load.hidden = !state.waits || state.lost;
    strip.hidden = !said.length || dialog.open || own && !state.lost;
  }

  // mark tells of what is wrong in the title and by the icon, for who looks at another page. A page's scripts may give it
  // another title at any time.
  function mark(what) {
    if (own || marked === what) return;
    marked = what;
    entitle();
    for (const link of document.querySelectorAll('link[rel~="icon"]')) link.remove();
    if (what) document.head.append(element('link', { rel: 'icon', type: 'image/svg+xml', href: new URL('mistake.svg', folder) }));
    else document.head.append(...icons);
  }

  function entitle() {
    if (document.title !== titled) title = document.title;
    titled = marked ? `(${marked}) ${title}` : title;
    if (document.title !== titled) document.title = titled;
  }

  // ---- What the worker tells ----

  function hear({ data }) {
    if ('lost' in data) state.lost = data.lost;
    if (data.problems) {
      state.errors = data.problems.List.filter((p) => !p.Warning);
      state.warnings = data.problems.List.filter((p) => p.Warning);
      state.more = data.problems.More;
    }
    if (data.page) {
      // A folder that is put in the place of another is away for a moment: that is no news.
      clearTimeout(going);
      if (data.page.kind === 'gone') going = setTimeout(() => { state.gone = true; draw(); }, 200);
      else state.gone = false;
      if (data.page.kind === 'reload') return reloadSoon();
      if (data.page.kind === 'style') {
        Object.assign(mine, { have: data.page.have, look: data.page.look });
        restyle(data.page.styles);
      }
    }
    draw();
  }

  // beside are the files that the page's scripts have read, by further scripts: a page that sets units beside each other
  // shows what is in them, though its own bytes say nothing of it. Scripts of the page itself are deferred; an asset's
  // name changes with it; and what is in the page's own folder is made of what the page is made of.
  function beside() {
    const plain = (path) => { try { return decodeURIComponent(path); } catch { return ''; } }; // no file of a site has such a name
    const paths = [...document.scripts].filter((one) => one.src && !one.defer && one !== tag && URL.canParse(one.src)).map((one) => new URL(one.src))
      .filter((at) => at.origin === folder.origin).map((at) => plain(at.pathname.slice(1)));
    const own = mine.page.slice(0, mine.page.lastIndexOf('/') + 1);
    return [...new Set(paths)].filter((path) => path && !path.startsWith('assets/') && path.slice(0, path.lastIndexOf('/') + 1) !== own);
  }

  // speak finds a worker: one for all pages, or one of the page's own, which rests while the page is hidden.
  function speak() {
    const address = new URL('worker.js', folder);
    let port;
    if ('SharedWorker' in window) {
      const shared = new SharedWorker(address, { name: 'preview' });
      port = shared.port;
    } else {
      port = new Worker(address);
      document.addEventListener('visibilitychange', () => port.postMessage({ hidden: document.hidden }));
    }
    port.onmessage = hear;
    addEventListener('pagehide', () => port.postMessage({ bye: true }));
    addEventListener('pageshow', (event) => { if (event.persisted) port.postMessage(mine); });
    const tell = () => port.postMessage(Object.assign(mine, { beside: beside() }));
    new MutationObserver(() => {
      if (beside().length !== mine.beside.length) tell();
    }).observe(document.head, { childList: true });
    tell();
  }

  // painted acts when the page was seen first, which comes before everything else, and for which a small machine needs all
  // that it has. A hidden page isn't seen.
  function painted(act) {
    let acted = false;
    const once = () => {
      if (!acted) act();
      acted = true;
    };
    if (document.hidden) return once();
    new PerformanceObserver(once).observe({ type: 'paint', buffered: true });
    setTimeout(once, 1000); // of a page without anything to see
    document.addEventListener('visibilitychange', once, { once: true });
  }

  // begin comes when the page has been read and its own scripts have run, which is before it is seen where those hold back
  // the first paint, as the built-in ones do: what was scrolled to and unfolded is so again before that.
  function begin() {
    named = new WeakSet(document.querySelectorAll('main [id]'));
    title = titled = document.title;
    icons = document.querySelectorAll('link[rel~="icon"]');
    const entitled = document.querySelector('title');
    if (entitled) new MutationObserver(entitle).observe(entitled, { childList: true });
    addEventListener('click', click); // behind those of the page, which it is about
    try { restore(); } catch { /* what another version kept, or a page that doesn't bear it: it begins as it is */ }
    if (!own) tag.heard = draw;
    painted(speak);
    // Its style has to be here before the preview ends.
    addEventListener('load', () => painted(() => { if (!host && !framed) build(); }));
  }

  if (document.readyState === 'complete') begin();
  else document.addEventListener('DOMContentLoaded', begin);
})();
