// A list that is worked through by key. Arrow keys move the marked row, Enter presses its main action,
// a click marks. The focus stays where it is: in the search field, or on the list itself.
//
//   <input data-list-for="found">                       the field that filters the list (optional)
//   <div data-list id="found" data-q="mor">             data-q: what the rows were found for
//     <div data-row id="entry-12" aria-selected="true"> … <button data-primary>check in</button>
//
// A scanner types a number and Enter faster than an answer can come. Enter therefore waits for the rows that
// belong to what is typed, and then acts by itself only if there is exactly one: it never hits a row of the
// search before.

let waiting = null;      // the text whose answer Enter waits for
const kept = new Map();  // list id -> [data-q, id of the marked row], to survive a swap

const rowsOf = (list) => [...list.querySelectorAll("[data-row]")];
const markedIn = (list) => list.querySelector('[data-row][aria-selected="true"]');
const fieldFor = (list) => document.querySelector(`[data-list-for="${list.id}"]`);

function mark(list, row) {
  for (const other of rowsOf(list)) other.setAttribute("aria-selected", String(other === row));
  const holder = fieldFor(list) ?? list;
  if (row) holder.setAttribute("aria-activedescendant", row.id);
  else holder.removeAttribute("aria-activedescendant");
  kept.set(list.id, [list.dataset.q, row?.id]);
}

function move(list, step) {
  const rows = rowsOf(list);
  const at = rows.indexOf(markedIn(list));
  const row = rows[Math.max(0, Math.min(rows.length - 1, at + step))];
  if (!row) return;
  mark(list, row);
  row.scrollIntoView({ block: "nearest" });
}

function press(list) {
  markedIn(list)?.querySelector("[data-primary]")?.click();
}

function enter(list, field) {
  const typed = field?.value.trim();
  if (!field || !("q" in list.dataset) || list.dataset.q.trim() === typed) press(list);
  else waiting = typed;
}

document.addEventListener("keydown", (event) => {
  if (event.defaultPrevented || event.isComposing || event.ctrlKey || event.metaKey || event.altKey) return;
  const field = event.target.closest("[data-list-for]");
  const list = field ? document.getElementById(field.dataset.listFor) : event.target.closest("[data-list]");
  if (!list || (!field && event.target.matches("button, a, input, select, textarea"))) return;
  if (event.key === "ArrowDown") move(list, 1);
  else if (event.key === "ArrowUp") move(list, -1);
  else if (event.key === "Enter") enter(list, field);
  else {
    waiting = null;
    return;
  }
  event.preventDefault();
});

document.addEventListener("click", (event) => {
  const row = event.target.closest("[data-row]");
  const list = row?.closest("[data-list]");
  if (!list) return;
  mark(list, row);
  if (!event.target.closest("button, a, input, select, label")) fieldFor(list)?.focus();
});

// After the page arrives or a part of it is swapped: the same row stays marked while the search is the same,
// otherwise the first; and an Enter that was waiting for this answer is carried out.
function settle() {
  for (const list of document.querySelectorAll("[data-list]")) {
    const [q, id] = kept.get(list.id) ?? [];
    const same = q === list.dataset.q && rowsOf(list).find((row) => row.id === id);
    mark(list, same || markedIn(list) || rowsOf(list)[0]);
    const field = fieldFor(list);
    if (waiting === null || !field || list.dataset.q?.trim() !== waiting || field.value.trim() !== waiting) continue;
    waiting = null;
    if (rowsOf(list).length === 1) press(list);
  }
}

settle();
document.addEventListener("htmx:afterSettle", settle);
