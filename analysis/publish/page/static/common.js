// What every page has: the units switch, keys for the pages, and small tools for the other scripts.

export const $ = (id) => document.getElementById(id);

export function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name === "text") made.textContent = value;
    else if (value !== null && value !== undefined && value !== false)
      made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...children);
  return made;
}

export const setText = (node, text) => {
  if (node.textContent !== text) node.textContent = text;
};

export function shape(name) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("class", "shape");
  svg.setAttribute("aria-hidden", "true");
  const use = document.createElementNS("http://www.w3.org/2000/svg", "use");
  use.setAttribute("href", `#shape-${name}`);
  svg.append(use);
  return svg;
}

const VERDICT_WORDS = {
  healthy: "healthy",
  look_closer: "look closer",
  stop: "stop",
  note: "not judged",
};

export function verdict(severity) {
  return element(
    "span",
    { class: `verdict ${severity}` },
    shape(severity),
    element("span", { text: VERDICT_WORDS[severity] }),
  );
}

export function show(unit, house, signed = false) {
  if (house === null || house === undefined) return "–";
  const value = signed ? unit.factor * house : unit.factor * house + unit.offset;
  const text = (Number(value.toFixed(unit.decimals)) + 0).toFixed(unit.decimals); // no minus zero
  return signed && value >= 0 ? `+${text}` : text;
}

// One keydown listener a page: keys typed into a field belong to the field.
const keys = new Map();
export function onKey(key, act) {
  keys.set(key, act);
}

document.addEventListener("keydown", (event) => {
  const field = event.target.matches("input:not([type=checkbox], [type=radio]), textarea, select");
  if (field || event.ctrlKey || event.metaKey || event.altKey) return;
  const act = keys.get(event.key);
  if (act) {
    event.preventDefault();
    act(event);
  }
});

for (const link of document.querySelectorAll("a[data-key]"))
  onKey(link.dataset.key, () => link.click());

const units = document.querySelector(".units");
onKey("u", () => {
  units.open = !units.open;
  if (units.open) units.querySelector("input:checked").focus();
});
onKey("Escape", () => {
  units.open = false;
});

$("units").addEventListener("change", () => {
  const chosen = [...new FormData($("units")).values()].map(encodeURIComponent).join("%2C");
  // biome-ignore lint/suspicious/noDocumentCookie: the Cookie Store API is absent on plain HTTP
  document.cookie = `units=${chosen}; path=/; max-age=31536000; samesite=strict`;
  location.reload();
});
