// Forms that talk to the API: data-api and data-method say where, fields become JSON, then reload.

import { element } from "./common.js";

export async function call(url, method, body) {
  const options = { method };
  if (body !== undefined) {
    options.body = JSON.stringify(body);
    options.headers = { "Content-Type": "application/json" };
  }
  const response = await fetch(url, options);
  if (response.ok) return response.status === 204 ? {} : response.json();
  const { detail } = await response.json().catch(() => ({ detail: response.statusText }));
  throw new Error(
    typeof detail === "string"
      ? detail
      : detail.map((one) => `${one.loc.at(-1)}: ${one.msg}`).join("; "),
  );
}

function fields(form) {
  const body = {};
  for (const field of form.elements) {
    if (!field.name) continue;
    body[field.name] = field.name === form.dataset.numbers ? Number(field.value) : field.value;
  }
  return body;
}

export function complain(near, error) {
  near.querySelector(".wrong")?.remove();
  near.append(element("p", { class: "wrong", role: "alert", text: error.message }));
}

async function send(form) {
  const { api, method, then } = form.dataset;
  const url = api.replace("{pull}", form.closest("dialog")?.dataset.pull);
  try {
    const made = await call(url, method, method === "DELETE" ? undefined : fields(form));
    if (then) location.assign(then.replace("{id}", made.id));
    else location.reload();
  } catch (error) {
    complain(form, error);
  }
}

for (const form of document.querySelectorAll("form[data-api]")) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    send(form);
  });
}

for (const button of document.querySelectorAll("button[data-call]")) {
  button.addEventListener("click", async () => {
    try {
      await call(button.dataset.call, button.dataset.method);
      location.reload();
    } catch (error) {
      complain(button.parentElement, error);
    }
  });
}
