// The live page: takes 25 messages a second, touches only what has changed.

import { showChecklist } from "./checklist.js";
import { $, element, onKey, setText, shape, show, verdict } from "./common.js";
import { isOn, sound, switchSound } from "./sound.js";
import { Strip } from "./strips.js";

const PHASES = {
  idle: ["Waiting", "No wide-open throttle."],
  hold: ["Hold", "Full pedal, speed held. The sweep has not begun."],
  sweep: ["Pull runs", "Speed rises at full pedal. Watch the car."],
  done: ["Pull done", "Findings follow."],
  blind: ["Blind", "Data is missing: do not trust the readouts. Lift."],
};
const SILENT_AFTER_MS = 1000;
const RECONNECT_MS = [250, 500, 1000, 2000];
const DEVIATION_SPAN = 0.2; // the bar is full at 20 % off target
const RETARD_SPAN_DEG = 10; // a well is full at 10 degrees of retard

let page = null; // what hello built
let latest = null;
let drawing = false;
let attempts = 0;
let advancedAt = performance.now();
let advancedTo = -1;
let heardAt = performance.now();

const setClass = (node, name, on) => {
  if (node.classList.contains(name) !== on) node.classList.toggle(name, on);
};

function readout(spec) {
  const box = element("div", { class: "readout", id: `readout-${spec.quantity}` });
  const target = element("span");
  box.append(element("h2", {}, element("b", { text: spec.title }), target));
  const cylinders = Object.entries(spec.cylinders);
  if (cylinders.length) return cylinderReadout(spec, box, target, cylinders);
  const number = element("output", { text: "–" });
  box.append(
    element(
      "div",
      { class: "value" },
      number,
      element("span", { class: "unit", text: spec.unit.symbol }),
    ),
  );
  const bar = element("i");
  if (spec.target)
    box.append(
      element(
        "div",
        { class: "deviation", title: "Off target: the middle is the target, an end is 20 %" },
        bar,
        element("b"),
      ),
    );
  return { box, update: (now) => updateReadout(spec, now, box, number, target, bar) };
}

function updateReadout(spec, now, box, number, target, bar) {
  const value = now.values[spec.channel];
  setText(number, show(spec.unit, value));
  setClass(box, "stale", value === undefined || now.stale.includes(spec.channel));
  setClass(box, "alarm", now.alarmed.has(spec.channel));
  if (!spec.target) return;
  const wanted = now.values[spec.target];
  const known = typeof wanted === "number" && typeof value === "number";
  setText(target, known ? `target ${show(spec.unit, wanted)}` : "no target");
  // Against a target near zero a ratio says nothing.
  const off = known && Math.abs(wanted) > 1e-6 ? (value - wanted) / Math.abs(wanted) : 0;
  bar.style.transform = `scaleX(${Math.max(-1, Math.min(1, off / DEVIATION_SPAN))})`;
}

function cylinderReadout(spec, box, worst, cylinders) {
  box.classList.add("wide");
  const row = element("div", { class: "cylinders" });
  const wells = cylinders.map(([cylinder, channel]) => {
    const fill = element("i"),
      peak = element("u"),
      number = element("strong", { text: "–" });
    const cell = element(
      "div",
      { class: "cylinder" },
      element("div", { class: "well" }, fill, peak),
      number,
      element("span", { text: `cyl ${cylinder}` }),
    );
    row.append(cell);
    return { channel, fill, peak, number, cell, most: 0 };
  });
  box.append(row);
  return { box, update: (now) => updateCylinders(spec, now, box, worst, wells) };
}

