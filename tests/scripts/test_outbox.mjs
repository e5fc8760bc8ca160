import assert from "node:assert/strict";
import test from "node:test";

import { Page, Phone, answer, plain, settle } from "./browser.mjs";
import { Office } from "./office.mjs";

const TICKS = "/s/wickerlark/events/3/load-out/ticks";
const OTHER_LIST = "/s/wickerlark/events/4/load-out/ticks";
const PHOTOS = "/s/wickerlark/events/3/load-out/photos";
const SIGNED_IN = "/phone/signed-in";
const BODY = '<body data-person="7"></body>';

async function open({ body = BODY, phone = new Phone(), office = new Office(), signal = true, ...more } = {}) {
  if (signal) phone.network = office.network;
  const page = new Page(body, { phone, ...more });
  const outbox = await page.load("studio/js/outbox.js");
  return { page, phone, office, outbox };
}

const loseSignal = (phone) => {
  phone.network = () => {
    throw new TypeError("no signal");
  };
};
const sent = (phone, address = TICKS) => phone.requests(address).filter((each) => each.method === "POST");
const opsOf = (request) => JSON.parse(request.body).ops;

// ---- Kept first, shown then ----

test("what is put is on the phone before anybody is told of it", async () => {
  const { phone, outbox } = await open({ signal: false });
  const seen = [];
  outbox.onChange(() => seen.push(phone.disk.rows("post").length));
  await outbox.put(TICKS, { line: 5, count: 2 });
  assert.equal(seen[0], 1);
  const [entry] = plain(await outbox.waiting(TICKS));
  assert.deepEqual([entry.address, entry.person, entry.op.line, entry.op.count], [TICKS, 7, 5, 2]);
  assert.equal(entry.op.uuid, entry.uuid);
  assert.equal(entry.op.made_at, "2027-05-01T12:00:00.000Z");
  assert.equal(entry.op.phone, phone.storage.getItem("billowbook.phone"));
});

test("a phone without room keeps nothing, says so, and tells nobody that it had", async () => {
  const { phone, outbox } = await open({ signal: false });
  let told = 0;
  outbox.onChange(() => (told += 1));
  phone.disk.full = true;
  await assert.rejects(outbox.put(TICKS, { line: 5, count: 2 }), /QuotaExceededError/);
  assert.equal(told, 0);
  phone.disk.full = false;
  assert.deepEqual(plain(await outbox.waiting()), []);
});

test("no two things of a phone bear the same moment, and they come in their order", async () => {
  const { outbox } = await open({ signal: false });
  for (const count of [3, 1, 2]) await outbox.put(TICKS, { line: 5, count });
  const entries = plain(await outbox.waiting());
  assert.deepEqual(entries.map((entry) => entry.op.count), [3, 1, 2]);
  assert.equal(new Set(entries.map((entry) => entry.at)).size, 3);
});

test("what waits at another address is left out where one is asked for", async () => {
  const { outbox } = await open({ signal: false });
  await outbox.put(TICKS, { line: 5, count: 2 });
  await outbox.put(OTHER_LIST, { line: 9, count: 1 });
  assert.deepEqual(plain(await outbox.waiting(OTHER_LIST)).map((entry) => entry.op.line), [9]);
});

test("names are version 4 uuids, also where the browser makes none itself", async () => {
  const { page, outbox } = await open();
  page.window.crypto = { getRandomValues: (bytes) => bytes.fill(255) };
  assert.equal(outbox.newName(), "ffffffff-ffff-4fff-bfff-ffffffffffff");
});

test("a store that could not be opened is opened at the next try", async () => {
  const { phone, outbox } = await open({ body: "<body></body>", signal: false });
  phone.disk.broken = true;
  await assert.rejects(outbox.waiting(), /InvalidStateError/);
  phone.disk.broken = false;
  assert.deepEqual(plain(await outbox.waiting()), []);
});

// ---- Sent until the server has it ----

