// A newer form is offered by a quiet line, and taken only by a tap; never while a find is being typed.
import { listFinds } from "./store.js";

const WAIT_MS = 20000;

/** Show the line where a newer release lies ready. `slot` is the line of base.html. */
export async function offerNewer(registration, slot) {
  const worker = await newer(registration);
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
  button.onclick = async () => {
    if (await show()) return;
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
  await show();
}

/** The worker whose release is ready and not taken, or null. */
async function newer(registration) {
  const worker = registration.waiting ?? registration.active;
  if (!worker) return null;
  try {
    const { own, taken } = await ask(worker, { kind: "release" });
    return taken && own !== taken ? worker : null;
  } catch {
    return null;
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
