// What the load-out list and the return list share on a phone: how things stand by what the server told and what still
// waits here, the words about it, and the look for news.
import * as outbox from "../studio/js/outbox.js";

const LOOK_MS = 15000;
const TAP_MS = 300;
const PAGES = "billowbook-pages";
const STAGES = ["agreed", "prepared", "installed", "struck", "counted_back"];

const page = document.getElementById("phone-page");
export const address = page.dataset.address;
export const photoAddress = page.dataset.photos;
const words = document.getElementById("load-words");
const status = document.getElementById("load-status");
const refusals = document.getElementById("refusals");

const sentences = document.getElementById("sentences").dataset;

let told = JSON.parse(document.getElementById("told").textContent);
let posts = []; // what this person did on this phone and waits here, oldest first
let others = 0; // how many things of somebody else wait here
let drawPage = () => undefined;
let cannotKeep = "";
let pressing = false; // a finger is on the page: no part is replaced beneath it, or its tap would be lost

export const find = (selector, within = document) => [...within.querySelectorAll(selector)];

// A sentence in the language of whoever reads: it stands in the page, so that it is there without signal too.
export function sentence(name, figures = {}) {
  return sentences[`say${name}`].replace(/\{(\w+)\}/g, (_, key) => figures[key]);
}

// ---- How things stand ----

const waits = (entry) => entry.op && !entry.refused;

function same(op, kind, thing) {
  return (op.kind || "loaded") === kind && (op.line ?? op.task ?? null) === thing;
}

// What this phone said last of a thing, and the server doesn't have yet.
export function unsent(kind, thing) {
  return posts.filter((entry) => waits(entry) && same(entry.op, kind, thing)).at(-1)?.op;
}

export function unsentNotes(line) {
  return posts.filter((entry) => waits(entry) && entry.op.kind === "note" && (entry.op.line ?? null) === line);
}

export const unsentPhotos = () => posts.filter((entry) => entry.photo && !entry.refused);

export const line = (pk) => told.lines[pk];

export const all = () => told;

// The stage that the event is at once what waits here has arrived.
export function stage() {
  let at = Math.max(...[told.stage, ...Object.keys(told.steps)].map((step) => STAGES.indexOf(step)));
  for (const { op } of posts.filter(waits)) {
    const step = STAGES.indexOf(op.task);
    if (op.kind === "step") at = Math.max(at, step);
    if (op.kind === "undone" && step === at) at -= 1;
  }
  return STAGES[at] || told.stage;
}

// What this phone said last of a step, marked or undone, and the server doesn't have yet.
export function unsentStep(step) {
  return posts.filter((entry) => waits(entry) && ["step", "undone"].includes(entry.op.kind) && entry.op.task === step)
    .at(-1)?.op;
}

// The step that can be undone here: the last one, if this person or phone marked it, or the office looks.
export function undoable() {
  const now = stage();
  const own = unsentStep(now);
  const mine = own ? own.kind === "step" : told.steps[now]?.may_undo;
  return mine && now !== "counted_back" ? now : "";
}

// Every tick of the thing that this phone knows of: the next one settles them.
function after(kind, thing) {
  const heads = kind === "loaded" ? told.lines[thing]?.heads : kind === "back" ? told.lines[thing]?.back?.heads : null;
  const own = unsent(kind, thing)?.uuid;
  return [...(heads || []), ...(own ? [own] : [])];
}

// ---- Saying something ----

export async function say(op) {
  const kind = op.kind || "loaded";
  const settles = kind === "loaded" || kind === "back" ? { after: after(kind, op.line) } : {};
  await keep(address, { ...op, ...settles });
}

export const sayPhoto = (photo) => keep(photoAddress, { photo });

async function keep(where, thing) {
  try {
    await outbox.put(where, thing);
    cannotKeep = "";
  } catch {
    cannotKeep = sentence("NoRoom");
    speak();
  }
}

// ---- Words ----

const things = (number) => (number === 1 ? sentence("Tick") : sentence("Ticks", { count: number }));

function speak() {
  const left = posts.filter((entry) => !entry.refused).length;
  const here = left ? ` ${sentence("KeptHere", { ticks: things(left) })}` : "";
  let [state, text] = ["sent", sentence("AllSent")];
  if (cannotKeep) [state, text] = ["refused", cannotKeep];
  else if (outbox.state.closed) [state, text] = ["refused", outbox.state.closed + here];
  else if (left && outbox.state.sending && navigator.onLine && !outbox.state.trouble) {
    [state, text] = ["plain", sentence("Sending", { ticks: things(left) })];
  } else if (!navigator.onLine || outbox.state.trouble || left) {
    state = "kept";
    text = left ? sentence("NoSignalKept", { ticks: things(left) }) : sentence("NoSignal");
  }
  if (others) {
    text += ` ${sentence(others === 1 ? "OtherWaits" : "OthersWait", { ticks: things(others) })}`;
  }
  status.dataset.state = state;
  if (words.textContent !== text) words.textContent = text;
  speakOfRefusals();
}

function speakOfRefusals() {
  const refused = posts.filter((entry) => entry.refused);
  refusals.hidden = !refused.length;
  const reasons = [...new Set(refused.map((entry) => entry.refused))];
  const text = `${sentence("Refused", { ticks: things(refused.length) })} ${reasons.join(" ")}`;
  const shown = refusals.querySelector("[data-words]");
  if (shown.textContent !== text) shown.textContent = text;
}

refusals.querySelector("button").addEventListener("click", () =>
  outbox.setAside(posts.filter((entry) => entry.refused).map((entry) => entry.uuid)),
);

// ---- News ----

async function refresh(answers) {
  if (answers[address]) told = answers[address];
  const entries = await outbox.waiting().catch(() => []);
  const here = entries.filter((entry) => entry.address === address || entry.address === photoAddress);
  posts = here.filter((entry) => entry.person === outbox.person);
  others = here.length - posts.length;
  drawPage();
  speak();
  if (answers[address] && told.revision !== page.dataset.revision) renew().catch(() => undefined);
}

const isBusy = () => pressing || document.activeElement?.matches("input, textarea");

// The office changed the list: its new form takes the old one's place, unless somebody is typing or pressing.
// Then the next answer brings it.
async function renew() {
  if (isBusy()) return;
  const answer = await fetch(location.pathname, { credentials: "same-origin", redirect: "manual" });
  if (!answer.ok) return;
  if ("caches" in window) await (await caches.open(PAGES)).put(location.pathname, answer.clone());
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (isBusy()) return;
  for (const part of find("[data-renewed]")) {
    const other = fresh.getElementById(part.id);
    if (other) part.replaceWith(document.adoptNode(other));
  }
  page.dataset.revision = fresh.getElementById("phone-page").dataset.revision;
  drawPage();
}

async function look() {
  if (!document.hidden && navigator.onLine) await outbox.look(address);
  setTimeout(look, LOOK_MS);
}

export async function begin(draw) {
  drawPage = draw;
  outbox.onChange(refresh);
  for (const name of ["online", "offline"]) window.addEventListener(name, speak);
  window.addEventListener("pointerdown", () => (pressing = true), true);
  // The click of a tap comes after its pointer is up.
  for (const name of ["pointerup", "pointercancel"]) {
    window.addEventListener(name, () => setTimeout(() => (pressing = false), TAP_MS), true);
  }
  const known = await outbox.known(address).catch(() => undefined);
  if (known && known.told_at > told.told_at) told = known;
  await refresh({});
  document.documentElement.dataset.ready = "yes";
  look();
}
