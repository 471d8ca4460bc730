// What the tablet keeps: cuts that are still to be written, and the piece that is half cut.
// (Indexed Database API 3.0, W3C: it is there on plain http too, and survives the battery.)

const NAME = "stockroom-saw";

function opened() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("outbox", { keyPath: "order", autoIncrement: true });
      asked.result.createObjectStore("half", { keyPath: "id" });
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

let database = null;

// One transaction on one store, done when it is on the disk.
async function within(store, mode, work) {
  database ??= opened();
  const transaction = (await database).transaction(store, mode, { durability: "strict" });
  const asked = work(transaction.objectStore(store));
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve(asked?.result);
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error);
  });
}

export const waiting = () => within("outbox", "readonly", (store) => store.getAll());
export const add = (cut) => within("outbox", "readwrite", (store) => store.add(cut));
export const keep = (cut) => within("outbox", "readwrite", (store) => store.put(cut));
export const drop = (order) => within("outbox", "readwrite", (store) => store.delete(order));

export const halfCut = () => within("half", "readonly", (store) => store.get("now"));
export const keepHalf = (half) => within("half", "readwrite", (store) => store.put({ ...half, id: "now" }));
export const keptWork = () => within("half", "readonly", (store) => store.get("work"));
export const keepWork = (work) => within("half", "readwrite", (store) => store.put({ ...work, id: "work" }));
export const dropHalf = () => within("half", "readwrite", (store) => store.delete("now"));
