// A form that keeps what is typed on this device until the server has it: <form data-draft>, or with a name of its own.
// The form's own key is kept too, so that what was sent and whose answer was lost on the way is still written once.
// When the server has written it, it says the draft's token in a cookie (studio/ui/middleware.py), and the draft goes.
import { newName, person } from "./outbox.js";

const PREFIX = "draft.";
const LASTS_MS = 3 * 24 * 3600 * 1000;
const SAVED = /(?:^|; )draft_saved=([0-9a-f-]{36})/;
const NEVER_KEPT = new Set(["file", "password", "submit", "button", "reset"]);
const touched = new WeakSet();

// Drafts belong to a person: nobody else at this device is given them back.
function nameOf(form) {
  return PREFIX + (form.dataset.draft || `${person}.${form.getAttribute("action") || location.pathname}`);
}

function read(name) {
  try {
    return JSON.parse(localStorage.getItem(name) ?? "null");
  } catch {
    return null;
  }
}

function kept(form) {
  const draft = read(nameOf(form));
  return draft && Date.now() - draft.at < LASTS_MS ? draft : null;
}

function isKey(box) {
  return box.name === "key" || box.name.endsWith("-key");
}

function boxes(form) {
  return [...form.elements].filter((box) => {
    const type = box.getAttribute("type") ?? "";
    return box.name && !NEVER_KEPT.has(type) && (type !== "hidden" || isKey(box));
  });
}

function isTicked(box) {
  return box.getAttribute("type") === "checkbox" || box.getAttribute("type") === "radio";
}

function nameIn(box) {
  return isTicked(box) ? `${box.name}=${box.getAttribute("value") ?? "on"}` : box.name;
}

function valueOf(box) {
  return isTicked(box) ? (box.checked ? "on" : "") : box.value;
}

function put(box, value) {
  if (isTicked(box)) box.checked = value === "on";
  else box.value = value;
  touched.add(box);
}

function cameBackWithErrors(form) {
  return Boolean(form.querySelector(".errors, .errorlist, .field-wrong"));
}

export function say(form, words) {
  let place = form.querySelector("[data-draft-words]");
  if (!place) {
    place = document.createElement("p");
    place.className = "small quiet";
    place.setAttribute("role", "status");
    place.setAttribute("data-draft-words", "");
    form.append(place);
  }
  place.textContent = words;
}

// The token by which the server says that this draft is written.
function tokenOf(form) {
  let box = form.querySelector("input[name=draft]");
  if (!box) {
    box = document.createElement("input");
    box.setAttribute("type", "hidden");
    box.setAttribute("name", "draft");
    box.setAttribute("value", kept(form)?.token ?? newName());
    form.append(box);
  }
  return box.value;
}

export function keep(form) {
  const shown = boxes(form).filter((box) => isKey(box) || touched.has(box));
  // What htmx swapped in has not been touched yet: what was kept of it before stays.
  const values = { ...kept(form)?.values, ...Object.fromEntries(shown.map((box) => [nameIn(box), valueOf(box)])) };
  const draft = { at: Date.now(), token: tokenOf(form), values };
  try {
    localStorage.setItem(nameOf(form), JSON.stringify(draft));
    say(form, "Kept on this device until it is saved.");
  } catch {
    say(form, "This device keeps nothing. Don’t leave the page.");
  }
}

export function forget(form) {
  localStorage.removeItem(nameOf(form));
}

// Whether there was a draft. What the server sent back with errors is newer than any draft, and stays.
export function restore(form) {
  const draft = kept(form);
  if (cameBackWithErrors(form)) {
    for (const box of boxes(form)) if (valueOf(box)) touched.add(box);
    if (draft) tokenOf(form);
    return Boolean(draft);
  }
  if (!draft) return false;
  for (const box of boxes(form)) {
    const value = draft.values[nameIn(box)];
    if (value !== undefined) put(box, value);
  }
  tokenOf(form);
  say(form, "As you left it. ");
  offerToDiscard(form);
  return true;
}

function offerToDiscard(form) {
  const button = document.createElement("button");
  button.setAttribute("type", "button");
  button.className = "link-button";
  button.textContent = "Discard";
  button.addEventListener("click", () => {
    forget(form);
    location.reload();
  });
  form.querySelector("[data-draft-words]").append(button);
}

function forgetSaved() {
  const token = SAVED.exec(document.cookie)?.[1];
  if (!token) return;
  for (let place = localStorage.length - 1; place >= 0; place -= 1) {
    const name = localStorage.key(place);
    if (name.startsWith(PREFIX) && read(name)?.token === token) localStorage.removeItem(name);
  }
  document.cookie = "draft_saved=; path=/; max-age=0";
}

document.addEventListener("input", (event) => {
  const form = event.target.closest?.("form[data-draft]");
  if (!form) return;
  touched.add(event.target);
  keep(form);
});

// A form of htmx is sent by its page's own script.
document.addEventListener("submit", (event) => {
  const form = event.target.closest?.("form[data-draft]");
  if (!form || form.hasAttribute("hx-post") || navigator.onLine) return;
  event.preventDefault();
  keep(form);
  say(form, "No connection. Your text is kept on this device: send it when the connection is back.");
});

forgetSaved();
for (const form of document.querySelectorAll("form[data-draft]")) restore(form);
