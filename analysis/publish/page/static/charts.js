// Charts over one another on one axis, of the chart library's models: made where they are drawn.

const HEIGHT = 220; // five charts on a desk screen of 1,080 lines
const AXIS_HEIGHT = 30; // room for the axis' words
const FONT = "system-ui, sans-serif";
const INK = "#12161b",
  RULE = "#d5d8dc";
const AXIS_WORDS = { engine_speed: "Engine speed in rpm", time: "Seconds since the sweep began" };
const MEASURED_PX = 2.4,
  FAINT_PX = 1.4,
  BEHIND_PX = 1,
  MEAN_PX = 3;

// Lines as they come, their values as numbers: what is not known is null in JSON, which would
// count as 0.
export const numbered = (lines) =>
  lines.map((line) => ({ ...line, x: numbers(line.x), y: numbers(line.y) }));
const numbers = (values) =>
  values.includes(null)
    ? Float64Array.from(values, (value) => value ?? NaN)
    : new Float64Array(values);

// All charts of an overlay with one range, one cursor and one marked place.
export async function draw(target, { axis, charts, bands }) {
  const { Bokeh } = window;
  const cursor = new Bokeh.Span({ dimension: "height", line_color: INK, line_width: 2 });
  const place = new Bokeh.BoxAnnotation({
    fill_color: "#ffb71a",
    fill_alpha: 0.45,
    level: "underlay",
    visible: false,
    left: 0,
    right: 0,
  });
  const whole = extent(charts);
  const range = new Bokeh.Range1d(whole);
  const plots = charts.map((chart, index) => {
    const last = index === charts.length - 1;
    const own = bands.filter((band) => band.chart === chart.key);
    const plot = empty(Bokeh, chart, range, last ? AXIS_WORDS[axis] : null);
    plot.renderers = [...areas(Bokeh, own), lines(Bokeh, chart, own), place];
    plot.add_tools(new Bokeh.CrosshairTool({ overlay: cursor }));
    return plot;
  });
  const column = new Bokeh.Column({ children: plots, sizing_mode: "stretch_width" });
  target.replaceChildren();
  await Bokeh.Plotting.show(column, target);
  return { plots, range, whole, cursor, place };
}

function extent(charts) {
  const all = charts.flatMap((chart) => chart.lines.map(({ x }) => x)).filter((x) => x.length);
  const low = Math.min(...all.map((x) => x[0])),
    high = Math.max(...all.map((x) => x.at(-1)));
  const margin = (high - low) * 0.02;
  return { start: low - margin, end: high + margin };
}

function empty(Bokeh, { key, title, unit }, range, axisWords) {
  const letters = {
    major_label_text_font: FONT,
    major_label_text_font_size: "13px",
    major_label_text_color: INK,
    axis_label_text_font: FONT,
    axis_label_text_font_style: "normal",
  };
  const across = new Bokeh.LinearAxis({ ...letters, axis_label: axisWords });
  const up = new Bokeh.LinearAxis(letters);
  const grids = [across, up].map(
    (axis, dimension) => new Bokeh.Grid({ axis, dimension, grid_line_color: RULE }),
  );
  // The wheel scrolls the page; with Shift, or by the keys, it zooms.
  const tools = [
    new Bokeh.PanTool({ dimensions: "width" }),
    new Bokeh.WheelZoomTool({ dimensions: "width", modifiers: { shift: true } }),
    new Bokeh.ResetTool(),
  ];
  return new Bokeh.Figure({
    name: key,
    x_range: range,
    y_range: new Bokeh.DataRange1d(),
    height: HEIGHT + (axisWords ? AXIS_HEIGHT : 0),
    sizing_mode: "stretch_width",
    title: new Bokeh.Title({
      text: unit ? `${title}, ${unit}` : title,
      text_color: INK,
      text_font: FONT,
      text_font_size: "15px",
    }),
    below: [across],
    left: [up],
    center: grids,
    toolbar: new Bokeh.Toolbar({ tools }),
    toolbar_location: null,
    outline_line_color: null,
    min_border_left: 64,
  });
}

// All lines as one glyph: a glyph a line costs ten times as much.
function lines(Bokeh, chart, bands) {
  const strokes = [
    ...chart.lines.map((line) => stroke(line, bands.length > 0)),
    ...bands.map(mean),
  ];
  const column = (name) => strokes.map((one) => one[name]);
  const data = Object.fromEntries(
    ["pull", "name", "x", "y", "colour", "dash", "width", "alpha"].map((name) => [
      name,
      column(name),
    ]),
  );
  const glyph = new Bokeh.MultiLine({
    xs: { field: "x" },
    ys: { field: "y" },
    line_color: { field: "colour" },
    line_dash: { field: "dash" },
    line_width: { field: "width" },
    line_alpha: { field: "alpha" },
  });
  return new Bokeh.GlyphRenderer({
    data_source: new Bokeh.ColumnDataSource({ data, name: chart.key }),
    glyph,
  });
}

// behind: the stages' means are what is looked at.
function stroke(line, behind) {
  const width = behind ? BEHIND_PX : line.faint ? FAINT_PX : MEASURED_PX;
  return { ...line, width, alpha: !behind ? 1 : line.faint ? 0.25 : 0.6 };
}

function mean({ x, mean: y, colour }) {
  return { pull: null, name: "mean", x, y, colour, dash: "solid", width: MEAN_PX, alpha: 1 };
}

function areas(Bokeh, bands) {
  const known = bands.filter(({ half_width: half }) => half);
  if (!known.length) return [];
  const around = ({ mean: middle, half_width: half }) => [
    ...middle.map((value, at) => value + half[at]),
    ...middle.map((value, at) => value - half[at]).reverse(),
  ];
  const data = {
    x: known.map(({ x }) => [...x, ...[...x].reverse()]),
    y: known.map(around),
    colour: known.map(({ colour }) => colour),
  };
  const glyph = new Bokeh.Patches({
    xs: { field: "x" },
    ys: { field: "y" },
    fill_color: { field: "colour" },
    fill_alpha: 0.2,
    line_color: null,
  });
  return [new Bokeh.GlyphRenderer({ data_source: new Bokeh.ColumnDataSource({ data }), glyph })];
}
