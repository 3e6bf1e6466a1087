// The check-in table: rows of an older search never replace those of a newer one, and after each act the next
// name can be typed at once.

// Rows answer to keys as soon as they are there: a key pressed at once would send the form without htmx.
window.htmx.config.defaultSettleDelay = 0;

const field = () => document.getElementById("find");

// Answers may overtake each other: rows belong to the text in the field, or they are left out.
document.addEventListener("htmx:oobBeforeSwap", (event) => {
  const rows = event.detail.fragment.querySelector?.("#found");
  if (rows && rows.dataset.q !== field().value.trim().slice(0, 100)) event.detail.shouldSwap = false;
});

// The row in hand stays among the rows when another desk changes something.
document.addEventListener("htmx:configRequest", (event) => {
  const row = document.querySelector('#found [data-row][aria-selected="true"]');
  if (row && event.detail.elt.closest("#standing")) event.detail.parameters.keep = row.id.replace("entry-", "");
});

// What was typed stays readable, is replaced by the next key, and Ctrl+Z means the act, not the letters.
function ready() {
  const find = field();
  find.defaultValue = find.value;
  find.focus();
  find.select();
}

document.addEventListener("htmx:oobAfterSwap", (event) => {
  if (event.detail.target.id !== "happened") return;
  const typed = field().value.trim();
  const rows = document.getElementById("found");
  if (rows.dataset.q === typed || document.activeElement === document.body) ready();
});

document.addEventListener("click", (event) => {
  if (!event.target.closest("[data-leave-ask]")) return;
  event.preventDefault();
  document.getElementById("ask").replaceChildren();
  ready();
});

// The amount is there already: the first key replaces it.
document.addEventListener("htmx:afterSwap", (event) => {
  if (event.detail.target.id === "ask") document.getElementById("answer")?.select();
});

document.getElementById("answer")?.focus();

// Whoever was entered by hand stands in the field, and the next name replaces them. What was typed before the page's
// scripts were there is searched for now.
window.addEventListener("load", () => {
  const text = field().value.trim();
  if (!text) return;
  if (document.getElementById("found").dataset.q === text) field().select();
  else field().dispatchEvent(new Event("input", { bubbles: true }));
});
