// What a person has marked on the photo, by way: the two ends of a line, a counted line with taps along it, or a patch.
// Plain values in and out, no page: {way, points}. Points are pixels of the upright original.

import { say, sayN } from "../words.js";

export const WAYS = {
  line: { first: 2, says: [say("Put the first end."), say("Put the other end.")] },
  ruler: { first: 2, says: [say("Put a point on one line of the ruler."), say("Put a point on another line of it.")] },
  taps: { first: 2, says: [say("Put where the counting begins."), say("Put where it ends.")] },
  count: { first: 2, says: [say("Put one corner of a flat, sharp patch."), say("Put the corner across.")] },
};

/** Nothing marked yet. */
export const empty = (way) => ({ way, points: [] });

export const isWhole = ({ way, points }) => points.length >= WAYS[way].first;

/** What to do next, in words. */
export function nextSays({ way, points }) {
  const { first, says } = WAYS[way];
  if (points.length < first) return says[points.length];
  if (way === "taps") {
    const taps = points.length - first;
    return taps ? sayN("{n} pore tapped.", "{n} pores tapped.", taps) : say("Now tap each pore that the line crosses.");
  }
  return "";
}

/** With one point more; the same marks where there is no room for it. Along a counted line further ones are pores. */
export function withPoint(marks, point) {
  const { way, points } = marks;
  if (points.length >= WAYS[way].first && way !== "taps") return marks;
  return { ...marks, points: [...points, point] };
}

/** The same two points meant another way. Pores tapped along a line are laid aside until it is a counted line again. */
export function withWay({ points, aside = [] }, way) {
  if (way === "taps") return { way, points: [...points, ...aside] };
  const { first } = WAYS[way];
  return { way, points: points.slice(0, first), aside: points.length > first ? points.slice(first) : aside };
}

export const withMoved = ({ points, ...rest }, index, point) => ({
  ...rest,
  points: points.map((known, place) => (place === index ? point : known)),
});

export const withoutLast = ({ way, points }) => ({ way, points: points.slice(0, -1) });
export const FULL = say("Both points are put. Drag one to move it, or take the last one back.");

/** As the ledger is told. A patch is its corner and size. */
export function asSent({ way, points }) {
  const rounded = points.map(([x, y]) => [Math.round(x * 100) / 100, Math.round(y * 100) / 100]);
  if (way !== "count") return rounded;
  const [[ax, ay], [bx, by]] = rounded;
  return [
    [Math.min(ax, bx), Math.min(ay, by)],
    [Math.abs(bx - ax), Math.abs(by - ay)],
  ];
}
