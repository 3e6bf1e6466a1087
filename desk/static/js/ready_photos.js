// Photos of the course walk that wait for a connection, kept in the phone's own database until the laptop has them.

const BASE = "starthorn-walk", SHELF = "photos";
const PATIENCE = 60_000;  // how long sending one may take, in ms

const memory = new Map();  // what the phone would not keep; it lives as long as the page is open

function shelf(mode, act) {
  return new Promise((resolve, reject) => {
    const opening = indexedDB.open(BASE, 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore(SHELF, { keyPath: "key" });
    opening.onerror = () => reject(opening.error);
    opening.onsuccess = () => {
      const base = opening.result;
      const work = base.transaction(SHELF, mode);
      const asked = act(work.objectStore(SHELF));
      work.oncomplete = () => { base.close(); resolve(asked.result); };
      work.onerror = work.onabort = () => { base.close(); reject(work.error); };
    };
  });
}

async function waiting(walk) {
  let kept = [];
  try { kept = (await shelf("readonly", (photos) => photos.getAll())).filter((photo) => photo.walk === walk); } catch { /* forbidden: only what the page itself holds */ }
  return [...kept, ...memory.values()];
}

// Bytes rather than the file: some phones lose the file behind a stored one.
export async function keepPhoto({ file, ...facts }) {
  const photo = { ...facts, type: file.type, bytes: await file.arrayBuffer() };
  try {
    await shelf("readwrite", (photos) => photos.put(photo));
  } catch { memory.set(photo.key, photo); }
}

// How many wait, and whether any of them would be lost with the page.
export async function photosWaiting(walk) {
  return { count: (await waiting(walk)).length, failing: memory.size > 0 };
}

// Sends each until the laptop has answered; throws where it cannot be reached. Answers how many were, and why any was not
// kept.
export async function sendPhotos(walk, address, ask) {
  const refused = [];
  let sent = 0;
  for (const photo of await waiting(walk)) {
    const body = new FormData();
    body.append("key", photo.key);
    body.append("hole", photo.hole);
    body.append("by", photo.by);
    body.append("photo", new Blob([photo.bytes], { type: photo.type }), "hole.jpg");
    const said = await ask(address, { method: "POST", body, patience: PATIENCE });
    if (said === null) break;   // the address takes nothing more
    if (said.unread || said.refused) refused.push(said.unread || said.refused);
    sent += 1;
    if (!memory.delete(photo.key)) await shelf("readwrite", (photos) => photos.delete(photo.key));
  }
  return { sent, refused };
}
