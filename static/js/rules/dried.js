// Whether a specimen can no longer be looked at fresh. The same as has_dried of ledger/finds/checkup.py. Pure.

// A bracket in its paper bag dries in days. Three is our judgement: a foray's Saturday to the Tuesday after.
const FRESH_FOR_DAYS = 3;
const DRIED = new Set(["air-dry", "oven-dry", "weathered"]);

/** `foundOn` and `today` are days, ISO 8601; an empty one, or one to come, says nothing. `state`: of the specimen. */
export function hasDried({ foundOn, state, today }) {
  if (DRIED.has(state)) return true;
  const days = (Date.parse(today) - Date.parse(foundOn)) / 86_400_000;
  return days > FRESH_FOR_DAYS;
}
