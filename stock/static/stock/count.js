// A form that keeps what is typed on this phone until the server has it: <form data-draft="name">.
// The form's own key is kept too, so that a count whose answer was lost on the way is still written once. A page that
// the phone kept carries a key that may be used up, so a new count takes a new one.
import { newName } from "../studio/js/outbox.js";

const PREFIX = "draft.";
const LASTS_MS = 3 * 24 * 3600 * 1000;

function formHere() {
  return document.querySelector("form[data-draft]");
}

function kept(name) {
  try {
    const draft = JSON.parse(localStorage.getItem(PREFIX + name) ?? "null");
    return draft && Date.now() - draft.at < LASTS_MS ? draft : null;
  } catch {
    return null;
  }
}

function boxes(form) {
  return [...form.elements].filter((box) => box.name === "key" || box.classList.contains("count-box"));
}

function say(form, words) {
  const place = form.querySelector("[data-draft-words]");
  if (place) place.textContent = words;
}

function keep(form) {
  const values = Object.fromEntries(boxes(form).map((box) => [box.name, box.value]));
  try {
    localStorage.setItem(PREFIX + form.dataset.draft, JSON.stringify({ at: Date.now(), values }));
    say(form, "kept on this phone");
  } catch {
    say(form, "This phone keeps nothing; don’t leave the page.");
  }
}

function restore(form) {
  const draft = kept(form.dataset.draft);
  if (!draft) {
    form.elements.key.value = newName();
    return;
  }
  for (const box of boxes(form)) {
    if (box.name === "key" || box.value === "") box.value = draft.values[box.name] ?? box.value;
  }
  say(form, "as you left it");
}

document.addEventListener("input", (event) => {
  const form = event.target.closest?.("form[data-draft]");
  if (form) keep(form);
});

// Written: the server sends us on.
document.addEventListener("htmx:beforeOnLoad", (event) => {
  const form = event.detail.elt.closest?.("form[data-draft]");
  if (form && event.detail.xhr.getResponseHeader("HX-Redirect")) {
    localStorage.removeItem(PREFIX + form.dataset.draft);
  }
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
if (form) restore(form);
document.documentElement.dataset.ready = "yes";