test("the server gets it with the token of whoever is signed in now, and it leaves the phone", async () => {
  const { phone, office, outbox } = await open();
  await outbox.put(TICKS, { line: 5, count: 2 });
  await settle();
  assert.deepEqual(office.kept.map((op) => [op.line, op.count]), [[5, 2]]);
  const [request] = sent(phone);
  assert.equal(request.headers["X-CSRFToken"], "token-of-now");
  assert.equal(request.redirect, "manual");
  assert.deepEqual(plain(await outbox.waiting()), []);
});

test("whoever listens is told the answer, and it is known afterwards", async () => {
  const { office, outbox } = await open();
  office.standing = { stage: "prepared" };
  const told = [];
  outbox.onChange((answers) => told.push(...Object.entries(answers).map(([where, { stage }]) => [where, stage])));
  await outbox.put(TICKS, { line: 5, count: 2 });
  await settle();
  assert.deepEqual(told, [[TICKS, "prepared"]]);
  assert.equal((await outbox.known(TICKS)).stage, "prepared");
});

test("an answer lost on its way back doubles nothing", async () => {
  const { page, phone, office, outbox } = await open();
  office.lose = true;
  await outbox.put(TICKS, { line: 5, count: 2 });
  await settle();
  office.lose = false;
  await page.pass(4000);
  assert.equal(sent(phone).length, 2);
  assert.equal(opsOf(sent(phone)[0])[0].uuid, opsOf(sent(phone)[1])[0].uuid);
  assert.equal(office.kept.length, 1);
  assert.deepEqual(plain(await outbox.waiting()), []);
});

test("two hundred at most go in one request, oldest first, each list to its own address", async () => {
  const { phone, office, outbox } = await open({ signal: false });
  for (let count = 1; count <= 201; count += 1) await outbox.put(TICKS, { line: 5, count });
  await outbox.put(OTHER_LIST, { line: 9, count: 1 });
  phone.network = office.network;
  await outbox.send();
  assert.deepEqual(sent(phone).map((request) => opsOf(request).length), [200, 1]);
  assert.equal(sent(phone, OTHER_LIST).length, 1);
  const inOrder = Array.from({ length: 201 }, (_, index) => index + 1);
  assert.deepEqual(office.kept.slice(0, 201).map((op) => op.count), inOrder);
});

test("without signal it tries again after four seconds, then ever later, half a minute at most", async () => {
  const { page, phone, outbox } = await open({ signal: false });
  await outbox.put(TICKS, { line: 5, count: 2 });
  await settle();
  const tries = () => phone.requests(SIGNED_IN).length;
  const waits = [];
  for (let seconds = 0, before = tries(); waits.length < 5; seconds += 1) {
    await page.pass(1000);
    if (tries() > before) {
      waits.push(seconds + 1);
      [seconds, before] = [-1, tries()];
    }
  }
  assert.deepEqual(waits, [4, 8, 16, 30, 30]);
  assert.equal(outbox.state.trouble, true);
});

test("it goes at once when the signal is back, and when the page is looked at again", async () => {
  const { page, phone, office, outbox } = await open({ signal: false });
  await outbox.put(TICKS, { line: 5, count: 2 });
  await settle();
  phone.network = office.network;
  page.heard.dispatchEvent(new page.Event("online"));
  await settle();
  assert.equal(office.kept.length, 1);
  loseSignal(phone);
  await outbox.put(TICKS, { line: 5, count: 3 });
  await settle();
  phone.network = office.network;
  page.fire(page.document, "visibilitychange");
  await settle();
  assert.equal(office.kept.length, 2);
  assert.equal(outbox.state.trouble, false);
});

test("a page in the background does not send when its visibility changes", async () => {
  const { page, phone, office, outbox } = await open({ signal: false });
  await outbox.put(TICKS, { line: 5, count: 2 });
  await settle();
  phone.network = office.network;
  page.document.hidden = true;
  page.fire(page.document, "visibilitychange");
  await settle();
  assert.equal(office.kept.length, 0);
});

test("what is put while something is being sent goes in a round of its own, right after", async () => {
  const { office, outbox } = await open();
  outbox.put(TICKS, { line: 5, count: 1 });
  outbox.put(TICKS, { line: 5, count: 2 });
  await settle();
  assert.deepEqual(office.kept.map((op) => op.count), [1, 2]);
});

