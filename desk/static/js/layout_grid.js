// The layout grid: arrows move in a column, rows pasted from a spreadsheet fill the cells, sums below.
const table = document.querySelector("table[data-grid]");
const rows = [...table.tBodies[0].rows].map((row) => [...row.querySelectorAll("input")]);

function focus(row, column) {
  const cell = rows[row]?.[column];
  if (cell) { cell.focus(); cell.select(); }
}

function place(cell) {
  const row = rows.findIndex((cells) => cells.includes(cell));
  return [row, row < 0 ? -1 : rows[row].indexOf(cell)];
}

function sum() {
  for (const [name, column] of [["par", 1], ["length", 2]]) {
    const figures = rows.filter((cells) => cells[0].value.trim()).map((cells) => cells[column].value.trim());
    const missing = figures.some((figure) => !/^\d+$/.test(figure));
    const total = figures.reduce((before, figure) => before + (Number(figure) || 0), 0);
    table.querySelector(`[data-sum="${name}"]`).textContent = missing ? "–" : total;
  }
}

table.addEventListener("keydown", (event) => {
  const step = { ArrowUp: -1, ArrowDown: 1, Enter: 1 }[event.key];
  if (!step || event.ctrlKey || event.metaKey) return;
  const [row, column] = place(event.target);
  if (row < 0) return;
  event.preventDefault();
  focus(row + step, column);
});

table.addEventListener("paste", (event) => {
  const text = event.clipboardData.getData("text");
  if (!text.includes("\t") && !text.trim().includes("\n")) return;
  const [row, column] = place(event.target);
  if (row < 0) return;
  event.preventDefault();
  text.replace(/\r/g, "").replace(/\n$/, "").split("\n").forEach((line, down) => {
    line.split("\t").forEach((figure, right) => {
      const cell = rows[row + down]?.[column + right];
      if (cell) cell.value = figure.trim();
    });
  });
  sum();
});

table.addEventListener("input", sum);
sum();
