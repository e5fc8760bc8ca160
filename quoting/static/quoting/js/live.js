// Others at the same quote: who is here, what they changed, whether the client looks along. Asked every two seconds
// while the page is in sight; a newer sketch is fetched into place, and what is being typed stays.
const EVERY_MS = 2000;
const SLOWEST_MS = 30000;
const live = document.getElementById("live");
let wait = EVERY_MS;
let busy = 0;

document.addEventListener("htmx:beforeRequest", () => { busy += 1; });
document.addEventListener("htmx:afterRequest", () => { busy = Math.max(0, busy - 1); });

function version() {
  return Number(document.getElementById("quote").dataset.version);
}

function tell(part, words) {
  const line = live.querySelector(`[data-says="${part}"]`);
  if (line.textContent !== words) line.textContent = words;
  live.hidden = ![...live.querySelectorAll("[data-says]")].some((each) => each.textContent);
}

async function pulse() {
  const before = version();
  const address = `${live.dataset.pulse}?version=${before}`;
  const answer = await fetch(address, { credentials: "same-origin", redirect: "error" });
  if (answer.status === 403 || answer.status === 404) return false;
  if (!answer.ok) throw new Error(`answered ${answer.status}`);
  const now = await answer.json();
  tell("here", now.here);
  tell("looking", now.looking ? "The client is watching" : "");
  if (now.version > version() && version() === before && !busy) {
    const quote = document.getElementById("quote");
    await window.htmx.ajax("GET", quote.dataset.address, { source: quote, target: "#quote", swap: "morph:outerHTML" });
    tell("change", now.words);
  }
  return true;
}

async function again() {
  let goesOn = true;
  if (!document.hidden) {
    try {
      goesOn = await pulse();
      wait = EVERY_MS;
    } catch {
      wait = Math.min(wait * 2, SLOWEST_MS);
    }
  }
  if (goesOn) setTimeout(again, wait);
}

// What somebody else changed stands there until one's own next change.
document.addEventListener("htmx:beforeRequest", (event) => {
  if (event.detail.requestConfig?.verb !== "get" && live) tell("change", "");
});

document.addEventListener("click", async (event) => {
  const button = event.target.closest?.("[data-copies]");
  if (!button) return;
  const field = document.getElementById(button.dataset.copies);
  field.select();
  await navigator.clipboard?.writeText(field.value);
  button.textContent = "Copied";
});

if (live) again();
