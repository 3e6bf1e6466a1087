// Typing a card: digits go straight to the next hole, questions wait in one line under the grid.
//
// Without this script the card is a plain form. The server reads, adds up and asks by itself; what is shown here is
// only sooner. Keys of questions are made as the server makes them, so that an answer given here counts there.

const grid = () => document.querySelector("form[data-card]");
const kept = () => new Set([...grid().querySelectorAll("input[name=sure]")].map((input) => input.value));
const rows = () => [...grid().querySelectorAll("tbody tr[data-entry]")];
const cellsOf = (row) => [...row.querySelectorAll("input[data-hole]")];
const writtenOf = (row) => row.querySelector("input[data-written]");
const penaltiesOf = (row) => grid().querySelector(`input[data-penalties="${row.dataset.entry}"]`);
// A locked card has no field for the additional throws: its row says them.
const additionalOf = (row) => Number(grid().querySelector(`input[data-additional="${row.dataset.entry}"]`)?.value ?? row.dataset.added) || 0;
// Throws that the table added are not in the total of whoever wrote the card: either total fits.
const fits = (row, written, total) => [total, total - additionalOf(row)].includes(Number(written));
const labelOf = (cell) => cell.getAttribute("aria-label");

let changed = false;   // something is typed that the laptop does not have yet
let typed = null;      // the hole whose figure the last key completed
let saving = false;    // Ctrl+Enter was pressed: the card goes off when the last question is answered

function figure(cell) {
  return /^\d{1,2}$/.test(cell.value) ? Number(cell.value) : null;
}

function go(input) {
  if (!input) return;
  input.focus();
  input.select();
}

function next(cell) {
  const row = cell.closest("tr");
  const cells = cellsOf(row);
  go(cells[cells.indexOf(cell) + 1] ?? writtenOf(row));
}

function back(cell) {
  const row = cell.closest("tr");
  const cells = cellsOf(row);
  const before = cell.matches("[data-written]") ? cells.at(-1) : cells[cells.indexOf(cell) - 1];
  go(before ?? cell);
  return before ?? cell;
}

function nextPlayer(row, step = 1) {
  return rows()[rows().indexOf(row) + step];
}

function below(cell, step) {
  const other = nextPlayer(cell.closest("tr"), step);
  if (!other) return;
  const at = cellsOf(cell.closest("tr")).indexOf(cell);
  go(at < 0 ? writtenOf(other) : cellsOf(other)[at]);
}

// --- Sums and questions ---------------------------------------------------------------------------------------

function sum(row) {
  const scores = cellsOf(row).map(figure);
  const written = scores.filter((score) => score !== null);
  const total = written.reduce((all, score) => all + score, 0) + additionalOf(row);
  return { total: written.length ? total : null, blanks: scores.length - written.length };
}

function oddWords(score, par) {
  const { askOver, askFrom } = grid().dataset;
  if (score === 1 && par >= 4) return `a 1 on a par ${par}?`;
  if (score >= Number(askFrom)) return `${score} throws?`;
  if (score >= par + Number(askOver)) return `${score === 8 ? "an" : "a"} ${score} on a par ${par}?`;
  return null;
}

function questionsOf(row) {
  const entry = row.dataset.entry;
  const found = [];
  for (const cell of cellsOf(row)) {
    const score = figure(cell);
    const words = score === null ? null : oddWords(score, Number(cell.dataset.par));
    if (words) found.push({ key: `t:${entry}:${cell.dataset.hole}:${score}`, words: `${labelOf(cell)}: ${words}`, at: cell });
  }
  const { total, blanks } = sum(row);
  const written = writtenOf(row).value.trim();
  if (!blanks && written && !fits(row, written, total)) {
    const gap = Number(written) - total;
    const words = `${row.dataset.name}: the card says ${written}, it adds up to ${total}: ${Math.abs(gap)} too ${gap > 0 ? "many" : "few"}.`;
    found.push({ key: `w:${entry}:${Number(written)}:${total}`, words, at: writtenOf(row) });
  }
  return found;
}

// Holes without a score are asked about only when the card is saved: while it is typed they are everywhere.
function blankQuestion() {
  const open = rows().filter((row) => "playing" in row.dataset && sum(row).blanks);
  if (!open.length) return [];
  const counts = open.map((row) => `${row.dataset.name} ${sum(row).blanks}`).join(", ");
  const key = `b:${open.map((row) => sum(row).blanks).join(",")}`;
  const at = cellsOf(open[0]).find((cell) => figure(cell) === null);
  return [{ key, words: `Holes without a score: ${counts}. Save it as it stands?`, at }];
}

function open() {
  const answered = kept();
  const all = rows().flatMap(questionsOf);
  // The total of a line is asked about when its cell is left, not while its second digit is still to come.
  const ready = all.filter((question) => saving || question.at !== document.activeElement || !question.at.matches("[data-written]"));
  return [...ready, ...(saving ? blankQuestion() : [])].filter((question) => !answered.has(question.key));
}

