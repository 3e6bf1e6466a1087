// The course walk with a poor connection: each tap goes into the outbox, is shown at once, and counts when it is
// answered. Photos wait beside it.

import { KEEPS_NOTHING, newKey, openOutbox, startSending } from "./outbox.js";
import { keepPhoto, photosWaiting, sendPhotos } from "./ready_photos.js";

const root = document.querySelector("[data-walk]");
const walk = root.dataset.walkId;
const outbox = openOutbox(`starthorn-walk-${walk}-`);
const named = "starthorn-walker";
const nameField = document.querySelector("[data-name]");
const name = () => nameField.value.trim();

let came = "";      // the holes as the laptop has them, not shown yet
let stale = false;  // another tab was answered, so that the holes here are of before
let why = [];       // what was not taken, to be said when the turn is over
let photos = { count: 0, failing: false };   // those that wait, as last counted
let photosSent = false;

const sending = startSending({
  outbox, address: root.dataset.acts, batch: 30, changed,
  body: (acts) => ({ by: acts[0]?.by ?? name(), acts }),
  together: (first, act) => first.by === act.by,
  took: (answer) => { came = answer.html; stale = false; },
  refuse: (act, sentence) => why.push(sentence),
  wanted: () => stale,
  also: async ({ ask }) => {
    const { sent, refused: not } = await sendPhotos(walk, root.dataset.photos, ask);
    photos = await photosWaiting(walk);
    photosSent = sent > 0;
    why.push(...not);
  },
});

outbox.onOtherTab((event) => {
  if (event.newValue === null) stale = true;
  else for (const act of outbox.acts()) preview(act);
  if (stale && !outbox.acts().length) askAnew();
  waiting();
});

function changed() {
  if (why.length) refused(why);
  why = [];
  if (came) show();
  waiting();
  if (photosSent) askAnew();   // how many photos each hole has now
}

function askAnew() {
  photosSent = false;
  stale = true;
  sending.now();
}

async function countPhotos() {
  photos = await photosWaiting(walk);
  waiting();
}

function waiting() {
  const place = document.getElementById("sending");
  const taps = outbox.acts().length;
  const forgets = photos.failing || outbox.failing();
  const { failures, stopped } = sending.state();
  const parts = [[taps, "tap"], [photos.count, "photo"]].filter(([count]) => count).map(([count, what]) => `${count} ${what}${count > 1 ? "s" : ""}`);
  const kept = forgets ? KEEPS_NOTHING : `kept on this phone${failures ? ", no answer from the laptop" : ""}`;
  const unsent = `${parts.join(" and ")} not sent yet`;
  const words = !parts.length ? "everything is sent" : stopped ? `${unsent}. ${stopped}` : `${unsent}: ${kept}`;
  if (place.textContent !== words) place.textContent = words;
  place.classList.toggle("needs", parts.length > 0 && (failures > 0 || forgets || stopped !== ""));
}

function refused(sentences) {
  const place = document.getElementById("walk-refused");
  place.className = sentences.length ? "said error" : "";
  place.replaceChildren(...sentences.map((words) => Object.assign(document.createElement("p"), { textContent: words })));
}

// The holes as the laptop has them, with what it has not heard yet laid over them. Somebody who is choosing a photo is
// left alone: the next answer shows it.
function show() {
  if ([...document.querySelectorAll("[data-photo] input[type=file]")].some((field) => field.files.length)) return;
  const open = [...root.querySelectorAll(".walk-hole")].filter((hole) => hole.open).map((hole) => hole.id);
  const focused = document.activeElement?.closest("[data-task]");
  const at = focused && { hole: focused.closest("[data-hole]").id, task: focused.dataset.task };
  const holder = document.createElement("template");
  holder.innerHTML = came;
  came = "";
  document.getElementById("holes").replaceWith(holder.content.firstElementChild);
  for (const hole of root.querySelectorAll(".walk-hole")) hole.open = open.includes(hole.id);
  if (at) document.querySelector(`#${CSS.escape(at.hole)} [data-task="${CSS.escape(at.task)}"] button`)?.focus({ preventScroll: true });
  for (const act of outbox.acts()) preview(act);
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
  if (!form.matches("form[data-act], form[data-photo]")) return;
  event.preventDefault();
  if (form.matches("form[data-act]")) tap(form);
  else takePhoto(form);
});

function tap(form) {
  const act = outbox.add({
    hole: Number(form.elements.hole.value), task: form.elements.task.value,
    done: form.querySelector("button").value === "1", by: name(), said_at: new Date().toISOString(),
  });
  refused([]);
  preview(act);
  sending.now();
  waiting();
}

async function takePhoto(form) {
  const [file] = form.elements.photo.files;
  if (!file) return;  // the browser has said that it is required
  refused([]);
  await keepPhoto({ key: newKey(), walk, hole: form.elements.hole.value, by: name(), file });
  form.reset();
  await countPhotos();
  sending.now();
}

// The name is kept on the phone; with scripts it needs no button.
document.querySelector("[data-take]").hidden = true;
try { nameField.value ||= localStorage.getItem(named) ?? ""; } catch { /* typed again next time */ }
nameField.addEventListener("input", () => { try { localStorage.setItem(named, name()); } catch { /* as above */ } });
nameField.form.addEventListener("submit", (event) => event.preventDefault());

for (const act of outbox.acts()) preview(act);
countPhotos();
sending.now();
