// Makes a still chart live when it comes near the screen: loads the chart script, draws the same chart with it, and adds
// views, switches for series, and every point's figure on hover, tap and arrow keys. All texts and positions come from
// the figure's own data; nothing is computed here. Where anything is missing or fails, the still stays.
(function () {
  'use strict';

  const holder = document.querySelector('[data-echarts]');
  const figures = document.querySelectorAll('figure.chart[data-chart]');
  if (!holder || !figures.length || !('IntersectionObserver' in window)) return;

  const NEAR = 18; // pixels from a point within which pointing at it counts
  const narrow = matchMedia('(max-width: 700px)');

  // Lengths in an option; they grow with the drawing, as the still's do.
  const LENGTHS = new Set(['left', 'top', 'right', 'bottom', 'fontSize', 'width', 'borderWidth', 'textBorderWidth',
    'margin', 'length', 'lineHeight', 'nameGap', 'padding', 'symbolSize', 'type']);
  // What is data in an option and not looked into.
  const DATA = new Set(['data', 'customValues', 'min', 'max', 'interval']);

  // load loads a script once. Data come as one too, for a page on a disk may fetch nothing.
  const loading = new Map();
  function load(address) {
    if (!loading.has(address)) {
      loading.set(address, new Promise((done, failed) => {
        const script = element('script', { src: address });
        script.onload = done;
        script.onerror = failed;
        document.head.append(script);
      }));
    }
    return loading.get(address);
  }

  function element(name, attributes, ...content) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...content);
    return made;
  }

  function shape(name, attributes) {
    const made = document.createElementNS('http://www.w3.org/2000/svg', name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    return made;
  }

  // sample draws a series as the chart does, along a width: line, dash, marker and, of a bridged one, the marker's second
  // outline, where ring says how large that is.
  function sample(series, width, scale, ring) {
    const line = { d: 'M0 0h' + width, fill: 'none', stroke: 'currentColor', 'stroke-width': series.bridged ? 5 : 2 };
    const mark = (size) => ({ d: series.path, transform: `translate(${width / 2} 0) scale(${size})` });
    const parts = [shape('path', { ...line, 'stroke-dasharray': series.dash ? series.dash.join(' ') : 'none' })];
    if (series.bridged) parts.push(shape('path', { ...line, class: 'still-core', stroke: '#fff', 'stroke-width': 2 }));
    parts.push(shape('path', { ...mark(scale), fill: 'currentColor' }));
    if (series.bridged && ring) parts.push(shape('path', { ...mark(ring), fill: 'none', stroke: 'currentColor', 'stroke-width': 1.3 / ring }));
    return parts;
  }

  // A swatch shows a series on its button.
  function swatch(series) {
    const svg = shape('svg', { width: 30, height: 14, viewBox: '0 -7 30 14', 'aria-hidden': 'true' });
    svg.append(...sample(series, 30, 0.45));
    return svg;
  }

  // A live chart: one figure, its data, and what the reader has chosen.
  class LiveChart {
    constructor(figure, number) {
      this.figure = figure;
      this.data = JSON.parse(figure.querySelector('.chart-live').textContent);
      this.box = figure.querySelector('.chart-box');
      this.view = this.data.views[0];
      this.hidden = new Set();
      this.current = -1;
      this.hintID = 'chart-hint-' + number;
      this.addControls();
    }

    // The controls are there from the start, so that nothing moves when the chart becomes live.
    addControls() {
      this.views = element('div', { class: 'chart-group chart-scales', role: 'group', 'aria-label': 'Scale' });
      this.parts = element('div', { class: 'chart-group chart-parts', role: 'group', 'aria-label': 'Shown' });
      this.data.views.forEach((view, i) => {
        this.views.append(this.button(view.id, i === 0, () => this.show(i), { title: view.about }));
      });
      this.data.series.forEach((series, k) => {
        const button = this.button(series.label, true, () => this.toggle(k), { class: 'chart-button series-' + series.look });
        button.prepend(swatch(series));
        this.parts.append(button);
      });
      if (this.data.claims || this.data.points?.some((point) => point.series < 0)) {
        this.parts.append(this.button('claims', true, () => this.toggle(-1), { class: 'chart-button chart-claims' }));
      }
      const hint = element('p', { class: 'chart-hint', id: this.hintID },
        'Point at a mark, tap it, or use the arrow keys for its figure and conditions. Escape closes them.');
      this.controls = element('div', { class: 'chart-controls' });
      // What offers no choice is left out: a single view, a single series.
      for (const group of [this.views, this.parts]) if (group.children.length > 1) this.controls.append(group);
      this.controls.append(hint);
      this.box.before(this.controls);
    }

    button(text, pressed, act, attributes) {
      const button = element('button',
        { type: 'button', class: 'chart-button', 'aria-pressed': pressed, disabled: '', ...attributes },
        element('span', { class: 'chart-name' }, text));
      button.addEventListener('click', () => {
        if (!this.chart) return;
        act();
        this.press();
        this.draw();
      });
      return button;
    }

    show(i) { this.view = this.data.views[i]; }

    toggle(k) {
      if (!this.hidden.delete(k)) this.hidden.add(k);
    }

    // press tells the buttons what is chosen.
    press() {
      this.data.views.forEach((view, i) => this.views.children[i].setAttribute('aria-pressed', view === this.view));
      [...this.parts.children].forEach((button, i) => {
        const k = i < this.data.series.length ? i : -1;
        button.setAttribute('aria-pressed', !this.hidden.has(k));
        button.disabled = k < 0 && !this.view.y.some((y, n) => y && this.data.points[n].series < 0); // volts have no claims
      });
    }

    // start loads what is drawn with, and what is drawn where the page has only the buttons' part of it. Then it puts
    // the live drawing into the box; the still stays there for print.
    async start() {
      const from = this.figure.dataset.chart;
      await Promise.all([load(holder.dataset.echarts), from && load(from)]);
      if (from) this.data = window.chartData[this.figure.id];
      this.view = this.data.views[0];
      this.plot = element('div', { class: 'chart-plot', tabindex: '0', role: 'application',
        'aria-roledescription': 'chart', 'aria-label': this.data.title, 'aria-describedby': this.hintID });
      this.said = element('p', { class: 'chart-say', 'aria-live': 'polite' });
      this.box.append(this.plot, this.said);
      this.fit();
      this.chart = window.echarts.init(this.plot, null, { renderer: 'svg' });
      this.draw();
      this.listen();
      for (const button of this.controls.querySelectorAll('button')) button.disabled = false;
      this.figure.dataset.live = 'ready';
    }

    // fit gives the plot the size that the still has in this place.
    fit() {
      this.shape = narrow.matches ? 'tall' : 'wide';
      this.plot.dataset.shape = this.shape;
      const [width, height] = this.view[this.shape].size;
      const room = this.plot.clientWidth;
      this.scale = room / width;
      this.plot.style.height = Math.round(this.plot.getBoundingClientRect().width * height / width) + 'px'; // clientWidth is a whole number
      return room;
    }

    // draw draws anew; a figure that is shown stays, where its point does.
    draw() {
      const shown = this.current < 0 ? -1 : this.shown[this.current].n;
      this.hide();
      this.fit();
      this.chart.resize();
      this.chart.setOption(this.option(), { notMerge: true });
      this.drawLegend();
      this.find();
      const index = this.shown.findIndex((at) => at.n === shown);
      if (index >= 0) this.reveal(index, false);
    }

    // drawLegend names at the foot, as the still does, the series that have no room at their lines.
    drawLegend() {
      const { size, legend } = this.view[this.shape];
      const rows = legend.filter((item) => !this.hidden.has(item.series)).map((item) => {
        const series = this.data.series[item.series];
        const row = shape('g', { class: 'series-' + series.look, transform: `translate(${item.x} ${item.y - 5})` });
        if (!item.more) row.append(...sample(series, 34, 0.46, 0.76));
        const name = shape('text', { x: 40, y: 5, fill: 'currentColor', 'font-size': 14, 'font-weight': 600 });
        name.append(item.text);
        row.append(name);
        return row;
      });
      this.legend?.remove();
      this.legend = shape('svg', { class: 'chart-legend', viewBox: '0 0 ' + size.join(' '), 'aria-hidden': 'true' });
      this.legend.append(...rows);
      if (rows.length) this.plot.append(this.legend);
    }

    // option is the data's option with what the view, the layout and the reader change in it.
    option() {
      const view = this.view;
      const layout = view[this.shape];
      const option = structuredClone(this.data.option);
      const [left, top, right, bottom] = layout.grid;
      option.grid = [{ left, top, right, bottom }];
      Object.assign(option.xAxis[0], { name: this.data.place, nameGap: layout.gap, min: layout.ends[0], max: layout.ends[1] });
      Object.assign(option.yAxis[0], view.axis);
      option.yAxis[0].nameTextStyle.padding = [0, layout.title, 0, 0];
      if (view.ticks) option.yAxis[0].axisTick.customValues = option.yAxis[0].axisLabel.customValues = view.ticks;
      option.xAxis[0].axisTick.customValues = option.xAxis[0].axisLabel.customValues = layout.ticks.map(([at]) => at);
      option.series = option.series.filter((series) => this.fill(series, layout));
      this.style = getComputedStyle(this.plot);
      option.textStyle = { fontFamily: this.style.fontFamily };
      return this.resolve(option, '');
    }

    // fill gives a series of the option its data in this view and layout, and reports whether any is left.
    fill(series, layout) {
      const [part, id] = series.id.split('.');
      const number = this.owner(part, Number(id));
      if (this.hidden.has(number)) return false;
      if (part === 'label') {
        series.data = layout.labels.filter((label) => label.series === number).map((label) => ({
          name: label.text, value: [label.x, label.y, -1], label: { fontWeight: label.light ? '400' : '600' },
        }));
        return series.data.length > 0;
      }
      if (part === 'rule') {
        const y = this.view.rules[Number(id)];
        series.data = layout.ends.map((x) => [x, y]);
        return true;
      }
      if (part === 'curve') {
        const [from, to] = layout.ends;
        series.data = this.view.curves[Number(id)].filter(([x]) => x >= from && x <= to);
        return series.data.length > 1;
      }
      if (part === 'band') {
        series.data = series.data.map((n) => this.data.bands[n]);
        return this.view === this.data.views[0];
      }
      const claims = this.data.points.length - layout.widths.length; // the number of the first claim
      if (part === 'claim') series.symbolSize = [layout.widths[Number(id) - claims], series.symbolSize[1]];
      series.data = series.data.flatMap((n) => {
        const y = this.view.y[n];
        if (!y) return [];
        return [{ value: part === 'bars' ? [layout.x[n], y[1], y[2], y[0], n] : [layout.x[n], y[0], n] }];
      });
      return series.data.length > 0;
    }

    // owner is the number of the series that a part of the option shows: -1 of claims, -2 of what is always there.
    owner(part, number) {
      if (part === 'claim') return -1;
      if (part === 'rule' || part === 'band') return -2;
      return part === 'curve' ? this.data.curves[number] : number;
    }

    // resolve replaces the names of functions and colours, and fits lengths to the size of the drawing.
    resolve(value, key) {
      if (DATA.has(key)) return value;
      if (typeof value === 'string') {
        if (key === 'formatter' || key === 'renderItem') return this.functions[value];
        if (/color$/i.test(key) && value.startsWith('--')) return this.colour(value);
        return LENGTHS.has(key) && value !== '' && !isNaN(value) ? Number(value) * this.scale : value;
      }
      if (typeof value === 'number') return LENGTHS.has(key) ? value * this.scale : value;
      if (Array.isArray(value)) return value.map((item) => this.resolve(item, key));
      if (value && typeof value === 'object') {
        return Object.fromEntries(Object.entries(value).map(([name, item]) => [name, this.resolve(item, name)]));
      }
      return value;
    }

    colour(name) { return this.style.getPropertyValue(name).trim(); }

    // The functions that an option may name.
    functions = {
      place: (at) => (this.view[this.shape].ticks.find(([tick]) => Math.abs(tick - at) <= 1e-6 * Math.abs(tick)) || ['', ''])[1],
      value: (value) => String(value).replace('-', '\u2212'),
      label: (datum) => datum.name,
      tip: (datum) => this.tip(datum.value.at(-1)),
      band: (params, api) => this.band(params, api),
      errorBar: (params, api) => this.errorBar(params, api),
    };

    // errorBar draws an upright from low to high, and the second outline of a bridged mark.
    errorBar(params, api) {
      const [x, low] = api.coord([api.value(0), api.value(1)]);
      const high = api.coord([api.value(0), api.value(2)])[1];
      const middle = api.coord([api.value(0), api.value(3)])[1];
      const series = this.data.series[Number(params.seriesId.split('.')[1])];
      const stroke = this.colour(series.colour);
      const children = [];
      if (low > high) {
        children.push({ type: 'line', shape: { x1: x, y1: high, x2: x, y2: low }, style: { stroke, lineWidth: 1.6 * this.scale } });
      }
      if (series.bridged) {
        const size = 0.76 * this.scale;
        children.push({ type: 'path', shape: { pathData: series.path }, x, y: middle, scaleX: size, scaleY: size,
          style: { fill: 'none', stroke, lineWidth: 1.3 / 0.76, strokeNoScale: false } });
      }
      return { type: 'group', children };
    }

    // band fills the ground between two figures, from side to side of the plot at most.
    band(params, api) {
      const { x: left, width } = params.coordSys;
      const at = [0, 1, 2, 3].map((i) => api.value(i));
      const [x0, y0] = api.coord([at[0], at[3]]);
      const [x1, y1] = api.coord([at[1], at[2]]);
      const x = Math.max(x0, left);
      return { type: 'rect', shape: { x, y: y0, width: Math.min(x1, left + width) - x, height: y1 - y0 },
        style: { fill: api.visual('color'), opacity: api.style().opacity } };
    }

    tip(n) {
      const point = this.data.points[n];
      const lines = [point.text[this.view.id], ...point.lines];
      const first = point.text[this.data.views[0].id];
      if (this.view !== this.data.views[0] && point.series >= 0 && first) lines.splice(1, 0, first);
      return element('div', { class: 'chart-tip-text' }, ...lines.map((line) => element('p', {}, line)));
    }

    // find lists the points that are shown, with where they are: in the drawing and in the option.
    find() {
      this.shown = [];
      this.chart.getOption().series.forEach((series, seriesIndex) => {
        if (!/^(marks|hollow|claim)[.]/.test(series.id)) return;
        series.data.forEach((datum, dataIndex) => {
          const n = datum.value.at(-1);
          const [x, y] = this.chart.convertToPixel({ xAxisIndex: 0, yAxisIndex: 0 }, datum.value.slice(0, 2));
          this.shown.push({ n, x, y, seriesIndex, dataIndex });
        });
      });
      this.shown.sort((a, b) => a.n - b.n);
    }

    // reveal shows a point's figure; speak says it too, for who moves by keyboard.
    reveal(index, speak) {
      const at = this.shown[index];
      if (this.current === index && !speak) return;
      this.hide();
      this.current = index;
      const target = { seriesIndex: at.seriesIndex, dataIndex: at.dataIndex };
      this.chart.dispatchAction({ type: 'highlight', ...target });
      this.chart.dispatchAction({ type: 'showTip', ...target });
      if (speak) {
        const words = [...this.tip(at.n).children].map((line) => line.textContent);
        this.said.textContent = `${words.join('. ')}. Point ${index + 1} of ${this.shown.length}.`;
      }
    }

    hide() {
      clearTimeout(this.leaving);
      if (this.current < 0) return;
      const at = this.shown[this.current];
      this.current = -1;
      this.chart.dispatchAction({ type: 'downplay', seriesIndex: at.seriesIndex, dataIndex: at.dataIndex });
      this.chart.dispatchAction({ type: 'hideTip' });
    }

    // leave hides a figure a moment later, so that the pointer can be moved onto it.
    leave() {
      clearTimeout(this.leaving);
      this.leaving = setTimeout(() => {
        if (!this.plot.querySelector('.chart-tip:hover')) this.hide();
      }, 250);
    }

    // point shows the nearest point to the pointer, if any is near.
    point(x, y) {
      let best = -1, nearest = NEAR;
      this.shown.forEach((at, index) => {
        const distance = Math.hypot(at.x - x, at.y - y);
        if (distance < nearest) [best, nearest] = [index, distance];
      });
      this.plot.style.cursor = best < 0 ? 'default' : 'pointer';
      if (best < 0) {
        this.leave();
      } else {
        clearTimeout(this.leaving);
        this.reveal(best, false);
      }
    }

    key(event) {
      const last = this.shown.length - 1;
      const steps = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };
      if (last < 0 || event.altKey || event.ctrlKey || event.metaKey) return;
      if (event.key === 'Escape') {
        this.hide();
        this.said.textContent = '';
      } else if (event.key in steps) {
        const from = this.current < 0 && steps[event.key] < 0 ? last + 1 : this.current;
        this.reveal(Math.min(Math.max(from + steps[event.key], 0), last), true);
      } else if (event.key === 'Home' || event.key === 'End') {
        this.reveal(event.key === 'Home' ? 0 : last, true);
      } else {
        return;
      }
      event.preventDefault();
    }

    listen() {
      const canvas = this.chart.getZr();
      canvas.on('mousemove', (event) => this.point(event.offsetX, event.offsetY));
      canvas.on('click', (event) => this.point(event.offsetX, event.offsetY));
      canvas.on('globalout', () => this.leave());
      this.plot.addEventListener('mouseleave', () => this.leave());
      this.plot.addEventListener('keydown', (event) => this.key(event));
      this.plot.addEventListener('blur', () => this.hide());
      let width = this.box.clientWidth;
      new ResizeObserver(() => {
        if (this.box.clientWidth === width || !this.box.clientWidth) return;
        width = this.box.clientWidth;
        this.draw();
      }).observe(this.box);
      for (const query of ['(prefers-color-scheme: dark)', '(forced-colors: active)', '(max-width: 700px)']) {
        matchMedia(query).addEventListener('change', () => this.draw());
      }
    }

    // fail takes away what only a live chart can do.
    fail() {
      this.controls.remove();
      if (this.plot) this.plot.remove();
      if (this.said) this.said.remove();
      this.figure.dataset.live = 'failed';
    }
  }

  const charts = new Map();
  const near = new IntersectionObserver((entries) => {
    for (const entry of entries) {
      if (!entry.isIntersecting) continue;
      near.unobserve(entry.target);
      const chart = charts.get(entry.target);
      chart.start().catch(() => chart.fail());
    }
  }, { rootMargin: '300px' });

  figures.forEach((figure, number) => {
    charts.set(figure, new LiveChart(figure, number));
    near.observe(figure);
  });
})();
