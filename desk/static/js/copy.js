// A button that copies a text field. The old way comes first: it also works over plain http, where the clipboard is
// closed to scripts, and never waits for a permission. If it fails the field stays selected for the keyboard.

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-copy]");
  if (!button) return;
  const field = document.getElementById(button.dataset.copy);
  field.focus();
  field.select();
  const done = document.execCommand("copy");
  const said = document.querySelector("[data-copied]");
  if (said) said.textContent = done ? "Copied." : "Not copied: press Ctrl+C now.";
});
