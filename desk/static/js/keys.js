// Keys that are written on the page work on the page: an element with data-key="F2" is clicked by F2.
//
//   data-key="F2"  "ctrl+Enter"  "ctrl+z"  "p"  "Escape"     (⌘ counts as ctrl)
//   data-anywhere   a plain key that also works while a field has the focus (the Enter of a question line)
//
// Plain letters and Enter never fire while somebody types. Inside a list (data-list) only the selected row listens.

const TYPES_TEXT = "input:not([type=checkbox]):not([type=radio]):not([type=button]):not([type=submit]), textarea, select, [contenteditable]";

function nameOf(event) {
  const held = (event.ctrlKey || event.metaKey ? "ctrl+" : "") + (event.altKey ? "alt+" : "");
  return (held + event.key).toLowerCase();
}

function listens(element) {
  const row = element.closest("[data-row]");
  return !element.disabled && element.checkVisibility() && (!row || row.getAttribute("aria-selected") === "true");
}

// Ctrl+Z belongs to the field as long as there is something typed in it to take back.
function belongsToField(event, field, name) {
  if (!field) return false;
  if (name === "ctrl+z") return field.value !== "" && field.value !== field.defaultValue;
  return !name.includes("+") && !/^f\d+$/.test(name) && name !== "escape";
}

document.addEventListener("keydown", (event) => {
  if (event.defaultPrevented || event.isComposing || event.repeat) return;
  const name = nameOf(event);
  const focus = document.activeElement;
  const field = focus?.matches(TYPES_TEXT) ? focus : null;
  const wanted = [...document.querySelectorAll("[data-key]")].find(
    (element) =>
      element.dataset.key.toLowerCase() === name &&
      listens(element) &&
      (!belongsToField(event, field, name) || "anywhere" in element.dataset),
  );
  // Enter on a button or link that has the focus presses that one, not another.
  if (!wanted || (name === "enter" && focus?.matches("button, a, summary"))) return;
  event.preventDefault();
  wanted.click();
});
