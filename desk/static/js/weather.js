// The line of readings takes a pasted block, so it is a text area: Enter sends it, Shift+Enter begins another line.

document.addEventListener("keydown", (event) => {
  const line = event.target.closest?.("[data-line]");
  if (!line || event.key !== "Enter" || event.shiftKey || event.isComposing) return;
  event.preventDefault();
  line.form.requestSubmit();
});

function grow(line) {
  line.rows = Math.min(12, line.value.split("\n").length);
}

document.addEventListener("input", (event) => {
  if (event.target.matches("[data-line]")) grow(event.target);
});
for (const line of document.querySelectorAll("[data-line]")) grow(line);
