// Answers made on this phone, put into their places in the form; only what is different from what stands there is touched.
import { steadily } from "./sight.js";

// By slot, what was put there: [{html, nodes}], a list of pieces.
const shown = new WeakMap();

/**
 * Put answers into the slots of these names. An answer is HTML, or a list of pieces that follow one another: each HTML,
 * or a fold {html, closed}, of which only `closed` is drawn until somebody opens it.
 */
export function putSlots(slots, root = document) {
  steadily(() => {
    for (const slot of root.querySelectorAll("[data-slot]")) {
      const answer = slots[slot.dataset.slot];
      if (answer !== undefined) putPieces(slot, [answer].flat());
    }
  });
}

/** Something else wrote into this slot: what was known of it holds no longer. */
export function forgetSlot(slot) {
  shown.delete(slot);
}

const htmlOf = (piece) => piece.html ?? piece;

function putPieces(slot, pieces) {
  const before = shown.get(slot);
  if (before && pieces.length === before.length && pieces.every((piece, i) => htmlOf(piece) === before[i].html)) return;
  if (!before) slot.replaceChildren();
  const now = [];
  let next = slot.firstChild;
  for (let i = 0; i < Math.max(pieces.length, before?.length ?? 0); i += 1) {
    const was = before?.[i] ?? null;
    if (i < pieces.length && was?.html === htmlOf(pieces[i])) {
      now.push(was);
      next = was.nodes.length ? was.nodes.at(-1).nextSibling : next;
      continue;
    }
    if (was?.nodes.length) next = was.nodes.at(-1).nextSibling;
    if (i < pieces.length) now.push(put(slot, pieces[i], { before: next, instead: was }));
    for (const node of was?.nodes ?? []) node.remove();
  }
  shown.set(slot, now);
}

/** What a person has unfolded stays so. */
function put(slot, piece, { before, instead }) {
  const folds = (nodes) => nodes.flatMap((node) => [...(node.matches?.("details") ? [node] : []), ...(node.querySelectorAll?.("details") ?? [])]);
  const wereOpen = folds(instead?.nodes ?? []).map((fold) => fold.open);
  const made = document.createElement("template");
  const isShut = Boolean(piece.closed) && !wereOpen[0];
  made.innerHTML = isShut ? piece.closed : htmlOf(piece);
  const nodes = [...made.content.childNodes];
  const own = folds(nodes);
  own.forEach((fold, index) => {
    fold.open = wereOpen[index] ?? false;
  });
  if (isShut) fillWhenOpened(own[0], piece.html);
  slot.insertBefore(made.content, before);
  return { html: htmlOf(piece), nodes };
}

function fillWhenOpened(fold, html) {
  fold.addEventListener(
    "toggle",
    () => {
      const made = document.createElement("template");
      made.innerHTML = html;
      fold.replaceChildren(...made.content.firstElementChild.childNodes);
    },
    { once: true },
  );
}
