// A group's page: one hole a screen, every tap kept on the phone before it counts as said, and sent when the laptop can
// be reached. Once loaded it needs the laptop for nothing else until the round is over.

import { footer, h, hash } from "./group_parts.js";
import { holeScreen } from "./group_hole.js";
import { cell, nextHole, round, sides } from "./group_score.js";
import { askScreen, cardScreen, whoScreen, yesScreen } from "./group_screens.js";
import { isNewer, startSending } from "./group_send.js";
import { openStore } from "./group_store.js";

const root = document.getElementById("group");
const loaded = JSON.parse(root.dataset.told);
const store = openStore(loaded.place);
if (isNewer(loaded, store.told())) store.tell(loaded);   // a page out of the browser's cache may be the older one
const device = store.device().key;
const head = document.querySelector(".phone-head");
const foot = Object.assign(document.createElement("footer"), { className: "phone-foot" });
document.querySelector("main").after(foot);
document.getElementById("plain").remove();

let typing = null;       // the player whose figure is being typed
let lastHole = "";       // the hole that a question is probably about
let screen = null;       // what is shown: another screen begins at its top
let begun = false;

function view() {
  const told = store.told();
  const acts = store.acts();
  return {
    told, acts, typing, lastHole, refused: store.refused(), phone: store.device().name,
    rounds: told.players.map((player) => round(told, acts, device, player)),
    score, decide, type, own, confirm, ask,
    forget: (act) => { store.forget(act); show(); },
  };
}

// --- What is said -------------------------------------------------------------------------------------------

function say(act) {
  store.add(act);
  typing = null;
  show();
  sending.now();
}

function score(player, hole, throws, over = []) {
  say({ kind: "score", entry: player.entry, hole: hole.label, throws, over });
}

// The group looked at every figure, so the others are overruled by name: what comes after them is asked about again.
function decide(player, hole, side) {
  const one = cell(store.told(), store.acts(), device, player, hole);
  const over = sides(one).filter((each) => each.throws !== side.throws).flatMap((each) => each.keys);
  score(player, hole, side.throws, over);
}

function confirm(player, line) {
  const figures = [];
  (store.told()).holes.forEach((hole, at) => { figures[hole.index] = line.cells[at].throws; });
  say({ kind: "confirm", entry: player.entry, figures, total: line.written });
}

function ask(kind, entry, hole, words) {
  if (!words) return;
  document.activeElement?.blur();
  store.add({ kind, entry, hole, words });
  location.hash = hash.card;
  show(true);
  sending.now();
}

function own(name) {
  store.name(name);
  const now = view();
  const at = nextHole(now.told, now.rounds);
  location.hash = at < now.told.holes.length ? hash.hole(now.told.holes[at]) : hash.yes;
}

function type(entry) {
  typing = typing === entry ? null : entry;
  show();
  document.getElementById(`typed-${typing}`)?.focus();
}

// --- What is shown -------------------------------------------------------------------------------------------

function chosen(now) {
  const at = now.told.holes.findIndex((hole) => hash.hole(hole) === location.hash);
  if (at !== -1) { lastHole = now.told.holes[at].label; return holeScreen(now, at); }
  if (location.hash === hash.card) return cardScreen(now);
  if (location.hash === hash.yes) return yesScreen(now);
  if (location.hash === hash.ruling) return askScreen(now, "ruling");
  if (location.hash === hash.danger) return askScreen(now, "danger");
  if (location.hash === hash.who || !now.phone) return whoScreen(now);
  const next = nextHole(now.told, now.rounds);
  return next < now.told.holes.length ? holeScreen(now, next) : yesScreen(now);
}

// A field that somebody is in is not drawn anew under the hand; it is when it is left.
const FIELD = "#group :is(input[type=number], select, textarea)";
const writing = () => Boolean(document.activeElement?.closest(FIELD));

