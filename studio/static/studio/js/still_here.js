// What this phone could not send before its link ended: it stays here and goes with a new link.
import { onChange, person, waiting } from "./outbox.js";

const words = document.getElementById("still-here");

async function speak() {
  const left = (await waiting()).filter((entry) => entry.person === person).length;
  words.hidden = !left;
  const things = left === 1
    ? "1 thing on this phone was not sent. It stays"
    : `${left} things on this phone were not sent. They stay`;
  words.textContent = left ? `${things} here and can be sent with a new link for this phone.` : "";
}

onChange(speak);
speak().catch(() => undefined);
