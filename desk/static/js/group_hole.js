// One hole: what it asks for, who throws next, and one tap for each player.

import { h, hash, hazards, link, question } from "./group_parts.js";
import { choices, sides, throwingOrder, toPar } from "./group_score.js";

export function holeScreen(view, at) {
  const { told, rounds } = view;
  const hole = told.holes[at];
  const order = throwingOrder(told.players, rounds, at);
  return {
    title: `Hole ${hole.label}`,
    heading: [
      h("h1", { class: "hole", tabindex: "-1" }, `Hole ${hole.label}`),
      h("p", { class: "aside" }, h("b", {}, `par ${hole.par}`), hole.length),
    ],
    content: [
      ...answers(told.messages, hole),
      ...hazards(hole.hazards),
      hole.note && h("p", { class: "notice" }, h("b", {}, hole.note)),
      ...hole.words.map(([heading, text]) => h("p", { class: "notice" }, h("b", {}, `${heading}.`), " ", text)),
      hole.more.length > 0 && h("details", { class: "more", id: `more-${at}` }, h("summary", {}, `More about hole ${hole.label}`),
        hole.more.map(([heading, text]) => h("p", {}, h("b", {}, `${heading}.`), " ", text))),
      at > 0 && order === null && h("p", { class: "soft" }, `Who throws first: known once hole ${told.holes[at - 1].label} is written.`),
      ...told.players.map((player, index) => picked(view, at, index, order)),
      h("p", { class: "buttons asking" }, link(hash.ruling, "Ask for a ruling"), link(hash.danger, "Report a danger")),
    ],
    buttons: [
      at > 0 ? link(hash.hole(told.holes[at - 1]), `Back to ${told.holes[at - 1].label}`) : link(hash.who, "Group"),
      link(hash.card, "Card"),
      at + 1 < told.holes.length ? link(hash.hole(told.holes[at + 1]), `Next: ${told.holes[at + 1].label}`, "primary") : link(hash.yes, "Totals", "primary"),
    ],
  };
}

// What the desk said: of a danger on every hole, since nobody looks for it; of a ruling on its own hole.
function answers(messages, hole) {
  const said = messages.filter((each) => each.answer);
  const danger = said.filter((each) => each.kind === "danger").slice(-1);
  const rulings = said.filter((each) => each.kind === "ruling" && each.hole === hole.label);
  return [...danger, ...rulings].map((each) => h("p", { class: "notice", role: "status" },
    h("b", {}, `The desk, ${each.answered}, on the ${each.kind}${each.hole ? ` at hole ${each.hole}` : ""}:`), ` ${each.answer}`));
}

function place(order, index) {
  const step = order?.indexOf(index) ?? -1;
  return step === 0 ? "throws first" : step > 0 ? `throws ${["second", "third", "fourth", "fifth", "sixth"][step - 1] ?? `as number ${step + 1}`}` : "";
}

function picked(view, at, index, order) {
  const hole = view.told.holes[at];
  const player = view.told.players[index];
  const one = view.rounds[index].cells[at];
  const standing = [player.status || place(order, index), toPar(view.rounds[index].toPar)].filter(Boolean).join(" · ");
  return h("fieldset", { class: "pick", id: `pick-${player.entry}`, disabled: one.typed },
    h("legend", {}, h("span", {}, player.name), h("span", { class: "soft" }, standing)),
    h("div", { class: "figures" }, figures(view, hole, player, one), other(view, hole, player, one)),
    view.typing === player.entry && !one.typed && typing(view, hole, player, one),
    one.differs && question(hole, player, sides(one), (side) => view.decide(player, hole, side)),
    origin(one, player));
}

function figures(view, hole, player, one) {
  return choices(hole.par).map((throws) => h("label", { class: throws === hole.par ? "par" : null },
    h("input", {
      type: "radio", name: `hole-${at(view, hole)}-${player.entry}`, id: `throws-${player.entry}-${throws}`, value: throws,
      checked: one.throws === throws, onchange: () => view.score(player, hole, throws),
      "aria-label": `${player.name}: ${throws}${throws === hole.par ? ", par" : ""}`,
    }), h("span", {}, String(throws))));
}

const at = (view, hole) => view.told.holes.indexOf(hole);

// Anything that is not among the six, and taking a figure away again.
function other(view, hole, player, one) {
  const six = choices(hole.par);
  const beyond = one.throws !== null && !six.includes(one.throws);
  return h("button", {
    type: "button", class: beyond ? "other chosen" : "other", id: `other-${player.entry}`, "aria-expanded": String(view.typing === player.entry),
    "aria-label": `${player.name}: another figure${beyond ? `, now ${one.throws}` : ""}`, onclick: () => view.type(player.entry),
  }, beyond ? String(one.throws) : `${six.at(-1) + 1}…`);
}

function typing(view, hole, player, one) {
  const keep = (event) => {
    event.preventDefault();
    const throws = Number(event.target.elements.throws.value);
    if (Number.isInteger(throws) && throws >= 1 && throws <= 30) view.score(player, hole, throws);
  };
  return h("form", { class: "typing", onsubmit: keep },
    h("label", { for: `typed-${player.entry}` }, `Throws of ${player.short} with penalty throws, 1 to 30`),
    h("div", { class: "line" },
      h("input", { id: `typed-${player.entry}`, name: "throws", type: "number", inputmode: "numeric", min: "1", max: "30", required: true, value: one.throws }),
      h("button", { class: "primary" }, "Write it"),
      (one.throws !== null || one.differs) && h("button", { type: "button", onclick: () => view.score(player, hole, null) }, "No figure")));
}

// Where a figure comes from when it was not typed here.
function origin(one, player) {
  if (one.typed && one.mine !== null && one.mine !== one.throws) return h("p", { class: "needs" }, `The desk has ${one.throws ?? "nothing"} from the paper card, this phone ${one.mine}. If the paper is wrong, ask for a ruling.`);
  if (one.typed) return h("p", { class: "soft" }, "As on the paper card at the desk. If it is wrong, ask for a ruling.");
  const others = one.said.filter((each) => !each.mine && each.throws !== null);
  if (!one.differs && one.mine === null && others.length) return h("p", { class: "soft" }, `From ${others[0].name}`);
  return player.rulings.length > 0 && h("p", { class: "soft" }, player.rulings.join(" "));
}
