// What photos show, in words. Pure.
import { say, sayN } from "../words.js";

const WORDS = {
  cap: say("cap from above"),
  underside: say("underside"),
  side: say("from the side"),
  cut: say("cut"),
  margin: say("margin"),
  place: say("place"),
  scale: say("scale"),
};

/** cap from above, underside, from the side … */
export const viewWords = (view) => WORDS[view] ?? view;

/** What a photo is called where it stands alone: Cap from above, Underside; Photo where nobody has said. */
export function photoName(view) {
  const words = viewWords(view) || say("Photo");
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** "2 photos are on the ledger: cap from above, underside." Empty where there is none. */
export function photosThere(photos) {
  if (!photos.length) return "";
  const many = new Map();
  for (const { view } of photos) many.set(view, (many.get(view) ?? 0) + 1);
  const unsaid = many.get("") ?? 0;
  many.delete("");
  const said = [...many].map(([view, count]) => `${viewWords(view)}${count > 1 ? ` (${count})` : ""}`);
  if (unsaid && said.length) said.push(say("{n} more", { n: unsaid }));
  if (!said.length) return sayN("{n} photo is on the ledger.", "{n} photos are on the ledger.", photos.length);
  const values = { views: said.join(", ") };
  return sayN("{n} photo is on the ledger: {views}.", "{n} photos are on the ledger: {views}.", photos.length, values);
}
