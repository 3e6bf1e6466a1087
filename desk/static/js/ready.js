// The course walk with a poor connection: each tap is kept on the phone before it counts as said, and sent in order
// until the laptop has answered. Each has a key, so that sent twice it is done once. Photos wait beside it.

import { keepPhoto, photosWaiting, sendPhotos } from "./ready_photos.js";

const root = document.querySelector("[data-walk]");
const store = `starthorn-walk-${root.dataset.walkId}`;
const named = "starthorn-walker";
const RETRY = [1_000, 2_000, 5_000, 10_000, 20_000];

let memory = [];  // where a phone keeps nothing for pages, the page itself does
let sending = false;
let failures = 0;
let timer = 0;
let batch = 30;

function outbox() {
  try { return JSON.parse(localStorage.getItem(store)) ?? []; } catch { return memory; }
}

function keep(acts) {
  memory = acts;
  try { localStorage.setItem(store, JSON.stringify(acts)); } catch { /* the page keeps them as long as it is open */ }
}

// Without HTTPS a browser makes no keys of its own; random bytes it always has.
function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

const nameField = document.querySelector("[data-name]");
const name = () => nameField.value.trim();

function cookie() {
  return document.cookie.split("; ").find((part) => part.startsWith("csrftoken="))?.slice("csrftoken=".length)
    ?? document.querySelector("[name=csrfmiddlewaretoken]")?.value;
}

async function waiting() {
  const place = document.getElementById("sending");
  const taps = outbox().length;
  const photos = await photosWaiting(root.dataset.walkId);
  const parts = [taps && `${taps} tap${taps > 1 ? "s" : ""}`, photos && `${photos} photo${photos > 1 ? "s" : ""}`].filter(Boolean);
  const words = parts.length
    ? `${parts.join(" and ")} not sent yet: kept on this phone${failures ? ", no answer from the laptop" : ""}` : "everything is sent";
  if (place.textContent !== words) place.textContent = words;
  place.classList.toggle("needs", parts.length > 0 && failures > 0);
}

function refused(sentences) {
  const place = document.getElementById("walk-refused");
  place.className = sentences.length ? "said error" : "";
  place.replaceChildren(...sentences.map((words) => Object.assign(document.createElement("p"), { textContent: words })));
}

// Read from the store each time: another tab of this phone may have said something meanwhile.
async function send() {
  if (sending) return;
  clearTimeout(timer);
  sending = true;
  try {
    const taps = outbox().slice(0, batch);
    if (taps.length) await sendTaps(taps);
    const sentences = [...last, ...await sendPhotos(root.dataset.walkId, root.dataset.photos, cookie())];
    if (sentences.length) refused(sentences);
    last = [];
    failures = 0;
  } catch {
    failures += 1;
    timer = setTimeout(send, RETRY[Math.min(failures, RETRY.length) - 1]);
  } finally {
    sending = false;
  }
  await waiting();
  if (!failures && outbox().length) send();
}

let last = [];  // why something of the newest answer was not kept

async function sendTaps(taps) {
  const answer = await fetch(root.dataset.acts, {
    method: "POST", credentials: "same-origin",
    headers: { "Content-Type": "application/json", "X-CSRFToken": cookie() },
    body: JSON.stringify({ by: taps[0].by, acts: taps.filter((tap) => tap.by === taps[0].by) }), signal: AbortSignal.timeout?.(15_000),
  });
  if (answer.status === 422 && taps.length > 1) { batch = 1; return; }  // find the one that cannot be read, lose none of the others
  if (answer.status === 422) { drop(taps); last = [(await answer.json()).error]; return; }
  if (!answer.ok) throw new Error(String(answer.status));
  const body = await answer.json();
  drop(body.answers);
  last = body.answers.map((each) => each.refused).filter(Boolean);
  show(body.html);
}

function drop(acts) {
  const done = new Set(acts.map((act) => act.key));
  keep(outbox().filter((act) => !done.has(act.key)));
}

// The holes as the laptop has them, with what it has not heard yet laid over them. Somebody who is choosing a photo is
// left alone: the next answer shows it.
function show(html) {
  if ([...document.querySelectorAll("[data-photo] input[type=file]")].some((field) => field.files.length)) return;
  const open = [...root.querySelectorAll(".walk-hole")].filter((hole) => hole.open).map((hole) => hole.id);
  const focused = document.activeElement?.closest("[data-task]");
  const at = focused && { hole: focused.closest("[data-hole]").id, task: focused.dataset.task };
  const holder = document.createElement("template");
  holder.innerHTML = html;
  document.getElementById("holes").replaceWith(holder.content.firstElementChild);
  for (const hole of root.querySelectorAll(".walk-hole")) hole.open = open.includes(hole.id);
  if (at) document.querySelector(`#${CSS.escape(at.hole)} [data-task="${CSS.escape(at.task)}"] button`)?.focus({ preventScroll: true });
  for (const act of outbox()) preview(act);
}

function preview(act) {
  const hole = document.getElementById(`hole-${act.hole}`);
  const row = hole?.querySelector(`[data-task="${CSS.escape(act.task)}"]`);
  if (!row) return;
  const button = row.querySelector("button");
  row.classList.toggle("done", act.done);
  row.classList.add("unsent");
  button.setAttribute("aria-pressed", String(act.done));
  button.value = act.done ? "0" : "1";
  row.querySelector(".how em").textContent = act.done ? "done" : "open";
  const left = hole.querySelectorAll("[data-task]:not(.done)").length;
  const words = hole.querySelector(".left");
  words.textContent = left ? `${left} open` : "ready";
  words.classList.toggle("needs", left > 0);
  document.querySelector("[data-done]").textContent = document.querySelectorAll("[data-task].done").length;
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.matches("form[data-act]")) {
    event.preventDefault();
    const button = form.querySelector("button");
    const act = {
      key: newKey(), hole: Number(form.elements.hole.value), task: form.elements.task.value,
      done: button.value === "1", by: name(), said_at: new Date().toISOString(),
    };
    keep([...outbox(), act]);
    refused([]);
    preview(act);
    failures = 0;
    waiting();
    send();
  } else if (form.matches("form[data-photo]")) {
    event.preventDefault();
    takePhoto(form);
  }
});

async function takePhoto(form) {
  const file = form.elements.photo.files[0];
  if (!file) return;
  const kept = await keepPhoto({ key: newKey(), walk: root.dataset.walkId, hole: form.elements.hole.value, by: name(), file });
  if (!kept) { form.elements.by.value = name(); form.submit(); return; }  // a phone that keeps nothing sends it at once
  form.reset();
  failures = 0;
  waiting();
  send();
}

// The name is kept on the phone; with scripts it needs no button.
document.querySelector("[data-take]").hidden = true;
try { nameField.value ||= localStorage.getItem(named) ?? ""; } catch { /* typed again next time */ }
nameField.addEventListener("input", () => { try { localStorage.setItem(named, name()); } catch { /* as above */ } });
nameField.form.addEventListener("submit", (event) => event.preventDefault());

window.addEventListener("online", () => send());
document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
window.addEventListener("pageshow", () => send());
for (const act of outbox()) preview(act);
waiting();
send();
