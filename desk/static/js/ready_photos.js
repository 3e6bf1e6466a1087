// Photos of the course walk that wait for a connection, kept in the phone's own database until the laptop has them.

const BASE = "starthorn-walk", SHELF = "photos";

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

async function kept(walk) {
  try { return (await shelf("readonly", (photos) => photos.getAll())).filter((photo) => photo.walk === walk); } catch { return []; }
}

// Bytes rather than the file: some phones lose the file behind a stored one.
export async function keepPhoto({ file, ...facts }) {
  try {
    const bytes = await file.arrayBuffer();
    await shelf("readwrite", (photos) => photos.put({ ...facts, type: file.type, bytes }));
    return true;
  } catch { return false; }
}

export async function photosWaiting(walk) {
  return (await kept(walk)).length;
}

// Sends each until the laptop has answered; throws where it does not. Answers why any was not kept.
export async function sendPhotos(walk, address, token) {
  const refused = [];
  for (const photo of await kept(walk)) {
    const body = new FormData();
    body.append("key", photo.key);
    body.append("hole", photo.hole);
    body.append("by", photo.by);
    body.append("photo", new Blob([photo.bytes], { type: photo.type }), "hole.jpg");
    const answer = await fetch(address, {
      method: "POST", credentials: "same-origin", body,
      headers: { Accept: "application/json", "X-CSRFToken": token }, signal: AbortSignal.timeout?.(60_000),
    });
    if (answer.status >= 500 || answer.status === 403 || answer.status === 429) throw new Error(String(answer.status));
    const said = answer.ok ? (await answer.json()).refused : "This photo was not taken: the hole is not there any more.";
    if (said) refused.push(said);
    await shelf("readwrite", (photos) => photos.delete(photo.key));
  }
  return refused;
}
