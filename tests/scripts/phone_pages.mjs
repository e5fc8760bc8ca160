// The load-out list and the return list as small pages: the parts of the templates that the scripts look for.
import { readFileSync } from "node:fs";

import { Page, Phone, settle } from "./browser.mjs";
import { Office } from "./office.mjs";

export const TICKS = "/s/wickerlark/events/3/load-out/ticks";
export const PHOTOS = "/s/wickerlark/events/3/load-out/photos";

// What the page has the scripts say, in English: the template's own sentences.
const template = new URL("../../templates/events/loadout/_sentences.html", import.meta.url);
const SENTENCES = readFileSync(template, "utf8")
  .replace(/\{% translate "([^"]*)" %\}/g, "$1").replace(/\{%.*?%\}|\{#.*?#\}/g, "");

const MARK = '<svg><circle class="mark-fill" stroke-dasharray="0 8"/></svg>';
const STATUS = `<p id="load-status" data-state="plain"><span id="load-words"></span></p>
  <div id="refusals" hidden><p data-words></p><button type="button">Put aside</button></div>`;

const loadOutRow = ({ pk, quantity }) => `<div class="tick-row" data-line="${pk}" data-quantity="${quantity}">
  <button class="tick" data-press="tick" aria-pressed="false">${MARK}<span data-by></span>
  <span data-shown>${quantity}</span></button><p data-rivals></p><ul data-notes></ul>
  <details open><summary>some</summary><input type="number" min="0" value="0"><button data-press="some">Count</button>
  <input type="text" value=""><button data-press="note">Note</button></details></div>`;

const NUMBER = (name) => `<input type="number" min="0" data-number="${name}" value="">`;

const returnRow = ({ pk, out, comesBack = true }) => `<div class="tick-row" data-line="${pk}" data-out="${out}"
  ${comesBack ? "data-comes-back" : ""}>
  <button type="button" class="tick" data-press="tick" aria-pressed="false">${MARK}
  <span data-words></span><span data-by></span><span data-shown>${out}</span></button><p data-rivals></p>
  <details open><summary>other</summary>
  ${["back", "mend", "broken", "lost", "used"].map(NUMBER).join("")}
  <button data-press="set">Count</button></details></div>`;

const page = (told, inside) => `<html><body data-person="7"><script id="told">${JSON.stringify(told)}</script>
  <div id="phone-page" data-address="${TICKS}" data-photos="${PHOTOS}" data-revision="r1">${STATUS}${inside}</div>
  ${SENTENCES}
  </body></html>`;

export const told = (facts = {}) => ({
  told_at: "2027-05-01T11:00:00Z", revision: "r1", stage: "agreed",
  steps: {}, hours: {}, notes: [], hands: [], lines: {},
  ...facts,
});

const GROUP = (rows) => `<section data-group><h2>Frames</h2><span data-group-count></span>${rows.join("")}</section>`;
const STEP = (name) => `<li data-done="${name}" data-label="${name}" hidden><span data-words></span></li>`;
const STEP_BUTTON = (name, when, label) => `<button data-press="step" value="${name}" data-when="${when}"
  data-label="${label}" data-question="${label}?" data-yes="Yes, ${label}"
  data-days="${label} is not planned for today."
  data-from="2027-05-01" data-until="2027-05-02">${label}</button>`;

export function loadOutPage(state, groups) {
  const sections = groups.map((rows) => GROUP(rows.map(loadOutRow))).join("");
  return page(state, `<form id="load-out" data-by-script data-renewed>${sections}</form>
  <ul>${["prepared", "installed", "struck"].map(STEP).join("")}</ul>
  <input type="text" id="id_handed" value=""><input type="file" id="id_photo"><p id="photo-fault"></p>
  <ul id="photos-waiting"></ul><ul id="event-notes"></ul>
  <form data-note data-by-script><input type="text" id="id_note" value=""><button data-press="note">Note</button></form>
  <fieldset data-task="install"><span data-spent></span><input type="number" min="0" value="">
  <input type="number" min="1" value="1"><button data-press="hours">Keep</button></fieldset>
  <div id="phone-foot"><span id="in-count"></span><span id="hands"></span>
  <div id="step-ask" tabindex="-1" hidden><p data-question></p><ul data-doubts></ul>
  <button data-press="confirm">Yes</button></div><button data-press="undo" hidden></button>
  ${STEP_BUTTON("prepared", "agreed", "Van is loaded")}
  ${STEP_BUTTON("installed", "prepared", "Installed")}
  ${STEP_BUTTON("struck", "installed", "Struck")}
  <a data-when="struck">Count back</a></div>`);
}

export function returnPage(state, rows) {
  return page(state, `<p data-closed="no"></p><form id="return-list" data-renewed>${rows.map(returnRow).join("")}</form>
  <div id="phone-foot"><span id="counted"></span><span id="closing"></span><span data-closed="yes" hidden></span>
  <button id="close" data-press="close" data-closed="no">Count back</button></div>`);
}

// Opens it with its script; without signal unless said otherwise.
export async function openList(script, html, given = {}) {
  const { signal = false, phone = new Phone(), office = new Office(), ...more } = given;
  if (!Object.keys(office.standing).length) office.standing = told();
  if (signal) phone.network = office.network;
  const opened = new Page(html, { phone, path: "/s/wickerlark/events/3/load-out/", ...more });
  opened.navigator.onLine = signal;
  await opened.load(script);
  const kept = () => phone.disk.rows("post").filter((entry) => entry.op).map((entry) => entry.op);
  return { page: opened, phone, office, kept, last: () => kept().at(-1) };
}

// The signal comes back.
export async function connect({ page: opened, phone, office }) {
  phone.network = office.network;
  opened.navigator.onLine = true;
  opened.heard.dispatchEvent(new opened.Event("online"));
  await settle();
}
