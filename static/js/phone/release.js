// A newer form is offered by a quiet line, and taken only by a tap; never while a find is being typed.
import { listFinds } from "./store.js";

const WAIT_MS = 20000;

/** Show the line where a newer release lies ready. `slot` is the line of base.html. */
export async function offerNewer(registration, slot) {
  const { worker, isOtherLanguage } = await newer(registration);
  slot.hidden = !worker;
  if (!worker) return;
  const button = slot.querySelector("button");
  const say = slot.querySelector("[data-said]");
  const show = async () => {
    const waits = await isTyping();
    button.hidden = waits;
    say.textContent = waits ? slot.dataset.waits : slot.dataset.ready;
    return waits;
  };
  const take = async () => {
    button.disabled = true;
    try {
      await ask(worker, { kind: "take" });
      slot.hidden = true;
      // A page of the ledger itself is new already.
      if ("keptPage" in document.body.dataset) location.reload();
    } catch {
      say.textContent = slot.dataset.failed;
    }
    button.disabled = false;
  };
  button.onclick = async () => {
    if (!(await show())) await take();
  };
  // Who chose another language has asked for the other form already.
  if (!(await show()) && isOtherLanguage) await take();
}

/** The worker whose release is ready and not taken, if there is one, and whether it is in another language than that. */
async function newer(registration) {
  const worker = registration.waiting ?? registration.active;
  if (!worker) return {};
  try {
    const { own, taken, language, takenLanguage } = await ask(worker, { kind: "release" });
    if (!taken || own === taken) return {};
    return { worker, isOtherLanguage: Boolean(takenLanguage && language && language !== takenLanguage) };
  } catch {
    return {};
  }
}

async function isTyping() {
  try {
    return (await listFinds()).some((find) => find.state === "typing");
  } catch {
    // Where the phone stores nothing, what is typed is on this page alone.
    return document.getElementById("log-form") !== null;
  }
}

/** Ask a service worker; it answers on a channel of its own. */
export function ask(worker, question) {
  return new Promise((resolve, reject) => {
    const { port1, port2 } = new MessageChannel();
    const late = setTimeout(() => reject(new Error("The service worker did not answer.")), WAIT_MS);
    port1.onmessage = ({ data }) => {
      clearTimeout(late);
      if (data.ok) resolve(data);
      else reject(new Error(data.problem));
    };
    worker.postMessage(question, [port2]);
  });
}