function show() {
  for (const row of rows()) {
    const { total, blanks } = sum(row);
    row.querySelector("[data-total]").textContent = total ?? "";
    const written = writtenOf(row).value.trim();
    writtenOf(row).parentElement.classList.toggle("differs", !blanks && written !== "" && !fits(row, written, total));
  }
  const asked = open();
  for (const cell of grid().querySelectorAll("td.odd")) cell.classList.remove("odd");
  for (const question of asked) if (question.at.matches("[data-hole]") && question.key.startsWith("t:")) question.at.parentElement.classList.add("odd");
  ask(asked[0], asked.length);
  return asked;
}

function ask(question, count) {
  const place = document.getElementById("ask");
  if (!place) return;
  // Questions that the server asked and this script did not think of stay until something is typed.
  if (!question && place.dataset.key === undefined) return;
  if (place.dataset.key === (question?.key ?? "") && place.dataset.count === String(count)) return;
  place.dataset.key = question?.key ?? "";
  place.dataset.count = String(count);
  place.replaceChildren();
  if (!question) return;
  const line = document.createElement("div");
  line.className = "ask";
  line.innerHTML = '<b></b><button type="button" data-keep><kbd>Enter</kbd> keep it</button><button type="button" data-mend><kbd>F2</kbd> mend it</button><span class="soft"></span>';
  line.querySelector("b").textContent = question.words;
  line.querySelector("span").textContent = count > 1 ? `1 of ${count} questions` : "";
  place.append(line);
}

function keep() {
  const question = open()[0];
  if (!question) return false;
  const input = document.createElement("input");
  Object.assign(input, { type: "hidden", name: "sure", value: question.key });
  document.getElementById("sure").append(input);
  const left = show();
  if (!saving) {
    if (question.at.matches("[data-written]") && document.activeElement === question.at) go(cellsOf(nextPlayer(question.at.closest("tr")) ?? question.at.closest("tr"))[0]);
  } else if (left.length) go(left[0].at);
  else grid().requestSubmit();
  return true;
}

function mend() {
  const question = open()[0];
  if (!question) return;
  saving = false;
  go(question.at);
  show();
}

// --- Keys -----------------------------------------------------------------------------------------------------

function put(cell, text) {
  cell.value = text;
  changed = true;
  saving = false;
}

function done(cell) {
  next(cell);
  typed = cell;
}

function digit(cell, key) {
  if (cell.value.startsWith(".") && cell.value.length < 3) {
    const text = cell.value + key;
    put(cell, text.length === 3 ? String(Number(text.slice(1)) || "") : text);
    if (text.length === 3 && cell.value) done(cell);
  } else if (key !== "0") {
    put(cell, key);
    done(cell);
  }
}

// One more penalty throw, up to three, then none: on the hole whose figure was just typed, else on the one with the
// cursor. The field below the grid holds them as text.
function penalty(here) {
  const cell = typed ?? here;
  const field = penaltiesOf(cell.closest("tr"));
  const label = labelOf(cell).split(", hole ").at(-1);
  const held = parseInt(cell.parentElement.dataset.penalty, 10) || ("penalty" in cell.parentElement.dataset ? 1 : 0);
  const count = (held + 1) % 4;
  if (count) cell.parentElement.dataset.penalty = count === 1 ? "P" : `${count}P`;
  else delete cell.parentElement.dataset.penalty;
  const others = field.value.split(/[\s,;]+/).filter((token) => token && token !== label && !token.startsWith(`${label}×`));
  field.value = [...others, ...(count ? [count === 1 ? label : `${label}×${count}`] : [])].join(" ");
  changed = true;
}

const HOLE_KEYS = {
  ".": (cell) => put(cell, "."),
  ",": (cell) => put(cell, "."),
  a: (cell) => { put(cell, String(Number(cell.dataset.par) + Number(grid().dataset.absence))); done(cell); },
  p: penalty,
  " ": (cell) => { put(cell, ""); next(cell); },
  "-": (cell) => { put(cell, ""); next(cell); },
  Backspace: (cell) => put(cell.value ? cell : back(cell), ""),
  Delete: (cell) => put(cell, ""),
  ArrowRight: next,
  ArrowLeft: back,
  Home: (cell) => go(cellsOf(cell.closest("tr"))[0]),
  End: (cell) => go(writtenOf(cell.closest("tr"))),
};

// A scanner types the address on a card wherever the cursor is: its first letter leads it to the search.
function scanned(key) {
  const find = document.getElementById("find");
  find.value = key;
  find.focus();
}

const BOTH_KEYS = {
  h: () => scanned("h"),
  H: () => scanned("H"),
  ArrowDown: (cell) => below(cell, 1),
  ArrowUp: (cell) => below(cell, -1),
  "/": () => go(document.getElementById("find")),
  F2: mend,
};

// A slash goes to the search, also out of a field that only figures belong in. Words may hold one, unless nothing is
// written yet; so may an address, which a scanner types wherever the cursor is.
const FIGURES = "[data-penalties], [data-additional], input.time, #radio input, [name=throws]";

