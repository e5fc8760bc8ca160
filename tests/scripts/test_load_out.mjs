import assert from "node:assert/strict";
import test from "node:test";

import { Phone, answer, settle } from "./browser.mjs";
import { connect, loadOutPage, openList, told } from "./phone_pages.mjs";

const LINES = [[{ pk: 5, quantity: 1 }, { pk: 6, quantity: 120 }], [{ pk: 7, quantity: 2 }]];
const PAGE = "/s/wickerlark/events/3/load-out/";
const line = (facts = {}) => ({ count: 0, by: "", heads: [], rivals: [], notes: [], ...facts });

const open = (facts = {}, options = {}) => openList("events/load_out.js", loadOutPage(told(facts), LINES), options);
const row = (page, pk) => page.find(`[data-line="${pk}"]`);
const inRow = (page, pk, selector) => row(page, pk).querySelector(selector);
const pressed = (page, pk) => inRow(page, pk, ".tick").getAttribute("aria-pressed");
const filled = (page, pk) => inRow(page, pk, ".mark-fill").getAttribute("stroke-dasharray");

// ---- Ticks ----

test("what the server told stands on the page", async () => {
  const { page } = await open({
    lines: { 5: line({ count: 1, by: "Teo" }), 6: line({ count: 45, by: "Marit" }) },
    hands: ["Teo 1", "Marit 45"],
  });
  assert.deepEqual([5, 6, 7].map((pk) => pressed(page, pk)), ["true", "mixed", "false"]);
  assert.deepEqual([5, 6, 7].map((pk) => filled(page, pk)), ["8 8", "3 8", "0 8"]);
  assert.deepEqual([5, 6, 7].map((pk) => inRow(page, pk, "[data-shown]").textContent), ["1", "45 / 120", "2"]);
  assert.deepEqual(page.all("[data-group-count]").map((each) => each.textContent), ["1 of 2", "0 of 1"]);
  assert.equal(page.text("#in-count"), "1");
  assert.equal(page.text("#hands"), "Teo 1 · Marit 45");
  assert.equal(page.document.documentElement.dataset.ready, "yes");
});

test("a press ticks all of a line, a second one takes it back", async () => {
  const { page, last } = await open();
  await page.press(inRow(page, 7, ".tick"));
  assert.deepEqual([last().line, last().count, pressed(page, 7)], [7, 2, "true"]);
  assert.equal(inRow(page, 7, "[data-by]").textContent, "kept on this phone");
  assert.ok(row(page, 7).classList.contains("is-kept"));
  await page.press(inRow(page, 7, ".tick"));
  assert.deepEqual([last().count, pressed(page, 7)], [0, "false"]);
});

test("a tick names those that it knew of: what the server told and what still waits here", async () => {
  const { page, kept } = await open({ lines: { 7: line({ heads: ["tick-a", "tick-b"] }) } });
  await page.press(inRow(page, 7, ".tick"));
  await page.press(inRow(page, 7, ".tick"));
  const [first, second] = kept();
  assert.deepEqual(first.after, ["tick-a", "tick-b"]);
  assert.deepEqual(second.after, ["tick-a", "tick-b", first.uuid]);
});

test("some of a line are counted, a few are never drawn as none, and a count that is none is not taken", async () => {
  const { page, kept } = await open();
  const box = inRow(page, 6, "input[type=number]");
  for (const wrong of ["", "1.5", "-1", "many"]) {
    box.value = wrong;
    await page.press(inRow(page, 6, "[data-press=some]"));
    assert.equal(box.getAttribute("aria-invalid"), "true", `"${wrong}" is no count`);
    assert.equal(page.document.activeElement, box);
  }
  assert.deepEqual(kept(), []);
  box.value = "2";
  await page.press(inRow(page, 6, "[data-press=some]"));
  assert.equal(box.hasAttribute("aria-invalid"), false);
  assert.equal(inRow(page, 6, "details").open, false);
  assert.deepEqual([inRow(page, 6, "[data-shown]").textContent, filled(page, 6)], ["2 / 120", "1 8"]);
});

