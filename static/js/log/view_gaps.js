// The views that a find of its kind should have and has not yet: the same as ledger/photos/view_gaps.py. Pure.
import { viewWords } from "./views.js";
import { say } from "../words.js";

const CAPLESS = new Set(["resupinate"]);
const COUNTED = new Set(["pores", "maze"]);
const OF_A_CAP = new Set(["cap", "side"]);
const WANTED = ["cap", "underside", "side", "cut", "place"];

const isOnly = (states, of) => states.length > 0 && states.every((state) => of.has(state));

/** What is still to be photographed, in the words of the chips. `habits`, `undersides`: as read, or else as documented. */
export function missingViews(views, { habits, undersides, hasScale = false }) {
  const isCapless = isOnly(habits, CAPLESS);
  const missing = WANTED.filter((code) => !views.includes(code) && !(isCapless && OF_A_CAP.has(code))).map(viewWords);
  if (!hasScale && !views.includes("scale")) {
    missing.push(isOnly(undersides, COUNTED) ? say("scale by the pores") : viewWords("scale"));
  }
  return missing;
}

/** The one line near the photos. */
export function missingSays(missing, { isAmended }) {
  if (!missing.length) return say("Every view is there.");
  const views = missing.join(", ");
  return isAmended ? say("Not photographed: {views}.", { views }) : say("Before you pick it, still to photograph: {views}.", { views });
}
