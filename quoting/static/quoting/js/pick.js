// Versions to pick from: the mark on a card comes from the server alone. Whatever became of a press, the radio buttons
// then say what the marks say; an answer that didn't come is said.
const variants = document.getElementById("variants");
const said = document.getElementById("variants-said");

function showWhatIsPicked() {
  for (const radio of variants.querySelectorAll("input[type=radio]")) {
    const mark = document.getElementById(`${radio.id}-mark`);
    radio.checked = Boolean(mark?.textContent.trim());
  }
}

document.addEventListener("htmx:beforeRequest", (event) => {
  if (event.detail.elt === variants) variants.setAttribute("aria-busy", "true");
});

document.addEventListener("htmx:afterRequest", (event) => {
  if (event.detail.elt !== variants) return;
  variants.removeAttribute("aria-busy");
  const status = event.detail.xhr?.status ?? 0;
  const lost = status !== 422 && (status < 200 || status >= 400);
  said.hidden = !lost;
  said.textContent = lost ? variants.dataset.lost : "";
  if (lost) showWhatIsPicked();
});

document.addEventListener("htmx:oobAfterSwap", (event) => {
  if (event.detail.target?.classList.contains("variant-mark")) showWhatIsPicked();
});

// A browser that fills in a page it kept may press another button than the page says.
window.addEventListener("pageshow", showWhatIsPicked);
