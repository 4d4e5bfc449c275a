// Where the phone is: listened for up to 30 seconds, the best answer kept. Only what the phone itself gives, with its error.
//
// W3C Geolocation, section "GeolocationCoordinates": latitude and longitude are WGS 84 degrees, `accuracy` is the radius in
// metres at 95 % confidence, `altitude` is the height above the WGS 84 ellipsoid (which is not that above the sea), and
// `altitudeAccuracy` its 95 % error. What a phone really gives differs: see the words of the form.

import { say } from "../words.js";

export const LISTEN_MS = 30_000;
// Good enough to stop listening: better than this a phone under trees is not (Tomastik et al. 2017, doi
// 10.1093/forestry/cpw031: root mean square error 5.0 to 11.5 m under leaves, 1.9 to 2.4 m in the open).
export const GOOD_M = 5;

export const REASONS = {
  1: say("The phone did not allow it. Nothing was changed; type the place, or allow it in the browser's settings."),
  2: say("The phone found no place here. Nothing was changed; try under open sky, or type it."),
  3: say("No place within 30 seconds. Nothing was changed; try again under open sky, or type it."),
};

/** Of two fixes the one with the smaller error; the first is null at the start. */
export function better(before, fix) {
  if (!Number.isFinite(fix.latitude) || !Number.isFinite(fix.longitude) || !(fix.accuracy >= 0)) return before;
  return before && before.accuracy <= fix.accuracy ? before : fix;
}

/**
 * Listen. `onFix(best)` is called with each better fix {latitude, longitude, accuracy, altitude, altitudeAccuracy, at},
 * `onEnd({best, reason})` once, `reason` a sentence where there is no fix at all. Returns a function that stops.
 */
export function watchPlace({ onFix, onEnd, geolocation = navigator.geolocation, listenMs = LISTEN_MS }) {
  let best = null;
  let isOver = false;
  let lastProblem = 3;
  const end = () => {
    if (isOver) return;
    isOver = true;
    clearTimeout(timer);
    geolocation.clearWatch(watch);
    onEnd({ best, reason: best ? null : REASONS[lastProblem] ?? REASONS[2] });
  };
  const timer = setTimeout(end, listenMs);
  const watch = geolocation.watchPosition(
    ({ coords, timestamp }) => {
      if (isOver) return;
      const { latitude, longitude, accuracy, altitude, altitudeAccuracy } = coords;
      const now = better(best, { latitude, longitude, accuracy, altitude, altitudeAccuracy, at: timestamp });
      if (now !== best) {
        best = now;
        onFix(best);
      }
      if (best && best.accuracy <= GOOD_M) end();
    },
    (problem) => {
      lastProblem = problem.code;
      // Not allowed ends it; no fix yet may still come.
      if (problem.code === 1) end();
    },
    { enableHighAccuracy: true, timeout: listenMs, maximumAge: 0 },
  );
  return end;
}
