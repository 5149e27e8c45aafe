// The job page: picking pulls for the overlay, the dialog that changes a pull, keys.

import { showChecklist } from "./checklist.js";
import { $, element, onKey, show, verdict } from "./common.js";
import { call, complain } from "./forms.js";

const picks = [...document.querySelectorAll("input[name=pulls]")];

function count() {
  const picked = picks.filter((pick) => pick.checked).length;
  $("overlay-button").disabled = picked === 0;
  $("picked").textContent = picked ? `${picked} picked.` : "None picked.";
}

for (const pick of picks) pick.addEventListener("change", count);
count();

// j and k walk the pulls, Space picks (the browser's own), o overlays.
function walk(step) {
  const at = picks.indexOf(document.activeElement);
  picks[(at + step + picks.length) % picks.length]?.focus();
}
onKey("j", () => walk(1));
onKey("k", () => walk(-1));
onKey("o", () => {
  if (!$("overlay-button").disabled) $("overlay").requestSubmit();
});
onKey("r", () => $("report").click());

const dialog = $("change");
for (const button of document.querySelectorAll("button[data-dialog]")) {
  button.addEventListener("click", () => {
    const { pull, number, stage, annotation, excluded } = button.dataset;
    dialog.dataset.pull = pull;
    $("change-title").textContent = `Pull ${number}`;
    dialog.querySelector("[name=annotation]").value = annotation;
    dialog.querySelector("[name=stage_id]").value = stage;
    $("exclude").hidden = excluded === "yes";
    $("include").hidden = excluded !== "yes";
    dialog.showModal();
  });
}

// The air: typed in the user's unit, told in the house's.
const airFields = [...$("air").querySelectorAll("input")];
const unitOf = ({ dataset }) => ({
  factor: Number(dataset.factor),
  offset: Number(dataset.offset),
  decimals: Number(dataset.decimals),
});

$("air").addEventListener("submit", async (event) => {
  event.preventDefault();
  $("air").querySelector(".wrong")?.remove();
  const typed = airFields.filter(({ value }) => value !== "");
  const said = Object.fromEntries(
    typed.map((field) => [
      field.name,
      (Number(field.value) - unitOf(field).offset) / unitOf(field).factor,
    ]),
  );
  try {
    await call("/api/v1/air", "PUT", said);
    $("air").reset();
  } catch (error) {
    complain($("air"), error);
  }
});

function showAir(air, doubts) {
  if (!air) return;
  const known = airFields.filter(({ name }) => air[name] !== null);
  const figures = known.map(
    (field) => `${show(unitOf(field), air[field.name])} ${field.dataset.unit}`,
  );
  const words = element("b", { text: figures.join(", ") || "Not known." });
  $("air-now").replaceChildren(
    words,
    air.origin ? ` now (${air.origin}).` : "",
    ...doubts.map(({ text }) => element("strong", { class: "doubt", text })),
  );
}

// A pull that has come in since is announced, never put in by itself: somebody may be typing.
const known = new Set(picks.map((pick) => Number(pick.value)));
const NEWS_EVERY_MS = 1000;
async function look() {
  if (document.hidden) return;
  const response = await fetch("/api/v1/snapshot").catch(() => null);
  if (!response?.ok) return;
  const { air, air_doubts: doubts, last_pull: pull, readiness } = await response.json();
  showAir(air, doubts);
  if (readiness) showChecklist(readiness.checklist);
  if (!pull?.pull_id || known.has(pull.pull_id)) return; // what is not stored yet is not in the job
  known.add(pull.pull_id);
  $("news").replaceChildren(
    element("a", {
      href: location.pathname,
      class: "button main",
      text: `Pull ${pull.number} is in: show it`,
    }),
    " ",
    verdict(pull.verdict),
  );
}
look();
setInterval(look, NEWS_EVERY_MS);
