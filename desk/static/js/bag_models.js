// Names of models to choose from, fetched once somebody is about to type one. What htmx exchanges asks again.

document.addEventListener("focusin", async (event) => {
  const place = event.target.closest("[data-models]");
  if (!place || place.dataset.asked || event.target.dataset.field !== "model") return;
  place.dataset.asked = "yes";
  try {
    const { models } = await (await fetch(place.dataset.models)).json();
    place.querySelector("datalist")?.replaceChildren(...models.map((name) => new Option(name, name)));
  } catch { delete place.dataset.asked; }
});