test("counts that did not know of each other are both shown until a new one settles them", async () => {
  const rivals = [{ by: "Marit", count: 1, at: "14:10" }, { by: "", count: 2, at: "14:12" }];
  const { page } = await open({ lines: { 7: line({ count: 1, by: "Teo", rivals }) } });
  const words = "Marit counted 1 at 14:10, another phone counted 2 at 14:12. Count again to settle it.";
  assert.equal(inRow(page, 7, "[data-rivals]").textContent, words);
  await page.press(inRow(page, 7, ".tick"));
  assert.equal(inRow(page, 7, "[data-rivals]").textContent, "");
});

// ---- Notes, steps, hours ----

test("a note to a line and one to the day stand beside those of the server", async () => {
  const notes = [{ text: "stand is bent", by: "Teo", at: "14:02" }];
  const { page, kept } = await open({ lines: { 7: line({ notes }) } });
  inRow(page, 7, "input[type=text]").value = "  cover torn ";
  await page.press(inRow(page, 7, "[data-press=note]"));
  page.find("#id_note").value = "lift is out of order";
  await page.press("[data-note] [data-press=note]");
  const listed = (list) => list.children.map((item) => item.textContent);
  const besideLine = ["stand is bent (Teo 14:02)", "cover torn (kept on this phone)"];
  assert.deepEqual(listed(inRow(page, 7, "[data-notes]")), besideLine);
  assert.deepEqual(listed(page.find("#event-notes")), ["lift is out of order (kept on this phone)"]);
  assert.deepEqual(kept().map((op) => [op.kind, op.line]), [["note", 7], ["note", undefined]]);
  assert.ok(kept().every((op) => op.after === undefined), "a note settles no count");
  assert.equal(page.find("#id_note").value, "");
});

test("an empty note is not said", async () => {
  const { page, kept } = await open();
  page.find("#id_note").value = "   ";
  await page.press("[data-note] [data-press=note]");
  assert.deepEqual(kept(), []);
  assert.equal(page.document.activeElement, page.find("#id_note"));
});

const shownSteps = (page) =>
  page.all("[data-when]").filter((part) => !part.hidden).map((part) => part.textContent);
const asked = (page) => !page.find("#step-ask").hidden;
const doubts = (page) => page.all("[data-doubts] li").map((item) => item.textContent);

async function mark(page, step) {
  await page.press(`button[value=${step}]`);
  await page.press("[data-press=confirm]");
  await page.pass(5000);
}

test("each step of the day makes room for the next, and says to whom it was handed over", async () => {
  const { page, last } = await open();
  assert.deepEqual(shownSteps(page), ["Van is loaded"]);
  await mark(page, "prepared");
  assert.deepEqual(shownSteps(page), ["Installed"]);
  page.find("#id_handed").value = " Mrs Adeyo ";
  await mark(page, "installed");
  assert.deepEqual([last().kind, last().task, last().text], ["step", "installed", "Mrs Adeyo"]);
  assert.deepEqual(shownSteps(page), ["Struck"]);
  await mark(page, "struck");
  assert.deepEqual(shownSteps(page), ["Count back"]);
  const words = (step) => page.find(`[data-done="${step}"]`).textContent;
  assert.equal(words("installed"), "kept on this phone. Handed over to Mrs Adeyo.");
});

test("taps on one spot mark nothing: the button asks, and asks no more", async () => {
  const { page, kept } = await open();
  const spot = page.find("button[value=prepared]");
  for (const asks of [true, false, true]) {
    await page.press(spot);
    assert.equal(asked(page), asks);
    assert.equal(spot.textContent, asks ? "Not yet" : "Van is loaded");
  }
  assert.deepEqual(kept(), []);
  assert.equal(page.document.activeElement, page.find("#step-ask"));
  page.fire(page.document, "keydown", { key: "Escape" });
  assert.equal(asked(page), false);
});

