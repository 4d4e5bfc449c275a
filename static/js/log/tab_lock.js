// A find is written by one tab only: the one that holds it. Another tab that opens it is told so, and may take it over.
// Two tabs that wrote the same find would each write over what the other has typed.
const CHANNEL = "find-in-tab";
// A page that is being left gives its find back a moment late.
const SOON_MS = 700;
// So long a tab that is awake may take to write its last key and let go.
const GIVEN_MS = 1500;

const nameOf = (id) => `find-${id}`;

/**
 * Hold a find for this tab. Resolves to {letGo()}, or null where another tab has it. `onLost({isStolen})` is called when
 * another tab takes it over; what it returns is waited for, unless it was stolen: then the other tab writes already.
 */
export async function holdFind(id, onLost) {
  if (!globalThis.navigator?.locks) return { letGo: () => {} };
  const held = await askFor(id, { ifAvailable: true }, onLost);
  return held ?? askFor(id, { signal: AbortSignal.timeout(SOON_MS) }, onLost);
}

/** The same, out of the hands of whatever tab has it. */
export async function takeFind(id, onLost) {
  if (!globalThis.navigator?.locks) return { letGo: () => {} };
  const channel = globalThis.BroadcastChannel ? new BroadcastChannel(CHANNEL) : null;
  channel?.postMessage({ wanted: id, at: Date.now() });
  const held = await askFor(id, { signal: AbortSignal.timeout(GIVEN_MS) }, onLost);
  channel?.close();
  // A tab that sleeps does not answer.
  return held ?? askFor(id, { steal: true }, onLost);
}

function askFor(id, options, onLost) {
  return new Promise((resolve) => {
    let held = null;
    navigator.locks
      .request(nameOf(id), options, (lock) => {
        if (!lock) return resolve(null);
        return new Promise((release) => {
          held = holdOf(id, release, onLost);
          resolve(held);
        });
      })
      .catch(() => {
        if (!held) resolve(null);
        else if (held.letGo()) onLost({ isStolen: true });
      });
  });
}

function holdOf(id, release, onLost) {
  const channel = globalThis.BroadcastChannel ? new BroadcastChannel(CHANNEL) : null;
  let isHeld = true;
  /** Returns whether it was still held. */
  const letGo = () => {
    const was = isHeld;
    isHeld = false;
    channel?.close();
    release();
    return was;
  };
  if (channel) {
    channel.onmessage = async ({ data }) => {
      if (data.wanted !== id || !isHeld) return;
      // Heard late, by a tab that slept: the other one has it already.
      await onLost({ isStolen: Date.now() - data.at > GIVEN_MS });
      letGo();
    };
  }
  return { letGo };
}
