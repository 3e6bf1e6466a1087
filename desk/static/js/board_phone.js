// The standings on a phone: finds a name while it is typed, keeps fresh, keeps open what was opened.

import { poll } from "./board_poll.js";

const url = document.querySelector("script[data-url]").dataset.url;
const field = document.getElementById("find");
const POLL = 4_000;

let all = document.getElementById("places");
const whole = !field.value;      // a page that came for a search holds only what was found

// As the laptop folds names: small letters, no accents, no punctuation.
const SPECIAL = { ø: "o", ł: "l", đ: "d", ð: "d", þ: "th", ß: "ss", æ: "ae", œ: "oe", ı: "i" };
function fold(text) {
  return text.toLowerCase().replace(/[øłđðþßæœı]/g, (letter) => SPECIAL[letter])
    .normalize("NFKD").replace(/\p{M}/gu, "").replace(/[^\p{L}\p{N}]+/gu, " ").trim();
}

function find() {
  const wanted = fold(field.value);
  let count = 0;
  for (const player of all.querySelectorAll("[data-find]")) {
    const hit = player.dataset.find.includes(wanted);
    player.hidden = !hit;
    player.classList.toggle("found", Boolean(wanted) && hit);
    if (hit) count += 1;
  }
  for (const section of all.querySelectorAll("[data-division]")) {
    section.hidden = !section.querySelector("[data-find]:not([hidden])");
  }
  for (const other of all.querySelectorAll("[data-starts], nav")) other.hidden = Boolean(wanted);
  document.getElementById("nobody").hidden = count > 0 || !wanted;
  const words = wanted ? `${count} found` : "";
  const place = document.getElementById("found-words");
  if (place.textContent !== words) place.textContent = words;
}

// The whole list, exchanged under the reader's thumb: what is open stays open, what has the focus keeps it.
function change(fresh) {
  const open = [...all.querySelectorAll("details[open]")].map((player) => player.id);
  const focused = document.activeElement?.closest("#places details")?.id;
  all.replaceWith(fresh);
  all = fresh;
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  if (focused) document.getElementById(focused)?.querySelector("summary").focus({ preventScroll: true });
  document.getElementById("all-link")?.remove();
  find();
}

function say(words, old) {
  const place = document.getElementById("board-as-of");
  if (place.textContent !== words) place.textContent = words;
  place.classList.toggle("needs", old);
}

field.form.addEventListener("submit", (event) => { event.preventDefault(); field.blur(); });
field.addEventListener("input", find);
poll({
  url, every: POLL, now: document.querySelector("script[data-now]").dataset.now,
  seen: () => (all.dataset.seen === "part" ? ["", ""] : [all.dataset.revision, all.dataset.until]), change, say,
});
if (!whole) all.dataset.seen = "part";   // fetch the rest, so that another name can be found