test("open lines and another day are doubts that the question names", async () => {
  const { page } = await open({ lines: { 5: line({ count: 1, by: "Teo" }) } });
  await page.press("button[value=prepared]");
  assert.deepEqual(doubts(page), ["2 lines aren’t ticked."]);
  await page.press(inRow(page, 6, ".tick"));
  assert.deepEqual(doubts(page), ["1 line isn’t ticked."]);
  await page.press(inRow(page, 7, ".tick"));
  assert.deepEqual(doubts(page), []);
  const button = page.find("button[value=prepared]");
  for (const [from, until] of [["2027-05-02", "2027-05-03"], ["2027-04-28", "2027-04-30"]]) {
    [button.dataset.from, button.dataset.until] = [from, until];
    await page.press(button);
    await page.press(button);
    assert.deepEqual(doubts(page), ["Van is loaded is not planned for today."], from);
  }
});

test("the next step waits some seconds for a finger that taps on", async () => {
  const { page, kept } = await open();
  await page.press("button[value=prepared]");
  await page.press("[data-press=confirm]");
  const next = page.find("button[value=installed]");
  assert.equal(next.disabled, true);
  await page.pass(4900);
  assert.equal(next.disabled, true);
  await page.pass(200);
  assert.equal(next.disabled, false);
  assert.deepEqual(kept().map((op) => op.task), ["prepared"]);
});

test("a step is undone by whoever marked it, without signal too", async () => {
  const { page, kept } = await open();
  const undo = page.find("[data-press=undo]");
  assert.equal(undo.hidden, true);
  await mark(page, "prepared");
  await mark(page, "installed");
  assert.deepEqual([undo.hidden, undo.textContent], [false, "Undo “installed”"]);
  await page.press(undo);
  assert.deepEqual(shownSteps(page), ["Installed"]);
  assert.equal(page.find("[data-done=installed]").hidden, true);
  assert.deepEqual([undo.hidden, undo.textContent], [false, "Undo “prepared”"]);
  await page.press(undo);
  assert.deepEqual(shownSteps(page), ["Van is loaded"]);
  assert.equal(undo.hidden, true);
  assert.deepEqual(kept().map((op) => [op.kind, op.task]), [
    ["step", "prepared"], ["step", "installed"], ["undone", "installed"], ["undone", "prepared"],
  ]);
  await mark(page, "prepared");
  assert.deepEqual(shownSteps(page), ["Installed"]);
  assert.equal(page.find("[data-done=prepared]").hidden, false);
});

test("a step of somebody else cannot be undone here, one's own can", async () => {
  const steps = (may_undo) => ({ prepared: { at: "13:05", by: "Teo", may_undo } });
  const theirs = await open({ stage: "prepared", steps: steps(false) });
  assert.equal(theirs.page.find("[data-press=undo]").hidden, true);
  const own = await open({ stage: "prepared", steps: steps(true) });
  await own.page.press("[data-press=undo]");
  assert.deepEqual([own.last().kind, own.last().task], ["undone", "prepared"]);
  assert.deepEqual(shownSteps(own.page), ["Van is loaded"]);
});

test("a step that the server knows says when and by whom", async () => {
  const { page } = await open({ stage: "prepared", steps: { prepared: { at: "13:05", by: "Teo" } } });
  assert.equal(page.find("[data-done=prepared]").hidden, false);
  assert.equal(page.text("[data-done=prepared] [data-words]"), "13:05 Teo.");
  assert.equal(page.find("[data-done=installed]").hidden, true);
});

test("hours are kept with their hands, and shown", async () => {
  const { page, last } = await open({ hours: { install: { minutes: 60, hands: 1, by: "Teo" } } });
  assert.equal(page.text("[data-spent]"), "60 min, Teo");
  const [minutes, hands] = page.all("[data-task] input");
  [minutes.value, hands.value] = ["90", "2"];
  await page.press("[data-press=hours]");
  assert.deepEqual([last().kind, last().task, last().count, last().hands], ["hours", "install", 90, 2]);
  assert.equal(page.text("[data-spent]"), "90 min × 2, kept on this phone");
});