// What comes by itself waits while a finger is down: the button below it must still be there when it is lifted.
let pressed = false;
let pending = false;
addEventListener("pointerdown", () => { pressed = true; }, true);
for (const name of ["pointerup", "pointercancel"]) addEventListener(name, () => setTimeout(() => {
  pressed = false;
  if (pending) show();
}, 100), true);

function changed() {
  if (pressed) pending = true;
  else show();
}

function show(anyway = false) {
  pending = false;
  if (writing() && !anyway && screen === location.hash) { state(view()); return; }
  const now = view();
  const made = chosen(now);
  const another = screen !== location.hash;
  const [focused, open] = [document.activeElement?.id, [...root.querySelectorAll("details[open]")].map((each) => each.id)];
  head.replaceChildren(...made.heading);
  root.replaceChildren(...[...above(now, made), ...made.content].flat().filter(Boolean));
  foot.replaceChildren(...footer(made.buttons, words(now)));
  document.title = `${made.title} · ${now.told.event}`;
  screen = root.dataset.screen = location.hash;
  if (another) {
    window.scrollTo(0, 0);
    if (begun) head.querySelector("h1").focus({ preventScroll: true });   // read out what came; a page that loads is read by itself
    begun = true;
    return;
  }
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
}

// What matters on every screen: the address is withdrawn, the card is verified, the figures that differ elsewhere.
function above(now, made) {
  const { stopped } = sending.state();
  const differing = now.told.holes.filter((_, at) => now.rounds.some((line) => line.cells[at].differs));
  const elsewhere = differing.filter((hole) => made.title !== `Hole ${hole.label}`);
  return [
    stopped && h("p", { class: "said error", role: "alert" }, stopped),
    now.told.over && h("p", { class: "said" }, "The event is over: scores stay as they are."),
    now.told.verified && made.title.startsWith("Hole") && h("p", { class: "said" }, "This card is verified. What is typed now is kept beside it; where it differs the desk decides."),
    now.told.stood && nextHole(now.told, now.rounds) < now.told.holes.length && h("p", { class: "notice" }, now.told.stood),
    elsewhere.length > 0 && made.title !== "Totals" && h("p", { class: "notice" }, h("b", {}, "Two phones differ: "),
      elsewhere.map((hole, at) => [at ? ", " : "", h("a", { href: hash.hole(hole) }, `hole ${hole.label}`)])),
  ];
}

// The state of sending, in words.
function words(now) {
  const { failures, stopped, heard } = sending.state();
  const count = now.acts.length;
  const until = count ? "until everything is sent" : "while you play";
  const kept = store.failing() ? ` This phone keeps nothing for pages (its storage is full or forbidden): leave this page open ${until}.` : "";
  if (stopped && count) return { words: `${count} kept on this phone, not sent.${kept}`, needs: true };
  if (count) {
    const figures = count === 1 ? "1 entry" : `${count} entries`;
    return { words: `${figures} kept on this phone, not at the desk yet. ${failures ? "No answer from the laptop: sends" : "Sends"} by itself when it can.${kept}`, needs: failures > 0 || kept !== "" };
  }
  if (!heard && failures) return { words: `As the desk had it at ${now.told.clock}; no answer from the laptop.${kept}`, needs: false };
  return { words: `Everything is at the desk.${kept}`, needs: kept !== "" };
}

function state(now) {
  const place = document.getElementById("sending");
  const made = words(now);
  if (!place) return;
  if (place.textContent !== made.words) place.textContent = made.words;
  place.classList.toggle("needs", made.needs);
}

const sending = startSending({ store, urls: root.dataset, changed });
window.addEventListener("hashchange", () => { typing = null; show(true); });
window.addEventListener("storage", (event) => { if (event.key === null || event.key.startsWith(store.prefix)) changed(); });
root.addEventListener("focusout", (event) => { if (event.target.isConnected && event.target.matches(FIELD)) setTimeout(show); });
show(true);
sending.now();
// The first visit brought a cookie that it did not send: fetched once more, the page can be opened again from the
// browser's own cache where there is no connection.
if (root.dataset.first === "True") fetch(location.pathname, { cache: "reload" }).catch(() => {});
