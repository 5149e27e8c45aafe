// The job page: picking pulls for the overlay, the dialog that changes a pull, keys.

import { $, onKey } from "./common.js";

const picks = [...document.querySelectorAll("input[name=pulls]")];

function count() {
  const picked = picks.filter((pick) => pick.checked).length;
  $("overlay-button").disabled = picked === 0;
  $("picked").textContent = picked ? `${picked} picked` : "Pick two or more.";
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
onKey("o", () => { if (!$("overlay-button").disabled) $("overlay").requestSubmit(); });
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