test("nobody's hands are fewer than one", async () => {
  const { page, kept } = await open();
  const [minutes, hands] = page.all("[data-task] input");
  [minutes.value, hands.value] = ["90", "0"];
  await page.press("[data-press=hours]");
  assert.deepEqual(kept(), []);
  assert.equal(hands.getAttribute("aria-invalid"), "true");
});

test("its forms are sent by the script alone", async () => {
  const { page } = await open();
  assert.equal(page.fire("#load-out", "submit"), false);
  assert.equal(page.fire("[data-press=tick]", "click"), false);
  assert.equal(page.fire("#phone-page", "click"), true);
});

// ---- Photos ----

function camera() {
  const drawn = [];
  const createImageBitmap = async (file) => {
    if (file.type === "text/plain") throw new Error("not a picture");
    return { width: 4000, height: 3000, close: () => undefined };
  };
  const asCanvas = (element) => {
    if (element.tagName !== "CANVAS") return element;
    element.getContext = () => ({ drawImage: (_picture, _x, _y, width, height) => drawn.push([width, height]) });
    element.toBlob = (done, type) => done(new Blob(["small"], { type }));
    return element;
  };
  return { drawn, createImageBitmap, asCanvas };
}

async function withCamera() {
  const { drawn, createImageBitmap, asCanvas } = camera();
  const opened = await open({}, { globals: { createImageBitmap } });
  const make = opened.page.document.createElement.bind(opened.page.document);
  opened.page.document.createElement = (tag) => asCanvas(make(tag));
  const take = async (file) => {
    opened.page.find("#id_photo").files = file ? [file] : [];
    opened.page.fire("#id_photo", "change");
    await settle();
  };
  return { ...opened, drawn, take };
}

test("a photo is made smaller, kept, and shown as not sent yet", async () => {
  const { page, phone, drawn, take } = await withCamera();
  await take(new Blob(["large"], { type: "image/jpeg" }));
  assert.deepEqual(drawn, [[1600, 1200], [144, 108]]);
  const [entry] = phone.disk.rows("post");
  assert.equal(entry.photo.type, "image/jpeg");
  assert.equal(await entry.photo.text(), "small");
  assert.equal(page.text("#photos-waiting span"), "not sent yet");
});

test("what is no photo, or too large a file, is refused in words", async () => {
  const { page, phone, take } = await withCamera();
  await take(new Blob(["words"], { type: "text/plain" }));
  assert.equal(page.text("#photo-fault"), "This file is no photo that the phone can read.");
  await take({ size: 31 * 1024 * 1024, type: "image/jpeg" });
  assert.equal(page.text("#photo-fault"), "This file has 31 MB; photos of up to 30 MB can be taken.");
  await take(null);
  assert.deepEqual(phone.disk.rows("post"), []);
});

// ---- What both lists say of the signal ----

const status = (page) => [page.find("#load-status").dataset.state, page.text("#load-words")];

test("with everything sent it says so", async () => {
  const { page } = await open({}, { signal: true });
  assert.deepEqual(status(page), ["sent", "Connected. All sent."]);
});

test("without signal it counts what it keeps, and with signal it has sent it", async () => {
  const opened = await open();
  const { page, office } = opened;
  assert.deepEqual(status(page), ["kept", "No signal. Tick on; it is kept on this phone."]);
  await page.press(inRow(page, 7, ".tick"));
  assert.deepEqual(status(page), ["kept", "No signal. 1 tick kept on this phone; they go when it is back."]);
  office.standing = told({ lines: { 7: line({ count: 2, by: "Teo", heads: ["x"] }) } });
  await connect(opened);
  assert.deepEqual(office.kept.map((op) => [op.line, op.count]), [[7, 2]]);
  assert.deepEqual(status(page), ["sent", "Connected. All sent."]);
  assert.equal(inRow(page, 7, "[data-by]").textContent, "Teo");
});

