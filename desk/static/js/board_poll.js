// Asks for a part of a public page again and again. 204: what is shown is current. The page keeps what it has
// when nobody answers, says since when, and catches up by itself once the laptop is back.
//
//   poll({ url, every, seen, change, say })
//     seen()           [revision, until] that the page shows
//     change(root)     a newer part has come: its root element
//     say(words, old)  how old the page is; old: the laptop was not reached

const PATIENCE = 4_000;   // an answer that takes longer is none
const TRIES_BEFORE_SAYING = 2;

const zone = () => document.body.dataset.tz || undefined;

function clock(moment) {
  return new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", second: "2-digit", timeZone: zone() }).format(moment);
}

export function poll({ url, every, seen, change, say, now }) {
  let asOf = Date.parse(now);            // the laptop's time of the last answer
  let off = asOf - Date.now();           // how far this screen's clock is off
  let missed = 0;
  let since = 0;

  async function ask() {
    const [revision, until] = seen();
    const answer = await fetch(`${url}?seen=${revision}&until=${until}`, {
      cache: "no-store", credentials: "omit", redirect: "error", signal: AbortSignal.timeout(PATIENCE),
    });
    const stamp = Date.parse(answer.headers.get("As-Of") ?? "");
    if (!answer.ok || Number.isNaN(stamp)) throw new Error("not the board");
    if (answer.status !== 204) {
      const holder = document.createElement("template");
      holder.innerHTML = await answer.text();
      change(holder.content.firstElementChild);
    }
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
}
