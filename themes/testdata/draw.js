// Reads the chart script from standard input, draws one chart that uses each registered part, and writes its SVG.
const vm = require('node:vm');

// Each part has a colour or a text of its own, by which themes_test.go finds it.
const option = {
  animation: false,
  aria: { enabled: true, decal: { show: true } },
  legend: { data: ['legend entry'] },
  grid: { left: 0, containLabel: true },
  xAxis: { type: 'category', data: ['8 ohm', '4 ohm'] },
  yAxis: { type: 'log', min: 1, max: 100, axisLabel: { formatter: 'a wide label of the y axis' } },
  series: [
    {
      type: 'bar',
      name: 'legend entry',
      data: [10, 20],
      itemStyle: { color: '#010203' },
      markLine: { data: [{ yAxis: 15 }], label: { formatter: 'mark line label' } },
    },
    { type: 'scatter', data: [5, 6], itemStyle: { color: '#040506' } },
    { type: 'line', data: [3, 4], lineStyle: { color: '#070809' } },
    { type: 'custom', data: [[0, 2]], renderItem: (_, api) => cross(api.coord([api.value(0), api.value(1)])) },
  ],
};

function cross([x, y]) {
  return { type: 'line', shape: { x1: x, y1: y - 9, x2: x, y2: y + 9 }, style: { stroke: '#0a0b0c' } };
}

const page = vm.createContext({ console, setTimeout, clearTimeout });
vm.runInContext(require('node:fs').readFileSync(0, 'utf8'), page);
const chart = page.echarts.init(null, null, { renderer: 'svg', ssr: true, width: 600, height: 300 });
chart.setOption(option);
// A tooltip needs a page to show itself on, but its action answers without one.
chart.on('showTip', () => process.stdout.write('<!-- tooltip answered -->'));
chart.dispatchAction({ type: 'showTip', seriesIndex: 0, dataIndex: 0 }, { flush: true });
process.stdout.write(chart.renderToSVGString());
chart.dispose();
