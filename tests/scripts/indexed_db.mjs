// A small stand-in for IndexedDB: stores with and without a key path, transactions that complete later or are aborted.
class Request {
  constructor(result) {
    this.result = result;
  }
}

class Store {
  constructor(rows, keyPath, transaction) {
    Object.assign(this, { rows, keyPath, transaction });
  }

  #write(value, key, replaces) {
    if (this.transaction.mode !== "readwrite") throw new Error("read only");
    const name = this.keyPath ? value[this.keyPath] : key;
    if (!replaces && this.rows.has(name)) this.transaction.fail("ConstraintError");
    return this.transaction.request(() => this.rows.set(name, structuredClone(value)));
  }

  add(value, key) {
    return this.#write(value, key, false);
  }

  put(value, key) {
    return this.#write(value, key, true);
  }

  get(key) {
    return this.transaction.request(() => structuredClone(this.rows.get(key)));
  }

  getAll() {
    return this.transaction.request(() => [...this.rows.values()].map((value) => structuredClone(value)));
  }

  delete(key) {
    return this.transaction.request(() => void this.rows.delete(key));
  }

  clear() {
    return this.transaction.request(() => this.rows.clear());
  }
}

class Transaction {
  constructor(disk, mode) {
    Object.assign(this, { disk, mode, error: null, pending: [] });
    this.before = new Map([...disk.stores].map(([name, { rows }]) => [name, new Map(rows)]));
    setImmediate(() => this.#run());
  }

  objectStore(name) {
    const { rows, keyPath } = this.disk.stores.get(name);
    return new Store(rows, keyPath, this);
  }

  request(deed) {
    const request = new Request(undefined);
    this.pending.push(() => {
      request.result = deed();
      request.onsuccess?.({ target: request });
    });
    return request;
  }

  fail(why) {
    this.error = new Error(why);
  }

  #run() {
    while (this.pending.length && !this.error) this.pending.shift()();
    if (this.mode === "readwrite" && this.disk.full) this.fail("QuotaExceededError");
    if (!this.error) return this.oncomplete?.();
    for (const [name, rows] of this.before) this.disk.stores.get(name).rows = rows;
    return this.onabort?.();
  }
}

class Database {
  constructor(disk) {
    this.disk = disk;
  }

  createObjectStore(name, { keyPath = null } = {}) {
    this.disk.stores.set(name, { rows: new Map(), keyPath });
  }

  transaction(_name, mode) {
    return new Transaction(this.disk, mode);
  }

  close() {
    this.closed = true;
  }
}

// What lies on the phone: outlives the pages. `full` lets every write fail, `broken` every opening.
export class Disk {
  constructor() {
    Object.assign(this, { stores: new Map(), full: false, broken: false });
  }

  open() {
    const request = new Request(new Database(this));
    setImmediate(() => {
      if (this.broken) {
        request.error = new Error("InvalidStateError");
        return request.onerror();
      }
      if (!this.stores.size) request.onupgradeneeded();
      return request.onsuccess();
    });
    return request;
  }

  rows(store) {
    return [...(this.stores.get(store)?.rows.values() ?? [])];
  }
}
