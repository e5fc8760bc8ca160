// A field marked data-share gets a button that opens the phone's own sheet to share a link, where there is one.
if (navigator.share) {
  for (const field of document.querySelectorAll("input[data-share]")) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "button button-plain";
    button.textContent = "Share";
    button.addEventListener("click", async () => {
      try {
        await navigator.share({ title: field.dataset.share, url: field.value });
      } catch (fault) {
        if (fault.name !== "AbortError") throw fault;
      }
    });
    field.after(button);
  }
}
