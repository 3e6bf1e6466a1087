// The sheet to draw a hole on. The table of points holds the sketch: what is drawn is written into it, what is typed
// into it is drawn. The server checks and keeps the table; the shapes are those of events/course/sketch.py.
import { addRow } from "./course_rows.js";

const SVG = "http://www.w3.org/2000/svg";
const ORDER = ["water", "hazard", "road", "path", "trees", "out_of_bounds", "flight", "mandatory", "drop_zone", "tee", "target"];
const MARKS = { tee: "square", target: "dot", drop_zone: "triangle" };
const NAMES = { out_of_bounds: "OB", drop_zone: "DZ", hazard: "hazard", mandatory: "M" };
const PATTERNS = { water: "sk-waves", hazard: "sk-hatch" };
const FEWEST = { mark: 1, arrow: 2, line: 2, area: 3, dots: 1 };
const [WIDTH, HEIGHT] = [1000, 700];

const editor = document.querySelector("[data-sketch]");
const sheet = editor.querySelector("svg[role=application]");
const drawn = sheet.querySelector("[data-drawn]");
const handles = sheet.querySelector("[data-handles]");
const hint = editor.querySelector("[data-hint]");
const section = document.querySelector("form#sketch [data-rows]");
const history = [];
let begun = [];

const tools = Object.fromEntries([...editor.querySelectorAll("input[name=tool]")].map((input) => [input.value, input.dataset]));
const tool = () => editor.querySelector("input[name=tool]:checked").value;
const formOf = (name) => tools[name].form;

// --- The table ---------------------------------------------------------------------------------------------------------

const cell = (row, name) => row.querySelector(`[name$='-${name}']`);
const text = (points) => points.map((point) => point.join(",")).join(" ");

function read() {
  return [...section.querySelectorAll("tbody tr")].map((row) => ({
    row,
    tool: cell(row, "tool").value,
    points: [...cell(row, "points").value.matchAll(/(\d{1,4}),(\d{1,4})/g)].map((found) => [Number(found[1]), Number(found[2])]),
    label: cell(row, "label").value,
  }));
}

function write(row, name, points, label) {
  cell(row, "tool").value = name;
  cell(row, "points").value = text(points);
  if (label !== undefined) cell(row, "label").value = label;
}

function remember() {
  history.push(read().map(({ tool: name, points, label }) => ({ tool: name, points, label })));
}

function add(name, points) {
  remember();
  const lines = read();
  const same = formOf(name) === "mark" && name !== "drop_zone" && lines.find((line) => line.tool === name && line.points.length);
  const row = same ? same.row : (lines.find((line) => !line.points.length)?.row ?? addRow(section));
  write(row, name, points);
  draw();
}

function undo() {
  if (begun.length) {
    begun.pop();
    draw();
    return;
  }
  const before = history.pop();
  if (!before) return;
  read().forEach(({ row }, index) => {
    const line = before[index] ?? { tool: "tee", points: [], label: "" };
    write(row, line.tool, line.points, line.label);
  });
  draw();
}

// --- Drawing -----------------------------------------------------------------------------------------------------------

function element(name, attributes, words) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (words) made.textContent = words;
  return made;
}

function arrowHead([sx, sy], [ex, ey]) {
  const length = Math.max(Math.hypot(ex - sx, ey - sy), 1);
  const [ux, uy] = [(ex - sx) / length, (ey - sy) / length];
  const [bx, by] = [ex - 22 * ux, ey - 22 * uy];
  return text([[ex, ey], [bx - 11 * uy, by + 11 * ux], [bx + 11 * uy, by - 11 * ux]].map((point) => point.map(Math.round)));
}

function shapes({ tool: name, points }) {
  const form = formOf(name);
  const line = { class: `sk-${name}`, points: text(points) };
  const mark = (kind, [x, y]) => element("use", { class: `sk-${name}`, href: `#sk-${kind}`, x, y });
  if (form === "mark") return [mark(MARKS[name], points[0])];
  if (form === "dots") return points.map((point) => mark("dot", point));
  if (form === "area") return [element("polygon", { ...line, fill: `url(#${PATTERNS[name]})` })];
  if (form === "arrow") {
    const head = { class: "sk-mandatory arrow", points: arrowHead(...points) };
    return [element("polyline", line), element("polygon", head), mark("dot", points[0])];
  }
  const casing = name === "road" ? [element("polyline", { ...line, class: "sk-road casing" })] : [];
  return [...casing, element("polyline", line)];
}

function words({ tool: name, points, label }) {
  const said = [NAMES[name], label].filter(Boolean).join(" ");
  if (!said) return [];
  const middle = (axis) => Math.round(points.reduce((sum, point) => sum + point[axis], 0) / points.length);
  const form = formOf(name);
  let [x, y] = points[form === "line" ? Math.floor(points.length / 2) : 0];
  [x, y] = form === "area" ? [Math.max(middle(0) - 20, 4), Math.max(middle(1) + 8, 24)] : [x + 18, Math.max(y - 14, 24)];
  const end = x > WIDTH - 140;
  return [element("text", { class: `sk-words ${end ? "end" : "start"}`, x: end ? Math.min(x - 36, WIDTH - 6) : x, y }, said)];
}

