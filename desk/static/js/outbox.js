// The one outbox of the pages that go on without a connection: the group's card, box and bag, the course walk.
//
// What somebody says is an act. It is kept on the phone before it counts as said, each act as an item of its own, so
// that two tabs of one phone never write over each other's. It has a key, so that sent twice it is done once. It is sent
// in the order in which it was said, until the laptop has answered it by that key: a lost answer, a lost connection or a
// closed page loses nothing. A phone that keeps nothing for pages (storage full, or closed to scripts) leaves the acts
// to the open page, and `failing` says so. Plain HTTP on a local network has no worker that goes on in the background:
// acts are sent while a page is open, and from where they stood when it is opened again.

const RETRY = [1_000, 2_000, 5_000, 10_000, 20_000];   // waits after each failure, in ms; the last one for all others
const ASK_EVERY = 15_000;                              // how soon an address that takes nothing is tried again
const PATIENCE = 15_000;                               // how long one answer may take

export const KEEPS_NOTHING = "This phone keeps nothing for pages (its storage is full or forbidden): leave this page open until everything is sent.";
const OPENS_NOTHING = "This address opens nothing any more: scan the code again. What is not sent stays on this phone.";
const SIGNED_OUT = "Nobody is signed in here any more: sign in in another tab. What is not sent is kept, and goes by itself then.";
const NOT_TAKEN = "The laptop does not take this page any more. Load it again: what was typed is kept.";
const TOO_LARGE = "This is larger than the laptop takes.";

// Without HTTPS a browser makes no keys of its own; random bytes it always has.
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

const ACT = "act-";
const inOrder = (one, other) => one.seq - other.seq || (one.key < other.key ? -1 : 1);

// --- Keeping --------------------------------------------------------------------------------------------------

// The items whose names begin with `prefix`: acts, and whatever else (`read`, `write`, `all`) the page keeps beside them.
export function openOutbox(prefix) {
  const memory = new Map();   // what the phone would not keep; it lives as long as the page is open

  function read(name) {
    if (memory.has(name)) return memory.get(name);
    try { return JSON.parse(localStorage.getItem(prefix + name)); } catch { return null; }
  }

  function write(name, value) {
    try {
      localStorage.setItem(prefix + name, JSON.stringify(value));
      memory.delete(name);
    } catch { memory.set(name, value); }
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
  // The name of the item is the key, whatever lies in it: what is answered can always be taken out.
  const acts = () => names(ACT).map((name) => ({ ...read(name), key: name.slice(ACT.length) })).sort(inOrder);

  // Counted on from what is kept, so that the order holds over tabs and over a closed browser.
  function add(fields) {
    const seq = 1 + Math.max(read("seq") ?? 0, ...acts().map((act) => act.seq));
    const act = { key: newKey(), seq, ...fields };
    write(ACT + act.key, act);
    write("seq", seq);
    return act;
  }

  return {
    prefix, read, write, remove, all, acts, add,
    drop: (act) => remove(ACT + act.key),
    failing: () => memory.size > 0,
    // Another tab of this phone said something, or was answered.
    onOtherTab: (told) => window.addEventListener("storage", (event) => {
      if (event.key === null || event.key.startsWith(prefix)) told(event);
    }),
  };
}

// --- Sending --------------------------------------------------------------------------------------------------

// A page that was loaded before somebody signed in has an older token than the cookie of the moment.
function token() {
  return document.cookie.split("; ").find((part) => part.startsWith("csrftoken="))?.slice("csrftoken=".length)
    ?? document.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "";
}

// Sends what `outbox` keeps to `address`, one request at a time, `batch` acts at most.
//   body(acts)            what one request says; `together(first, act)`: whether an act may go with the first
//   took(answer)          the laptop's answer, before the acts that it names leave the outbox
//   refuse(act, why)      an act that was not taken, with the laptop's sentence
//   wanted()              an answer is wanted though nothing waits
//   also({ ask, sent, asked })   what else belongs to a turn; `ask(address, options)` as below
//   changed()             a turn is over: say how things stand
//   every                 ask again after so many ms when nothing waits; without it, only when something does
export function startSending({ outbox, address, batch, body, together = () => true, took, refuse, wanted = () => false, also, changed, every }) {
  let busy = false;
  let again = false;
  let failures = 0;
  let most = batch;
  let timer = 0;
  let stopped = "";     // a sentence: this address takes nothing more
  let heard = 0;        // when the laptop last answered

  // The answer as an object; { unread: sentence } for what the laptop cannot read; null where it has nothing to say or
  // takes nothing from here, which `stopped` tells. Throws where it cannot be reached.
  async function ask(url, { patience = PATIENCE, ...options } = {}) {
    const answer = await fetch(url, {
      credentials: "same-origin", cache: "no-store", signal: AbortSignal.timeout?.(patience), ...options,
      headers: { Accept: "application/json", ...(options.method && { "X-CSRFToken": token() }), ...options.headers },
    });
    heard = Date.now();
    const { status } = answer;
    if (status === 204) return null;
    if (answer.redirected) { stopped = SIGNED_OUT; return null; }
    if (answer.ok) {
      const said = await answer.json();
      stopped = said.gone ?? "";
      return said;
    }
    if (status === 422) return { unread: (await answer.json()).error };
    if (status === 413) return { unread: TOO_LARGE };
    if (status === 410 || status === 404) stopped = await sentence(answer, OPENS_NOTHING);
    else if (status === 403) stopped = NOT_TAKEN;
    else throw new Error(String(status));
    return null;
  }

  async function sentence(answer, otherwise) {
    try { return (await answer.json()).error ?? otherwise; } catch { return otherwise; }
  }

  function next() {
    const acts = outbox.acts().slice(0, most);
    const end = acts.findIndex((act) => !together(acts[0], act));
    return end === -1 ? acts : acts.slice(0, end);
  }

  async function deliver(acts) {
    const said = await ask(address, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body(acts)) });
    if (said === null) return;
    if (!("unread" in said)) settle(acts, said);
    else if (acts.length > 1) most = 1;   // one of them cannot be read: find it, lose none of the others
    else if (acts.length) {
      most = batch;
      leave(acts[0], said.unread);
    }
  }

  function settle(acts, said) {
    took(said);
    const answers = new Map(said.answers.map((each) => [each.key, each.refused]));
    for (const act of acts) if (answers.has(act.key)) leave(act, answers.get(act.key));
  }

  function leave(act, why) {
    if (why) refuse(act, why);
    outbox.drop(act);
  }

  // One request at a time: what is said meanwhile goes with the next.
  async function turn(asked = false) {
    if (busy) { again = true; return; }
    clearTimeout(timer);
    busy = true;
    again = false;
    try {
      const acts = next();
      if (acts.length || wanted()) await deliver(acts);
      await also?.({ ask, sent: acts.length > 0, asked });
      failures = 0;
    } catch {
      failures += 1;
    } finally {
      busy = false;
    }
    changed();
    plan();
  }

  function plan() {
    const loosely = (ms) => ms * (0.9 + 0.2 * Math.random());
    if (failures) timer = setTimeout(turn, RETRY[Math.min(failures, RETRY.length) - 1]);
    else if (again) timer = setTimeout(turn, 0);
    else if (stopped) timer = setTimeout(turn, loosely(ASK_EVERY));
    else if (outbox.acts().length) timer = setTimeout(turn, 0);
    else if (every) timer = setTimeout(turn, loosely(every));
  }

  const now = () => { failures = 0; turn(true); };
  window.addEventListener("online", now);
  window.addEventListener("pageshow", now);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) now(); });
  return { now, state: () => ({ failures, stopped, heard }) };
}
