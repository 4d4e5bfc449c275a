// The check answers while the form is filled in. This phone works it out; only where it has no reference is the ledger asked.
import { fieldsOf } from "./drafts.js";
import { fillSlots, putSlots, resting, send, typed } from "./send.js";

const REST_MS = 120;
const ASKED_REST_MS = 450;

let rules = null;

/** The rules, fetched once the form can be used: {check_here.js, reference}, or null where there is no reference. */
export async function rulesHere() {
  rules ??= import("./check_here.js").catch(() => null);
  const here = await rules;
  if (!here) rules = null;
  const reference = await here?.referenceHere().catch(() => null);
  return reference ? { here, reference } : null;
}

/** Returns a function that asks for the check anew. */
export function startChecking(form) {
  const panel = document.getElementById("check");
  const icons = document.querySelector('use[href*="icons/ui"]').getAttribute("href").split("#")[0];
  let asked = null;

  async function work() {
    const known = await rulesHere();
    if (!form.isConnected) return;
    if (known && draw(known)) return;
    await askSoon();
  }

  /** Worked out and drawn here. Returns whether it was. */
  function draw({ here, reference }) {
    let slots;
    try {
      slots = here.checkFields(reference, fieldsOf(form), icons);
    } catch (problem) {
      // Rules that break on a form are a fault of ours: the ledger's own answer serves meanwhile.
      console.warn("The check could not be worked out on this phone.", problem);
      return false;
    }
    asked?.abort();
    panel.querySelector("[data-unreachable]")?.remove();
    putSlots(slots);
    panel.classList.remove("is-checking");
    return true;
  }

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

  const askSoon = resting(ask, ASKED_REST_MS - REST_MS);
  const soon = resting(work, REST_MS);
  for (const kind of ["input", "change"]) {
    form.addEventListener(kind, (event) => {
      if (!event.target.matches("[type=file]")) soon();
    });
  }
  // Fetched when the form can be used, before the first reading: in the wood there may be no signal for it.
  form.addEventListener(
    "ready",
    async () => {
      if (await rulesHere()) form.dataset.rules = "here";
    },
    { once: true },
  );
  return soon;
}

function tell(panel) {
  document.querySelector('[data-slot="bar-line"]').textContent = "No reference here: the check waits";
  if (panel.querySelector("[data-unreachable]")) return;
  const note = document.createElement("p");
  note.className = "notice notice--doubt";
  note.dataset.unreachable = "";
  note.textContent =
    "This phone does not hold the reference yet, and the ledger could not be reached, so nothing is checked. What you typed is kept. Open this form once where there is a signal; from then on the check needs none.";
  panel.prepend(note);
}
