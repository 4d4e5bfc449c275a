// The ways on a page this phone keeps: the same for everybody as they come; what a role opens is filled in here.
import { getKept } from "./store.js";

/** Show the ways of whoever is signed in on this phone, as far as it knows, and keep to that while the page is open. */
export async function fillWays() {
  const [hello, signed] = await Promise.all([getKept("hello"), getKept("signed")]);
  const who = signed?.why ? null : hello;
  for (const way of document.querySelectorAll("[data-roles]")) {
    way.hidden = !who || !way.dataset.roles.split(" ").includes(who.role);
  }
  for (const way of document.querySelectorAll("[data-signed]")) {
    way.hidden = (way.dataset.signed === "in") !== Boolean(who);
    const form = way.querySelector("form");
    if (form && who) markOf(form).value = who.csrf;
  }
}

/** The mark against forgery, which a page that is the same for everybody comes without. */
function markOf(form) {
  const known = form.elements.csrfmiddlewaretoken;
  if (known) return known;
  const made = Object.assign(document.createElement("input"), { type: "hidden", name: "csrfmiddlewaretoken" });
  form.append(made);
  return made;
}
