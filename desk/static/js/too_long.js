// A browser cuts off what a field does not hold without a word, above all what is pasted: say what was left out.

const FEWEST = 20;   // letters: shorter fields hold figures and codes, whose end is seen

function say(field, words) {
  const id = `${field.id || field.name}-left-out`;
  const line = document.getElementById(id);
  if (!words) { line?.remove(); return; }
  if (line) { line.textContent = words; return; }
  const made = Object.assign(document.createElement("p"), { id, className: "needs", textContent: words });
  made.setAttribute("role", "status");
  (field.closest("label") ?? field).after(made);
}

document.addEventListener("beforeinput", (event) => {
  const field = event.target;
  if (!(field.maxLength >= FEWEST)) return;
  const typed = event.data ?? "";
  const room = Math.max(0, field.maxLength - field.value.length + (field.selectionEnd - field.selectionStart));
  const out = typed.slice(room);
  say(field, out ? `This holds ${field.maxLength} letters: “${out.slice(0, 40)}${out.length > 40 ? "…" : ""}” was left out.` : "");
});