function handle(line, number) {
  const [cx, cy] = line.points[number];
  const label = `${line.tool.replace("_", " ")}, point ${number + 1}: ${cx}, ${cy}`;
  const made = element("circle", { class: "handle", r: 11, cx, cy, tabindex: 0, role: "button", "aria-label": label });
  made.at = { row: line.row, number };
  return made;
}

function whole(line) {
  return line.points.length >= FEWEST[formOf(line.tool)];
}

function draw() {
  const lines = read().filter(whole).sort((one, other) => ORDER.indexOf(one.tool) - ORDER.indexOf(other.tool));
  drawn.replaceChildren(...lines.flatMap(shapes), ...lines.flatMap(words));
  if (begun.length) {
    drawn.append(element("polyline", { class: "begun", points: text(begun) }), ...begun.map(([cx, cy]) => element("circle", { class: "handle", r: 8, cx, cy })));
  }
  if (!dragging) handles.replaceChildren(...(begun.length ? [] : lines.flatMap((line) => line.points.map((_, number) => handle(line, number)))));
  const fewest = FEWEST[formOf(tool())];
  const count = `${begun.length} ${begun.length === 1 ? "point" : "points"}`;
  hint.textContent = !begun.length ? `${tool().replaceAll("_", " ")}: ${tools[tool()].how}`
    : begun.length < fewest ? `${count}; at least ${fewest}` : `${count}; Enter ends the line`;
}

// --- By mouse or finger ------------------------------------------------------------------------------------------------

let dragging = null;

function place(event) {
  const { x, y } = new DOMPoint(event.clientX, event.clientY).matrixTransform(sheet.getScreenCTM().inverse());
  return [Math.round(Math.min(Math.max(x, 0), WIDTH)), Math.round(Math.min(Math.max(y, 0), HEIGHT))];
}

function finish() {
  const points = begun.filter((point, index) => !index || text([point]) !== text([begun[index - 1]]));
  if (points.length < FEWEST[formOf(tool())]) return;
  begun = [];
  add(tool(), points);
}

function move({ row, number }, point) {
  const line = read().find((found) => found.row === row);
  line.points[number] = point;
  write(row, line.tool, line.points);
}

sheet.addEventListener("click", (event) => {
  if (event.target.at || event.detail > 1) return;
  begun.push(place(event));
  const form = formOf(tool());
  if (form === "mark" || (form === "arrow" && begun.length === 2)) finish();
  else draw();
});

sheet.addEventListener("dblclick", finish);

sheet.addEventListener("pointerdown", (event) => {
  if (!event.target.at) return;
  remember();
  dragging = event.target;
  dragging.setPointerCapture(event.pointerId);
});

sheet.addEventListener("pointermove", (event) => {
  if (!dragging) return;
  const point = place(event);
  move(dragging.at, point);
  dragging.setAttribute("cx", point[0]);
  dragging.setAttribute("cy", point[1]);
  draw();
});

for (const end of ["pointerup", "pointercancel"]) {
  sheet.addEventListener(end, () => { dragging = null; });
}

// --- By keys -----------------------------------------------------------------------------------------------------------

const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

function nudge(at, [dx, dy], far) {
  const { points } = read().find((line) => line.row === at.row);
  const [x, y] = points[at.number];
  remember();
  move(at, [Math.min(Math.max(x + dx * far, 0), WIDTH), Math.min(Math.max(y + dy * far, 0), HEIGHT)]);
}

function remove(at) {
  const line = read().find((found) => found.row === at.row);
  remember();
  line.points.splice(at.number, 1);
  write(at.row, line.tool, whole(line) ? line.points : []);
}

function focusAgain(at) {
  [...handles.children].find((made) => made.at.row === at.row && made.at.number === at.number)?.focus();
}

sheet.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const at = event.target.at;
  if (event.key === "Enter") finish();
  else if (event.key === "Escape") { begun = []; draw(); }
  else if (at && STEPS[event.key]) { nudge(at, STEPS[event.key], event.shiftKey ? 1 : 10); draw(); focusAgain(at); }
  else if (at && ["Delete", "Backspace"].includes(event.key)) { remove(at); draw(); sheet.focus(); }
  else return;
  event.preventDefault();
});

document.addEventListener("keydown", (event) => {
  const typing = event.target.matches("input:not([type=radio]), select, textarea");
  if (event.key.toLowerCase() === "z" && (event.ctrlKey || event.metaKey) && !typing) {
    event.preventDefault();
    undo();
  } else if (event.key === "Enter" && begun.length && !typing && !sheet.contains(event.target)) {
    event.preventDefault();
    finish();
  }
});

editor.addEventListener("change", () => { begun = []; draw(); });
section.addEventListener("input", draw);
draw();
