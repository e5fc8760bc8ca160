// Day, night, or as the device: kept in a cookie for a year, so that the server can write it into the page.
const root = document.documentElement;

function mark() {
  const chosen = root.dataset.theme ?? "";
  for (const button of document.querySelectorAll("[data-theme-choice]")) {
    button.setAttribute("aria-pressed", String(button.dataset.themeChoice === chosen));
  }
}

function choose(theme) {
  const secure = location.protocol === "https:" ? "; secure" : "";
  const age = theme ? 31536000 : 0;
  document.cookie = `theme=${theme}; path=/; max-age=${age}; samesite=lax${secure}`;
  if (theme) root.dataset.theme = theme;
  else delete root.dataset.theme;
  mark();
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-theme-choice]");
  if (button) choose(button.dataset.themeChoice);
});
mark();
