// What a group's phone keeps beside its outbox: whose phone it is, what the laptop did not take, and how the card stood.
// The name of the items is the group and not the address: a card with a newer address sends what was typed under the
// one before.

import { newKey, openOutbox } from "./outbox.js";

export function openStore(place) {
  const outbox = openOutbox(`starthorn-group-${place}-`);
  const { read, write, remove, all } = outbox;

  function device() {
    let found = read("device");
    if (!found) write("device", (found = { key: newKey(), name: "" }));
    return found;
  }

  // Not taken by the laptop: no longer sent, and still there to be read and written down elsewhere.
  function refuse(act, why) {
    write(`refused-${act.key}`, { ...act, why });
    outbox.drop(act);
  }

  return {
    ...outbox, device, refuse,
    add: (fields) => outbox.add({ typed_at: new Date().toISOString(), ...fields }),
    name: (name) => write("device", { ...device(), name }),
    refused: () => all("refused-"),
    forget: (act) => remove(`refused-${act.key}`),
    told: () => read("told"),
    tell: (told) => write("told", told),
  };
}
