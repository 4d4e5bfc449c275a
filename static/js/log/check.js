// The check answers while the form is filled in. This phone works it out; only where it has no reference is the ledger asked.
import { fieldsOf } from "./drafts.js";
import { isDry } from "./fresh.js";
import { fillSlots, resting, send, typed } from "./send.js";
import { putSlots } from "./slots.js";
import { say } from "../words.js";

const REST_MS = 120;
// A wait shorter than this is not worth a word; one longer than the other is given up, and the next way is taken.
const SAID_AFTER_MS = 400;
const PATIENCE_MS = 15_000;

let rules = null;
let asking = null;

/** The rules, fetched once the form can be used: {here: check_here.js, reference}, or null where there is no reference. */
export function rulesHere() {
  // Whoever asks meanwhile waits for the same answer: a weak line is asked for one reference, not for one a key.
  asking ??= loadRules().finally(() => {
    asking = null;
  });
  return asking;
}

async function loadRules() {
  rules ??= import("./check_here.js").catch(() => null);
  const here = await rules;
  if (!here) rules = null;
  const reference = await here?.referenceHere().catch(() => null);
  return reference ? { here, reference } : null;
}

/** As rulesHere, but no longer than patience lasts; `onWait` is called where it takes a while. */
export async function rulesSoon(onWait = () => {}) {
  let said, given;
  const over = new Promise((resolve) => {
    said = setTimeout(onWait, SAID_AFTER_MS);
    given = setTimeout(resolve, PATIENCE_MS, null);
  });
  try {
    return await Promise.race([rulesHere(), over]);
  } finally {
    clearTimeout(said);
    clearTimeout(given);
  }
}

/** Returns a function that asks for the check anew. */
export function startChecking(form) {
  const panel = document.getElementById("check");
  const icons = document.querySelector('use[href*="icons/ui"]').getAttribute("href").split("#")[0];
  let asked = null;
  let isWanted = false;

  async function work() {
    isWanted = true;
    const known = await rulesSoon(() => tell(panel, LOADING));
    if (!form.isConnected) return;
    if (known) form.dataset.rules = "here";
    if (known && draw(known)) return;
    // It may still come after patience was lost, or with the next signal.
    fetchRules();
    await ask();
  }

  /** Worked out and drawn here. Returns whether it was. */
  function draw({ here, reference }) {
    let slots;
    try {
      slots = here.checkFields(reference, fieldsOf(form), icons, { isDry: isDry(form) });
    } catch (problem) {
      // Rules that break on a form are a fault of ours: the ledger's own answer serves meanwhile.
      console.warn("The check could not be worked out on this phone.", problem);
      return false;
    }
    asked?.abort();
    untell(panel);
    putSlots(slots);
    panel.classList.remove("is-checking");
    return true;
  }

  async function ask() {
    asked?.abort();
    const mine = (asked = new AbortController());
    const given = setTimeout(() => mine.abort("no answer"), PATIENCE_MS);
    panel.classList.add("is-checking");
    try {
      const { text } = await send(form.dataset.checkUrl, { data: typed(form), signal: mine.signal });
      untell(panel);
      fillSlots(text);
    } catch {
      if (mine === asked) tell(panel, NO_WAY);
    } finally {
      clearTimeout(given);
      if (mine === asked) panel.classList.remove("is-checking");
    }
  }

  const soon = resting(work, REST_MS);
  // A touch is whole at once: its answer opens while the finger is still there, not when it is on its way to what lies below.
  const atOnce = resting(work, 0);
  for (const kind of ["input", "change"]) {
    form.addEventListener(kind, (event) => {
      if (event.target.matches?.(".chip__input")) atOnce();
      else if (!event.target.matches?.("[type=file]")) soon();
    });
  }
  // Fetched when the form can be used, before the first reading: in the wood there may be no signal for it.
  form.addEventListener("ready", fetchRules, { once: true });
  window.addEventListener("online", fetchRules);
  return soon;

  async function fetchRules() {
    if (!form.isConnected) window.removeEventListener("online", fetchRules);
    else if (!form.dataset.rules && (await rulesHere())) {
      form.dataset.rules = "here";
      if (isWanted) soon();
    }
  }
}

const LOADING = {
  line: say("The reference is on its way: the check waits"),
  words: say("The reference is on its way to this phone; the check comes by itself. Go on: everything you type is kept."),
};
const NO_WAY = {
  line: say("No reference here: the check waits"),
  words: say(
    "This phone does not hold the reference yet, and the ledger could not be reached, so nothing is checked. What you typed is kept. Open this form once where there is a signal; from then on the check needs none.",
  ),
};

function tell(panel, { line, words }) {
  putSlots({ "bar-line": line });
  untell(panel);
  const note = document.createElement("p");
  note.className = "notice notice--doubt";
  note.dataset.waits = "";
  note.setAttribute("role", "status");
  note.textContent = words;
  // Beside the check, not in it: what was drawn there stays known.
  panel.before(note);
}

function untell(panel) {
  panel.parentElement.querySelector("[data-waits]")?.remove();
}
