// Sends what a group's phone keeps, and asks how the card stands.

import { startSending as startOutbox } from "./outbox.js";

const ASK_EVERY = 15_000;
const BATCH = 50;

// Whether a page's own state, which may come out of the browser's cache, is as new as what the phone keeps.
export function isNewer(fresh, held) {
  const [one, other] = [fresh, held].map((told) => (told?.seen ?? "-1.0").split(".").map(Number));
  return one[0] > other[0] || (one[0] === other[0] && one[1] >= other[1]);
}

export function startSending({ store, urls, changed }) {
  // One request at a time, so that the answer is the newest.
  function took(answer) {
    if (answer.told) store.tell(answer.told);
  }

  async function look({ ask, sent, asked }) {
    if (sent || !(asked || !document.hidden)) return;
    const answer = await ask(`${urls.state}?seen=${encodeURIComponent(store.told()?.seen ?? "")}`);
    if (answer) took(answer);
  }

  return startOutbox({
    outbox: store, address: urls.acts, batch: BATCH, every: ASK_EVERY, took, refuse: store.refuse, also: look, changed,
    body: (acts) => ({ device: store.device().key, name: store.device().name, acts }),
  });
}
