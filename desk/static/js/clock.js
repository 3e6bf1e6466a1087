// Clocks that run. The time is the laptop's (sent with the page), not the phone's or the kiosk's own.
//
//   <time data-clock datetime="…now…" data-tz="Area/City">Sat 07:24</time>   data-clock="time" shows 13:42 only
//   <time data-until="…">in 51 minutes</time>     data-warn="10": signal colour from 10 minutes before
//   <time data-since="…">27 min</time>            data-warn="25": signal colour from 25 minutes after
//
// The server writes the words first, so that the page reads well before (and without) this script.

const MINUTE = 60_000;

// Kept over the pages of one tab; a browser that keeps nothing for pages goes by its own clock where it has to.
const KEPT = "clock-offset";

function kept() {
  try { return Number(sessionStorage.getItem(KEPT) ?? 0); } catch { return 0; }
}

function keep(found) {
  try { sessionStorage.setItem(KEPT, String(found)); } catch { /* found anew with the next page */ }
}

// How far this device's clock is off. A page brought back from the browser's cache carries an old "now":
// then the difference found when it was fresh is used.
function offset() {
  const stamp = Date.parse(document.querySelector("time[data-clock][datetime]")?.dateTime ?? "");
  const old = performance.getEntriesByType("navigation")[0]?.type === "back_forward";
  if (Number.isNaN(stamp) || old) return kept();
  const found = Math.abs(stamp - Date.now()) < 5_000 ? 0 : stamp - Date.now();
  keep(found);
  return found;
}

function duration(minutes, word) {
  if (minutes < 60) return `${minutes} ${word && minutes === 1 ? "minute" : word ? "minutes" : "min"}`;
  if (minutes < 48 * 60) return `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
  return `${Math.floor(minutes / 1440)} days`;
}

function untilWords(left) {
  // What is left is rounded up and what is gone is rounded down: at 07:24 it is 51 minutes to 08:15, also at 07:24:40.
  const minutes = Math.ceil(left / MINUTE);
  if (minutes === 0) return "now";
  return minutes > 0 ? `in ${duration(minutes, true)}` : `${duration(-minutes, true)} ago`;
}

function clockWords(now, element) {
  const zone = element.dataset.tz || document.body.dataset.tz || undefined;
  const parts = new Intl.DateTimeFormat("en-GB", { weekday: "short", hour: "2-digit", minute: "2-digit", timeZone: zone });
  const found = Object.fromEntries(parts.formatToParts(now).map((part) => [part.type, part.value]));
  const time = `${found.hour}:${found.minute}`;
  return element.dataset.clock === "time" ? time : `${found.weekday} ${time}`;
}

function show(element, words, warn) {
  if (element.textContent !== words) element.textContent = words;
  if ("warn" in element.dataset) element.classList.toggle("needs", warn);
}

const off = offset();

function tick() {
  const now = Date.now() + off;
  for (const element of document.querySelectorAll("time[data-clock]")) show(element, clockWords(now, element), false);
  for (const element of document.querySelectorAll("time[data-until]")) {
    const left = Date.parse(element.dataset.until) - now;
    show(element, untilWords(left), left <= Number(element.dataset.warn) * MINUTE);
  }
  for (const element of document.querySelectorAll("time[data-since]")) {
    const gone = Math.max(0, now - Date.parse(element.dataset.since));
    show(element, duration(Math.floor(gone / MINUTE), false), gone >= Number(element.dataset.warn) * MINUTE);
  }
}

tick();
setInterval(tick, 5_000);
document.addEventListener("htmx:afterSettle", tick);