function updateCylinders(spec, now, box, worst, wells) {
  let most = 0;
  for (const well of wells) {
    const value = now.values[well.channel];
    if (now.begun) well.most = 0;
    well.most = Math.max(well.most, now.strips[well.channel]?.[1] ?? 0);
    most = Math.max(most, well.most);
    setText(well.number, show(spec.unit, value));
    well.fill.style.transform = `scaleY(${Math.min(1, (value ?? 0) / RETARD_SPAN_DEG)})`;
    well.peak.style.transform = `translateY(${Math.min(1, well.most / RETARD_SPAN_DEG) * 36}px)`;
    setClass(well.cell, "alarm", now.alarmed.has(well.channel));
  }
  const stale = wells.every(
    (well) => now.values[well.channel] === undefined || now.stale.includes(well.channel),
  );
  setText(worst, stale ? "" : `most ${show(spec.unit, most)}${spec.unit.symbol}`);
  setClass(box, "stale", stale);
}

function build({ layout, history }) {
  $("readouts").replaceChildren();
  $("strips").replaceChildren();
  const readouts = layout.readouts.map(readout);
  $("readouts").append(...readouts.map(({ box }) => box));
  const strips = layout.strips.map((spec) => new Strip($("strips"), spec, history));
  page = { layout, readouts, strips, phase: null, drawnAlerts: "", drawnSide: "" };
}

function update(now) {
  now.alarmed = new Set(now.alerts.map((alert) => alert.channel));
  const phase = now.blind || performance.now() - advancedAt > SILENT_AFTER_MS ? "blind" : now.phase;
  now.begun = phase === "sweep" && page.phase !== "sweep";
  if (phase !== page.phase) showPhase(phase);
  setText($("phase-words"), words(phase, now.readiness));
  page.phase = phase;
  const speed = now.values[page.layout.engine_speed];
  setText($("speed-value"), typeof speed === "number" ? speed.toFixed(0) : "–");
  setClass(
    $("engine-speed"),
    "stale",
    speed === undefined || now.stale.includes(page.layout.engine_speed),
  );
  $("speed-fill").style.transform =
    `scaleX(${Math.min(1, (speed ?? 0) / page.layout.max_engine_speed_rpm)})`;
  for (const one of page.readouts) one.update(now);
  for (const strip of page.strips) strip.draw(now.now_s);
  showAlerts(now);
  showSide(now);
}

const firstTwo = (names) =>
  names.slice(0, 2).join(", ") + (names.length > 2 ? `, ${names.length - 2} more` : "");

const ageText = (age) => (age === null ? "none yet" : `${age.toFixed(2)} s old`);

// Between pulls the operator reads from afar whether the next may begin.
function words(phase, readiness) {
  if (phase !== "idle" || !readiness) return PHASES[phase][1];
  const waiting = readiness.items
    .filter(({ state }) => state === "wait")
    .map(({ name }) => name.text.toLowerCase());
  return waiting.length
    ? `Not ready yet: ${firstTwo(waiting)}.`
    : "Ready for a pull, as far as pullwatch sees.";
}

function showPhase(phase) {
  $("phase").dataset.phase = phase;
  document.body.dataset.phase = phase;
  $("phase-shape").setAttribute("href", `#shape-${phase}`);
  setText($("phase-word"), PHASES[phase][0]);
  setText($("phase-words"), PHASES[phase][1]);
}

// What somebody has seen here sounds no more while it stands, until it gets graver. What latches
// goes when it is seen, and comes again at once if it is still so.
const seen = new Set();
const degreeOf = ({ key, severity }) => key + severity;

function alertBand(alert) {
  const button = element(
    "button",
    { type: "button", class: "button", "data-key": alert.key },
    "Seen",
    element("kbd", { text: "a" }),
  );
  button.addEventListener("click", () => acknowledge(alert));
  return element(
    "div",
    { class: `alert ${alert.severity}` },
    shape(alert.severity),
    element("div", { class: "words" }, element("strong"), element("span")),
    button,
  );
}

const namesSpeed = ({ amounts }) => amounts.some(({ unit }) => unit === "rpm");

