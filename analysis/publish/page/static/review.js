// The review page: the chart library draws; here are the linked cursor, the values, the places.

import * as charts from "./charts.js";
import { $, element, onKey } from "./common.js";

const PULLS = new URLSearchParams(location.search)
  .getAll("pulls")
  .filter((id, at, all) => all.indexOf(id) === at);
const ZOOM = 1.6;
// The chart library is large: it loads while the first overlay is being fetched.
const library = new Promise((loaded) => {
  if (document.readyState === "complete") loaded();
  else addEventListener("load", loaded, { once: true });
});

let axis = "engine_speed";
let chosen = null; // quantities picked by hand; null: the server's choice
const switches = { bands: false, resampled: false };
let asked = 0;
// { overlay, lines, plots, range, whole, cursor, place, seen: the part looked at closely }
let view = null;

// The server says why in one sentence, or what is wrong with each thing that was asked for.
const reasons = ({ detail }) =>
  typeof detail === "string" ? detail : detail.map(({ msg }) => msg).join("; ");

async function draw() {
  const query = new URLSearchParams({ axis, ...switches });
  for (const name of ["correction", "loss"]) if ($(name)?.value) query.set(name, $(name).value);
  for (const pull of PULLS) query.append("pulls", pull);
  for (const quantity of chosen ?? []) query.append("quantity", quantity);
  const number = ++asked;
  const response = await fetch(`/api/v1/overlay?${query}`);
  const overlay = await response.json();
  await library;
  if (number !== asked) return; // somebody has wished for something else since
  if (!response.ok) {
    $("loading").textContent = `Cannot be drawn: ${reasons(overlay)}`;
    return;
  }
  for (const chart of overlay.charts) chart.lines = charts.numbered(chart.lines);
  view = { overlay, lines: linesOf(overlay.charts), ...(await charts.draw($("charts"), overlay)) };
  for (const plot of view.plots)
    for (const touched of ["mousemove", "tap"]) plot.on_event(touched, ({ x }) => follow(x));
  view.plots[0]?.on_event("rangesupdate", lookCloser);
  $("loading").hidden = true;
  showPicks(overlay);
  showPlaces(overlay);
  showPowerWords(overlay);
  showBandWords(overlay);
  showHead();
  follow(middle(view.range));
  document.body.dataset.drawn = axis;
}

const linesOf = (drawn) =>
  drawn.flatMap((chart) =>
    chart.lines.map((line) => ({ ...line, chart: chart.key, pull: String(line.pull) })),
  );

const middle = ({ start, end }) => (start + end) / 2;

// Linear between samples; nothing beyond the ends or across samples that are not there.
function valueAt({ x, y }, at) {
  let low = 0,
    high = x.length - 1;
  if (high < 1 || at < x[0] || at > x[high]) return null;
  while (high - low > 1) {
    const half = (low + high) >> 1;
    if (x[half] <= at) low = half;
    else high = half;
  }
  const span = x[high] - x[low];
  const value = span > 0 ? y[low] + ((at - x[low]) / span) * (y[high] - y[low]) : y[low];
  return Number.isFinite(value) ? value : null;
}

function follow(at) {
  if (!view?.range || !Number.isFinite(at)) return;
  view.at = Math.min(view.range.end, Math.max(view.range.start, at));
  view.cursor.location = view.at;
  $("cursor-at").textContent =
    axis === "time" ? `${view.at.toFixed(2)} s` : `${view.at.toFixed(0)} rpm`;
  const rows = [];
  for (const chart of view.overlay.charts) {
    const names = [
      ...new Set(view.lines.filter((line) => line.chart === chart.key).map((line) => line.name)),
    ];
    for (const [index, name] of names.entries()) rows.push(row(chart, name, index));
  }
  $("values").tBodies[0].replaceChildren(...rows);
}

function row(chart, name, index) {
  const values = PULLS.map((pull) => {
    const line = view.lines.find(
      (one) => one.chart === chart.key && one.name === name && one.pull === pull,
    );
    return line ? valueAt(line, view.at) : null;
  });
  const text = (value) => (value === null ? "–" : plain(value, chart.decimals));
  const head = element("th", { scope: "row" });
  if (index === 0) head.append(element("b", { text: chart.title }), ` ${chart.unit} `);
  // In a single pull the dashes tell lines apart, cylinders above all.
  const [only] =
    PULLS.length === 1
      ? view.lines.filter((one) => one.chart === chart.key && one.name === name)
      : [];
  head.append(
    element("span", { class: "soft", text: name === "measured" ? "" : name }),
    ...(only ? [" ", sample(only)] : []),
  );
  const cells = values.map((value) => element("td", { text: text(value) }));
  if (stages().length) return element("tr", {}, head, ...meanCells(chart, index), ...cells);
  const difference =
    PULLS.length > 1
      ? [
          element("td", {
            class: "difference",
            text:
              values[0] === null || values.at(-1) === null
                ? "–"
                : signed(values.at(-1) - values[0], chart.decimals),
          }),
        ]
      : [];
  return element("tr", {}, head, ...cells, ...difference);
}

