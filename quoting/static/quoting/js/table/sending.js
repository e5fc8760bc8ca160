// Acts go to the server one after the other. One that found no connection is kept, also over a reload, and sent again.
const BUSY = [429, 502, 503, 504]; // the server is there, but not for this act yet
const IS_BUSY = "The server is busy. Your change is kept here and is sent again.";
const NO_CONNECTION = "No connection. Your change is kept here and is sent again.";
const SIGNED_OUT = "Sign in again; your change is still here.";
const REFUSED_AT_THE_DOOR = [400, 401, 403]; // signed out, or with a token of an earlier session
const AGAIN_MS = [1000, 2000, 4000, 8000, 15_000];

export class Sending {
  constructor(table, scene) {
    this.table = table;
    this.scene = scene;
    this.queue = [];
    this.isSending = false;
    this.tries = 0;
    this.refused = null;
    this.answer = null;
    this.leaving = []; // who waits until every act was answered
    this.keptUnder = `table-${table.dataset.act}`;
    addEventListener("online", () => this.#send());
    document.getElementById("table-again").addEventListener("click", () => this.#again());
  }

  get token() { return document.querySelector("#table input[name=csrfmiddlewaretoken]")?.value ?? ""; }

  // One act with its fields; a key tells the server that it is the same one when it is sent again.
  act(name, fields) {
    const gripped = this.scene.remember({ thing: fields.thing, point: fields.index, knot: fields.at });
    this.#add({ to: this.table.dataset.act, fields: { act: name, ...gripped, ...fields } });
  }

  go(which) {
    const { thing } = this.scene;
    this.#add({ to: this.table.dataset[which], fields: { thing, ...this.scene.remember({ thing }) } });
  }

  // The page's parts with another thing selected, or with what adds one; nothing is changed.
  async show(asked) {
    const gripped = this.scene.remember(asked);
    const address = `${this.table.dataset.page}?${new URLSearchParams({ ...asked, ...gripped })}`;
    const wanted = this.scene.thing;
    try {
      const answer = await fetch(address, { headers: { "X-Table": "parts" } });
      if (!answer.ok) return;
      const found = await answer.json();
      if (this.queue.length || this.scene.isHeld || this.scene.thing !== wanted) return;
      this.scene.put(found);
      if (asked.point !== undefined) this.scene.showForm("move-point");
      if (asked.knot !== undefined) this.scene.showForm("thickness");
    } catch {
      // Without a connection the panel stays as it is; what is dragged is still kept and sent later.
    }
  }

  // What a reload found still unsent.
  resume() {
    if (sessionStorage.getItem(`${this.keptUnder}-failed`)) {
      sessionStorage.removeItem(`${this.keptUnder}-failed`);
      this.#problem("That change could not be made. Try something else; what was drawn before is kept.");
    }
    const kept = sessionStorage.getItem(this.keptUnder);
    if (!kept) return;
    this.queue = JSON.parse(kept);
    this.#send();
  }

  // When every act was answered: whether all of them were made.
  settled() {
    if (!this.queue.length) return Promise.resolve(true);
    this.#send();
    return new Promise((resolve) => { this.leaving.push(resolve); });
  }

  // An answer that came while something was being dragged is put now.
  release() {
    if (this.answer && !this.queue.length && !this.scene.isHeld) {
      this.scene.put(this.answer);
      this.answer = null;
    }
  }

  #add(act) {
    act.fields.key = crypto.randomUUID?.() ?? String(Math.random()).slice(2);
    this.#problem("");
    this.queue.push(act);
    this.#keep();
    this.#send();
  }

  #keep() {
    if (this.queue.length) sessionStorage.setItem(this.keptUnder, JSON.stringify(this.queue));
    else sessionStorage.removeItem(this.keptUnder);
    document.getElementById("table-strip")?.classList.toggle("is-waiting", this.queue.length > 0);
  }

  async #send() {
    if (this.isSending || !this.queue.length) return;
    this.isSending = true;
    const act = this.queue[0];
    act.fields.version ??= this.table.dataset.version;
    this.#keep();
    let answer, found;
    try {
      const body = new URLSearchParams({ ...act.fields, csrfmiddlewaretoken: this.token });
      answer = await fetch(act.to, { method: "POST", body, headers: { "X-Table": "parts" } });
      if (BUSY.includes(answer.status)) return this.#waits(IS_BUSY);
      found = answer.headers.get("Content-Type")?.includes("json") ? await answer.json() : null;
    } catch {
      return this.#waits(NO_CONNECTION);
    }
    this.isSending = false;
    this.tries = 0;
    if (found) this.#answered(act, answer, found);
    else this.#turnedAway(answer);
  }

  // A page instead of an answer. Signed out: what wasn't made stays here until somebody signs in. Deleted: the page
  // says so. A failure of ours: the picture goes back to what is kept.
  #turnedAway({ ok, status }) {
    if (ok || REFUSED_AT_THE_DOOR.includes(status)) {
      this.#wait(SIGNED_OUT, true);
      this.#settle(false);
      return;
    }
    this.queue = [];
    this.#keep();
    if (status >= 500) sessionStorage.setItem(`${this.keptUnder}-failed`, "1");
    location.reload();
  }

  #answered(act, { ok }, found) {
    this.#wait("");
    this.queue.shift();
    this.table.dataset.version = String(found.version);
    this.refused = found.stale ? act : null;
    if (!ok) this.queue = []; // what followed was meant for a picture that there isn't
    this.#keep();
    if (this.queue.length || this.scene.isHeld) this.answer = found;
    else this.scene.put(found);
    this.#problem(found.problem);
    if (found.said) this.scene.say(found.said);
    if (!this.queue.length) this.#settle(ok);
    this.#send();
  }

  #settle(areMade) {
    for (const resolve of this.leaving.splice(0)) resolve(areMade);
  }

  #waits(words) {
    const pause = AGAIN_MS[Math.min(this.tries, AGAIN_MS.length - 1)];
    this.tries += 1;
    this.#wait(words);
    setTimeout(() => { this.isSending = false; this.#send(); }, pause);
  }

  #again() {
    const act = this.refused;
    if (!act) return;
    delete act.fields.version;
    this.refused = null;
    this.#add({ to: act.to, fields: { ...act.fields } });
  }

  #problem(words) {
    const notice = document.getElementById("table-problem");
    notice.hidden = !words;
    notice.querySelector("[data-words]").textContent = words || "";
    if (words) document.getElementById("table-said").hidden = true;
    document.getElementById("table-again").hidden = !this.refused;
  }

  #wait(words, mustSignIn = false) {
    const notice = document.getElementById("table-waits");
    notice.hidden = !words;
    notice.querySelector("[data-words]").textContent = words;
    document.getElementById("table-sign-in").hidden = !mustSignIn;
  }
}
