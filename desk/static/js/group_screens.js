// The screens beside the holes: whose phone, the whole card, the scores of each player, questions to the desk.

import { h, hash, hazards, link, question } from "./group_parts.js";
import { nextHole, sides, toPar } from "./group_score.js";

const goOn = (view) => {
  const at = nextHole(view.told, view.rounds);
  return at < view.told.holes.length ? link(hash.hole(view.told.holes[at]), `Hole ${view.told.holes[at].label}`, "primary") : link(hash.yes, "Totals", "primary");
};

function heading(view, words) {
  const { told } = view;
  return [h("h1", { tabindex: "-1" }, words), h("p", { class: "aside" }, h("b", {}, told.starts), `from hole ${told.start}`)];
}

export function whoScreen(view) {
  const { told } = view;
  const choose = (name) => () => view.own(name);
  return {
    title: "Whose phone",
    heading: heading(view, `Group ${told.group}`),
    content: [
      h("p", {}, h("b", {}, "Whose phone is this?"), view.phone ? ` Now: ${view.phone}.` : " When two phones of the group differ, the question names them."),
      h("div", { class: "choices" },
        told.players.map((player) => h("button", { type: "button", onclick: choose(`${player.short}’s phone`) }, player.name)),
        h("button", { type: "button", onclick: choose("a caddie’s phone") }, "Somebody else’s")),
      h("p", { class: "soft" }, `${told.event}, round ${told.round}. ${told.layout}, ${told.holes.length} holes, par ${told.par}.${told.second ? " Second group on the hole: you tee off second." : ""}`),
      ...hazards(told.hazards), told.caution && h("p", { class: "soft" }, told.caution),
    ],
    buttons: view.phone ? [goOn(view)] : [],
  };
}

function holeLink(view, hole, at) {
  const open = view.told.players.some((player, index) => !player.status && view.rounds[index].cells[at].throws === null);
  return h("a", { href: hash.hole(hole), "aria-label": `Hole ${hole.label}${open ? ", not complete" : ""}` }, hole.label);
}

export function cardScreen(view) {
  const { told, rounds } = view;
  return {
    title: "Whole card",
    heading: heading(view, `Group ${told.group}`),
    content: [
      refusals(view),
      h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "The whole card" }, h("table", { class: "list dense whole" },
        h("thead", {}, h("tr", {}, h("th", { scope: "col" }, "hole"), h("th", { scope: "col", class: "num" }, "par"),
          told.players.map((player) => h("th", { scope: "col", class: player.short.length > 12 ? "num long" : "num" }, player.short)))),
        h("tbody", {}, told.holes.map((hole, at) => h("tr", {}, h("th", { scope: "row" }, holeLink(view, hole, at)), h("td", { class: "num" }, String(hole.par)),
          rounds.map((line) => shown(line.cells[at]))))),
        h("tfoot", {}, [["throws", (line) => (line.played ? String(line.total) : "–")], ["to par", (line) => toPar(line.toPar)]].map(([words, value]) =>
          h("tr", {}, h("th", { scope: "row", colspan: "2" }, words), rounds.map((line) => h("td", { class: "num" }, h("b", {}, value(line))))))))),
      h("p", { class: "soft" }, "Tap a hole’s number to go there. A dot marks what the desk has not heard yet."),
      messages(view),
      h("p", { class: "buttons asking" }, link(hash.ruling, "Ask for a ruling"), link(hash.danger, "Report a danger")),
    ],
    buttons: [link(hash.who, "Group"), link(hash.yes, "Totals"), goOn(view)],
  };
}

function shown(one) {
  const words = one.differs ? sides(one).map((side) => side.throws).join(" or ") : one.throws === null ? "–" : String(one.counts);
  return h("td", { class: one.differs ? "num needs" : "num" }, words, one.waiting && h("span", { class: "unheard" }, "·", h("span", { class: "unseen" }, " not sent yet")));
}

export function yesScreen(view) {
  const { told } = view;
  return {
    title: "Totals",
    heading: heading(view, "Totals"),
    content: [
      told.verified && h("p", { class: "said" }, "The card room has verified this card. What is typed now is kept beside it, and where it differs the desk decides."),
      refusals(view),
      h("p", {}, "Each player looks at the own holes and total. A yes is evidence for the desk; the rules ask for no signature."),
      ...told.players.map((player, index) => own(view, player, view.rounds[index])),
    ],
    buttons: [link(hash.hole(told.holes.at(-1)), `Back to ${told.holes.at(-1).label}`), link(hash.card, "Card")],
  };
}

function own(view, player, line) {
  const { told } = view;
  const differing = told.holes.map((hole, at) => line.cells[at].differs && question(hole, player, sides(line.cells[at]), (side) => view.decide(player, hole, side)));
  return h("section", { class: "own" },
    h("h2", {}, player.name, h("span", { class: "total" }, line.played ? `${line.total} · ${toPar(line.toPar)}` : "–")),
    h("ol", { class: "holes" }, told.holes.map((hole, at) => h("li", { class: line.cells[at].throws === null ? "needs" : null }, h("small", {}, hole.label), h("b", {}, String(line.cells[at].counts ?? "–"))))),
    player.rulings.length > 0 && h("p", { class: "soft" }, `Rulings: ${player.rulings.join(" ")}`),
    ...differing,
    said(view, player, line));
}

