// A group's card as its phone counts it: what the laptop has told, with what it has not heard yet laid over it.
// Nothing here draws or sends.

// One player's hole. `said` are the figures of the phones that nobody overruled; `throws` null: missing, or they differ.
export function cell(told, acts, device, player, hole) {
  const held = told.cells.find((each) => each.entry === player.entry && each.hole === hole.label);
  let said = (held?.said ?? []).map((each) => ({ ...each, mine: each.device === device }));
  let waiting = false;
  for (const act of acts) {
    if (act.kind !== "score" || act.entry !== player.entry || act.hole !== hole.label) continue;
    said = said.filter((each) => !each.mine && !act.over.includes(each.key));
    said.push({ key: act.key, name: "", throws: act.throws, mine: true });
    waiting = true;
  }
  const figures = [...new Set(said.map((each) => each.throws).filter((throws) => throws !== null))];
  const typed = held?.typed ?? false;
  const throws = typed ? player.throws[hole.index] : figures.length === 1 ? figures[0] : null;
  return { throws, typed, said, waiting, differs: !typed && figures.length > 1, mine: said.find((each) => each.mine)?.throws ?? null };
}

// The figures that differ, each with whose it is: [{ throws, names, mine, keys }].
export function sides(one) {
  const found = new Map();
  for (const each of one.said) {
    if (each.throws === null) continue;
    const side = found.get(each.throws) ?? { throws: each.throws, names: [], mine: false, keys: [] };
    side.names.push(each.mine ? "this phone" : each.name);
    side.mine ||= each.mine;
    side.keys.push(each.key);
    found.set(each.throws, side);
  }
  return [...found.values()].sort((one, other) => Number(other.mine) - Number(one.mine) || one.throws - other.throws);
}

// One player's round so far. `total` has the rulings in it, a hole's with its score and one on the total from the first
// hole on; `written` is what the group wrote, which is what the player says yes to.
export function round(told, acts, device, player) {
  const line = { cells: [], total: 0, written: player.additional, par: 0, played: 0 };
  for (const hole of told.holes) {
    const one = cell(told, acts, device, player, hole);
    const [written, counts] = [player.throws[hole.index], player.counts[hole.index]];
    const ruled = written !== null && counts !== null ? counts - written : 0;
    line.cells.push({ ...one, counts: one.throws === null ? null : one.throws + ruled });
    if (one.throws === null) continue;
    line.total += one.throws + ruled;
    line.written += one.throws;
    line.par += hole.par;
    line.played += 1;
  }
  if (line.played) line.total += player.on_total;
  line.complete = line.played === told.holes.length;
  line.toPar = line.played ? line.total - line.par : null;
  return line;
}

// Who throws when on the hole at `at` in the order of play: lowest score on the hole before first, as it counts with
// its rulings; ties keep their order, card order on the first tee (Official Rules 2025, 802.02). Null while a score of
// the hole before is missing.
export function throwingOrder(players, rounds, at) {
  let order = players.map((_, index) => index).filter((index) => !players[index].status);
  for (let before = 0; before < at; before += 1) {
    const scores = order.map((index) => rounds[index].cells[before].counts);
    const known = scores.every((throws) => throws !== null);
    if (!known && before === at - 1) return null;
    if (!known) continue;
    order = [...order].sort((one, other) => rounds[one].cells[before].counts - rounds[other].cells[before].counts);
  }
  return order;
}

// The hole to play: the first one without a score of everybody who plays; the number of holes when there is none.
export function nextHole(told, rounds) {
  const open = told.holes.findIndex((_, at) =>
    told.players.some((player, index) => !player.status && rounds[index].cells[at].throws === null));
  return open === -1 ? told.holes.length : open;
}

export function toPar(value) {
  if (value === null) return "–";
  return value === 0 ? "E" : value > 0 ? `+${value}` : `\u2212${-value}`;
}

// Six figures around par; anything else is typed.
export function choices(par) {
  const first = Math.max(1, par - 2);
  return Array.from({ length: 6 }, (_, step) => first + step);
}
