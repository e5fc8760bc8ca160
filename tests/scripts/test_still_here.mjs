import assert from "node:assert/strict";
import test from "node:test";

import { Page, Phone, settle } from "./browser.mjs";

const TICKS = "/s/wickerlark/events/3/load-out/ticks";

async function opened({ unsent, by = "phone-12" }) {
  const phone = new Phone();
  const before = new Page(`<body data-person="${by}"></body>`, { phone });
  const outbox = await before.load("studio/js/outbox.js");
  for (let count = 1; count <= unsent; count += 1) await outbox.put(TICKS, { line: 5, count });
  await settle();
  const page = new Page('<body data-person="phone-12"><p id="still-here" hidden></p></body>', { phone });
  await page.load("studio/js/still_here.js");
  return { page, outbox };
}

test("a phone whose link has ended says how much it still keeps", async () => {
  const one = await opened({ unsent: 1 });
  assert.equal(one.page.find("#still-here").hidden, false);
  assert.match(one.page.text("#still-here"), /^1 thing on this phone was not sent\. It stays here/);
  const two = await opened({ unsent: 2 });
  assert.match(two.page.text("#still-here"), /^2 things on this phone were not sent\. They stay here/);
});

test("nothing left, or only what others left, says nothing", async () => {
  for (const facts of [{ unsent: 0 }, { unsent: 2, by: "7" }]) {
    const { page } = await opened(facts);
    assert.equal(page.find("#still-here").hidden, true);
    assert.equal(page.text("#still-here"), "");
  }
});

test("it counts anew when something is put aside", async () => {
  const { page, outbox } = await opened({ unsent: 2 });
  const [first] = await outbox.waiting();
  await outbox.setAside([first.uuid]);
  await settle();
  assert.match(page.text("#still-here"), /^1 thing /);
});
