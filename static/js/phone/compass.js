// Which way the phone points, where it has a compass. Asked for by a tap; the best of two seconds is taken.

const LISTEN_MS = 2000;
// Tilted further, the top of the phone points up more than it points anywhere; past the upright it points the other way.
const MOST_TILT_DEG = 70;

/** Degrees clockwise from north, 0 to 360, of one reading of the sensor; null where it says none. W3C Device Orientation. */
export function headingOf(event) {
  if (Number.isFinite(event.webkitCompassHeading)) return wrapped(event.webkitCompassHeading);
  if (Math.abs(event.beta ?? 0) > MOST_TILT_DEG) return null;
  // alpha turns the other way round, and counts from north only where it is absolute.
  if (event.absolute && Number.isFinite(event.alpha)) return wrapped(360 - event.alpha);
  return null;
}

const wrapped = (degrees) => ((degrees % 360) + 360) % 360;

/** The middle of several directions, whole degrees from 0 to 359, taken on the circle: 359 and 1 are 0. */
export function middleOf(headings) {
  const radians = headings.map((degrees) => (degrees * Math.PI) / 180);
  const east = radians.reduce((sum, angle) => sum + Math.sin(angle), 0);
  const north = radians.reduce((sum, angle) => sum + Math.cos(angle), 0);
  return Math.round(wrapped((Math.atan2(east, north) * 180) / Math.PI)) % 360;
}

/** Resolves to the direction in whole degrees, or null where the phone has no compass or did not allow it. */
export async function readCompass({ target = window, listenMs = LISTEN_MS } = {}) {
  const ask = globalThis.DeviceOrientationEvent?.requestPermission;
  if (ask && (await ask.call(DeviceOrientationEvent).catch(() => "denied")) !== "granted") return null;
  const kind = "ondeviceorientationabsolute" in target ? "deviceorientationabsolute" : "deviceorientation";
  const headings = [];
  const note = (event) => {
    const heading = headingOf(event);
    if (heading !== null) headings.push(heading);
  };
  target.addEventListener(kind, note);
  await new Promise((resolve) => {
    setTimeout(resolve, listenMs);
  });
  target.removeEventListener(kind, note);
  return headings.length ? middleOf(headings) : null;
}
