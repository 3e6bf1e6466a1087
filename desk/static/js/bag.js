// Box and bag with a poor connection. What is said is kept on the phone before it counts as said, and sent in order
// until the laptop has answered: each act has a key, so that sent twice it is done once. Plain HTTP on a local network
// has no worker that could answer without the laptop; the outbox is what is left on the phone, also after it is closed.

const root = document.querySelector("[data-bag]");
const round = root.dataset.round;
const store = `starthorn-bag-${root.dataset.box}`;
const RETRY = [1_000, 2_000, 5_000, 10_000, 20_000];
const FIELDS = ["model", "plastic", "colour", "stamped_mass_g", "mark", "marked", "signed", "wear", "role"];

let memory = [];          // where a phone keeps nothing for pages, the page itself does
let sending = false;
let failures = 0;
let timer = 0;
let batch = 50;
let unseen = "";          // the list as the laptop has it, while somebody is changing a piece on the one that is shown

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

function say(words, needs = false) {
  const place = document.getElementById("sending");
  if (!place) return;
  if (place.textContent !== words) place.textContent = words;
  place.classList.toggle("needs", needs);
}

function waiting() {
  const count = outbox().length;
  if (!count) say("everything is sent");
  else say(`${count} not sent yet: kept on this phone${failures ? ", no answer from the laptop" : ""}`, failures > 0);
}

function cookie() {
  return document.cookie.split("; ").find((part) => part.startsWith("csrftoken="))?.slice("csrftoken=".length)
    ?? document.querySelector("[name=csrfmiddlewaretoken]")?.value;
}

function refused(sentences) {
  const place = document.getElementById("bag-refused");
  if (!place) return;
  place.className = sentences.length ? "said error" : "";
  place.replaceChildren(...sentences.map((words) => Object.assign(document.createElement("p"), { textContent: words })));
}

// Read from the store each time: another tab of this phone may have said something meanwhile.
async function send() {
  if (sending) return;
  clearTimeout(timer);
  const acts = outbox().slice(0, batch);
  if (!acts.length) { waiting(); return; }
  sending = true;
  try {
    const answer = await fetch(root.dataset.acts, {
      method: "POST", credentials: "same-origin",
      headers: { "Content-Type": "application/json", "X-CSRFToken": cookie() },
      body: JSON.stringify({ acts }), signal: AbortSignal.timeout?.(15_000),
    });
    if (answer.status === 422 && acts.length > 1) batch = 1;  // one of them cannot be read: find it, lose none of the others
    else if (answer.status === 422) drop(acts, [words(acts[0], (await answer.json()).error)]);
    else if (!answer.ok) throw new Error(String(answer.status));
    else {
      const body = await answer.json();
      const why = new Map(body.answers.map((each) => [each.key, each.refused]));
      drop(acts, acts.filter((act) => why.get(act.key)).map((act) => words(act, why.get(act.key))));
      show(body.html);
    }
    failures = 0;
  } catch {
    failures += 1;
    timer = setTimeout(send, RETRY[Math.min(failures, RETRY.length) - 1]);
  } finally {
    sending = false;
  }
  waiting();
  if (!failures && outbox().length) send();
}

// Which piece a sentence is about, since it may come long after the tap.
function words(act, why) {
  const name = act.fields?.model || document.getElementById(`piece-${act.disc}`)?.querySelector(".what b")?.textContent.trim();
  return name ? `${name}: ${why}` : why;
}

function drop(acts, sentences) {
  const done = new Set(acts.map((act) => act.key));
  keep(outbox().filter((act) => !done.has(act.key)));
  if (sentences.length) refused(sentences);
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
function show(html) {
  const open = [...root.querySelectorAll("details[open]")].map((each) => each.closest("li")?.id).filter(Boolean);
  unseen = changing() ? html : "";
  if (unseen) return;
  const focused = document.activeElement?.closest("#bag li")?.id;
  const holder = document.createElement("template");
  holder.innerHTML = html;
  document.getElementById("bag").replaceWith(holder.content.firstElementChild);
  for (const id of open) document.querySelector(`#${CSS.escape(id)} details`)?.setAttribute("open", "");
  if (focused) document.querySelector(`#${CSS.escape(focused)} .piece`)?.focus({ preventScroll: true });
  for (const act of outbox()) preview(act);
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

function say_act(kind, disc, fields = {}) {
  const act = { key: newKey(), kind, disc, round, fields, said_at: new Date().toISOString() };
  keep([...outbox(), act]);
  refused([]);
  preview(act);
  failures = 0;
  waiting();
  send();
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
    say_act("add", newKey(), fieldsOf(form));
    form.elements.model.focus();
    form.elements.model.select();
  } else if (kind === "change") {
    form.closest("details").removeAttribute("open");
    document.activeElement?.blur();
    say_act("change", form.elements.disc.value, fieldsOf(form));
  } else {
    form.closest("details")?.removeAttribute("open");
    say_act(kind, form.elements.disc?.value ?? null);
  }
});

root.addEventListener("click", (event) => {
  const same = event.target.closest("[data-same]");
  if (!same) return;
  const form = same.closest("details").querySelector("form[data-act=change]");
  same.closest("details").removeAttribute("open");
  say_act("add", newKey(), fieldsOf(form));
});

// A list that came while a piece was being changed is shown once it is left.
function shown() {
  if (unseen && !changing()) show(unseen);
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

window.addEventListener("online", () => send());
document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
window.addEventListener("pageshow", () => send());
for (const act of outbox()) preview(act);
waiting();
send();
