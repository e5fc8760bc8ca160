// What takes the drawing elsewhere waits until every act was answered, and goes with the version that is then shown.
// Where an act was refused nothing goes: its words say why.
export function startLeaving(table, sending) {
  let isLeaving = false;
  addEventListener("pageshow", () => { isLeaving = false; });

  async function mayLeave() {
    if (isLeaving) return false;
    isLeaving = true;
    isLeaving = await sending.settled();
    return isLeaving;
  }

  table.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!form.matches("form[data-last]")) return;
    event.preventDefault();
    if (!(await mayLeave())) return;
    if (!form.isConnected) { // an answer drew it anew
      form.hidden = true;
      table.append(form);
    }
    form.elements.version.value = table.dataset.version;
    form.submit();
  });

  table.addEventListener("click", async (event) => {
    const link = event.target.closest("a[data-last]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    if (await mayLeave()) location.assign(link.href);
  });
}
