// Sends what a group's phone keeps, in its order, until the laptop has answered each; and asks how the card stands.
// Plain HTTP on a local network has no worker that goes on in the background: it sends while the page is open, and
// from where it stood when the page is opened again.

const RETRY = [1_000, 2_000, 5_000, 10_000, 20_000];
const ASK_EVERY = 15_000;
const PATIENCE = 15_000;
const BATCH = 50;

function cookie() {
  return document.cookie.split("; ").find((part) => part.startsWith("csrftoken="))?.slice("csrftoken=".length) ?? "";
}

// Whether a page's own state, which may come out of the browser's cache, is as new as what the phone keeps.
export function isNewer(fresh, held) {
  const [one, other] = [fresh, held].map((told) => (told?.seen ?? "-1.0").split(".").map(Number));
  return one[0] > other[0] || (one[0] === other[0] && one[1] >= other[1]);
}

export function startSending({ store, urls, changed }) {
  let busy = false;
  let again = false;
  let failures = 0;
  let batch = BATCH;
  let timer = 0;
  let stopped = "";     // a sentence: this address takes nothing more
  let heard = 0;        // when the laptop last answered

  async function ask(url, options = {}) {
    const answer = await fetch(url, {
      credentials: "same-origin", cache: "no-store", signal: AbortSignal.timeout?.(PATIENCE), ...options,
      headers: { Accept: "application/json", ...options.headers },
    });
    heard = Date.now();
    return answer;
  }

  async function send() {
    const acts = store.acts().slice(0, batch);
    const { key, name } = store.device();
    const answer = await ask(urls.acts, {
      method: "POST", headers: { "Content-Type": "application/json", "X-CSRFToken": cookie() },
      body: JSON.stringify({ device: key, name, acts }),
    });
    if (answer.status === 422 && acts.length > 1) batch = 1;   // one of them cannot be read: find it, lose none
    else if (answer.status === 422) store.refuse(acts[0], (await answer.json()).error);
    else if (answer.ok) settle(acts, await answer.json());
    else await fail(answer);
  }

  function settle(acts, body) {
    take(body);
    const answers = new Map(body.answers.map((each) => [each.key, each.refused]));
    for (const act of acts) {
      if (!answers.has(act.key)) continue;
      if (answers.get(act.key)) store.refuse(act, answers.get(act.key));
      else store.drop(act);
    }
    batch = BATCH;
  }

  async function look() {
    const answer = await ask(`${urls.state}?seen=${encodeURIComponent(store.told()?.seen ?? "")}`);
    if (answer.status === 204) return;
    if (answer.ok) take(await answer.json());
    else await fail(answer);
  }

  function take(body) {
    stopped = body.gone ?? "";
    if (body.told) store.tell(body.told);   // one request at a time, so that the answer is the newest
  }

  async function fail(answer) {
    if (answer.status === 410 || answer.status === 404) stopped = await sentence(answer, "This address opens nothing any more. Scan the code on the card again.");
    else if (answer.status === 403) stopped = "The laptop does not take this page any more. Load it again: what was typed is kept.";
    else throw new Error(String(answer.status));
  }

  async function sentence(answer, otherwise) {
    try { return (await answer.json()).error ?? otherwise; } catch { return otherwise; }
  }

  // One request at a time: what is typed meanwhile goes with the next.
  async function turn(asked = false) {
    if (busy) { again = true; return; }
    clearTimeout(timer);
    busy = true;
    again = false;
    try {
      if (store.acts().length) await send();
      else if (asked || !document.hidden) await look();
      failures = 0;
    } catch {
      failures += 1;
    } finally {
      busy = false;
    }
    changed();
    const more = again || (store.acts().length > 0 && !stopped);
    const wait = failures ? RETRY[Math.min(failures, RETRY.length) - 1] : more ? 0 : ASK_EVERY * (0.9 + 0.2 * Math.random());
    timer = setTimeout(turn, wait);
  }

  const now = () => { failures = 0; turn(true); };
  window.addEventListener("online", now);
  window.addEventListener("pageshow", now);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) now(); });
  return { now, state: () => ({ failures, stopped, heard }) };
}
