// A slim line at the top while the server works, shown only after 300 ms; a plain sentence when it did not answer.
const PATIENCE_MS = 300;
const REFUSED = {
  403: "That is not open to you, or you were signed out meanwhile. Load the page again and sign in.",
  404: "That is no longer here. Load the page again to see what is.",
  413: "That is too large to send, and nothing was changed.",
};
const TOO_MUCH = "That was too much in a short time, and nothing was changed.";
const FAILED = "That did not go through, and nothing was changed. What you typed is still here; try again.";
const line = document.getElementById("progress-line");
let running = 0;
let timer = 0;

function begin() {
  running += 1;
  if (running === 1) timer = setTimeout(() => { line.hidden = false; line.classList.add("is-running"); }, PATIENCE_MS);
}

function end() {
  running = Math.max(0, running - 1);
  if (running) return;
  clearTimeout(timer);
  line.hidden = true;
  line.classList.remove("is-running");
}

function say(words) {
  const notices = document.getElementById("notices");
  if (!notices) return;
  const notice = document.createElement("div");
  notice.className = "notice notice-short";
  notice.setAttribute("role", "alert");
  const text = document.createElement("div");
  text.className = "notice-text";
  text.textContent = words;
  notice.append(text);
  notices.replaceChildren(notice);
}

function wait(answer) {
  const seconds = Number(answer.getResponseHeader("Retry-After")) || 60;
  return seconds < 90 ? `${seconds} seconds` : `${Math.ceil(seconds / 60)} minutes`;
}

if (line) {
  document.addEventListener("htmx:beforeRequest", begin);
  document.addEventListener("htmx:afterRequest", end);
}
document.addEventListener("htmx:sendError", (event) => {
  // What a page fetches by itself may stay away: nobody asked for it, and the page says where it is.
  if (event.target.closest("[data-quiet]")) return;
  say("There is no connection just now. What you typed is still here; try again when it is back.");
});
document.addEventListener("htmx:responseError", (event) => {
  const answer = event.detail.xhr;
  if (answer.status === 429) say(`${TOO_MUCH} Try again in ${wait(answer)}.`);
  else say(REFUSED[answer.status] ?? FAILED);
});
