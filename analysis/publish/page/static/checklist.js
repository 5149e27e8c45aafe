// The operator's list before a pull: drawn from the snapshot, ticked through the API.

import { $, element, setText } from "./common.js";

let drawn = "";

export function showChecklist(points) {
  const stamp = JSON.stringify(points);
  if (stamp === drawn) return;
  drawn = stamp;
  setText(
    $("checklist-words"),
    `Your list: ${points.filter((point) => point.done).length} of ${points.length}`,
  );
  const focused = [...$("checklist").querySelectorAll("input")].indexOf(document.activeElement);
  $("checklist").replaceChildren(
    ...points.map((point, at) => {
      const box = element("input", { type: "checkbox", checked: point.done });
      box.addEventListener("change", () => tick(at, box.checked));
      return element("li", {}, element("label", {}, box, element("span", { text: point.words })));
    }),
  );
  $("checklist").querySelectorAll("input")[focused]?.focus();
}

function tick(point, done) {
  fetch(`/api/v1/checklist/${point}`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ done }),
  }).catch(() => {
    drawn = "";
  }); // drawn again as it is
}
