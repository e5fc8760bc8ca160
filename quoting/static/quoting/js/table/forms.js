// The panel's forms: a field is applied as soon as it is left or Enter is pressed, without loading the page. A form
// that waits is sent by its button or Enter alone. Keys that pass over choices on the way to one send none of those.
const PASSES = /^(Arrow.*|Page.*|Home|End|.)$/; // on a list that isn't open

export function startForms(scene, sending) {
  function send(form) {
    const { act, ...fields } = fieldsOf(form);
    sending.act(act, fields);
  }

  function apply(form) {
    form.dataset.sent = stateOf(form);
    send(form);
  }

  let passing = null; // the list whose choice keys are changing, and what was chosen before

  function isOurs(form) { return form?.matches("form[data-act]:not([data-tile])"); }

  scene.table.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.matches("form[data-go]")) {
      event.preventDefault();
      sending.go(form.dataset.go);
    } else if (isOurs(form)) {
      event.preventDefault();
      if (form.dataset.sent !== stateOf(form)) send(form);
    }
  });

  // What is only a change of present values is sent at once; which point or place a form is about is asked for.
  scene.table.addEventListener("change", (event) => {
    const form = event.target.closest("form");
    const { asks } = event.target.dataset;
    if (asks) sending.show({ thing: scene.thing, [asks]: event.target.value });
    if (isOurs(form) && !form.matches("[data-waits]") && event.target !== passing?.list) apply(form);
  });

  function passed() {
    const { list, was } = passing;
    passing = null;
    if (list.value !== was && isOurs(list.form) && !list.form.matches("[data-waits]")) apply(list.form);
  }

  scene.table.addEventListener("keydown", ({ target, key, altKey }) => {
    if (!target.matches("select")) return;
    if (key === "Enter" && target === passing?.list) passed();
    else if (altKey || key === " ") passing = null; // it opens
    else if (PASSES.test(key) && target !== passing?.list) passing = { list: target, was: target.value };
  });
  scene.table.addEventListener("focusout", ({ target }) => { if (target === passing?.list) passed(); });
}

// What a form says of its act; token and version are put in when it is sent.
export function fieldsOf(form) {
  const fields = Object.fromEntries(new FormData(form));
  delete fields.csrfmiddlewaretoken;
  delete fields.version;
  return fields;
}

// Enter tells of a change first and submits then: the same values aren't sent twice.
function stateOf(form) {
  return new URLSearchParams(new FormData(form)).toString();
}
