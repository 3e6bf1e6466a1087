// Sends what a group's phone keeps, and asks how the card stands.

import { startSending as startOutbox } from "./outbox.js";

const ASK_EVERY = 15_000;
const BATCH = 50;

// Whether a page's own state, which may come out of the browser's cache, is as new as what the phone keeps.
export function isNewer(fresh, held) {
  const [one, other] = [fresh, held].map((told) => (told?.seen ?? "-1.0").split(".").map(Number));
  return one[0] > other[0] || (one[0] === other[0] && one[1] >= other[1]);
}

// What a phone was told, with the scores that are new since then.
export function withNews(told, news) {
  const { cells, players, ...others } = news;
  const fresh = new Set(cells.map((each) => `${each.entry} ${each.hole}`));
  const lines = new Map(players.map((each) => [each.entry, each]));
  return {
    ...told, ...others,
    cells: [...told.cells.filter((each) => !fresh.has(`${each.entry} ${each.hole}`)), ...cells],
    players: told.players.map((player) => ({ ...player, ...lines.get(player.entry) })),
  };
}

export function startSending({ store, urls, changed }) {
  let held = null;   // what the phone had been told when it asked: news are new to that, whatever another tab wrote since

  // One request at a time, so that the answer is the newest.
  function took(answer) {
    if (answer.told) store.tell(answer.told);
    else if (answer.news) store.tell(withNews(held, answer.news));
  }

  async function look({ ask, sent, asked }) {
    if (sent || !(asked || !document.hidden)) return;
    const { seen = "", heard = "" } = store.told() ?? {};
    const answer = await ask(`${urls.state}?${new URLSearchParams({ seen, heard })}`);
    if (answer) took(answer);
  }

  function body(acts) {
    const { key, name } = store.device();
    held = store.told();
    // Whether a player's yes still holds is for the laptop to say, and it says so with everything else.
    const known = held && !held.yes.length ? { seen: held.seen, heard: held.heard } : {};
    return { device: key, name, acts, ...known };
  }

  return startOutbox({
    outbox: store, address: urls.acts, batch: BATCH, every: ASK_EVERY, took, refuse: store.refuse, also: look, changed, body,
  });
}
