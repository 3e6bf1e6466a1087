// Box and bag with a poor connection: each act goes into the outbox, is shown at once, and counts when it is answered.

import { KEEPS_NOTHING, newKey, openOutbox, startSending } from "./outbox.js";

const root = document.querySelector("[data-bag]");
const round = root.dataset.round;
const outbox = openOutbox(`starthorn-bag-${root.dataset.box}-`);
const FIELDS = ["model", "plastic", "colour", "stamped_mass_g", "mark", "marked", "signed", "wear", "role"];

let came = "";            // the list as the laptop has it, not shown yet: somebody may be changing a piece on the shown one
let stale = false;        // another tab was answered, so that the list here is of before
let why = [];             // what was not taken, to be said when the turn is over

const sending = startSending({
  outbox, address: root.dataset.acts, batch: 50, changed,
  body: (acts) => ({ acts }),
  took: (answer) => { came = answer.html; stale = false; },
  refuse: (act, sentence) => why.push(words(act, sentence)),
  wanted: () => stale,
});

outbox.onOtherTab((event) => {
  if (event.newValue === null) stale = true;
  else for (const act of outbox.acts()) preview(act);
  if (stale && !outbox.acts().length) sending.now();
  waiting();
});

function changed() {
  if (why.length) refused(why);
  why = [];
  if (came) show();
  waiting();
}

function waiting() {
  const place = document.getElementById("sending");
  if (!place) return;
  const { failures, stopped } = sending.state();
  const count = outbox.acts().length;
  const kept = outbox.failing() ? KEEPS_NOTHING : `kept on this phone${failures ? ", no answer from the laptop" : ""}`;
  const said = !count ? "everything is sent" : stopped ? `${count} not sent yet. ${stopped}` : `${count} not sent yet: ${kept}`;
  if (place.textContent !== said) place.textContent = said;
  place.classList.toggle("needs", count > 0 && (failures > 0 || outbox.failing() || stopped !== ""));
}

function refused(sentences) {
  const place = document.getElementById("bag-refused");
  if (!place) return;
  place.className = sentences.length ? "said error" : "";
  place.replaceChildren(...sentences.map((words) => Object.assign(document.createElement("p"), { textContent: words })));
}

// Which piece a sentence is about, since it may come long after the tap.
function words(act, why) {
  const name = act.fields?.model || document.getElementById(`piece-${act.disc}`)?.querySelector(".what b")?.textContent.trim();
  return name ? `${name}: ${why}` : why;
}

// Somebody is in a piece's form, or has left words in it that are not kept yet.
function changing() {
  const at = (field) => field.type === "checkbox" ? field.checked !== field.defaultChecked
    : field.tagName === "SELECT" ? field.value !== ([...field.options].find((each) => each.defaultSelected) ?? field.options[0]).value
      : field.type !== "hidden" && field.value !== field.defaultValue;
  return Boolean(document.activeElement?.closest("#bag details[open]"))
    || [...document.querySelectorAll("#bag details[open] :is(input, select)")].some(at);
}

// The bag as the laptop has it, with what it has not heard yet laid over it.
function show() {
  if (changing()) return;
  const open = [...root.querySelectorAll("details[open]")].map((each) => each.closest("li")?.id).filter(Boolean);
  const focused = document.activeElement?.closest("#bag li")?.id;
  const holder = document.createElement("template");
  holder.innerHTML = came;
  came = "";
  document.getElementById("bag").replaceWith(holder.content.firstElementChild);
  for (const id of open) document.querySelector(`#${CSS.escape(id)} details`)?.setAttribute("open", "");
  if (focused) document.querySelector(`#${CSS.escape(focused)} .piece`)?.focus({ preventScroll: true });
  for (const act of outbox.acts()) preview(act);
}

