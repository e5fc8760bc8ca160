// A small stand-in for the part of the DOM that the script modules use. Journeys in a real browser prove the rest.
import { compile } from "./selectors.mjs";

const VOID = new Set(["br", "img", "input", "link", "meta", "path", "circle", "use"]);
const ATTRIBUTE = /(?<name>[^\s=>/]+)(?:="(?<value>[^"]*)")?/g;
const TOKEN = new RegExp(
  [
    /<!--[\s\S]*?-->|<!doctype[^>]*>/,
    /<\/(?<end>[\w-]+)\s*>/,
    /<(?<start>[\w-]+)(?<attributes>(?:\s+[^\s=>/]+(?:="[^"]*")?)*)\s*\/?>/,
    /(?<text>[^<]+)/,
  ].map((each) => each.source).join("|"),
  "gi",
);
const ENTITIES = { "&amp;": "&", "&lt;": "<", "&gt;": ">", "&quot;": '"', "&#x27;": "'" };
const FOCUSABLE = new Set(["INPUT", "TEXTAREA", "SELECT", "BUTTON", "SUMMARY", "A"]);

const kebab = (name) => name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
const plainText = (text) => text.replace(/&(?:amp|lt|gt|quot|#x27);/g, (entity) => ENTITIES[entity]);

// ---- Events ----

export class Event {
  constructor(type, { bubbles = false, ...more } = {}) {
    Object.assign(this, { type, bubbles, defaultPrevented: false, stopped: false, target: null, timeStamp: 0 }, more);
  }

  preventDefault() {
    this.defaultPrevented = true;
  }

  stopPropagation() {
    this.stopped = true;
  }
}

export class Target {
  #listeners = [];

  addEventListener(type, listener, capture = false) {
    this.#listeners.push({ type, listener, capture });
  }

  removeEventListener(type, listener) {
    this.#listeners = this.#listeners.filter((each) => each.type !== type || each.listener !== listener);
  }

  hear(event, capture) {
    for (const each of [...this.#listeners]) {
      if (each.type === event.type && each.capture === capture) each.listener.call(this, event);
    }
  }

  // Down to the target for those who listen with capture, then up again; whether the default is to be done.
  dispatchEvent(event) {
    event.target ??= this;
    const path = [this];
    const above = (node) => node.parentElement ?? node.heard;
    for (let node = above(this); node; node = above(node)) path.push(node);
    const stops = [...[...path].reverse().map((node) => [node, true]), ...path.map((node) => [node, false])];
    for (const [node, capture] of stops) {
      if (event.stopped || (!event.bubbles && !capture && node !== this)) continue;
      node.hear(event, capture);
    }
    return !event.defaultPrevented;
  }
}

// ---- Elements ----

class Classes {
  constructor(element) {
    this.element = element;
  }

  #names() {
    return (this.element.getAttribute("class") ?? "").split(/\s+/).filter(Boolean);
  }

  contains(name) {
    return this.#names().includes(name);
  }

  toggle(name, on = !this.contains(name)) {
    const others = this.#names().filter((each) => each !== name);
    this.element.setAttribute("class", (on ? [...others, name] : others).join(" "));
    return on;
  }

  add(name) {
    this.toggle(name, true);
  }

  remove(name) {
    this.toggle(name, false);
  }
}

function datasetOf(element) {
  return new Proxy({}, {
    get: (_, name) => element.getAttribute(`data-${kebab(name)}`) ?? undefined,
    set: (_, name, value) => element.setAttribute(`data-${kebab(name)}`, value) ?? true,
    deleteProperty: (_, name) => element.removeAttribute(`data-${kebab(name)}`) ?? true,
  });
}

export class Element extends Target {
  #attributes = new Map();

  #value = null;

  constructor(tag, document) {
    super();
    this.tagName = tag.toUpperCase();
    this.ownerDocument = document;
    this.parentElement = null;
    this.childNodes = []; // elements, and texts as strings
    this.classList = new Classes(this);
    this.dataset = datasetOf(this);
    this.scrolledTo = 0;
  }

  getAttribute(name) {
    return this.#attributes.get(name) ?? null;
  }

  setAttribute(name, value) {
    this.#attributes.set(name, String(value));
  }

  removeAttribute(name) {
    this.#attributes.delete(name);
  }

  hasAttribute(name) {
    return this.#attributes.has(name);
  }

  toggleAttribute(name, on = !this.hasAttribute(name)) {
    if (on) this.setAttribute(name, "");
    else this.removeAttribute(name);
    return on;
  }

  get className() {
    return this.getAttribute("class") ?? "";
  }

  set className(names) {
    this.setAttribute("class", names);
  }

  get defaultValue() {
    return this.getAttribute("value") ?? "";
  }

  get value() {
    return this.#value ?? this.defaultValue;
  }

  set value(value) {
    this.#value = String(value);
  }

  get tabIndex() {
    return Number(this.getAttribute("tabindex") ?? -1);
  }

  set tabIndex(index) {
    this.setAttribute("tabindex", index);
  }

  // ---- The tree ----

  get children() {
    return this.childNodes.filter((node) => node instanceof Element);
  }

  get textContent() {
    return this.childNodes.map((node) => (node instanceof Element ? node.textContent : node)).join("");
  }

  set textContent(text) {
    this.replaceChildren(...(text === "" ? [] : [String(text)]));
  }

  set innerHTML(html) {
    this.replaceChildren();
    parseInto(this, html);
  }

  append(...nodes) {
    for (const node of nodes) {
      if (node instanceof Element) node.moveTo(this);
      this.childNodes.push(node);
    }
  }

  replaceChildren(...nodes) {
    for (const child of this.children) child.parentElement = null;
    this.childNodes = [];
    this.append(...nodes);
  }

  after(node) {
    const siblings = this.parentElement.childNodes;
    node.moveTo(this.parentElement);
    siblings.splice(siblings.indexOf(this) + 1, 0, node);
  }

  replaceWith(node) {
    this.after(node);
    this.remove();
  }

  remove() {
    const siblings = this.parentElement.childNodes;
    siblings.splice(siblings.indexOf(this), 1);
    this.parentElement = null;
  }

  moveTo(parent) {
    if (this.parentElement) this.remove();
    this.parentElement = parent;
    this.ownerDocument = parent.ownerDocument;
  }

  *descendants() {
    for (const child of this.children) {
      yield child;
      yield* child.descendants();
    }
  }

  matches(selector) {
    return compile(selector)(this);
  }

  closest(selector) {
    if (this.matches(selector)) return this;
    return this.parentElement?.closest(selector) ?? null;
  }

  contains(other) {
    for (let node = other; node; node = node.parentElement) if (node === this) return true;
    return false;
  }

  querySelectorAll(selector) {
    const fits = compile(selector);
    return [...this.descendants()].filter(fits);
  }

  querySelector(selector) {
    return this.querySelectorAll(selector)[0] ?? null;
  }

  get heard() {
    return this === this.ownerDocument?.documentElement ? this.ownerDocument : null;
  }

  // ---- Forms and focus ----

  get form() {
    return this.closest("form");
  }

  get elements() {
    const controls = this.querySelectorAll("input, button, textarea, select");
    for (const control of controls) if (control.name) controls[control.name] = control;
    return controls;
  }

  requestSubmit(submitter = null) {
    this.dispatchEvent(new this.ownerDocument.Event("submit", { bubbles: true, submitter }));
  }

  focus() {
    if (FOCUSABLE.has(this.tagName) || this.hasAttribute("tabindex")) this.ownerDocument.focused = this;
  }

  blur() {
    if (this.ownerDocument.focused === this) this.ownerDocument.focused = null;
  }

  click() {
    this.dispatchEvent(new this.ownerDocument.Event("click", { bubbles: true }));
  }

  select() {
    this.setSelectionRange(0, this.value.length);
  }

  setSelectionRange(start, end) {
    Object.assign(this, { selectionStart: start, selectionEnd: end });
  }

  scrollIntoView() {
    this.scrolledTo += 1;
  }

  showModal() {
    this.open = true;
  }
}

for (const name of ["id", "name", "type", "min", "action"]) {
  Object.defineProperty(Element.prototype, name, {
    get() {
      return this.getAttribute(name) ?? "";
    },
    set(value) {
      this.setAttribute(name, value);
    },
  });
}
for (const name of ["hidden", "open"]) {
  Object.defineProperty(Element.prototype, name, {
    get() {
      return this.hasAttribute(name);
    },
    set(on) {
      this.toggleAttribute(name, Boolean(on));
    },
  });
}

export class Details extends Element {}

// ---- The document ----

export class Document extends Target {
  constructor(html, window = null) {
    super();
    this.heard = window; // events go up to the window
    this.Event = Event;
    this.focused = null;
    this.hidden = false;
    this.cookie = "";
    this.documentElement = this.createElement("html");
    parseInto(this.documentElement, html);
    this.body = this.querySelector("body") ?? this.documentElement;
  }

  get activeElement() {
    return this.focused ?? this.body;
  }

  createElement(tag) {
    return tag === "details" ? new Details(tag, this) : new Element(tag, this);
  }

  adoptNode(node) {
    if (node.parentElement) node.remove();
    return node;
  }

  getElementById(id) {
    return [...this.documentElement.descendants()].find((each) => each.id === id) ?? null;
  }

  querySelectorAll(selector) {
    return this.documentElement.querySelectorAll(selector);
  }

  querySelector(selector) {
    return this.documentElement.querySelector(selector);
  }
}

// ---- HTML, as our own templates write it: double quotes, every tag closed ----

function parseInto(parent, html) {
  let open = parent;
  for (const { groups } of html.matchAll(TOKEN)) {
    if (groups.text) open.append(plainText(groups.text));
    else if (groups.end) open = open.parentElement;
    else if (groups.start) {
      const element = open.ownerDocument.createElement(groups.start.toLowerCase());
      for (const found of groups.attributes.matchAll(ATTRIBUTE)) {
        element.setAttribute(found.groups.name, plainText(found.groups.value ?? ""));
      }
      open.append(element);
      if (!VOID.has(groups.start.toLowerCase())) open = element;
    }
  }
  if (open !== parent) throw new Error(`<${open.tagName.toLowerCase()}> is not closed`);
}
