// The part of ECharts that live charts use. Whatever a chart's option names (series, component) has to be listed here:
// a component that is not registered is left out without a word, and some series stop the whole chart.
import { BarChart, CustomChart, LineChart, ScatterChart } from 'echarts/charts';
import {
  AriaComponent,
  GridComponent,
  LegendComponent,
  MarkLineComponent,
  TooltipComponent,
} from 'echarts/components';
import { init, use, version } from 'echarts/core';
import { LegacyGridContainLabel } from 'echarts/features';
import { SVGRenderer } from 'echarts/renderers';

use([
  BarChart,
  CustomChart,
  LineChart,
  ScatterChart,
  AriaComponent,
  GridComponent,
  LegendComponent,
  MarkLineComponent,
  TooltipComponent,
  LegacyGridContainLabel, // grid.containLabel is ignored without it
  SVGRenderer,
]);

export { init, version };
