// The pieces that a group's screens are made of.

// h("p", { class: "soft" }, "text", node): an element; what is null or false is left out, data goes in as text.
export function h(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === false || value === undefined) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat(3).filter((child) => child !== null && child !== false && child !== undefined && child !== ""));
  return element;
}

export const hash = {
  hole: (hole) => `#hole-${encodeURIComponent(hole.label)}`,
  card: "#card", yes: "#scores", who: "#phone", ruling: "#ruling", danger: "#danger",
};

export function list(words) {
  return words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;
}

export function hazards(rows) {
  return rows.map(([bold, rest]) => h("p", { class: "notice" }, h("b", {}, bold), " ", rest));
}

// "Hole 5, Moravec: this phone 3, Ilves’s phone 4. Who is right?", one large button for each figure.
export function question(hole, player, sides, decide) {
  const said = sides.map((side) => `${list(side.names)} ${side.throws}`).join(", ");
  return h("div", { class: "group-ask", role: "group", "aria-label": `Hole ${hole.label}, ${player.short}: who is right?` },
    h("p", {}, h("b", {}, `Hole ${hole.label}, ${player.short}: ${said}.`), " Who is right?"),
    h("div", { class: "sides" }, sides.map((side) =>
      h("button", { type: "button", onclick: () => decide(side) }, h("b", {}, String(side.throws)), h("span", {}, list(side.names))))));
}

export function footer(buttons, sending) {
  return [h("div", { class: "buttons" }, buttons), h("p", { class: sending.needs ? "sending needs" : "sending", role: "status", id: "sending" }, sending.words)];
}

export function link(address, words, kind = "") {
  return h("a", { class: `button ${kind}`.trim(), href: address }, words);
}
