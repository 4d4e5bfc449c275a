// Rounding that Python and JavaScript do alike.

/** `round(value, digits)` of Python, and never -0: to so many decimals, an exact half to the even one. */
export function rounded(value, digits) {
  if (value === null) return null;
  const near = Number(value.toFixed(digits)); // exact but for halves, which go away from zero
  const halves = value * 2 ** (digits + 1);
  // Midway between two decimals lie just the odd multiples of 1 / 2^(digits + 1).
  if (!Number.isInteger(halves) || halves % 2 === 0) return near + 0;
  const scale = 10 ** digits;
  const below = Math.floor(value * scale); // exact: a half is one of few digits
  return (below % 2 === 0 ? below : below + 1) / scale + 0;
}

/** The nearest multiple of 1/perOne, a half upwards; as ledger/traits/evidence.py rounds a total. */
export function toGrid(value, perOne) {
  return Math.floor(value * perOne + 0.5) / perOne + 0;
}
