// Alt and a letter go to the part of the page that names it in data-key: a field gets the focus, what is folded opens.
// With a modifier, so that nobody's dictation or slip of a finger sets it off (WCAG 2.2, 2.1.4).
function go(target) {
  if (target.matches("summary")) {
    target.parentElement.open = true;
    target.parentElement.querySelector("input:not([type=hidden]), button")?.focus();
  } else {
    target.focus();
    target.select?.();
  }
  target.scrollIntoView({ block: "nearest" });
}

// Alt and a digit opens that version of the quote.
function openVersion(digit) {
  const link = document.querySelectorAll(".version-tabs a")[digit - 1];
  if (link && !link.matches("[aria-current]")) link.click();
}

document.addEventListener("keydown", (event) => {
  if (!event.altKey || event.ctrlKey || event.metaKey) return;
  const digit = /^Digit([1-3])$/.exec(event.code)?.[1];
  if (digit && document.querySelector(".version-tabs")) {
    event.preventDefault();
    openVersion(Number(digit));
  }
  if (!event.code.startsWith("Key")) return;
  const letter = event.code.slice(3);
  if (letter === "K") {
    event.preventDefault();
    document.getElementById("keys").showModal();
    return;
  }
  const target = document.querySelector(`[data-key="${letter}"]`);
  if (!target) return;
  event.preventDefault();
  go(target);
});

document.addEventListener("click", (event) => {
  const opens = event.target.closest?.("[data-opens]");
  if (opens) document.getElementById(opens.dataset.opens).showModal();
});
