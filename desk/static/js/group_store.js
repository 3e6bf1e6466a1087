// What a group's phone keeps: whose phone it is, every act until the laptop has answered it, and how the card stood.
// Each act is an item of its own, so that two tabs of one phone never write over each other's. The name of the items
// is the group and not the address: a card with a newer address sends what was typed under the one before.

// Without HTTPS a browser makes no keys of its own; random bytes it always has.
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

const inOrder = (one, other) => one.seq - other.seq || (one.key < other.key ? -1 : 1);

export function openStore(place) {
  const prefix = `starthorn-group-${place}-`;
  const memory = new Map();   // what the phone would not keep; it lives as long as the page is open
  let failing = false;

  function read(name) {
    if (memory.has(name)) return memory.get(name);
    try { return JSON.parse(localStorage.getItem(prefix + name)); } catch { return null; }
  }

  function write(name, value) {
    try {
      localStorage.setItem(prefix + name, JSON.stringify(value));
      memory.delete(name);
    } catch {
      failing = true;
      memory.set(name, value);
    }
  }

  function remove(name) {
    memory.delete(name);
    try { localStorage.removeItem(prefix + name); } catch { /* nothing was kept there */ }
  }

  function names(start) {
    const found = new Set([...memory.keys()].filter((name) => name.startsWith(start)));
    try {
      for (let at = 0; at < localStorage.length; at += 1) {
        const name = localStorage.key(at);
        if (name.startsWith(prefix + start)) found.add(name.slice(prefix.length));
      }
    } catch { /* forbidden: only what the page itself holds */ }
    return [...found];
  }

  const all = (start) => names(start).map(read).filter(Boolean).sort(inOrder);
  const acts = () => all("act-");

  function device() {
    let found = read("device");
    if (!found) write("device", (found = { key: newKey(), name: "" }));
    return found;
  }

  // Counted on from what is kept, so that the order holds over tabs and over a closed browser.
  function add(fields) {
    const seq = 1 + Math.max(read("seq") ?? 0, ...acts().map((act) => act.seq));
    const act = { key: newKey(), seq, typed_at: new Date().toISOString(), ...fields };
    write(`act-${act.key}`, act);
    write("seq", seq);
    return act;
  }

  // Not taken by the laptop: no longer sent, and still there to be read and written down elsewhere.
  function refuse(act, why) {
    write(`refused-${act.key}`, { ...act, why });
    remove(`act-${act.key}`);
  }

  return {
    prefix, device, add, acts, refuse,
    name: (name) => write("device", { ...device(), name }),
    drop: (act) => remove(`act-${act.key}`),
    refused: () => all("refused-"),
    forget: (act) => remove(`refused-${act.key}`),
    told: () => read("told"),
    tell: (told) => write("told", told),
    failing: () => failing,
  };
}