function preview(act) {
  const row = act.disc ? document.getElementById(`piece-${act.disc}`) : null;
  if (act.kind === "add" && !row) added(act);
  else if (["put_in", "take_out", "declare"].includes(act.kind) && act.round !== round) return; // said on another round's page
  else if (act.kind === "put_in" || act.kind === "take_out") carried(row, act.kind === "put_in");
  else if (act.kind === "put_away") row?.setAttribute("hidden", "");
  else if (act.kind === "change" && row) {
    row.querySelector(".what b").textContent = act.fields.model;
    row.querySelector(".what small").textContent = looks(act.fields);
  }
  else if (act.kind === "declare") root.querySelector("[data-declared]").textContent = "declared, not sent yet";
  document.getElementById(`piece-${act.disc}`)?.classList.add("unsent");
}

function carried(row, inBag) {
  if (!row) return;
  row.classList.toggle("in-bag", inBag);
  row.querySelector(".piece").setAttribute("aria-pressed", String(inBag));
  row.querySelector(".how em").textContent = inBag ? "in bag" : "box";
  row.querySelector("form[data-act]").dataset.act = inBag ? "take_out" : "put_in";
  count();
}

function count() {
  const place = root.querySelector("[data-count]");
  if (place) place.textContent = root.querySelectorAll("#pieces > .in-bag").length;
}

function looks(fields) {
  const mass = fields.stamped_mass_g ? `${fields.stamped_mass_g} g` : "";
  return [fields.plastic, fields.colour, mass].filter(Boolean).join(", ");
}

function added(act) {
  root.querySelector("#pieces .empty")?.remove();
  const row = document.createElement("li");
  row.id = `piece-${act.disc}`;
  row.dataset.piece = act.disc;
  const here = act.round === round;
  row.className = here ? "in-bag unsent" : "unsent";
  const line = Object.assign(document.createElement("p"), { className: "piece" });
  for (const [kind, words] of [["n", "+"], ["what", ""], ["how", ""]]) line.append(Object.assign(document.createElement("span"), { className: kind, textContent: words }));
  line.children[1].append(
    Object.assign(document.createElement("b"), { textContent: act.fields.model }),
    Object.assign(document.createElement("small"), { textContent: looks(act.fields) }));
  line.children[2].append(Object.assign(document.createElement("em"), { textContent: `${here ? "in bag" : "box"}, not sent yet` }));
  row.append(line);
  document.getElementById("pieces").append(row);
  count();
}

function say(kind, disc, fields = {}) {
  const act = outbox.add({ kind, disc, round, fields, said_at: new Date().toISOString() });
  refused([]);
  preview(act);
  sending.now();
  waiting();
}

function fieldsOf(form) {
  const fields = {};
  for (const name of FIELDS) {
    const field = form.elements[name];
    if (field) fields[name] = field.type === "checkbox" ? field.checked : field.value;
  }
  return fields;
}

document.addEventListener("submit", (event) => {
  const form = event.target.closest("form[data-act]");
  if (!form) return;
  event.preventDefault();
  const kind = form.dataset.act;
  if (kind === "add") {
    say("add", newKey(), fieldsOf(form));
    form.elements.model.focus();
    form.elements.model.select();
  } else if (kind === "change") {
    form.closest("details").removeAttribute("open");
    document.activeElement?.blur();
    say("change", form.elements.disc.value, fieldsOf(form));
  } else {
    form.closest("details")?.removeAttribute("open");
    say(kind, form.elements.disc?.value ?? null);
  }
});

root.addEventListener("click", (event) => {
  const same = event.target.closest("[data-same]");
  if (!same) return;
  const form = same.closest("details").querySelector("form[data-act=change]");
  same.closest("details").removeAttribute("open");
  say("add", newKey(), fieldsOf(form));
});

// A list that came while a piece was being changed is shown once it is left.
function shown() {
  if (came) show();
}
root.addEventListener("toggle", shown, true);
root.addEventListener("focusout", () => setTimeout(shown));

// Names to choose from, fetched once somebody is about to type one.
let asked = false;
root.addEventListener("focusin", async (event) => {
  if (asked || event.target.dataset.field !== "model") return;
  asked = true;
  try {
    const { models } = await (await fetch(root.dataset.models)).json();
    document.getElementById("models")?.replaceChildren(...models.map((name) => new Option(name, name)));
  } catch { asked = false; }
});

for (const act of outbox.acts()) preview(act);
waiting();
sending.now();
