// Which codes the camera sees anew. Pure: the clock comes in as an argument.

// A code that was out of the picture for so long and comes back was shown again. Two packets side by side are read in turn,
// so this is longer than the camera may dwell on one of them.
export const GONE_MS = 2500;

export class InView {
  constructor(goneMs = GONE_MS) {
    this.goneMs = goneMs;
    this.seen = new Map();
  }

  /** What one picture held, or null. Returns whether that code came into view with it. */
  read(text, now) {
    for (const [known, at] of this.seen) if (now - at > this.goneMs) this.seen.delete(known);
    if (!text) return false;
    const isNew = !this.seen.has(text);
    this.seen.set(text, now);
    return isNew;
  }

  /** Taken up anew, as after the camera was off. */
  clear() {
    this.seen.clear();
  }
}
