// Somebody who answers the next question before the list is read again must not lose that answer: an answer
// that was overtaken is not shown, and the request that waits behind it sends everything that is chosen now.

let made = 0;  // changes of the form so far
let sent = 0;  // how many of them the request on its way knows

const isReading = (event) => event.target.closest?.("#reading");

for (const name of ["change", "submit"]) {
  document.addEventListener(name, (event) => { if (isReading(event)) made += 1; }, true);
}

document.addEventListener("htmx:beforeRequest", (event) => { if (isReading(event)) sent = made; });

document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.requestConfig?.elt.id === "reading" && made !== sent) event.detail.shouldSwap = false;
});
