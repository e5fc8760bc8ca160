// Escape and a click elsewhere close an open menu; "/" goes to the page's search; a wrong field gets the focus.
function openMenus() {
  return document.querySelectorAll("details.menu[open]");
}

function typing(target) {
  return target.isContentEditable || ["INPUT", "TEXTAREA", "SELECT"].includes(target.tagName);
}

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") {
    for (const menu of openMenus()) {
      menu.open = false;
      menu.querySelector("summary").focus();
    }
  } else if (event.key === "/" && !typing(event.target) && !event.ctrlKey && !event.metaKey && !event.altKey) {
    const search = document.querySelector('input[type="search"]');
    if (search) {
      event.preventDefault();
      search.focus();
    }
  }
});

document.addEventListener("click", (event) => {
  for (const menu of openMenus()) if (!menu.contains(event.target)) menu.open = false;
});

document.querySelector('[aria-invalid="true"]')?.focus();

// A table that scrolls sideways can be reached and scrolled by keyboard.
function reachWideTables() {
  for (const wide of document.querySelectorAll(".table-wide:not([tabindex])")) {
    if (wide.scrollWidth > wide.clientWidth) wide.tabIndex = 0;
  }
}
reachWideTables();
document.addEventListener("htmx:afterSettle", reachWideTables);
