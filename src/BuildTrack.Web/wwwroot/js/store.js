// The browser's own database: what was typed on this tablet, and what was taken along.

// A later edition of this file opens a higher version and adds what is missing; it never drops an entry.
const VERSION = 2;

function opened() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open('buildtrack', VERSION);
    request.onupgradeneeded = () => {
      const db = request.result;
      const make = (name, keys) => (db.objectStoreNames.contains(name) ? null : db.createObjectStore(name, keys));
      make('entries', { keyPath: 'n', autoIncrement: true })?.createIndex('run', 'run');
      make('runs', { keyPath: 'run' });
      // A run that was begun here, with the number that the record gave it.
      make('moved', { keyPath: 'local' });
    };
    request.onsuccess = () => {
      // An edition that comes later is not held up by a sheet that stays open.
      request.result.onversionchange = () => {
        request.result.close();
        database = null;
      };
      resolve(request.result);
    };
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error('a sheet from before the last update is still open on this device; close it'));
  });
}
let database = null;

/** What a request of a transaction brings. */
export const asked = (request) => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

/** One transaction over some stores: all of it or none; done when the browser says that it is on its disk. @param {(...stores: IDBObjectStore[]) => any} act waits for nothing but requests of these stores */
export async function within(names, mode, act) {
  database ??= opened().catch((fault) => {
    database = null;
    throw fault;
  });
  const db = await database;
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(names, mode, { durability: 'strict' });
    let [answer, why] = [undefined, null];
    transaction.oncomplete = () => resolve(answer);
    transaction.onabort = () => reject(why ?? transaction.error);
    Promise.resolve(act(...names.map((n) => transaction.objectStore(n)))).then((found) => { answer = found; }, (fault) => {
      why = fault;
      transaction.abort();
    });
  });
}
