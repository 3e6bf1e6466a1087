// When no answer comes, say so in words instead of doing nothing: the line disappears with the next answer.

const WORDS = {
  "htmx:sendError": "No answer from the laptop. Nothing was saved; what you typed is still here.",
  "htmx:timeout": "The laptop did not answer in time. Look whether it was saved before you repeat it.",
};

function line() {
  return document.getElementById("no-answer");
}

function say(words) {
  const place = line();
  if (!place) return;
  place.textContent = words;
  place.hidden = false;
}

for (const [name, words] of Object.entries(WORDS)) document.addEventListener(name, () => say(words));

document.addEventListener("htmx:responseError", (event) => {
  const status = event.detail.xhr.status;
  if (status === 403) say("You are not signed in for this any more. Load the page again and sign in.");
  else if (status >= 500) say("The laptop could not do this. It is written down in its own log; try once more.");
  else say(`This was refused (${status}). Load the page again.`);
});

document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.xhr.status < 400 && line()) line().hidden = true;
});
