// Strip traces of the last seconds: one small canvas each, drawn once a screen refresh at most.

import { element, setText, show } from "./common.js";

const SPAN_S = 20;
const DASH = [6, 5];

// The axis grows to what it must hold and shrinks no faster than the eye follows.
function range(lines) {
  let low = Infinity,
    high = -Infinity;
  for (const { points } of lines)
    for (const [, value] of points) {
      if (value === null) continue;
      if (value < low) low = value;
      if (value > high) high = value;
    }
  if (low > high) return [0, 1];
  const margin = Math.max((high - low) * 0.08, Math.abs(high) * 0.02, 0.01);
  // nothing below a zero that holds
  return [low >= 0 ? Math.max(0, low - margin) : low - margin, high + margin];
}

export class Strip {
  constructor(parent, { title, channels, unit }, history) {
    this.unit = unit;
    this.lines = channels.map(({ name, dashed }) => ({
      name,
      dashed,
      points: [...(history[name] ?? [])],
    }));
    this.canvas = element("canvas", {
      role: "img",
      "aria-label": `${title}, the last ${SPAN_S} seconds`,
    });
    this.extent = element("span", { class: "soft" });
    parent.append(
      element(
        "div",
        { class: "strip" },
        element("h3", {}, element("span", { text: title }), this.extent),
        this.canvas,
      ),
    );
    this.width = this.height = 0;
    // To ask for the size at every drawing would lay the whole page out anew each time.
    new ResizeObserver(() => this.fit()).observe(this.canvas);
  }

  fit() {
    const ratio = devicePixelRatio || 1;
    this.width = this.canvas.clientWidth;
    this.height = this.canvas.clientHeight;
    this.canvas.width = Math.round(this.width * ratio);
    this.canvas.height = Math.round(this.height * ratio);
    this.context = this.canvas.getContext("2d");
    this.context.setTransform(ratio, 0, 0, ratio, 0, 0);
  }

  add(strips) {
    for (const line of this.lines) {
      const point = strips[line.name];
      const last = line.points.at(-1);
      if (!point || (last && last[0] >= point[0])) continue;
      line.points.push(point);
      while (line.points[0][0] < point[0] - SPAN_S) line.points.shift();
    }
  }

  draw(nowS) {
    const { context, width, height } = this;
    if (!width) return; // not laid out yet
    context.clearRect(0, 0, width, height);
    this.grid(context, width, height);
    const [low, high] = range(this.lines);
    const x = (t) => width * (1 - (nowS - t) / SPAN_S);
    const y = (v) => height - ((v - low) / (high - low)) * height;
    for (const line of this.lines) this.line(context, line, x, y);
    const space = this.unit.symbol === "°" ? "" : " ";
    setText(
      this.extent,
      `${show(this.unit, low)} to ${show(this.unit, high)}${space}${this.unit.symbol}`,
    );
  }

  grid(context, width, height) {
    context.strokeStyle = "#d5d8dc";
    context.setLineDash([]);
    context.lineWidth = 1;
    context.beginPath();
    for (let back = 0; back <= SPAN_S; back += 5) {
      const at = Math.round(width * (1 - back / SPAN_S)) - 0.5;
      context.moveTo(at, 0);
      context.lineTo(at, height);
    }
    context.moveTo(0, height - 0.5);
    context.lineTo(width, height - 0.5);
    context.stroke();
  }

  line(context, { points, dashed }, x, y) {
    context.strokeStyle = dashed ? "#444c55" : "#12161b";
    context.setLineDash(dashed ? DASH : []);
    context.lineWidth = dashed ? 1.5 : 2.2;
    context.beginPath();
    let open = false;
    let before = null;
    for (const [time, value] of points) {
      // A gap is drawn as a gap.
      if (value === null || (before !== null && time - before > 1)) open = false;
      before = time;
      if (value === null) continue;
      if (open) context.lineTo(x(time), y(value));
      else context.moveTo(x(time), y(value));
      open = true;
    }
    context.stroke();
  }
}
