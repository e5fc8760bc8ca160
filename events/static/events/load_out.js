// The load-out list under a thumb: ticks, counts, notes, steps of the day, photos, hours.
import {
  all, begin, find, line, say, sayPhoto, sentence, stage, undoable, unsent, unsentNotes, unsentPhotos, unsentStep,
} from "./phone_list.js";

const LONGEST_SIDE_PX = 1600;
const QUALITY = 0.8;
const LARGEST_FILE = 30 * 1024 * 1024;
const THUMB_PX = 144;
const STEP_GAP_MS = 5000; // as long does the next step wait for a finger that taps on; the server waits as long

let asking = ""; // the step that the panel asks about
let marked = 0; // when the last step was marked here

// ---- Drawing ----

function draw() {
  let full = 0;
  for (const group of find("[data-group]")) {
    const rows = find("[data-line]", group);
    const inside = rows.filter(drawRow).length;
    group.querySelector("[data-group-count]").textContent = sentence("Of", { count: inside, total: rows.length });
    full += inside;
  }
  document.getElementById("in-count").textContent = String(full);
  document.getElementById("hands").textContent = all().hands.join(" · ");
  const now = stage();
  for (const part of find("[data-when]")) part.hidden = !part.dataset.when.split(" ").includes(now);
  drawSteps();
  drawQuestion();
  drawNotes(document.getElementById("event-notes"), all().notes, unsentNotes(null));
  for (const row of find("[data-task]")) drawHours(row);
  drawPhotos().catch(() => undefined);
}

function drawRow(row) {
  const pk = Number(row.dataset.line);
  const quantity = Number(row.dataset.quantity);
  const told = line(pk) || { count: 0, by: "", rivals: [], notes: [] };
  const own = unsent("loaded", pk);
  const count = own ? own.count : told.count;
  const full = count >= quantity;
  row.querySelector(".tick").setAttribute("aria-pressed", full ? "true" : count ? "mixed" : "false");
  const eighths = full ? 8 : count ? Math.max(1, Math.floor((count * 8) / quantity)) : 0;
  row.querySelector(".mark-fill").setAttribute("stroke-dasharray", `${eighths} 8`);
  row.querySelector("[data-shown]").textContent = count && !full ? `${count} / ${quantity}` : String(quantity);
  row.classList.toggle("is-kept", Boolean(own));
  row.querySelector("[data-by]").textContent = own ? sentence("Kept") : count ? told.by : "";
  row.querySelector("[data-rivals]").textContent = own ? "" : ofRivals(told.rivals);
  drawNotes(row.querySelector("[data-notes]"), told.notes, unsentNotes(pk));
  return full;
}

function ofRivals(rivals) {
  if (!rivals.length) return "";
  const counts = rivals.map(({ by, count, at }) =>
    sentence("Rival", { who: by || sentence("AnotherPhone"), count, time: at }));
  return sentence("Settle", { counts: counts.join(", ") });
}

function drawNotes(list, told, waiting) {
  const texts = [
    ...told.map((note) => `${note.text} (${note.by} ${note.at})`),
    ...waiting.map((entry) => `${entry.op.text} (${sentence("Kept")})`),
  ];
  list.replaceChildren(
    ...texts.map((text) => {
      const item = document.createElement("li");
      item.textContent = text;
      return item;
    }),
  );
}

function drawSteps() {
  const told = all().steps;
  for (const item of find("[data-done]")) {
    const last = unsentStep(item.dataset.done);
    const own = last?.kind === "step" ? last : null;
    const step = last ? null : told[item.dataset.done];
    item.hidden = !step && !own;
    const handed = (own || step)?.text;
    const taken = handed ? ` ${sentence("Handed", { who: handed })}` : "";
    const done = own ? sentence("Kept") : step ? `${step.at} ${step.by}` : "";
    item.querySelector("[data-words]").textContent = done && `${done}.${taken}`;
  }
}

// A step is asked about above the bar, away from the button: whoever taps on at one spot marks nothing.
function drawQuestion() {
  const panel = document.getElementById("step-ask");
  if (!panel) return;
  const buttons = find("[data-press=step]");
  const pressed = buttons.find((button) => button.value === asking && !button.hidden);
  if (!pressed) asking = "";
  for (const button of buttons) {
    button.textContent = button === pressed ? sentence("NotYet") : button.dataset.label;
    button.disabled = Date.now() - marked < STEP_GAP_MS;
  }
  panel.hidden = !pressed;
  if (pressed) {
    panel.querySelector("[data-question]").textContent = pressed.dataset.question;
    panel.querySelector("[data-press=confirm]").textContent = pressed.dataset.yes;
    const doubts = doubtsOf(pressed).map((text) => {
      const item = document.createElement("li");
      item.textContent = text;
      return item;
    });
    panel.querySelector("[data-doubts]").replaceChildren(...doubts);
  }
  const undo = document.querySelector("[data-press=undo]");
  const step = undoable();
  undo.hidden = !step;
  undo.value = step;
  undo.textContent = step
    ? sentence("Undo", { step: document.querySelector(`[data-done="${step}"]`).dataset.label })
    : "";
}

