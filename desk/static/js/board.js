// The kiosk: turns the pages by itself and keeps the one in sight fresh. A page is fetched shortly before its turn; the
// ones that were seen are kept, so that the board goes on turning when the laptop is away. Nothing slides: a page is
// exchanged at once, and only where something is different.
//
// Space pauses, the arrow keys turn. Who asked for less motion gets twice the time for each page.

import { poll } from "./board_poll.js";

const source = document.getElementById("board-all");
const main = document.getElementById("board");
const calm = matchMedia("(prefers-reduced-motion: reduce)");
const upright = matchMedia("(orientation: portrait) and (min-width: 60em)");
const TURN = 12_000;
const AHEAD = 3_000;
const POLL = 3_000;

let room = Number(source.dataset.rows);
let here = read(source.content, source.dataset);
let seen = [here];        // the pages in their order, as far as they were seen
let next = null;          // fetched ahead
let turns = 0;            // also with a single page: notices that do not fit beside each other take turns
let paused = false;
let timer;

function read(root, said) {
  const [page] = root.querySelectorAll("[data-page]");
  return {
    key: page.dataset.page, page, sides: [...root.querySelectorAll("aside")], stop: root.querySelector("[data-stop]"),
    revision: said.revision, until: said.until, tag: said.tag ?? "",
  };
}

const stands = new Map();   // what each place was filled with; its names may have been set smaller since

function put(place, from) {
  const html = from.innerHTML;
  if ((stands.get(place) ?? place.innerHTML) === html) return false;
  stands.set(place, html);
  place.replaceChildren(...[...from.childNodes].map((node) => node.cloneNode(true)));
  return true;
}

const SIZES = ["", "snug", "long", "small", "longer"];   // the last breaks into two lines and always fits
const SMALLEST_OF_ALL = SIZES.indexOf("snug");   // what eight metres ask for: smaller is for single names only
const MOST = .8;   // of the names of a page, which share one size; the rest are set smaller alone

// The names of a page are as large as most of them can be in their column; one that is too long even then is smaller.
function fit() {
  const cells = [...main.querySelectorAll("tbody th.player")];
  const needed = cells.map(sizeOf);
  const most = [...needed].sort((one, other) => one - other)[Math.ceil(cells.length * MOST) - 1];
  const shared = Math.min(most, SMALLEST_OF_ALL);
  cells.forEach((cell, at) => { cell.className = `player ${SIZES[Math.max(needed[at], shared)]}`; });
}

// Which of the sizes the name in a cell fits in.
function sizeOf(cell) {
  const name = document.createRange();
  name.selectNodeContents(cell.querySelector("bdi"));
  const found = SIZES.slice(0, -1).findIndex((each) => {
    cell.className = `player ${each}`;
    return name.getBoundingClientRect().width <= cell.querySelector(".who").getBoundingClientRect().width;
  });
  return found < 0 ? SIZES.length - 1 : found;
}

function show() {
  put(document.getElementById("board-heading"), here.page.querySelector("header"));
  if (put(main, here.page.querySelector("header + div"))) fit();
  put(document.getElementById("board-page"), here.page.querySelector("footer"));
  put(document.querySelector(".board-side"), here.sides[turns % here.sides.length]);
  showStop();
}

// A stop lies over everything, at once, and goes with the answer that says that play goes on.
let stopText = here.stop?.innerHTML ?? "";
function showStop() {
  const place = document.getElementById("board-stop");
  const text = here.stop?.innerHTML ?? "";
  if (text === stopText && place.hidden === !here.stop) return;
  stopText = text;
  place.hidden = !here.stop;
  place.innerHTML = text;
  document.dispatchEvent(new Event("htmx:afterSettle"));   // the clocks in it run at once
}

function asked(more) {
  return new URLSearchParams({ page: here.key, rows: String(room), shape: upright.matches ? "upright" : "", overall: source.dataset.overall ?? "", ...more });
}

