// A button that copies a text field. On a phone's plain http the clipboard is closed to scripts: then the field is
// selected and copied the old way, and if that fails too it stays selected for the keyboard.

function copied(field) {
  field.focus();
  field.select();
  return document.execCommand("copy");
}

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-copy]");
  if (!button) return;
  const field = document.getElementById(button.dataset.copy);
  let done = false;
  try {
    await navigator.clipboard.writeText(field.value);
    done = true;
  } catch {
    done = copied(field);
  }
  const said = document.querySelector("[data-copied]");
  if (said) said.textContent = done ? "Copied." : "Not copied: press Ctrl+C now.";
});