const stages = () => [...new Set(view.overlay.bands.map(({ stage_id }) => stage_id))];

// The mean of each stage with its band, and the difference of the last and the first with its own.
function meanCells(chart, index) {
  const means = stages().map((stage) => {
    const band = view.overlay.bands.find(
      (one) => one.chart === chart.key && one.stage_id === stage,
    );
    if (index > 0 || !band) return null;
    const value = valueAt({ x: band.x, y: band.mean }, view.at);
    const half = band.half_width && valueAt({ x: band.x, y: band.half_width }, view.at);
    return value === null ? null : { value, half };
  });
  const around = (half) => (half === null ? "" : ` ±${plain(half, chart.decimals)}`);
  const cells = means.map((mean) =>
    element("td", { text: mean ? plain(mean.value, chart.decimals) + around(mean.half) : "–" }),
  );
  if (means.length < 2) return cells;
  const [first, last] = [means[0], means.at(-1)];
  const half = first && last && first.half !== null ? Math.hypot(first.half, last.half) : null;
  const difference =
    first && last ? signed(last.value - first.value, chart.decimals) + around(half) : "–";
  return [...cells, element("td", { class: "difference", text: difference })];
}

function sample({ colour, dash }) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("class", "line-sample");
  svg.setAttribute("viewBox", "0 0 44 10");
  svg.setAttribute("aria-hidden", "true");
  const line = document.createElementNS("http://www.w3.org/2000/svg", "line");
  const attributes = {
    x1: 0,
    x2: 44,
    y1: 5,
    y2: 5,
    stroke: colour,
    "stroke-dasharray": dash === "solid" ? "" : dash,
  };
  for (const [name, value] of Object.entries(attributes)) line.setAttribute(name, value);
  svg.append(line);
  return svg;
}

// no minus zero
const plain = (value, decimals) => (Number(value.toFixed(decimals)) + 0).toFixed(decimals);
const signed = (value, decimals) =>
  (Number(value.toFixed(decimals)) >= 0 ? "+" : "") + plain(value, decimals);

function showHead() {
  const samples = PULLS.map((pull) => element("th", { scope: "col" }, lineSample(pull)));
  const difference =
    Math.max(stages().length, PULLS.length) > 1
      ? [element("th", { scope: "col", text: "last − first" })]
      : [];
  const means = stages().map((stage) => {
    const { colour } = view.overlay.bands.find(({ stage_id }) => stage_id === stage);
    return element(
      "th",
      { scope: "col" },
      sample({ colour, dash: "solid" }),
      element("br"),
      `mean, ${view.overlay.stages[stage]}`,
    );
  });
  const columns =
    means.length > 1
      ? [...means, ...difference, ...samples]
      : means.length
        ? [...means, ...samples]
        : [...samples, ...difference];
  $("values").tHead.replaceChildren(element("tr", {}, element("td"), ...columns));
}

function showBandWords({ band_statements: said }) {
  $("band-words").hidden = said.length === 0;
  $("band-words").textContent = said.join(" ");
}

function lineSample(pull) {
  const heading = document.querySelector(`.line-sample[data-pull="${pull}"]`);
  const { colour, dash } = view.overlay.styles[pull];
  const copy = sample({ colour, dash: dash.join(" ") });
  heading.replaceChildren(...copy.cloneNode(true).childNodes);
  const name = heading.parentElement.textContent.trim().split(/\s*,/)[0];
  const head = document.createDocumentFragment();
  head.append(copy, element("br"), name);
  return head;
}

function showPicks({ quantities, charts }) {
  const shown = new Set(charts.map(({ key }) => key));
  $("quantities").replaceChildren(
    ...quantities.map(({ quantity, label }) => {
      const box = element("input", {
        type: "checkbox",
        value: quantity,
        checked: shown.has(quantity),
      });
      box.addEventListener("change", () => {
        chosen = [...$("quantities").querySelectorAll("input:checked")].map((one) => one.value);
        draw();
      });
      return element("label", {}, box, element("span", { text: label }));
    }),
  );
}

function showPowerWords({ power_statements: said }) {
  $("how").hidden = said.length === 0;
  $("power-words").replaceChildren(...said.map((text) => element("p", { text })));
}

function showPlaces({ places }) {
  for (const button of document.querySelectorAll("button.place")) {
    const at = places[button.dataset.pull]?.[button.dataset.index];
    button.hidden = !at;
    button.onclick = () => jump(at, button);
  }
}

// Draws the chart the finding is about first, where it is not shown yet.
async function showChart(check) {
  const key = view.overlay.charts_of_checks[check];
  const shown = view.overlay.charts.map((chart) => chart.key);
  if (!shown.includes(key) && view.overlay.quantities.some(({ quantity }) => quantity === key)) {
    chosen = [...shown.filter((one) => one !== "power" && one !== "torque"), key];
    await draw();
  }
  const at = view.overlay.charts.findIndex((chart) => chart.key === key);
  const height = $("charts").clientHeight / view.overlay.charts.length;
  if (at >= 0) scrollTo({ top: $("charts").offsetTop + (at - 1) * height, behavior: "smooth" });
}

