// Asks for a part of a public page again and again. 204: what is shown is right; with a new revision in its headers,
// it still is. The page keeps what it has when nobody answers, says since when, and catches up by itself once the
// laptop is back.
//
//   poll({ url, every, now, asked, change, say })
//     asked()                what to ask for: URLSearchParams with seen, until and tag of what is shown
//     change(text, headers)  something newer has come; text is null when only Revision and Until are new
//     say(words, old)        how old the page is; old: the laptop was not reached

const PATIENCE = 4_000;   // an answer that takes longer is none
const TRIES_BEFORE_SAYING = 2;

const zone = () => document.body.dataset.tz || undefined;

function clock(moment) {
  return new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", second: "2-digit", timeZone: zone() }).format(moment);
}

export function poll({ url, every, now, asked, change, say }) {
  let asOf = Date.parse(now);            // the laptop's time of the last answer
  let off = asOf - Date.now();           // how far this screen's clock is off
  let missed = 0;
  let since = 0;

  async function ask() {
    const question = String(asked());
    const answer = await fetch(`${url}?${question}`, {
      cache: "no-store", credentials: "omit", redirect: "error", signal: AbortSignal.timeout(PATIENCE),
    });
    const stamp = Date.parse(answer.headers.get("As-Of") ?? "");
    if (!answer.ok || Number.isNaN(stamp)) throw new Error("not the board");
    const text = answer.status === 204 ? null : await answer.text();
    // What came for another page, turned away from meanwhile, is left.
    if ((text !== null || answer.headers.get("Revision")) && question === String(asked())) change(text, answer.headers);
    asOf = stamp;
    off = stamp - Date.now();
  }

  async function turn() {
    try {
      if (!document.hidden) await ask();
      missed = 0;
      say(`as of ${clock(asOf)}`, false);
    } catch {
      missed += 1;
      if (missed === 1) since = Date.now() + off;
      if (missed >= TRIES_BEFORE_SAYING) say(`as of ${clock(asOf)}, not reached since ${clock(since)}`, true);
    }
    setTimeout(turn, every * (0.9 + 0.2 * Math.random()));
  }

  document.addEventListener("visibilitychange", () => { if (!document.hidden) ask().catch(() => {}); });
  setTimeout(turn, every);
  return ask;
}
