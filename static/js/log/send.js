// Requests to the ledger, and fragments of its pages put into place.
import { steadily } from "./sight.js";
import { forgetSlot } from "./slots.js";

// As long as a photo may take over a weak signal. What waits for it must not wait for ever.
const WAIT_MS = 120000;

/** Fetch a fragment; resolves to its text and whether the ledger was content with what was sent. */
export async function send(url, { data, signal } = {}) {
  const answer = await fetch(url, {
    method: data ? "POST" : "GET",
    body: data,
    signal: signal ?? AbortSignal.timeout(WAIT_MS),
    credentials: "same-origin",
    headers: { "X-Requested-With": "fetch" },
  });
  if (answer.redirected || (!answer.ok && answer.status !== 422)) {
    throw Object.assign(new Error(`The ledger answered ${answer.status}.`), { status: answer.status });
  }
  return { text: await answer.text(), ok: answer.ok };
}

/** Put each part of a fragment into the slot of the same name. Parts that are the same stay untouched. */
export function fillSlots(text, root = document) {
  const parsed = new DOMParser().parseFromString(text, "text/html");
  steadily(() => {
    for (const part of parsed.querySelectorAll("[data-slot]")) {
      const slot = root.querySelector(`[data-slot="${CSS.escape(part.dataset.slot)}"]`);
      if (slot && slot.innerHTML.trim() !== part.innerHTML.trim()) {
        forgetSlot(slot);
        slot.replaceChildren(...part.childNodes);
      }
    }
  });
}

/** Replace what an element holds by a fragment. */
export function fill(element, text) {
  const parsed = new DOMParser().parseFromString(text, "text/html");
  steadily(() => element.replaceChildren(...parsed.body.childNodes));
}

/** Call `work` once typing has rested for `wait` milliseconds. */
export function resting(work, wait) {
  let timer = 0;
  return (...given) => {
    clearTimeout(timer);
    timer = setTimeout(() => work(...given), wait);
  };
}

/** The form's data without its photos: they are sent on their own, once. */
export function typed(form) {
  const data = new FormData(form);
  for (const [name, value] of [...data.entries()]) {
    if (value instanceof File) data.delete(name);
  }
  return data;
}
