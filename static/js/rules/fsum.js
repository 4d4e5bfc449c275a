// Sums that do not depend on the order of adding: exact, then rounded once, as Python's math.fsum does.
//
// J. R. Shewchuk, Adaptive Precision Floating-Point Arithmetic and Fast Robust Geometric Predicates (1997): partial sums
// that do not overlap hold the whole sum; a half is rounded to the even digit by looking at the next partial.

// More than the non-overlapping parts that the range of a double can hold.
const partials = new Float64Array(64);

/** The exact sum of finite numbers, from that place of the list on, rounded once to the nearest double. */
export function fsum(values, from = 0) {
  let count = 0;
  for (let i = from; i < values.length; i += 1) {
    let x = values[i];
    let kept = 0;
    for (let j = 0; j < count; j += 1) {
      const y = partials[j];
      const high = x + y;
      // What the larger of the two keeps of the smaller one; the rest is its error.
      const low = Math.abs(x) < Math.abs(y) ? x - (high - y) : y - (high - x);
      if (low !== 0) partials[kept++] = low;
      x = high;
    }
    partials[kept++] = x;
    count = kept;
  }
  return roundedOnce(count);
}

function roundedOnce(count) {
  if (count === 0) return 0;
  let place = count - 1;
  let high = partials[place];
  let low = 0;
  while (place > 0) {
    const x = high;
    place -= 1;
    const y = partials[place];
    high = x + y;
    low = y - (high - x);
    if (low !== 0) break;
  }
  // What is left below the rounding decides a half: the even digit was taken, the rest may say otherwise.
  if (place > 0 && ((low < 0 && partials[place - 1] < 0) || (low > 0 && partials[place - 1] > 0))) {
    const twice = low * 2;
    const x = high + twice;
    if (twice === x - high) return x;
  }
  return high;
}
