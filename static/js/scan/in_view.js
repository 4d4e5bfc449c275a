// Which codes the camera sees anew. Pure: the clock comes in as an argument.

// A code that was out of the picture for so long and comes back was shown again. Packets side by side are read in turn, so
// this is longer than the camera may dwell on one of them; and so many lie in one picture at most.
export const GONE_MS = 2500;
export const SIDE_BY_SIDE = 4;

export class InView {
  constructor() {
    this.seen = new Map(); // text -> when it was read last; the one read last is the last
  }

  /** What one picture held, or null. Returns whether that code came into view with it. */
  read(text, now) {
    for (const [known, at] of this.seen) if (now - at > GONE_MS) this.seen.delete(known);
    if (!text) return false;
    const isNew = !this.seen.delete(text);
    this.seen.set(text, now);
    if (this.seen.size > SIDE_BY_SIDE) this.seen.delete(this.seen.keys().next().value);
    return isNew;
  }
}
