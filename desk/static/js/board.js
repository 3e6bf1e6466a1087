// The kiosk: turns the pages by itself and keeps them fresh. Every page is here, so that the board goes on when
// the laptop is away. Nothing slides: a page is exchanged at once, and only where something is different.
//
// Space pauses, the arrow keys turn. Who asked for less motion gets twice the time for each page.

import { poll } from "./board_poll.js";

const source = document.getElementById("board-all");
const calm = matchMedia("(prefers-reduced-motion: reduce)");
const TURN = 12_000;
const POLL = 3_000;

let all = source.content.querySelector("[data-revision]");
let at = Math.max(0, articles().findIndex((page) => page.querySelector("footer").textContent === text("board-page")));
let turns = 0;     // also with a single page: notices that do not fit beside each other take turns
let paused = false;
let timer;

function articles() {
  return [...all.querySelectorAll("[data-page]")];
}

function text(id) {
  return document.getElementById(id).textContent;
}

function put(place, from) {
  if (place.innerHTML === from.innerHTML) return;
  place.replaceChildren(...[...from.childNodes].map((node) => node.cloneNode(true)));
}

function show() {
  const page = articles()[at];
  put(document.getElementById("board-heading"), page.querySelector("header"));
  put(document.getElementById("board"), page.querySelector("header + div"));
  put(document.getElementById("board-page"), page.querySelector("footer"));
  const sides = all.querySelectorAll("aside");
  put(document.querySelector(".board-side"), sides[turns % sides.length]);
  showStop();
}

// A stop lies over everything, at once, and goes with the answer that says that play goes on.
let stopText = all.querySelector("[data-stop]")?.innerHTML ?? "";
function showStop() {
  const place = document.getElementById("board-stop");
  const fresh = all.querySelector("[data-stop]");
  const text = fresh?.innerHTML ?? "";
  if (text === stopText && place.hidden === !fresh) return;
  stopText = text;
  place.hidden = !fresh;
  place.innerHTML = text;
  document.dispatchEvent(new Event("htmx:afterSettle"));   // the clocks in it run at once
}

function turn(step) {
  const count = articles().length;
  at = (at + step + count) % count;
  turns = Math.max(0, turns + step);
  show();
  wait();
}

function wait() {
  clearTimeout(timer);
  if (!paused) timer = setTimeout(() => turn(1), calm.matches ? 2 * TURN : TURN);
}

function pause() {
  paused = !paused;
  const button = document.getElementById("board-pause");
  button.setAttribute("aria-pressed", String(paused));
  button.textContent = paused ? "paused: go on" : "pause";
  wait();
}

// The same page stays in sight when its figures change; if its division is gone, the first is shown.
function change(fresh) {
  const key = articles()[at].dataset.page;
  all = fresh;
  at = Math.max(0, articles().findIndex((page) => page.dataset.page === key));
  show();
}

function say(words, old) {
  const place = document.getElementById("board-as-of");
  if (place.textContent !== words) place.textContent = words;
  place.classList.toggle("old", old);
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
wait();
poll({
  url: source.dataset.url, every: POLL, now: source.dataset.now,
  seen: () => [all.dataset.revision, all.dataset.until], change, say,
});
