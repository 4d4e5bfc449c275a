// Numbers printed as Python prints them, so that both sides of a check say the same digits.
//
// JavaScript rounds a tie up, Python to the even digit; both look at the exact binary value. Only ties need care.

/** `f"{value:.{digits}g}"`: `digits` significant digits, no needless zeros, an exponent where it is small or large. */
export function general(value, digits = 6) {
  if (!Number.isFinite(value)) return notFinite(value);
  const sign = value < 0 || Object.is(value, -0) ? "-" : "";
  if (value === 0) return `${sign}0`;
  const { figures, exponent } = rounded(Math.abs(value), digits);
  const kept = figures.replace(/0+$/, "");
  if (exponent < -4 || exponent >= digits) return `${sign}${withPoint(kept, 1)}e${exponentText(exponent)}`;
  if (exponent < 0) return `${sign}0.${"0".repeat(-exponent - 1)}${kept}`;
  return `${sign}${withPoint(kept.padEnd(exponent + 1, "0"), exponent + 1)}`;
}

/** `f"{value:.0f}"`: a whole number, a half to the even one. */
export function whole(value) {
  if (!Number.isFinite(value)) return notFinite(value);
  const sign = value < 0 || Object.is(value, -0) ? "-" : "";
  const size = Math.abs(value);
  const floor = Math.floor(size);
  const rest = size - floor; // exact: both are doubles of the same scale
  const up = rest > 0.5 || (rest === 0.5 && floor % 2 === 1);
  return `${sign}${BigInt(up ? floor + 1 : floor)}`;
}

/** `repr(value)` of a float: the shortest digits that read back, 3 as `3.0`. */
export function floatText(value) {
  if (!Number.isFinite(value)) return notFinite(value);
  const sign = value < 0 || Object.is(value, -0) ? "-" : "";
  if (value === 0) return `${sign}0.0`;
  const [mantissa, power] = Math.abs(value).toExponential().split("e");
  const figures = mantissa.replace(".", "");
  const exponent = Number(power);
  if (exponent < -4 || exponent >= 16) return `${sign}${withPoint(figures, 1)}e${exponentText(exponent)}`;
  if (exponent < 0) return `${sign}0.${"0".repeat(-exponent - 1)}${figures}`;
  const padded = figures.padEnd(exponent + 1, "0");
  return `${sign}${padded.slice(0, exponent + 1)}.${padded.slice(exponent + 1) || "0"}`;
}

/** `f"{value:,}"` of a whole number: 12,345. */
export function thousands(value) {
  return String(value).replace(/\B(?=(\d{3})+$)/g, ",");
}

/** A float without the last bits that a conversion leaves: `float(f"{value:.{digits}g}")`. */
export function roundedTo(value, digits) {
  return Number(general(value, digits));
}

function rounded(size, digits) {
  const [mantissa, power] = size.toExponential(digits - 1).split("e");
  const figures = mantissa.replace(".", "");
  if (!isTie(size, digits)) return { figures, exponent: Number(power) };
  const [exact, exactPower] = size.toExponential(digits).split("e");
  const below = exact.replace(".", "").slice(0, digits);
  const isEven = Number(below.at(-1)) % 2 === 0;
  return isEven ? { figures: below, exponent: Number(exactPower) } : { figures, exponent: Number(power) };
}

/** Whether the exact value lies midway between two numbers of so many digits. */
function isTie(size, digits) {
  const short = size.toExponential(digits);
  if (short[short.indexOf("e") - 1] !== "5" || Number(short) !== size) return false;
  const long = size.toExponential(100).split("e")[0].replace(".", "");
  return /^0*$/.test(long.slice(digits + 1));
}

function withPoint(figures, place) {
  return figures.length > place ? `${figures.slice(0, place)}.${figures.slice(place)}` : figures;
}

function exponentText(exponent) {
  return `${exponent < 0 ? "-" : "+"}${String(Math.abs(exponent)).padStart(2, "0")}`;
}

function notFinite(value) {
  if (Number.isNaN(value)) return "nan";
  return value < 0 ? "-inf" : "inf";
}