// A page a step away; null when nobody answers.
async function fetched(step) {
  try {
    const answer = await fetch(`${source.dataset.url}?${asked({ step: String(step) })}`, {
      cache: "no-store", credentials: "omit", redirect: "error", signal: AbortSignal.timeout(4_000),
    });
    if (answer.status !== 200 || !answer.headers.get("As-Of")) return null;
    return parsed(await answer.text(), answer.headers);
  } catch {
    return null;
  }
}

function parsed(text, headers) {
  const holder = document.createElement("template");
  holder.innerHTML = text;
  return read(holder.content, { revision: headers.get("Revision"), until: headers.get("Until"), tag: headers.get("Tag") });
}

// Where nobody answers, the page that was seen at this place last time round.
function remembered(step) {
  const at = seen.findIndex((page) => page.key === here.key);
  return seen[(at + step + seen.length) % seen.length] ?? here;
}

function remember(page, step) {
  const known = seen.findIndex((each) => each.key === page.key);
  if (known >= 0) { seen[known] = page; return; }
  const at = seen.findIndex((each) => each.key === here.key);
  seen.splice(step > 0 ? at + 1 : Math.max(0, at), 0, page);
}

async function turn(step) {
  clearTimeout(timer);
  const page = (step === 1 && next) || (await fetched(step));
  if (page) remember(page, step);
  here = page ?? remembered(step);
  next = null;
  turns = Math.max(0, turns + step);
  show();
  wait();
}

function wait() {
  clearTimeout(timer);
  if (paused) return;
  const time = calm.matches ? 2 * TURN : TURN;
  timer = setTimeout(async () => {
    next = await fetched(1);
    timer = setTimeout(() => turn(1), AHEAD);
  }, time - AHEAD);
}

function pause() {
  paused = !paused;
  const button = document.getElementById("board-pause");
  button.setAttribute("aria-pressed", String(paused));
  button.textContent = paused ? "paused: go on" : "pause";
  wait();
}

// The page in sight has new figures, or only a new revision. Kept pages whose division is gone go with the next round.
function change(root, headers) {
  const page = root ? parsed(root, headers) : { ...here, revision: headers.get("Revision"), until: headers.get("Until") };
  if (page.key !== here.key) seen = [];
  const at = seen.findIndex((each) => each.key === page.key);
  if (at >= 0) seen[at] = page; else seen.push(page);
  here = page;
  if (root) show();
}

function say(words, old) {
  const place = document.getElementById("board-as-of");
  if (place.textContent !== words) place.textContent = words;
  place.classList.toggle("old", old);
}

// How many lines this screen has room for; the laptop then cuts the pages to that size.
function measure() {
  const rows = main.querySelectorAll("tbody tr");
  if (!rows.length || getComputedStyle(document.body).display !== "grid") return false;
  const line = 4.125 * parseFloat(getComputedStyle(document.documentElement).fontSize);
  const head = main.querySelector("thead").offsetHeight;
  const box = getComputedStyle(main);
  const height = main.clientHeight - parseFloat(box.paddingTop) - parseFloat(box.paddingBottom);
  const fits = Math.max(3, Math.min(40, Math.floor((height - head) / line)));
  if (fits === room) return false;
  room = fits;
  fresh();
  return true;
}

async function fresh() {
  next = null;
  seen = [];
  const page = await fetched(0);
  if (!page) return;
  here = page;
  seen = [page];
  show();
}

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "ArrowRight") turn(1);
  else if (event.key === "ArrowLeft") turn(-1);
  else if (event.key === " " && event.target === document.body) pause();
  else return;
  event.preventDefault();
});

document.getElementById("board-pause").hidden = false;
document.getElementById("board-pause").addEventListener("click", pause);
upright.addEventListener("change", fresh);
document.fonts.ready.then(() => { fit(); if (!measure() && upright.matches) fresh(); });
addEventListener("resize", () => { clearTimeout(measure.soon); measure.soon = setTimeout(() => { fit(); measure(); }, 300); });
wait();
poll({
  url: source.dataset.url, every: POLL, now: source.dataset.now, change, say,
  asked: () => asked({ seen: here.revision, until: here.until, tag: here.tag }),
});
