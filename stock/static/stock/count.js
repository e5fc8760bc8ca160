// The count of a place on a phone: kept as a draft, sent again when the signal is back.
// A page that the phone kept carries a key that may be used up, so a new count takes a new one.
import { forget, keep, say } from "../studio/js/draft.js";
import { newName } from "../studio/js/outbox.js";

const COUNT = "form[data-count]";

function formHere() {
  return document.querySelector(COUNT);
}

// Written: the server sends us on.
document.addEventListener("htmx:beforeOnLoad", (event) => {
  const form = event.detail.elt.closest?.(COUNT);
  if (form && event.detail.xhr.getResponseHeader("HX-Redirect")) forget(form);
});

let waits = false;

document.addEventListener("htmx:sendError", () => {
  const form = formHere();
  if (!form) return;
  keep(form);
  waits = true;
  say(form, "No signal. Kept on this phone; it goes when the signal is back.");
});

window.addEventListener("online", () => {
  const form = formHere();
  if (!form || !waits) return;
  waits = false;
  say(form, "Sending");
  form.requestSubmit();
});

// Enter goes to the next box, as a number pad has no tab.
document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.classList?.contains("count-box")) return;
  const all = [...event.target.form.querySelectorAll(".count-box")];
  const next = all[all.indexOf(event.target) + 1];
  if (next) {
    event.preventDefault();
    next.focus();
  }
});

const form = formHere();
if (form && !form.querySelector("input[name=draft]")) form.elements.key.value = newName();
document.documentElement.dataset.ready = "yes";
