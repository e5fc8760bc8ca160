// The load-out list on a phone. A tick is kept on the phone first, shown then, and sent until the server has it.
// Each tick has a name of its own (uuid): sent twice, it is one. Nothing but names, lines and counts is kept.
const form = document.getElementById("load-out");
const status = document.getElementById("load-status");
const words = document.getElementById("load-words");
const PREFIX = `billowbook.tick.${form.dataset.studio}.${form.dataset.event}.`;
const PHONE_KEY = "billowbook.phone";
const SOONEST_MS = 2000;
const LATEST_MS = 30000;
const LOOK_MS = 15000;
const AT_ONCE = 200;

let closed = ""; // why the server won't listen to this page
let lost = ""; // why it wouldn't take a tick
let wait = SOONEST_MS;
let timer = 0;
let sending = false;
let latest = 0;

function newName() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16)); // randomUUID is missing on plain http
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

function phone() {
  let name = localStorage.getItem(PHONE_KEY);
  if (!name) localStorage.setItem(PHONE_KEY, (name = newName()));
  return name;
}

// One entry for each tick: two pages open on one phone don't overwrite each other's.
function kept() {
  const ops = [];
  for (let place = 0; place < localStorage.length; place += 1) {
    const key = localStorage.key(place);
    if (!key.startsWith(PREFIX)) continue;
    try {
      ops.push(JSON.parse(localStorage.getItem(key)));
    } catch {
      continue; // half an entry of a full disk: its tick was never shown
    }
  }
  return ops.sort((one, other) => (one.made_at < other.made_at ? -1 : 1));
}

function keep(op) {
  localStorage.setItem(PREFIX + op.uuid, JSON.stringify(op));
}

function forget(uuids) {
  for (const uuid of uuids) localStorage.removeItem(PREFIX + uuid);
}

function rows() {
  return [...form.querySelectorAll("[data-line]")];
}

function draw() {
  const waiting = new Map(kept().map((op) => [String(op.line), op]));
  let all = 0;
  for (const group of form.querySelectorAll("[data-group]")) {
    const members = [...group.querySelectorAll("[data-line]")];
    const full = members.filter((row) => drawRow(row, waiting.get(row.dataset.line))).length;
    group.querySelector("[data-group-count]").textContent = `${full} of ${members.length}`;
    all += full;
  }
  document.getElementById("in-count").textContent = String(all);
}

function drawRow(row, op) {
  const quantity = Number(row.dataset.quantity);
  const count = op ? op.count : Number(row.dataset.count);
  const full = count >= quantity;
  const button = row.querySelector(".tick");
  button.setAttribute("aria-pressed", full ? "true" : count ? "mixed" : "false");
  const eighths = full ? 8 : count ? Math.max(1, Math.floor((count * 8) / quantity)) : 0;
  row.querySelector(".mark-fill").setAttribute("stroke-dasharray", `${eighths} 8`);
  row.querySelector("[data-shown]").textContent = count && !full ? `${count} / ${quantity}` : String(quantity);
  row.classList.toggle("is-kept", Boolean(op));
  row.querySelector("[data-by]").textContent = op ? "kept on this phone" : count ? row.dataset.by || "" : "";
  return full;
}

function say() {
  const number = kept().length;
  const ticks = number === 1 ? "1 tick" : `${number} ticks`;
  let state = "sent";
  let text = "Connected. All sent.";
  if (closed || lost) [state, text] = ["refused", `${closed || lost}${number ? ` ${ticks} kept on this phone.` : ""}`];
  else if (number && sending && navigator.onLine) [state, text] = ["plain", `Sending ${ticks}.`];
  else if (number || !navigator.onLine || wait > SOONEST_MS) {
    state = "kept";
    text = number ? `No signal. ${ticks} kept on this phone; they go when it is back.` : "No signal. Tick on; it is kept on this phone.";
  }
  status.dataset.state = state;
  if (words.textContent !== text) words.textContent = text;
}

// No two ticks of a phone bear the same moment: the later one counts.
function moment() {
  latest = Math.max(Date.now(), latest + 1);
  return new Date(latest).toISOString();
}

function tick(row, count) {
  const op = { uuid: newName(), line: Number(row.dataset.line), count, made_at: moment(), phone: phone() };
  try {
    keep(op);
  } catch {
    lost = "This phone has no room left to keep ticks. Free some, then tick again.";
    say();
    return;
  }
  draw();
  say();
  send();
}

function take(answer) {
  for (const row of rows()) {
    const line = answer.lines[row.dataset.line];
    if (!line) continue;
    row.dataset.count = String(line.count);
    row.dataset.by = line.by;
  }
  document.getElementById("hands").textContent = answer.hands.join(" · ");
}

function headers() {
  return { "Content-Type": "application/json", ...JSON.parse(document.body.getAttribute("hx-headers") || "{}") };
}

async function talk(ops) {
  const asked = ops.length
    ? { method: "POST", headers: headers(), body: JSON.stringify({ ops }) }
    : { method: "GET" };
  const response = await fetch(form.dataset.address, { ...asked, redirect: "manual", credentials: "same-origin" });
  if (response.type === "opaqueredirect" || response.status === 403) {
    closed = "You are signed out, or this list is not open to you. Load the page again and sign in.";
    return false;
  }
  if (response.status === 404 || response.status === 400) {
    closed = "The office took this list away, or the page is too old. Load the page again.";
    return false;
  }
  if (!response.ok) throw new Error(String(response.status));
  const answer = await response.json();
  closed = "";
  if (ops.length) {
    forget(answer.kept);
    forget(answer.refused.map((each) => each.uuid));
    lost = answer.refused.length ? answer.refused[0].why : "";
  }
  take(answer);
  return true;
}

async function send() {
  if (sending) return;
  sending = true;
  clearTimeout(timer);
  say();
  try {
    do {
      const ops = kept().slice(0, AT_ONCE);
      if (!(await talk(ops))) break;
      wait = SOONEST_MS;
    } while (kept().length);
  } catch {
    wait = Math.min(wait * 2, LATEST_MS);
  } finally {
    sending = false;
    draw();
    say();
    timer = setTimeout(send, kept().length ? wait : Math.max(wait, LOOK_MS));
  }
}

form.addEventListener("submit", (event) => event.preventDefault());
form.addEventListener("click", (event) => {
  const set = event.target.closest("[data-set]");
  const button = event.target.closest(".tick");
  const row = event.target.closest("[data-line]");
  if (!row || !(set || button)) return;
  event.preventDefault();
  if (set) {
    const box = row.querySelector("input[type=number]");
    const count = Number(box.value);
    if (box.value === "" || !Number.isInteger(count) || count < 0) {
      box.setAttribute("aria-invalid", "true");
      box.focus();
      return;
    }
    box.removeAttribute("aria-invalid");
    row.querySelector("details").open = false;
    tick(row, count);
  } else {
    tick(row, button.getAttribute("aria-pressed") === "true" ? 0 : Number(row.dataset.quantity));
  }
});
for (const name of ["online", "offline", "visibilitychange"]) {
  (name === "visibilitychange" ? document : window).addEventListener(name, () => {
    say();
    if (navigator.onLine && !document.hidden) send();
  });
}
for (const row of rows()) row.dataset.by = row.querySelector("[data-by]").textContent;
draw();
send();
