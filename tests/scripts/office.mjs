// The server as a phone's outbox meets it: knows who is signed in, keeps each thing once, tells how things stand.
import { answer } from "./browser.mjs";

export class Office {
  signedIn = { person: 7, csrf: "token-of-now" };

  kept = []; // what arrived, once each

  refusals = new Map(); // uuid → why

  photos = [];

  reply = null; // an answer to whatever is asked, in place of the usual ones

  lose = false; // the answer gets lost on its way back, the request doesn't

  standing = {}; // what it tells of an address besides

  network = (address, options = {}) => {
    if (address.startsWith("/phone/signed-in")) return answer(this.signedIn);
    const given = this.reply?.(address, options);
    if (given) return given;
    const told = options.method === "POST" ? this.#taken(options.body) : {};
    if (this.lose) throw new TypeError("lost on the way back");
    return answer({ ...this.standing, ...told });
  };

  #taken(body) {
    if (typeof body !== "string") {
      this.photos.push(Object.fromEntries(body.entries()));
      return {};
    }
    const { ops } = JSON.parse(body);
    const refused = ops.filter((op) => this.refusals.has(op.uuid) || this.refusals.has("all"));
    const taken = ops.filter((op) => !refused.includes(op));
    const known = new Set(this.kept.map((op) => op.uuid));
    this.kept.push(...taken.filter((op) => !known.has(op.uuid)));
    const why = (op) => this.refusals.get(op.uuid) ?? this.refusals.get("all");
    return { kept: taken.map((op) => op.uuid), refused: refused.map((op) => ({ uuid: op.uuid, why: why(op) })) };
  }
}
