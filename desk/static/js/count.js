// The sum of the pieces while they are counted; the server counts again.

const write = (form) => {
  const sum = form.querySelector("[data-sum]");
  let cents = 0;
  for (const input of form.querySelectorAll("[data-face]")) {
    cents += Number(input.dataset.face) * (Number.parseInt(input.value, 10) || 0);
  }
  sum.hidden = cents === 0;
  sum.querySelector("b").textContent = `${Math.floor(cents / 100)}.${String(cents % 100).padStart(2, "0")} ${sum.dataset.currency}`;
};

document.addEventListener("input", (event) => {
  const form = event.target.closest("[data-count]");
  if (form) write(form);
});
for (const form of document.querySelectorAll("[data-count]")) write(form);
