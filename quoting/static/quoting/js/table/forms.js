// The panel's forms: a field is applied as soon as it is left or Enter is pressed, without loading the page. A form
// that waits is sent by its button or Enter alone.
export function startForms(scene, sending) {
  function send(form) {
    const { act, ...fields } = fieldsOf(form);
    sending.act(act, fields);
  }

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
    if (!isOurs(form) || form.matches("[data-waits]")) return;
    form.dataset.sent = stateOf(form);
    send(form);
  });
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
