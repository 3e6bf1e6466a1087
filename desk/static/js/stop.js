// The banner of a stop on top of a phone's page: comes, follows the clock and goes by itself.

import { poll } from "./board_poll.js";

const POLL = 4_000;
const banner = () => document.getElementById("stop-banner");

function change(text) {
  if (text === null) return;
  const holder = document.createElement("template");
  holder.innerHTML = text;
  banner().replaceWith(holder.content.firstElementChild);
  document.dispatchEvent(new Event("htmx:afterSettle"));   // the clocks in it run at once
}

if (banner()) {
  const { url, now } = banner().dataset;
  const asked = () => new URLSearchParams({ seen: banner().dataset.revision, until: banner().dataset.until });
  poll({ url, every: POLL, now, change, asked, say: () => {} });
}
