// The standings on a phone: finds a name while it is typed, keeps followed players on top, keeps fresh, keeps open what
// was opened. Whom a phone follows is known to that phone alone.

import { poll } from "./board_poll.js";

const said = document.querySelector("script[data-url]").dataset;
const field = document.getElementById("find");
const chosen = new URLSearchParams(location.search).get("division") ?? "";
const POLL = 4_000;
const TYPING = 250;

let all = document.getElementById("places");
let shown = { revision: said.revision, until: said.until, tag: "" };
let searched = field.value.trim();   // what the laptop was asked for; "" while the whole list is here
let ask;
let typing;

// --- Whom this phone follows ---------------------------------------------------------------------------------------------
const KEPT = `follow-${said.event}`;
let followed = new Set(kept());

function kept() {
  try { return JSON.parse(localStorage.getItem(KEPT) ?? "[]"); } catch { return []; }
}

function follow(id) {
  if (!followed.delete(id)) followed.add(id);
  try { localStorage.setItem(KEPT, JSON.stringify([...followed])); } catch { /* kept until the page is closed */ }
  stars();
  again();
}

function stars() {
  for (const star of all.querySelectorAll("[data-follow]")) {
    star.hidden = false;
    star.setAttribute("aria-pressed", String(followed.has(star.dataset.follow)));
  }
  document.getElementById("follow-words").hidden = followed.size > 0 || !all.querySelector("[data-follow]");
}

// --- Finding a name ------------------------------------------------------------------------------------------------------
// As the laptop folds names: small letters, no accents, no punctuation.
const SPECIAL = { ø: "o", ł: "l", đ: "d", ð: "d", þ: "th", ß: "ss", æ: "ae", œ: "oe", ı: "i" };
function fold(text) {
  return text.toLowerCase().replace(/[øłđðþßæœı]/g, (letter) => SPECIAL[letter])
    .normalize("NFKD").replace(/\p{M}/gu, "").replace(/[^\p{L}\p{N}]+/gu, " ").trim();
}

function find() {
  const wanted = fold(field.value);
  let count = 0;
  for (const player of all.querySelectorAll("[data-division] [data-find]")) {
    const hit = player.dataset.find.includes(wanted);
    player.hidden = !hit;
    player.classList.toggle("found", Boolean(wanted) && hit);
    if (hit) count += 1;
  }
  for (const section of all.querySelectorAll("[data-division]")) {
    section.hidden = !section.querySelector("[data-find]:not([hidden])");
  }
  for (const other of all.querySelectorAll("[data-starts], [data-followed], nav")) other.hidden = Boolean(wanted);
  const known = "whole" in all.dataset || searched === field.value.trim();
  document.getElementById("nobody").hidden = count > 0 || !wanted || !known || Boolean(all.querySelector(".empty"));
  const words = wanted && known ? `${count} found` : "";
  const place = document.getElementById("found-words");
  if (place.textContent !== words) place.textContent = words;
}

// A large field is not on the phone: the laptop looks for the name. So does it for a page that came for another name.
function typed() {
  find();
  if ("whole" in all.dataset) return;
  clearTimeout(typing);
  typing = setTimeout(() => { searched = field.value.trim(); again(); }, TYPING);
}

// --- Keeping fresh -------------------------------------------------------------------------------------------------------
function asked() {
  const q = "whole" in all.dataset ? "" : searched;
  return new URLSearchParams({
    q, division: chosen, follow: [...followed].join(","), seen: shown.revision, until: shown.until, tag: shown.tag,
  });
}

function again() {
  shown = { revision: "", until: "", tag: "" };
  ask().catch(() => {});
}

// The whole list, exchanged under the reader's thumb: what is open stays open, what has the focus keeps it.
function change(text, headers) {
  shown = { revision: headers.get("Revision"), until: headers.get("Until"), tag: headers.get("Tag") };
  if (text === null) return;
  const holder = document.createElement("template");
  holder.innerHTML = text;
  const fresh = holder.content.firstElementChild;
  const open = [...all.querySelectorAll("details[open]")].map((player) => player.id);
  const at = document.activeElement?.closest("#places details, #places .star");
  const focused = at?.id || (at && `${at.closest("[data-followed]") ? "[data-followed] " : "[data-division] "}[data-follow="${at.dataset.follow}"]`);
  all.replaceWith(fresh);
  all = fresh;
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  if (at?.id) document.getElementById(focused)?.querySelector("summary").focus({ preventScroll: true });
  else if (focused) all.querySelector(focused)?.focus({ preventScroll: true });
  document.getElementById("all-link")?.remove();
  stars();
  find();
}

function say(words, old) {
  const place = document.getElementById("board-as-of");
  if (place.textContent !== words) place.textContent = words;
  place.classList.toggle("needs", old);
}

document.addEventListener("click", (event) => {
  const star = event.target.closest("[data-follow]");
  if (star) follow(star.dataset.follow);
});
field.form.addEventListener("submit", (event) => { event.preventDefault(); field.blur(); });
field.addEventListener("input", typed);
stars();
ask = poll({ url: said.url, every: POLL, now: said.now, asked, change, say });
if (followed.size) again();