async function jump([low, high], button) {
  await showChart(button.dataset.check);
  const width = Math.max(high - low, (view.whole.end - view.whole.start) / 8);
  zoomTo(middle({ start: low, end: high }) - width, middle({ start: low, end: high }) + width);
  Object.assign(view.place, { left: low, right: high, visible: true });
  follow(middle({ start: low, end: high }));
  for (const finding of document.querySelectorAll(".finding"))
    finding.classList.toggle("shown", finding.contains(button));
}

function zoomTo(start, end) {
  Object.assign(view.range, {
    start: Math.max(view.whole.start, start),
    end: Math.min(view.whole.end, end),
  });
  lookCloser();
}

// The whole has two samples a pixel; where the look is closer, the samples in between are fetched.
const SETTLED_MS = 250;
const CLOSE = 0.7; // of the whole: nearer than this there is something to gain
let settling = 0;
function lookCloser() {
  clearTimeout(settling);
  if (view?.overlay.thinned) settling = setTimeout(fetchCloser, SETTLED_MS);
}

async function fetchCloser() {
  const { start, end } = view.range;
  const span = end - start;
  if (span > CLOSE * (view.whole.end - view.whole.start)) return show(view.lines);
  const seen = view.seen;
  if (seen && seen.low <= start && end <= seen.high && span > (seen.high - seen.low) / 4) return;
  const looked = view;
  const wanted = { low: start - span / 2, high: end + span / 2 };
  const query = new URLSearchParams({ axis, ...wanted });
  for (const pull of PULLS) query.append("pulls", pull);
  for (const { key } of view.overlay.charts)
    if (key !== "power" && key !== "torque") query.append("quantity", key);
  const response = await fetch(`/api/v1/overlay/closer?${query}`);
  if (!response.ok || view !== looked) return;
  show(charts.numbered(await response.json()), wanted);
}

function show(lines, seen = null) {
  view.seen = seen;
  for (const plot of view.plots)
    for (const { data_source: source } of plot.renderers) {
      if (!source?.data.pull) continue;
      const { data, name: chart } = source;
      const finer = Array.from(data.name, (name, row) =>
        lines.find(
          (one) =>
            one.chart === chart && one.name === name && String(one.pull) === String(data.pull[row]),
        ),
      );
      if (finer.some(Boolean))
        source.data = {
          ...data,
          x: finer.map((one, row) => one?.x ?? data.x[row]),
          y: finer.map((one, row) => one?.y ?? data.y[row]),
        };
    }
}

function zoom(factor) {
  const half = ((view.range.end - view.range.start) * factor) / 2;
  const at = view.at ?? middle(view.range);
  zoomTo(at - half, at + half);
}

function step(share) {
  follow((view.at ?? middle(view.range)) + share * (view.range.end - view.range.start));
}

function setAxis(to) {
  axis = to;
  for (const one of ["engine_speed", "time"])
    $(`axis-${one}`).setAttribute("aria-pressed", String(one === to));
  // both are over engine speed
  for (const name of Object.keys(switches)) $(name).disabled = to === "time";
  draw();
}

function toggle(name) {
  if ($(name).disabled) return;
  switches[name] = !switches[name];
  $(name).setAttribute("aria-pressed", String(switches[name]));
  draw();
}

function nextPlace(direction) {
  const buttons = [...document.querySelectorAll("button.place")].filter(
    (one) => one.offsetParent !== null,
  );
  const at = buttons.findIndex((button) => button.closest(".finding").classList.contains("shown"));
  const button = buttons[(at + direction + buttons.length) % buttons.length];
  button?.click();
  button?.focus();
}

$("axis-engine_speed").addEventListener("click", () => setAxis("engine_speed"));
$("axis-time").addEventListener("click", () => setAxis("time"));
$("zoom-in").addEventListener("click", () => zoom(1 / ZOOM));
$("zoom-out").addEventListener("click", () => zoom(ZOOM));
$("zoom-all").addEventListener("click", () => zoomTo(-Infinity, Infinity));
for (const [name, key] of [
  ["bands", "b"],
  ["resampled", "g"],
]) {
  $(name).addEventListener("click", () => toggle(name));
  onKey(key, () => toggle(name));
}
for (const name of ["correction", "loss"]) $(name)?.addEventListener("change", draw);
onKey("x", () => setAxis(axis === "time" ? "engine_speed" : "time"));
onKey("c", () => {
  $("pick").open = !$("pick").open;
  if ($("pick").open) $("quantities").querySelector("input")?.focus();
});
onKey("+", () => zoom(1 / ZOOM));
onKey("-", () => zoom(ZOOM));
onKey("0", () => zoomTo(-Infinity, Infinity));
onKey("ArrowLeft", ({ shiftKey }) => step(shiftKey ? -0.1 : -0.01));
onKey("ArrowRight", ({ shiftKey }) => step(shiftKey ? 0.1 : 0.01));
onKey("n", () => nextPlace(1));
onKey("p", () => nextPlace(-1));

draw();
