// What photos show, in words. Pure.

const WORDS = { cap: "cap from above", side: "from the side" };

/** cap from above, underside, from the side … */
export const viewWords = (view) => WORDS[view] ?? view;

/** What a photo is called where it stands alone: Cap from above, Underside; Photo where nobody has said. */
export function photoName(view) {
  const words = viewWords(view) || "photo";
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
  if (unsaid && said.length) said.push(`${unsaid} more`);
  if (!said.length) return `${photos.length} photo${photos.length === 1 ? " is" : "s are"} on the ledger.`;
  return `${photos.length} photo${photos.length === 1 ? " is" : "s are"} on the ledger: ${said.join(", ")}.`;
}
