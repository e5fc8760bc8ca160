// A field marked data-copy gets a button that copies what is in it. Without a clipboard it is selected on focus.
for (const field of document.querySelectorAll("input[data-copy]")) {
  field.addEventListener("focus", () => field.select());
  if (!navigator.clipboard) continue;
  const button = document.createElement("button");
  button.type = "button";
  button.className = "button button-plain";
  button.textContent = "Copy";
  button.addEventListener("click", async () => {
    await navigator.clipboard.writeText(field.value);
    button.textContent = "Copied";
  });
  field.after(button);
}
