// Place, compass and typed boxes asked by a test: one JSON object {"call", "args"} a line in, one answer a line out.
import { placeTyped } from "../../static/js/log/typed_place.js";
import { headingOf, middleOf } from "../../static/js/phone/compass.js";
import { better, watchPlace } from "../../static/js/phone/place_watch.js";
import { numberProblem } from "../../static/js/log/typed_number.js";
import { answerCalls } from "./lines.mjs";

const LISTEN_MS = 60;
const STEP_MS = 5;

/** Listen to a phone that tells these fixes, or {code} where it has none, one after another. "stop" is the thumb's tap. */
function watch(told) {
  const heard = [];
  return new Promise((resolve) => {
    let cleared = 0;
    const geolocation = {
      watchPosition(onFix, onProblem, options) {
        told.forEach((one, i) => {
          setTimeout(() => {
            if (one === "stop") stop();
            else if (one.code) onProblem(one);
            else onFix({ coords: one, timestamp: i });
          }, STEP_MS * (i + 1));
        });
        heard.push(options);
        return 7;
      },
      clearWatch(watch) {
        cleared += watch;
      },
    };
    const bests = [];
    const stop = watchPlace({
      geolocation,
      listenMs: LISTEN_MS,
      onFix: (best) => bests.push(best.accuracy),
      onEnd: ({ best, reason }) => {
        // What comes after the end is waited for, so that a test sees that it changes nothing.
        setTimeout(() => resolve({ best: best?.accuracy ?? null, reason, bests, cleared, options: heard[0] }), 2 * LISTEN_MS);
      },
    });
  });
}

const CALLS = { better, headingOf, middleOf, numberProblem, placeTyped, watch };

answerCalls(CALLS);