function said(view, player, line) {
  const waiting = view.acts.findLast((act) => act.kind === "confirm" && act.entry === player.entry);
  const yes = view.told.yes.find((each) => each.entry === player.entry);
  const missing = view.told.holes.filter((_, at) => line.cells[at].throws === null).map((hole) => hole.label);
  if (player.status) return h("p", { class: "soft" }, player.status);
  if (missing.length) return h("p", { class: "soft" }, missing.length > 6 ? `${missing.length} holes are missing.` : `Missing: hole ${missing.join(", ")}.`);
  if (waiting && waiting.total === line.written) return h("p", { class: "soft" }, `${player.short} said yes to ${waiting.total}, not sent yet.`);
  if (yes?.holds && yes.total === line.written) return h("p", {}, h("b", {}, `${player.short} said yes to ${yes.total}.`), ` ${yes.words}`);
  return [
    yes && h("p", { class: "needs" }, `${player.short} said yes to ${yes.total} (${yes.words}); it was changed since.`),
    h("p", { class: "buttons" }, h("button", { type: "button", class: "primary", id: `yes-${player.entry}`, onclick: () => view.confirm(player, line) }, `${player.short}: my ${line.written} is right`)),
  ];
}

function refusals(view) {
  if (!view.refused.length) return null;
  const words = (act) => {
    const player = view.told.players.find((each) => each.entry === act.entry);
    const what = act.kind === "score" ? `hole ${act.hole}: ${act.throws ?? "no figure"}` : act.kind === "confirm" ? "yes to the scores" : act.words;
    return `${player ? `${player.short}, ` : ""}${what}. ${act.why}`;
  };
  return h("section", { class: "said error", role: "alert" }, h("p", {}, h("b", {}, "Not taken by the desk:")),
    view.refused.map((act) => h("p", {}, words(act), " ", h("button", { type: "button", class: "link", onclick: () => view.forget(act) }, "put away"))));
}

function messages(view) {
  const waiting = view.acts.filter((act) => act.kind === "ruling" || act.kind === "danger");
  if (!waiting.length && !view.told.messages.length) return null;
  const what = (each) => `${each.kind === "danger" ? "Danger" : "Ruling"}${each.hole ? `, hole ${each.hole}` : ""}`;
  return h("section", {}, h("h2", {}, "Asked at the desk"), h("ul", { class: "messages" },
    view.told.messages.map((each) => h("li", {}, h("p", {}, h("b", {}, what(each)), ` ${each.at}: ${each.who ? `${each.who}. ` : ""}${each.text}`),
      each.answer ? h("p", { class: "answer" }, h("b", {}, `The desk, ${each.answered}:`), ` ${each.answer}`) : h("p", { class: "soft" }, "At the desk, not answered yet."))),
    waiting.map((each) => h("li", {}, h("p", {}, h("b", {}, what(each)), ` ${each.words}`), h("p", { class: "needs" }, "Not sent yet: find an official if it cannot wait.")))));
}

export function askScreen(view, kind) {
  const { told } = view;
  const danger = kind === "danger";
  const send = (event) => {
    event.preventDefault();
    const { who, hole, words } = event.target.elements;
    view.ask(kind, who?.value ? Number(who.value) : null, hole.value, words.value.trim());
  };
  return {
    title: danger ? "Report a danger" : "Ask for a ruling",
    heading: heading(view, danger ? "Report a danger" : "Ask for a ruling"),
    content: [
      danger ? h("p", { class: "notice" }, h("b", {}, "If somebody is hurt or in danger, call for help first."), " This reaches the desk only while the phone does.")
        : h("p", { class: "soft" }, "The group decides first, by majority; whoever disagrees asks an official (Official Rules 2025, 801.03). A score can be put right afterwards."),
      h("form", { class: "asking-form", onsubmit: send },
        !danger && h("label", {}, "About whom", h("select", { name: "who" }, h("option", { value: "" }, "the whole group"), told.players.map((player) => h("option", { value: player.entry }, player.name)))),
        h("label", {}, "Hole", h("select", { name: "hole" }, h("option", { value: "" }, "none in particular"), told.holes.map((hole) => h("option", { value: hole.label, selected: hole.label === view.lastHole }, hole.label)))),
        h("label", {}, danger ? "What is dangerous, and where" : "What happened, in a few words", h("textarea", { name: "words", id: `words-${kind}`, rows: "4", maxlength: "500", required: true })),
        h("p", { class: "buttons" }, h("button", { class: "primary" }, danger ? "Report it to the desk" : "Ask the desk"))),
      messages(view),
    ],
    buttons: [link(hash.card, "Card"), goOn(view)],
  };
}
