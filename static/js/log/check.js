// The check answers while the form is filled in. The ledger computes it; this only asks and shows.
import { fillSlots, resting, send, typed } from "./send.js";

const REST_MS = 450;

/** Returns a function that asks for the check anew. */
export function startChecking(form) {
  const panel = document.getElementById("check");
  let asked = null;

  async function ask() {
    asked?.abort();
    const mine = (asked = new AbortController());
    panel.classList.add("is-checking");
    try {
      const { text } = await send(form.dataset.checkUrl, { data: typed(form), signal: mine.signal });
      fillSlots(text);
    } catch (problem) {
      if (problem.name === "AbortError") return;
      tell(panel);
    } finally {
      if (mine === asked) panel.classList.remove("is-checking");
    }
  }

  const soon = resting(ask, REST_MS);
  form.addEventListener("input", (event) => {
    if (event.target.matches("[type=file]")) return;
    soon();
  });
  form.addEventListener("change", (event) => {
    if (!event.target.matches("[type=file]")) soon();
  });
  return soon;
}

function tell(panel) {
  document.querySelector('[data-slot="bar-line"]').textContent = "No signal: the check waits";
  if (panel.querySelector("[data-unreachable]")) return;
  const note = document.createElement("p");
  note.className = "notice notice--doubt";
  note.dataset.unreachable = "";
  note.textContent =
    "The ledger could not be reached, so the check is not up to date. What you typed is still here; it is asked again with the next entry.";
  panel.prepend(note);
}
