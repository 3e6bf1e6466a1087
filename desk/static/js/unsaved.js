// Several forms on one page: saving one would drop what was typed into another. The first press says so and names the
// parts; the second goes on without them.

const changed = new Set();
let warned = null;

const partOf = (form) => form.closest("section")?.querySelector("h2")?.textContent.trim().toLowerCase() ?? "another part";

document.addEventListener("input", (event) => {
  const form = event.target.form;
  if (form?.closest("main")) changed.add(form);
  warned = null;
});

document.addEventListener("submit", (event) => {
  const others = [...changed].filter((form) => form !== event.target && form.isConnected);
  if (!others.length || warned === event.target) return;
  event.preventDefault();
  warned = event.target;
  const parts = [...new Set(others.map(partOf))].join(" and ");
  let line = document.getElementById("unsaved");
  line?.remove();
  line = document.createElement("p");
  Object.assign(line, { id: "unsaved", className: "said error", textContent: `Not saved yet: ${parts}. Save that first, or press again to go on without it.` });
  line.setAttribute("role", "alert");
  event.target.append(line);
});
