// The board of groups by key and by mouse. The form above the board (#hand) is what is sent; this fills it in.
//
//   arrows      go from player to player; left and right to the group beside
//   a digit     begins a group number for the chosen player, Enter sends it
//   M, S        move, swap: type where to, or go there with the arrows and press Enter, or click it
//   - and +     throw earlier, later; Delete takes out; Escape lets go
//   drag        onto a player: swap; onto a group's head or a free hole: move

let picked = "";   // p12 or g7: who is to be moved
let mode = "";     // "move" or "swap" while a target is looked for
let inHand = "";   // what a drag carries

const HINT = document.getElementById("hint")?.textContent ?? "";
const form = () => document.getElementById("hand");
const field = (name) => form().elements[name];
const items = () => [...document.querySelectorAll("#board [data-item]")];
const itemOf = (who) => document.querySelector(`#board [data-item="${who}"]`);
const button = (word) => form().querySelector(`button[value="${word}"]`);

function say(words) {
  const place = document.getElementById("hint");
  if (!place) return;
  place.textContent = words || HINT;
  place.classList.toggle("asks", Boolean(words));
}

function show() {
  for (const item of items()) {
    const chosen = item.dataset.item === picked;
    item.setAttribute(item.matches("button") ? "aria-pressed" : "aria-selected", String(chosen));
    item.classList.remove("cursor");
  }
  const stop = itemOf(picked) ?? items()[0];
  for (const item of items()) item.tabIndex = item === stop ? 0 : -1;
}

function pick(who) {
  picked = who;
  mode = "";
  field("who").value = who;
  field("to").value = "";
  say("");
  show();
}

function ask(word) {
  if (!picked) {
    say("Choose a player or a group first.");
    return;
  }
  mode = word;
  const group = picked.startsWith("g");
  if (word === "move") {
    say(group ? "Move the group: type a hole (12) or a time (09:40), or click a free hole." : "Move: type a group number and Enter, or hole 12 for a new group, or click a group.");
    field("to").focus();
    field("to").select();
  } else {
    say(group ? "Swap: type a group number, or go to the other group and press Enter." : "Swap: go to the other player and press Enter, click, or type a seat (7.2).");
    itemOf(picked)?.focus();
  }
}

function send(word, to) {
  field("who").value = picked;
  field("to").value = to;
  button(word).click(); // a real press: the form then says which button it was
}

function seatOf(item) {
  const group = item.closest("[data-group]")?.dataset.group;
  return group ? { group, player: item.dataset.item.startsWith("p") ? item.dataset.item : "" } : null;
}

// The chosen one goes to what stands under the cursor: a player, a group's head.
function target(item) {
  const seat = seatOf(item);
  if (!seat || item.dataset.item === picked) return;
  if (mode === "swap" && picked.startsWith("p")) {
    if (seat.player) send("swap", seat.player);
    else say("Swap with a player: go on to one.");
  } else if (mode === "swap") send("swap", seat.group);
  else if (picked.startsWith("p")) send("move", seat.group);
  else say("A group goes to a hole or a time; S swaps it with another group.");
}

function go(item) {
  if (!item) return;
  item.focus();
  item.scrollIntoView({ block: "nearest" });
}

function beside(item, step) {
  const groups = [...document.querySelectorAll("#board [data-group]")];
  const home = item.closest("[data-group]");
  const next = groups[groups.indexOf(home) + step];
  if (!home || !next) return null;
  const own = [...home.querySelectorAll("[data-item]")];
  const other = [...next.querySelectorAll("[data-item]")];
  return other[Math.min(own.indexOf(item), other.length - 1)];
}

document.addEventListener("focusin", (event) => {
  const item = event.target.closest?.("#board [data-item]");
  if (!item) return;
  if (!mode) pick(item.dataset.item);
  else for (const other of items()) other.classList.toggle("cursor", other === item && item.dataset.item !== picked);
});

