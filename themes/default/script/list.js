// Reads the list of all units, data/list.js and its parts, when a page asks for it, and gives it as objects:
//
//   wattsheet.readList(folder, (list) => …, (failed) => …)
//
// folder is the way to data/, with a slash at its end. list has currency, verdicts, loads, methods and units, the newest
// test first; a unit is as made by unit() below. Works from a disk: the files are scripts. generator/site/index.go says
// what stands in them.
(function () {
  'use strict';

  const shared = (window.wattsheet = window.wattsheet || {});
  const asked = new Map();

  function script(src) {
    return new Promise((done, failed) => {
      const made = document.createElement('script');
      made.src = src;
      made.onload = done;
      made.onerror = () => failed(new Error(src));
      document.head.append(made);
    });
  }

  // "(12.3 ± 0.4)" is "12.3|0.4" in the file, with a question mark where the uncertainty is incomplete.
  function amount(packed) {
    if (!packed) return null;
    const lacks = packed.endsWith('?');
    const [value, u = ''] = (lacks ? packed.slice(0, -1) : packed).split('|');
    return { value, u, lacks, is: Number(value.replace('−', '-')) };
  }

  function claim(head, row) {
    if (!row || !row.length) return null;
    const [id, label, verdict, claimed, limit, mean, formula, brief, lacks, line] = row;
    const [word, says] = head.verdicts[verdict];
    return {
      id, label: head.labels[label], verdict: word, word: says, claimed, limit, mean: amount(mean),
      formula: formula ? head.formulas[formula - 1] : '', brief, lacks: !!lacks, line,
    };
  }

  function unit(head, row) {
    const [slug, maker, model, kind, type, year, tested, price, priceIs, counts, lacks, power, at, perMoney, efficiency, points, leading] = row;
    const made = {
      slug, maker: head.makers[maker], model, name: head.makers[maker] + ' ' + model, kind: head.kinds[kind], class: head.classes[type],
      year, tested, price, priceIs, lacks: lacks ? head.lacks[lacks - 1] : '', power: amount(power), at, perMoney: amount(perMoney),
      efficiency: amount(efficiency), claim: claim(head, leading), counts: [], points: [],
    };
    for (let i = 0; i < counts.length; i += 2) made.counts.push({ word: head.verdicts[counts[i]][1], n: counts[i + 1] });
    for (let i = 0; i < points.length; i += 4) {
      const [load, method, total, efficient] = points.slice(i, i + 4);
      made.points.push({ load: head.loads[load], method: head.methods[method][0], total: amount(total), efficiency: amount(efficient) });
    }
    return made;
  }

  async function read(folder) {
    await script(folder + 'list.js');
    const head = shared.list;
    if (!head || head.format !== 1) throw new Error('another format');
    const disk = location.protocol === 'file:';
    await Promise.all(head.parts.map(([name, digest]) => script(folder + name + (disk ? '' : '?' + digest))));
    const units = [];
    for (const [name, digest] of head.parts) {
      if (!shared.parts[digest]) throw new Error(name + ' is of another build');
      for (const row of shared.parts[digest]) units.push(unit(head, row));
    }
    shared.parts = {};
    return { currency: head.currency, verdicts: head.verdicts, loads: head.loads, methods: head.methods, units };
  }

  shared.readList = (folder, done, failed) => {
    if (!asked.has(folder)) asked.set(folder, read(folder));
    asked.get(folder).then(done, (why) => {
      asked.delete(folder);
      failed(why);
    });
  };
})();