function holdsSlash(field) {
  if (!field.matches("input:not([type=checkbox], [type=radio], [type=file]), textarea")) return false;
  return field.matches(FIGURES) ? /\p{L}{2}/u.test(field.value) : field.value !== "";
}

function enter(cell) {
  if (keep()) return;
  const row = cell.closest("tr");
  if (cell.matches("[data-written]")) {
    const other = nextPlayer(row);
    if (other) go(cellsOf(other)[0]);
    else document.querySelector("form[data-card] button.primary")?.focus();
    // Leaving the cell makes its total ready to be asked about.
    show();
  } else if (cellsOf(row).some((other) => other.value)) go(writtenOf(row));
  // An Enter after a total that was right already has nothing to do on the empty line that follows.
}

function inHole(cell, event) {
  const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  if (key !== "p" && key !== "Shift") typed = null;
  if (/^\d$/.test(key)) digit(cell, key);
  else if (key in HOLE_KEYS) HOLE_KEYS[key](cell);
  else if (event.key.length > 1) return;
  event.preventDefault();
}

function inWritten(cell, event) {
  if (/^p$/i.test(event.key) && typed && !cell.value) penalty(cell);
  else if (event.key === "ArrowLeft" && !cell.value) back(cell);
  else if (event.key === "Backspace" && !cell.value) back(cell);
  else if (event.key.length > 1 || (/^\d$/.test(event.key) && !isFull(cell))) return;
  event.preventDefault();
}

// A total has two figures, or three when it begins with a one: then the next player's line can be typed at once, and
// a total that differs is asked about there.
function isWhole(total) {
  return total.length >= (total.startsWith("1") ? 3 : 2);
}

function isFull(cell) {
  return isWhole(cell.value) && cell.selectionStart === cell.selectionEnd;
}

document.addEventListener("keydown", (event) => {
  if (event.defaultPrevented || event.isComposing || event.ctrlKey || event.metaKey || event.altKey) return;
  const cell = event.target.closest?.("form[data-card] input[data-hole], form[data-card] input[data-written]");
  if (!cell) {
    if (event.key === "/" && !holdsSlash(event.target)) { event.preventDefault(); go(document.getElementById("find")); }
    else if (grid() && event.key === "Enter" && event.target.matches("form[data-card] input")) { event.preventDefault(); keep(); }
    else if (grid() && event.key === "Enter" && !event.target.matches("input, textarea, button, a, summary, select") && keep()) event.preventDefault();
    return;
  }
  if (cell.readOnly && !/^Arrow|^Home$|^End$|^\/$/.test(event.key)) return;
  if (event.key === "Enter") { event.preventDefault(); enter(cell); }
  else if (event.key in BOTH_KEYS) { event.preventDefault(); BOTH_KEYS[event.key](cell); }
  else if (cell.matches("[data-hole]")) inHole(cell, event);
  else inWritten(cell, event);
  show();
});

document.addEventListener("input", (event) => {
  const form = event.target.closest?.("form[data-card]");
  if (!form) return;
  changed = true;
  saving = false;
  const row = event.target.closest("tr[data-entry]");
  // A total that agrees needs no Enter; one that does not is asked about when the cell is left.
  if (event.target.matches("[data-written]")) {
    const { total, blanks } = sum(row);
    const other = nextPlayer(row);
    if (!blanks && other && (Number(event.target.value) === total || isWhole(event.target.value))) go(cellsOf(other)[0]);
  } else if (event.target.matches("[data-hole]") && /^[1-9]$/.test(event.target.value)) next(event.target);
  show();
});

document.addEventListener("pointerdown", () => { typed = null; });

document.addEventListener("focusin", (event) => {
  if (event.target.matches?.("form[data-card] input[data-hole]")) event.target.select();
  if (event.target.closest?.("form[data-card]")) show();
});

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-keep]")) keep();
  else if (event.target.closest("[data-mend]")) mend();
});

// --- Sending --------------------------------------------------------------------------------------------------

// Before the script of the page exchange sees it: as long as a question is open, the card stays here.
document.addEventListener("submit", (event) => {
  if (!event.target.matches("form[data-card]")) return;
  saving = true;
  const asked = show();
  if (!asked.length) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  go(asked[0].at);
}, true);

document.addEventListener("htmx:beforeOnLoad", (event) => {
  if (event.target.matches?.("form[data-card]") && event.detail.xhr.status < 300) changed = false;
});

window.addEventListener("beforeunload", (event) => {
  if (changed) event.preventDefault();
});

function settle() {
  if (!grid()) return;
  saving = false;
  show();
}

document.addEventListener("htmx:afterSettle", (event) => {
  if (event.target.id === "card") settle();
});
// Digits that were typed before this script was there lie together in one cell: type them again.
function typedAhead() {
  const cell = document.activeElement;
  if (!cell?.matches("form[data-card] input[data-hole]") || cell.value === cell.defaultValue) return;
  const keys = cell.value;
  cell.value = cell.defaultValue;
  for (const key of keys) document.activeElement.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }));
}

settle();
typedAhead();