function doubtsOf(button) {
  const { days, from, until } = button.dataset;
  const today = new Date(Date.now());
  const day = [today.getFullYear(), today.getMonth() + 1, today.getDate()]
    .map((part) => String(part).padStart(2, "0"))
    .join("-");
  const doubts = day < from || day > until ? [days] : [];
  const open = find("[data-line] .tick").filter((tick) => tick.getAttribute("aria-pressed") !== "true").length;
  if (button.value === "prepared" && open === 1) doubts.push(sentence("LineOpen"));
  if (button.value === "prepared" && open > 1) doubts.push(sentence("LinesOpen", { count: open }));
  return doubts;
}

function drawHours(row) {
  const own = unsent("hours", row.dataset.task);
  const told = all().hours[row.dataset.task];
  const spent = own ? { minutes: own.count, hands: own.hands, by: sentence("Kept") } : told;
  row.querySelector("[data-spent]").textContent = spent
    ? `${spent.minutes} min${spent.hands > 1 ? ` × ${spent.hands}` : ""}, ${spent.by}`
    : "";
}

let drawn = "";
async function drawPhotos() {
  const waiting = unsentPhotos();
  const names = waiting.map((entry) => entry.uuid).join();
  if (names === drawn) return;
  drawn = names;
  const figures = await Promise.all(waiting.map((entry) => thumbnail(entry.photo)));
  document.getElementById("photos-waiting").replaceChildren(...figures);
}

async function thumbnail(photo) {
  const item = document.createElement("li");
  const canvas = document.createElement("canvas");
  await drawnOn(canvas, photo, THUMB_PX);
  canvas.setAttribute("role", "img");
  canvas.setAttribute("aria-label", sentence("PhotoKept"));
  const words = document.createElement("span");
  words.textContent = sentence("NotSent");
  item.append(canvas, words);
  return item;
}

async function drawnOn(canvas, photo, longest) {
  const picture = await createImageBitmap(photo);
  const scale = Math.min(1, longest / Math.max(picture.width, picture.height));
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
}

// ---- Acting ----

function counted(box) {
  const count = Number(box.value);
  const wrong = box.value === "" || !Number.isInteger(count) || count < Number(box.min || 0);
  if (wrong) {
    box.setAttribute("aria-invalid", "true");
    box.focus();
    return null;
  }
  box.removeAttribute("aria-invalid");
  return count;
}

async function takePhoto(box) {
  const fault = document.getElementById("photo-fault");
  const file = box.files[0];
  if (!file) return;
  fault.textContent = "";
  try {
    if (file.size > LARGEST_FILE) {
      throw new Error(sentence("TooLarge", { count: Math.round(file.size / 1048576) }));
    }
    const canvas = document.createElement("canvas");
    await drawnOn(canvas, file, LONGEST_SIDE_PX).catch(() => {
      throw new Error(sentence("NoPhoto"));
    });
    const small = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
    await sayPhoto(small);
  } catch (why) {
    fault.textContent = why.message;
  }
  box.value = "";
}

const presses = {
  tick(button, row) {
    const isIn = button.getAttribute("aria-pressed") === "true";
    say({ line: Number(row.dataset.line), count: isIn ? 0 : Number(row.dataset.quantity) });
  },
  some(button, row) {
    const count = counted(row.querySelector("input[type=number]"));
    if (count === null) return;
    row.querySelector("details").open = false;
    say({ line: Number(row.dataset.line), count });
  },
  note(button, row) {
    const box = (row || button.closest("[data-note]")).querySelector("input[type=text]");
    const text = box.value.trim();
    if (!text) return box.focus();
    box.value = "";
    if (row) row.querySelector("details").open = false;
    say(row ? { kind: "note", line: Number(row.dataset.line), text } : { kind: "note", text });
  },
  step(button) {
    asking = asking ? "" : button.value;
    drawQuestion();
    if (asking) document.getElementById("step-ask").focus();
  },
  confirm() {
    const handed = asking === "installed" ? document.getElementById("id_handed").value.trim() : "";
    const step = asking;
    [asking, marked] = ["", Date.now()];
    setTimeout(drawQuestion, STEP_GAP_MS);
    say({ kind: "step", task: step, ...(handed ? { text: handed } : {}) });
  },
  undo(button) {
    marked = 0;
    say({ kind: "undone", task: button.value });
  },
  hours(button) {
    const row = button.closest("[data-task]");
    const [minutes, hands] = find("input", row).map(counted);
    if (minutes !== null && hands !== null) say({ kind: "hours", task: row.dataset.task, count: minutes, hands });
  },
};

document.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-press]");
  if (!button) return;
  event.preventDefault();
  presses[button.dataset.press](button, button.closest("[data-line]"));
});
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape" || !asking) return;
  asking = "";
  drawQuestion();
});
document.addEventListener("change", (event) => {
  if (event.target.id === "id_photo") takePhoto(event.target);
});
document.addEventListener("submit", (event) => {
  if (event.target.matches("form[data-by-script]")) event.preventDefault();
});

begin(draw);
