// When no answer comes, say so in words instead of doing nothing. The line stays until the same address answers: a
// list that is read again by itself must not wipe away that a card was not saved.

const WORDS = {
  "htmx:sendError": "No answer from the laptop. Nothing was saved; what you typed is still here.",
  "htmx:timeout": "The laptop did not answer in time. Look whether it was saved before you repeat it.",
};

function line() {
  return document.getElementById("no-answer");
}

let unanswered = "";

function address(event) {
  return (event.detail.pathInfo?.requestPath ?? "").split("?")[0];
}

// Signing in happens in a tab of its own: what was typed here stays here.
function linked(words) {
  const link = document.createElement("a");
  Object.assign(link, { href: document.querySelector("script[data-sign-in]").dataset.signIn, target: "_blank", textContent: "Sign in in another tab" });
  return ["You are signed out. ", link, words];
}

function say(words, event) {
  const place = line();
  if (!place) return;
  unanswered = address(event);
  place.replaceChildren(...[words].flat());
  place.hidden = false;
}

for (const [name, words] of Object.entries(WORDS)) document.addEventListener(name, (event) => say(words, event));

document.addEventListener("htmx:responseError", (event) => {
  const status = event.detail.xhr.status;
  if (status === 401) say(linked(", then save again: what you typed is still here."), event);
  else if (status === 403) say("Your role does not open this any more. Load the page again.", event);
  else if (status >= 500) say("The laptop could not do this. It is written down in its own log; try once more.", event);
  else say(`This was refused (${status}). Load the page again.`, event);
});

document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.xhr.status < 400 && line() && address(event) === unanswered) line().hidden = true;
});