test("a server in trouble or a limit reached is no refusal: it waits and goes later", async () => {
  for (const status of [429, 500, 503]) {
    const { page, office, outbox } = await open();
    office.reply = () => answer({}, { status });
    await outbox.put(TICKS, { line: 5, count: 2 });
    await settle();
    assert.equal(outbox.state.trouble, true);
    assert.equal(plain(await outbox.waiting())[0].refused, undefined);
    office.reply = null;
    await page.pass(4000);
    assert.equal(office.kept.length, 1, `after ${status}`);
  }
});

// ---- What the server does not take ----

test("what is refused stays with the reason, is not sent again, and goes when it is put aside", async () => {
  const { page, phone, office, outbox } = await open();
  office.refusals.set("all", "This list is closed.");
  const uuid = await outbox.put(TICKS, { line: 5, count: 2 });
  await settle();
  assert.equal(plain(await outbox.waiting())[0].refused, "This list is closed.");
  await page.pass(120_000);
  assert.equal(sent(phone).length, 1);
  await outbox.setAside([uuid]);
  assert.deepEqual(plain(await outbox.waiting()), []);
});

test("an event that is gone and a list that the server cannot read are told in words", async () => {
  for (const [status, why] of [
    [404, "The office took this event away."],
    [400, "The server did not understand this."],
  ]) {
    const { office, outbox } = await open();
    office.reply = () => answer({}, { status });
    await outbox.put(TICKS, { line: 5, count: 2 });
    await settle();
    assert.equal(plain(await outbox.waiting())[0].refused, why);
  }
});

test("a photo is sent as a form of its own, once; the server's reason stands beside it if it is refused", async () => {
  const { phone, office, outbox } = await open();
  await outbox.put(PHOTOS, { photo: new Blob(["light"], { type: "image/jpeg" }) });
  await settle();
  const [photo] = office.photos;
  assert.deepEqual([photo.by, photo.made_at, photo.photo.name], ["script", "2027-05-01T12:00:00.000Z", "photo.jpg"]);
  assert.equal(photo.phone, outbox.phone());
  assert.deepEqual(plain(await outbox.waiting()), []);
  office.reply = () => answer({ error: "Twelve photos are enough." }, { status: 422 });
  await outbox.put(PHOTOS, { photo: new Blob(["dark"]) });
  await settle();
  assert.equal(sent(phone, PHOTOS).length, 2);
  assert.equal((await outbox.waiting(PHOTOS))[0].refused, "Twelve photos are enough.");
});

// ---- Only as the person who did it ----

test("whoever is signed out, or was sent elsewhere, is told so and keeps everything", async () => {
  const away = [{ status: 401 }, { status: 410 }, { type: "opaqueredirect" }];
  for (const facts of away) {
    const { office, outbox } = await open();
    office.reply = () => answer({}, facts);
    await outbox.put(TICKS, { line: 5, count: 2 });
    await settle();
    assert.equal(outbox.state.closed, "You are signed out. Sign in to send.");
    assert.equal((await outbox.waiting()).length, 1);
  }
});

test("nobody signed in, and somebody else signed in, send nothing", async () => {
  for (const [who, words] of [
    [null, "You are signed out. Sign in to send."],
    [8, "Somebody else is signed in now. Sign in as yourself to send."],
  ]) {
    const { office, phone, outbox } = await open();
    office.signedIn = { person: who };
    await outbox.put(TICKS, { line: 5, count: 2 });
    await settle();
    assert.equal(outbox.state.closed, words);
    assert.equal(sent(phone).length, 0);
  }
});

test("a list that is closed to this person is said to be", async () => {
  const { office, outbox } = await open();
  office.reply = () => answer({}, { status: 403 });
  await outbox.put(TICKS, { line: 5, count: 2 });
  await settle();
  assert.equal(outbox.state.closed, "This list is not open to you any more. Ask the office.");
  office.reply = null;
  await outbox.send();
  assert.equal(outbox.state.closed, "");
});

