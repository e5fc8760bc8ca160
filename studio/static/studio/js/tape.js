// Hovering or focusing a line of the price tape lights up in the picture what it pays for.
// <tr class="tape-line" data-lights="garland"> lights every [data-part="garland"] inside the nearest .bench.
function light(line) {
  const bench = line.closest(".bench");
  const lit = bench.querySelectorAll(`[data-part="${CSS.escape(line.dataset.lights)}"]`);
  if (!lit.length) return;
  bench.classList.add("has-lit");
  for (const part of lit) part.classList.add("is-lit");
  line.classList.add("is-lit");
}

function dim(line) {
  const bench = line.closest(".bench");
  bench.classList.remove("has-lit");
  for (const part of bench.querySelectorAll(".is-lit")) part.classList.remove("is-lit");
}

function lineOf(event) {
  return event.target.closest?.(".bench .tape-line[data-lights]");
}

// On the document, so that a tape swapped in later answers as well.
for (const [name, act] of [["mouseover", light], ["focusin", light], ["mouseout", dim], ["focusout", dim]]) {
  document.addEventListener(name, (event) => {
    const line = lineOf(event);
    if (line) act(line);
  });
}
