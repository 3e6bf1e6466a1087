// Signing in again, in another tab, changes the token that a page was given. What is sent by script takes the one of
// the moment, so that a page with an unsaved card can still be saved.

function token() {
  return document.cookie.split("; ").find((part) => part.startsWith("csrftoken="))?.slice("csrftoken=".length);
}

document.addEventListener("htmx:configRequest", (event) => {
  const now = token();
  if (!now || event.detail.verb === "get") return;
  event.detail.headers["X-CSRFToken"] = now;
  event.detail.parameters.csrfmiddlewaretoken = now;
});