test("what another person left on this phone is not sent, and comes to no harm", async () => {
  const phone = new Phone();
  const marit = await open({ phone, body: '<body data-person="8"></body>', signal: false });
  await marit.outbox.put(TICKS, { line: 5, count: 1 });
  const { office, outbox } = await open({ phone });
  await outbox.put(TICKS, { line: 5, count: 2 });
  await settle();
  assert.deepEqual(office.kept.map((op) => op.count), [2]);
  assert.deepEqual(plain(await outbox.waiting()).map((entry) => entry.person), [8]);
});

test("a phone with a link asks as that phone and says that its link has ended", async () => {
  const { phone, office, outbox } = await open({ body: '<body data-person="phone-12"></body>' });
  office.signedIn = { person: "phone-12", csrf: "token-of-now" };
  await outbox.put(TICKS, { line: 5, count: 2 });
  await settle();
  assert.equal(office.kept.length, 1);
  assert.ok(phone.requests("/phone/signed-in?phone=12").length);
  office.signedIn = { person: 7 };
  await outbox.put(TICKS, { line: 5, count: 3 });
  await settle();
  assert.equal(outbox.state.closed, "Somebody else is signed in now. Sign out to send.");
  office.signedIn = { person: null };
  await outbox.send();
  assert.equal(outbox.state.closed, "The link of this phone has ended. Ask the office for a new one to send.");
});

test("a page without a person sends nothing and asks for nothing", async () => {
  const phone = new Phone();
  const before = await open({ phone, signal: false });
  await before.outbox.put(TICKS, { line: 5, count: 2 });
  await settle();
  phone.asked.length = 0;
  await open({ phone, body: "<body></body>" });
  assert.deepEqual(phone.asked, []);
});

// ---- News ----

test("a look tells how an address stands, and says when it could not", async () => {
  const { phone, office, outbox } = await open();
  office.standing = { stage: "installed" };
  const told = [];
  outbox.onChange((answers) => told.push(plain(answers)));
  await outbox.look(TICKS);
  assert.deepEqual(told, [{ [TICKS]: { stage: "installed" } }]);
  loseSignal(phone);
  await outbox.look(TICKS);
  assert.equal(outbox.state.trouble, true);
  assert.equal((await outbox.known(TICKS)).stage, "installed");
  phone.network = () => answer({}, { status: 403 });
  await outbox.look(TICKS);
  assert.equal(outbox.state.closed, "This list is not open to you any more. Ask the office.");
  assert.equal(outbox.state.trouble, false);
});

test("a look that was overtaken by the answer to what was sent changes nothing", async () => {
  const { phone, office, outbox } = await open();
  const told = [];
  outbox.onChange((answers) => told.push(...Object.values(answers).map(({ stage }) => stage)));
  const network = phone.network;
  let arrives;
  phone.network = () => new Promise((resolve) => { arrives = resolve; });
  const slow = outbox.look(TICKS);
  await settle();
  phone.network = network;
  office.standing = { stage: "counted_back" };
  await outbox.put(TICKS, { kind: "step", task: "counted_back" });
  await settle();
  arrives(answer({ stage: "struck" }));
  await slow;
  assert.deepEqual(told, ["counted_back"]);
  assert.equal((await outbox.known(TICKS)).stage, "counted_back");
});

test("the look after it counts again", async () => {
  const { office, outbox } = await open();
  office.standing = { stage: "counted_back" };
  await outbox.put(TICKS, { kind: "step", task: "counted_back" });
  await settle();
  office.standing = { stage: "struck" };
  await outbox.look(TICKS);
  assert.equal((await outbox.known(TICKS)).stage, "struck");
});

test("another page of the same phone hears of what was put and of what the server answered", async () => {
  const phone = new Phone();
  const one = await open({ phone });
  const other = await open({ phone });
  const heard = [];
  other.outbox.onChange((answers) => heard.push(plain(answers)));
  await one.outbox.put(TICKS, { line: 5, count: 2 });
  await settle();
  assert.deepEqual(heard[0], {});
  assert.ok(heard.some((answers) => answers[TICKS]?.kept.length === 1));
});
