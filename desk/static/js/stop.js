// The banner of a stop on top of a phone's page: comes, follows the clock and goes by itself.

import { poll } from "./board_poll.js";

const POLL = 4_000;
const banner = () => document.getElementById("stop-banner");

function change(fresh) {
  banner().replaceWith(fresh);
  document.dispatchEvent(new Event("htmx:afterSettle"));   // the clocks in it run at once
}

if (banner()) {
  const { url, now } = banner().dataset;
  poll({ url, every: POLL, now, change, seen: () => [banner().dataset.revision, banner().dataset.until], say: () => {} });
}