function sayAlert(band, alert) {
  const what = alert.severity === "stop" ? "Stop" : "Look closer";
  const at =
    alert.engine_speed_rpm === null || namesSpeed(alert.statement)
      ? ""
      : ` At ${alert.engine_speed_rpm.toFixed(0)} rpm.`;
  setText(band.querySelector("strong"), `${what}: ${alert.statement.text}`);
  const until = seen.has(degreeOf(alert))
    ? " Seen; still so."
    : alert.latched
      ? " Stays until seen."
      : "";
  setText(band.querySelector(".words span"), at + until);
  setClass(band, "seen", seen.has(degreeOf(alert)));
}

// A value that goes on rising changes the words alone: a button that is being pressed must stay.
function showAlerts(now) {
  const stamp = now.alerts.map((a) => a.key + a.severity).join("|");
  if (stamp !== page.drawnAlerts) {
    const focused = document.activeElement?.dataset?.key;
    $("alerts").replaceChildren(...now.alerts.map(alertBand));
    if (focused)
      $("alerts")
        .querySelector(`[data-key="${CSS.escape(focused)}"]`)
        ?.focus();
    page.drawnAlerts = stamp;
  }
  now.alerts.forEach((alert, at) => {
    sayAlert($("alerts").children[at], alert);
  });
  const title = now.alerts.length ? `(!) ${now.alerts[0].statement.text}` : "Live · pullwatch";
  if (document.title !== title) document.title = title;
  const standing = new Set(now.alerts.map(degreeOf));
  for (const degree of seen) if (!standing.has(degree)) seen.delete(degree);
  sound(unseen(now)?.severity ?? null);
}

const unseen = ({ alerts }) => alerts.find((alert) => !seen.has(degreeOf(alert)));

function acknowledge(alert) {
  if (!alert.latched) seen.add(degreeOf(alert));
  fetch(`/api/v1/alerts/${encodeURIComponent(alert.key)}/acknowledge`, { method: "POST" }).catch(
    () => seen.delete(degreeOf(alert)),
  );
}

function line(state, name, words, bad) {
  return element(
    "li",
    { class: bad || null },
    shape(state),
    element("span", { text: name }),
    element("span", { class: "end", text: words }),
  );
}

function amount({ value, unit }) {
  if (value === null || unit === "1") return "";
  const known = page.layout.conversions[unit] ?? { factor: 1, offset: 0, symbol: unit };
  const decimals = ["V", "K", "GB"].includes(unit) ? 1 : 0;
  return `${show({ ...known, decimals }, value)} ${known.symbol}, `;
}

// What has to be waited for stands open, with coolant and oil; what is fine is folded away.
function showReadiness(readiness, items) {
  const waiting = items.filter((item) => item.state === "wait");
  const isOpen = (item) => item.state === "wait" || item.unit === "degC";
  const row = (item) =>
    line(
      item.state,
      item.name.text,
      amount(item) + item.found.text,
      item.state === "wait" && "wait",
    );
  setText(
    $("ready"),
    readiness === null
      ? "Not looked at yet."
      : waiting.length
        ? `Not ready: ${waiting.length} of ${items.length} to wait for.`
        : "Ready, as far as pullwatch sees.",
  );
  $("readiness").replaceChildren(...items.filter(isOpen).map(row));
  const rest = items.filter((item) => !isOpen(item));
  $("fine").replaceChildren(...rest.map(row));
  setText($("fine-words"), `${rest.length} more looked at`);
}

// An ECU that is asked gives each value its share of what it can answer: how much, and how old.
function showPolled(values) {
  const stamp = JSON.stringify(values);
  if (stamp === page.drawnPolled) return;
  page.drawnPolled = stamp;
  $("polled").hidden = !values.length;
  setText($("polled-words"), `${values.length} asked for: achieved and wanted rate`);
  $("polled-lines").replaceChildren(
    ...values.map(({ channels, wanted_hz: wanted, achieved_hz: achieved, age_s: age }) =>
      line(
        age === null ? "wait" : "ready",
        channels.join(", "),
        `${achieved.toFixed(1)} of ${Number(wanted.toFixed(1))} Hz, ${ageText(age)}`,
      ),
    ),
  );
}

