// Sums that do not depend on the order of adding: exact, then rounded once, as Python's math.fsum does.
//
// J. R. Shewchuk, Adaptive Precision Floating-Point Arithmetic and Fast Robust Geometric Predicates (1997): partial sums
// that do not overlap hold the whole sum; a half is rounded to the even digit by looking at the next partial.

/** The exact sum of finite numbers, rounded once to the nearest double. */
export function fsum(values) {
  const partials = [];
  for (let x of values) {
    let kept = 0;
    for (let y of partials) {
      if (Math.abs(x) < Math.abs(y)) [x, y] = [y, x];
      const high = x + y;
      const low = y - (high - x);
      if (low !== 0) partials[kept++] = low;
      x = high;
    }
    partials.length = kept;
    partials.push(x);
  }
  return roundedOnce(partials);
}

function roundedOnce(partials) {
  let place = partials.length;
  if (place === 0) return 0;
  let high = partials[--place];
  let low = 0;
  while (place > 0) {
    const x = high;
    const y = partials[--place];
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