document.addEventListener("keydown", (event) => {
  if (event.defaultPrevented || event.isComposing || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Escape" && form()) {
    const back = itemOf(picked);
    if (mode || event.target === field("to")) pick(picked);
    back?.focus();
    return;
  }
  if (event.target.id === "to" && event.key === "Enter" && mode === "swap") {
    event.preventDefault();
    send("swap", field("to").value);
    return;
  }
  const item = event.target.closest?.("#board [data-item]");
  if (!item) return;
  const all = items();
  const at = all.indexOf(item);
  const way = {
    ArrowDown: () => go(all[at + 1]),
    ArrowUp: () => go(all[at - 1]),
    ArrowRight: () => go(beside(item, 1)),
    ArrowLeft: () => go(beside(item, -1)),
    Home: () => go(all[0]),
    End: () => go(all.at(-1)),
    Enter: () => (mode ? target(item) : undefined),
  }[event.key];
  if (way) {
    event.preventDefault();
    way();
  } else if (/^\d$/.test(event.key)) {
    event.preventDefault();
    mode ||= "move";
    field("to").value = event.key;
    field("to").focus();
  }
});

document.addEventListener("click", (event) => {
  const pressed = event.target.closest?.('#hand button[name="do"]');
  if (pressed) {
    const who = field("who").value;
    if (who !== picked) picked = who;
    if (["move", "swap"].includes(pressed.value) && !field("to").value.trim()) {
      event.preventDefault();
      ask(pressed.value);
    }
    return;
  }
  const free = event.target.closest?.("#board [data-to]");
  if (free) {
    if (picked) send("move", picked.startsWith("g") ? free.dataset.to : `hole ${free.dataset.to}`);
    else say("Choose a player or a group first.");
    return;
  }
  const item = event.target.closest?.("#board [data-item]");
  if (!item) return;
  if (mode && item.dataset.item !== picked) target(item);
  else pick(item.dataset.item);
}, true);

document.addEventListener("change", (event) => {
  if (event.target.id === "who") {
    picked = event.target.value;
    mode = "";
    show();
  }
});

// --- drag and drop: the same as move and swap, for those who like it ----------------------------------------
function under(event) {
  const free = event.target.closest?.("#board [data-to]");
  if (free) return free;
  const player = event.target.closest?.('#board [data-item^="p"]');
  if (player && inHand.startsWith("p")) return player.dataset.item === inHand ? null : player;
  const group = event.target.closest?.("#board [data-group]");
  return group && group.dataset.group !== inHand.slice(1) ? group : null;
}

document.addEventListener("dragstart", (event) => {
  const thing = event.target.closest?.("#board [data-drag]");
  if (!thing) return;
  inHand = thing.dataset.drag;
  pick(inHand);
  event.dataTransfer.effectAllowed = "move";
  event.dataTransfer.setData("text/plain", inHand);
});

document.addEventListener("dragover", (event) => {
  const place = inHand ? under(event) : null;
  for (const other of document.querySelectorAll("#board .over")) if (other !== place) other.classList.remove("over");
  if (!place) return;
  event.preventDefault();
  place.classList.add("over");
});

document.addEventListener("drop", (event) => {
  const place = inHand ? under(event) : null;
  if (!place) return;
  event.preventDefault();
  const group = inHand.startsWith("g");
  if (place.dataset.to) send("move", group ? place.dataset.to : `hole ${place.dataset.to}`);
  else if (place.dataset.item) send("swap", place.dataset.item);
  else send(group ? "swap" : "move", place.dataset.group);
});

document.addEventListener("dragend", () => {
  inHand = "";
  for (const other of document.querySelectorAll("#board .over")) other.classList.remove("over");
});

// After every answer the one that was moved stays chosen, wherever it is now.
document.addEventListener("htmx:afterSettle", () => {
  if (!form()) return;
  const item = itemOf(picked);
  mode = "";
  if (item) {
    pick(picked);
    item.focus();
  } else pick("");
});

if (form()) show();