function showSide(now) {
  const { readiness, health, last_pull: pull, job, stage } = now;
  showPolled(health.flatMap((source) => source.polled));
  showChecklist(readiness?.checklist ?? []);
  const items = readiness?.items ?? [];
  const stamp = JSON.stringify([
    items.map((r) => [r.found.text, r.value?.toFixed(1)]),
    health.map((h) => [h.state, h.message, h.dropped]),
    pull,
    job,
    stage,
  ]);
  if (stamp === page.drawnSide) return;
  page.drawnSide = stamp;
  showReadiness(readiness, items);
  $("sources").replaceChildren(
    ...health.map((source) =>
      line(
        source.well ? "ready" : "blind",
        source.name,
        source.message ||
          (source.dropped ? `${source.state}, ${source.dropped} lost` : source.state),
        !source.well && "bad",
      ),
    ),
  );
  setText($("job"), job ? `${job}: ${stage}` : "No job is open: make one under Jobs.");
  showNewest(pull);
}

// A pull is shown before it is stored, and can be opened after that.
function showNewest(pull) {
  const stamp = JSON.stringify(pull);
  if (!pull || stamp === page.drawnPull) return; // a link in use must not be replaced
  page.drawnPull = stamp;
  const attributes = { class: "pull-name", text: `Pull ${pull.number}` };
  const name =
    pull.pull_id === null
      ? element("b", attributes)
      : element("a", { ...attributes, href: `/review?pulls=${pull.pull_id}` });
  $("last-pull").replaceChildren(
    element("p", {}, name, " ", verdict(pull.verdict)),
    element("p", { text: pull.statements.map(({ text }) => text).join(" ") }),
  );
}

function receive(text) {
  const message = JSON.parse(text);
  if (message.kind === "hello") {
    build(message);
    return;
  }
  latest = message;
  if (message.now_s !== advancedTo) {
    advancedTo = message.now_s;
    advancedAt = performance.now();
  }
  heardAt = performance.now();
  $("connection").hidden = true;
  for (const strip of page.strips) strip.add(message.strips);
  // Nothing is drawn behind another page, but alerts sound.
  if (document.hidden) return update(latest);
  if (drawing) return;
  drawing = true;
  requestAnimationFrame(() => {
    drawing = false;
    update(latest);
  });
}

function blind(words) {
  $("connection").hidden = false;
  setText($("connection"), `${words} The readouts are old.`);
  showPhase("blind");
  if (page) page.phase = null;
}

function lost() {
  const wait = RECONNECT_MS[Math.min(attempts, RECONNECT_MS.length - 1)];
  attempts += 1;
  blind("No connection to pullwatch: trying again.");
  setTimeout(connect, wait);
}

// A network that goes away, or a program that hangs, closes nothing: only silence tells.
function listen() {
  if (page && $("connection").hidden && performance.now() - heardAt > SILENT_AFTER_MS)
    blind("No word from pullwatch.");
}

function connect() {
  const socket = new WebSocket(
    `${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/api/v1/live`,
  );
  socket.onopen = () => {
    attempts = 0;
  };
  socket.onmessage = ({ data }) => receive(data);
  socket.onclose = lost;
}

async function toggleSound() {
  const on = await switchSound(!isOn());
  $("sound").setAttribute("aria-pressed", String(on));
  setText($("sound-words"), on ? "Sound is on" : "Sound is off");
}

$("sound").addEventListener("click", toggleSound);
onKey("s", toggleSound);
onKey("a", () => {
  const alert = latest && unseen(latest);
  if (alert) acknowledge(alert);
});
connect();
setInterval(listen, SILENT_AFTER_MS / 4);
