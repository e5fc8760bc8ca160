// Counting back under a thumb: of what went out, so many are back, to be repaired, broken, lost, used up.
import { begin, find, line, say, sentence, stage, unsent } from "./phone_list.js";

const NUMBERS = ["back", "mend", "broken", "lost", "used"];
const WORDS = { back: "Back", mend: "Mend", broken: "Broken", lost: "Lost", used: "Used" };
const NAMES = { back: "count", mend: "mend", broken: "broken", lost: "lost", used: "used" };

function standing(row) {
  const pk = Number(row.dataset.line);
  const told = line(pk);
  const own = unsent("back", pk);
  return { pk, told, own, back: own || told?.back, out: told ? told.out : Number(row.dataset.out) };
}

const sum = (back) => (back ? NUMBERS.reduce((total, name) => total + (back[NAMES[name]] || 0), 0) : 0);

function draw() {
  let whole = 0;
  const rows = find("[data-line]");
  for (const row of rows) whole += drawRow(row) ? 1 : 0;
  document.getElementById("counted").textContent = String(whole);
  const closed = stage() === "counted_back";
  for (const part of find("[data-closed]")) part.hidden = (part.dataset.closed === "yes") !== closed;
  const button = document.getElementById("close");
  if (button) button.classList.toggle("button-plain", whole < rows.length);
  const note = document.getElementById("closing");
  if (unsent("step", "counted_back")) note.textContent = sentence("ToLedger");
  else if (whole === rows.length || closed) note.textContent = "";
}

function drawRow(row) {
  const { told, own, back, out } = standing(row);
  const counted = sum(back);
  // Where all of a line goes on to another event, nothing is to be counted here.
  const done = counted >= out && (Boolean(back) || out === 0);
  row.querySelector(".tick").setAttribute("aria-pressed", done ? "true" : counted ? "mixed" : "false");
  const eighths = done ? 8 : counted ? Math.max(1, Math.min(7, Math.floor((counted * 8) / out))) : 0;
  row.querySelector(".mark-fill").setAttribute("stroke-dasharray", `${eighths} 8`);
  row.querySelector("[data-shown]").textContent = back && counted !== out ? `${counted} / ${out}` : String(out);
  row.classList.toggle("is-kept", Boolean(own));
  row.querySelector("[data-by]").textContent = own ? sentence("Kept") : back ? back.by : "";
  row.querySelector("[data-words]").textContent = back ? inWords(back, out) : "";
  row.querySelector("[data-rivals]").textContent = own ? "" : ofRivals(told?.back?.rivals || []);
  if (!row.contains(document.activeElement)) {
    for (const name of NUMBERS) row.querySelector(`[data-number=${name}]`).value = back ? back[NAMES[name]] || 0 : "";
  }
  return done;
}

function ofRivals(rivals) {
  if (!rivals.length) return "";
  const counts = rivals.map(({ by, at }) =>
    sentence("RivalOtherwise", { who: by || sentence("AnotherPhone"), time: at }));
  return sentence("Settle", { counts: counts.join(", ") });
}

function inWords(back, out) {
  const counted = NUMBERS.filter((name) => back[NAMES[name]]);
  const parts = counted.map((name) => sentence(WORDS[name], { count: back[NAMES[name]] }));
  const over = sum(back) - out;
  if (over) parts.push(over > 0 ? sentence("TooMany", { count: over }) : sentence("ToFind", { count: -over }));
  return parts.join(", ");
}

// What isn't accounted for is shown before the ledger has to refuse it.
function close() {
  const left = find("[data-line]").filter((row) => !drawRow(row));
  if (!left.length) return say({ kind: "step", task: "counted_back" });
  document.getElementById("closing").textContent =
    left.length === 1 ? sentence("LineLeft") : sentence("LinesLeft", { count: left.length });
  left[0].scrollIntoView({ block: "center" });
  left[0].querySelector(".tick").focus({ preventScroll: true });
}

function press(button) {
  const row = button.closest("[data-line]");
  const { pk, back, out } = standing(row);
  if (button.dataset.press === "tick") {
    const undone = back && sum(back) >= out;
    const all = undone ? 0 : out;
    const comesBack = row.hasAttribute("data-comes-back");
    say({ kind: "back", line: pk, count: comesBack ? all : 0, mend: 0, broken: 0, lost: 0, used: comesBack ? 0 : all });
    return;
  }
  const boxes = NUMBERS.map((name) => row.querySelector(`[data-number=${name}]`));
  const wrong = boxes.find((box) => !Number.isInteger(Number(box.value)) || Number(box.value) < 0);
  for (const box of boxes) box.toggleAttribute("aria-invalid", box === wrong);
  if (wrong) return wrong.focus();
  const [count, mend, broken, lost, used] = boxes.map((box) => Number(box.value));
  row.querySelector("details").open = false;
  button.blur();
  say({ kind: "back", line: pk, count, mend, broken, lost, used });
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-press]");
  if (!button) return;
  event.preventDefault();
  if (button.dataset.press === "close") close();
  else press(button);
});
document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.matches("[data-number]")) return;
  event.preventDefault();
  event.target.closest("[data-line]").querySelector("button[data-press=set]").click();
});

begin(draw);
