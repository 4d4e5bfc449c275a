// How many slips of the finger part two words, the same as ledger/names/edits.py.

import { lengthOf } from "./text.js";

/**
 * Letters put in, left out, changed or swapped with the next one (optimal string alignment); null above `limit`.
 */
export function edits(one, other, limit) {
  const [from, to] = [[...one], [...other]];
  if (Math.abs(from.length - to.length) > limit) return null;
  let before = [];
  let last = to.map((_, j) => j);
  last.push(to.length);
  for (let i = 1; i <= from.length; i += 1) {
    const row = [i];
    for (let j = 1; j <= to.length; j += 1) {
      let cost = Math.min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (from[i - 1] === to[j - 1] ? 0 : 1));
      if (i > 1 && j > 1 && from[i - 1] === to[j - 2] && from[i - 2] === to[j - 1]) {
        cost = Math.min(cost, before[j - 2] + 1);
      }
      row.push(cost);
    }
    if (Math.min(...row) > limit && Math.min(...last) > limit) return null;
    [before, last] = [last, row];
  }
  const count = last.at(-1);
  return count <= limit ? count : null;
}

/** How many slips are still taken for the same word: one in short words, three in long ones. */
export function allowance(word) {
  const length = lengthOf(word);
  return length <= 5 ? 1 : length <= 9 ? 2 : 3;
}