test("a phone without room says so, and nothing is ticked", async () => {
  const { page, phone } = await open();
  phone.disk.full = true;
  await page.press(inRow(page, 7, ".tick"));
  assert.equal(status(page)[0], "refused");
  assert.match(status(page)[1], /^This phone has no room left/);
  assert.equal(pressed(page, 7), "false");
});

test("what the server refuses is told once with its reasons, and can be put aside", async () => {
  const opened = await open();
  const { page, office, phone } = opened;
  office.standing = told();
  office.refusals.set("all", "This event was called off.");
  await page.press(inRow(page, 5, ".tick"));
  await page.press(inRow(page, 7, ".tick"));
  await connect(opened);
  assert.equal(page.find("#refusals").hidden, false);
  assert.equal(page.text("#refusals [data-words]"), "2 ticks could not be taken. This event was called off.");
  assert.equal(pressed(page, 7), "false");
  await page.press("#refusals button");
  assert.equal(page.find("#refusals").hidden, true);
  assert.deepEqual(phone.disk.rows("post"), []);
});

test("what somebody else left on this phone is said, and does not count as one's own", async () => {
  const phone = new Phone();
  const html = loadOutPage(told(), LINES);
  const marit = await openList("events/load_out.js", html.replace('data-person="7"', 'data-person="8"'), { phone });
  await marit.page.press(inRow(marit.page, 7, ".tick"));
  const { page } = await open({}, { phone });
  assert.match(status(page)[1], /1 tick of somebody else waits on this phone and goes when they sign in here\.$/);
  assert.equal(pressed(page, 7), "false");
});

// ---- News from the server ----

test("it looks every fifteen seconds, with signal and in sight only", async () => {
  const { page, phone, office } = await open({}, { signal: true });
  office.standing = told();
  const looks = () => phone.requests("/s/wickerlark/events/3/load-out/ticks").length;
  const before = looks();
  await page.pass(30_000);
  assert.equal(looks(), before + 2);
  page.document.hidden = true;
  await page.pass(30_000);
  assert.equal(looks(), before + 2);
});

test("what the phone knew later than the page was made is shown", async () => {
  const phone = new Phone();
  const first = await open({}, { phone, signal: true });
  first.office.standing = told({ told_at: "2027-05-01T11:30:00Z", lines: { 7: line({ count: 2, by: "Marit" }) } });
  await first.page.pass(15_000);
  const { page } = await open({}, { phone, signal: false });
  assert.equal(inRow(page, 7, "[data-by]").textContent, "Marit");
  const newer = await open({ told_at: "2027-05-01T11:45:00Z" }, { phone, signal: false });
  assert.equal(inRow(newer.page, 7, "[data-by]").textContent, "");
});

test("a list that the office changed takes the old one's place, but not under somebody's typing", async () => {
  const { page, phone, office } = await open({}, { signal: true });
  const fresh = loadOutPage(told({ revision: "r2" }), [[{ pk: 9, quantity: 4 }]]).replace('"r1"', '"r2"');
  const network = phone.network;
  phone.network = (address, options) => (address === PAGE ? answer(fresh) : network(address, options));
  office.standing = told({ revision: "r2", lines: { 9: line({ count: 4, by: "Teo" }) } });
  page.find("#id_note").focus();
  await page.pass(15_000);
  assert.ok(row(page, 5), "the old list stays while somebody types");
  page.find("#id_note").blur();
  page.fire("#load-out", "pointerdown");
  await page.pass(15_000);
  assert.ok(row(page, 5), "the old list stays under a finger, whose tap would be lost");
  page.fire("#load-out", "pointerup");
  await page.pass(15_000);
  assert.equal(row(page, 5), null);
  assert.equal(pressed(page, 9), "true");
  assert.equal(page.find("#phone-page").dataset.revision, "r2");
  const pages = await phone.caches.open("billowbook-pages");
  assert.ok(await pages.match(PAGE), "the fresh page is kept for the time without signal");
});
