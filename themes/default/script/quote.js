// Quotes a figure in a bar: a claim's sentence stands in the page, others are filled in.
(function () {
  'use strict';

  const bar = document.querySelector('.quote-bar');
  if (!bar) return;
  const data = JSON.parse(bar.previousElementSibling.textContent);
  const [says, told] = bar.querySelectorAll('[role]');
  const [first, link, end] = bar.querySelectorAll('button');
  const words = (node) => node.textContent.trim();
  let back;
  let marked;

  // Without a clipboard what is to be copied is selected.
  function copy(node, text) {
    const select = () => {
      getSelection().selectAllChildren(node);
      told.textContent = 'Selected: now copy it.';
    };
    if (navigator.clipboard) navigator.clipboard.writeText(text).then(() => { told.textContent = 'Copied.'; }, select);
    else select();
  }

  function mark(node) {
    if (marked) marked.classList.remove('quoted');
    marked = node;
    if (node) node.classList.add('quoted');
  }

  function close() {
    bar.hidden = true;
    mark();
    back.focus();
  }

  function filled(text, href, parts) {
    const a = document.createElement('a');
    a.href = href;
    a.textContent = data.bare ? data.sheet : href;
    return [text.replace(/{(\w+)}/g, (_, key) => parts[key] ?? data[key] ?? ''), a];
  }

  function ofRun(rows, cell) {
    const top = rows[0];
    const name = top.id.slice(4);
    const run = data.runs[name];
    const row = cell ? cell.parentNode : rows[rows.length - 1];
    const once = row === top && cell && data.once[cell.cellIndex];
    const [load, channel, power, u, k] = [...row.cells].slice(row === top ? 2 : 0);
    const sum = words(channel) === 'sum';
    const value = once ? words(cell) : [power, u].map(words).filter(Boolean).join('\u00a0±\u00a0');
    if (value === '–' && run.load) return null;
    mark(once ? cell : power);
    return filled(run.load ? data.run : data.told, data.at + '#' + top.id, {
      ...run, run: name,
      what: once ? once[0] : '',
      figure: value.replace(/.*±.*/, '($&)') + '\u00a0' + (once ? once[1] : sum ? 'W in all' : 'W'),
      load: once || sum ? run.load : words(load),
      channel: !once && !sum && rows[1] ? ', channel ' + words(channel) : '',
      known: value.includes('±') ? data.known + (once ? run.k[once[2]] : words(k)) : data.lacks,
    });
  }

  function sentence(of) {
    const [claim, chart, run] = ['.claim', '.chart', '.runs tbody'].map((s) => of.closest(s));
    if (run) return ofRun(run.rows, of.closest('td'));
    mark((claim || chart).querySelector('.figure, .chart-title'));
    return claim ? document.getElementById(claim.id.replace('claim', 'cite')).cloneNode(true).childNodes
      : filled(data.chart, data.here + of.hash, { title: words(marked), figure: of.dataset.figure });
  }

  // While the bar is open, figures are quoted, not followed.
  addEventListener('click', (event) => {
    const of = event.target.closest(bar.hidden ? '.quote' : '.quote, .claims .figure, .runs td.n');
    if (!of || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    const said = sentence(of);
    if (!said) return;
    says.replaceChildren(...said);
    told.textContent = '';
    back = event.target.closest('a') || back;
    if (bar.hidden) {
      bar.hidden = false;
      first.focus();
    }
    if (marked) marked.scrollIntoView({ block: 'nearest' });
  });
  addEventListener('keydown', ({ key }) => { if (key === 'Escape' && !bar.hidden) close(); });
  first.onclick = () => copy(says, says.textContent);
  link.onclick = () => copy(says.lastChild, says.lastChild.href);
  end.onclick = close;
})();
