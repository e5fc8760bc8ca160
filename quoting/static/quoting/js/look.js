// The client's look-along page: asks for the sketch again and again, and puts it in place when it has changed.
const EVERY_MS = 700;
const SLOWEST_MS = 8000;
const place = document.getElementById("look");
const state = document.getElementById("look-state");
let wait = EVERY_MS;

async function look() {
  const seen = document.getElementById("looked-at").dataset.mark ?? "";
  const answer = await fetch(`${place.dataset.now}?seen=${encodeURIComponent(seen)}`, { credentials: "same-origin" });
  if (answer.status === 429 || answer.status >= 500) throw new Error(`answered ${answer.status}`);
  if (answer.status === 204) return true;
  place.innerHTML = await answer.text();
  return answer.ok;
}

async function again() {
  let goesOn = true;
  if (!document.hidden) {
    try {
      goesOn = await look();
      wait = EVERY_MS;
      state.textContent = "";
    } catch {
      wait = Math.min(wait * 2, SLOWEST_MS);
      state.textContent = state.dataset.alone;
    }
  }
  if (goesOn) setTimeout(again, wait);
}

setTimeout(again, EVERY_MS);
