// Tables of rows that may grow: "another row" copies the template beside the table and counts it in.

export function addRow(section) {
  const total = section.querySelector("input[name$='-TOTAL_FORMS']");
  const body = section.querySelector("tbody");
  const row = section.querySelector("template").content.querySelector("tr").cloneNode(true);
  const number = Number(total.value);
  for (const element of row.querySelectorAll("*")) {
    for (const name of ["id", "name", "for"]) {
      const value = element.getAttribute(name);
      if (value) element.setAttribute(name, value.replace("__prefix__", number));
    }
    if (element.tagName === "LABEL") element.textContent = element.textContent.replace(" new,", ` ${number + 1},`);
  }
  row.querySelector("th").textContent = number + 1;
  body.append(row);
  total.value = number + 1;
  return row;
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-add]");
  if (!button) return;
  addRow(button.closest("[data-rows]")).querySelector("input, select").focus();
});
