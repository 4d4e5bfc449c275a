// What became of finds that were sent while somebody had gone on: said once, in a quiet line where they are by then.
import { element } from "../log/pieces.js";
import { say, sayN, woven } from "../words.js";
import { findPage, formOf, OUTBOX } from "./addresses.js";
import { changedWords, photosLeft } from "./message.js";
import { CHANNEL } from "./outbox.js";
import { changeFind, getKept, listFinds } from "./store.js";

const SOON_MS = 250;
const ENDS = ["confirmed", "refused", "changed"];

/** Finds of `member` whose end nobody has been told of, the first first. The foray's table tells of its own. Pure. */
export function newsOf(finds, member) {
  const news = finds.filter((find) => find.member === member && find.isTold === false && ENDS.includes(find.state));
  return news.filter((find) => !find.table).sort((one, other) => (one.confirmedAt ?? 0) - (other.confirmedAt ?? 0));
}

/** Sentences of pieces, each a text or {text, href}: finds on the ledger in one, every other find in one of its own. Pure. */
export function linesOf(finds) {
  const there = finds.filter(({ state }) => state === "confirmed");
  const lines = there.length ? [thereLine(there)] : [];
  for (const find of finds) {
    const named = find.number ?? say("your find");
    if (find.state === "refused") {
      const sentence = say("The ledger asks about {find}: ", { find: named });
      lines.push([sentence, { text: say("correct it"), href: formOf(find) }]);
    }
    if (find.state !== "changed") continue;
    const choose = { text: say("compare and choose"), href: `${OUTBOX}?find=${find.id}` };
    lines.push([`${changedWords(find.theirs, named)}: `, choose]);
  }
  return lines;
}

function thereLine(there) {
  const doors = there.map((find) => ({ text: find.number ?? say("Your find"), href: findPage(find.id) }));
  const left = there.reduce((all, find) => all + photosLeft(find).length, 0);
  const [first, last] = [listOf(doors.slice(0, -1)), doors.at(-1)];
  return woven(thereSays(there.length, left), { find: last, finds: first, last }).flat();
}

const listOf = (doors) => doors.flatMap((door, i) => (i ? [", ", door] : [door]));

function thereSays(many, left) {
  if (!left) return many === 1 ? say("{find} is on the ledger.") : say("{finds} and {last} are on the ledger.");
  return many === 1
    ? sayN("{find} is on the ledger, {n} photo still on the way.", "{find} is on the ledger, {n} photos still on the way.", left)
    : sayN(
        "{finds} and {last} are on the ledger, {n} photo still on the way.",
        "{finds} and {last} are on the ledger, {n} photos still on the way.",
        left,
      );
}

/** Somebody has been told what became of that find. */
export const markTold = (id) => changeFind(id, (now) => (now?.isTold === false ? { ...now, isTold: true } : null));

/**
 * Tell of them in every [data-arrived] of this page, now and while it is open. `tellHere(find)` returns whether the page
 * told of that find in another way. Returns {draw()}, for a page that was made anew.
 */
export function startArrivals({ tellHere = () => false } = {}) {
  const shown = new Map();
  let waiting = 0;

  async function look() {
    waiting = 0;
    const finds = await listFinds();
    const member = (await getKept("hello"))?.member ?? null;
    for (const find of newsOf(finds, member)) {
      // Who does not see this page is told when they look at it.
      if (document.visibilityState === "hidden" || hasPanel(find)) continue;
      await markTold(find.id);
      if (!tellHere(find)) shown.set(find.id, find);
    }
    for (const id of shown.keys()) {
      const now = finds.find((find) => find.id === id);
      // Changed again, or gone: what was said of it holds no longer.
      if (!now || !ENDS.includes(now.state) || now.member !== member) shown.delete(id);
      else shown.set(id, now);
    }
    draw();
  }

  function draw() {
    const lines = linesOf([...shown.values()]);
    const words = JSON.stringify(lines);
    for (const slot of document.querySelectorAll("[data-arrived]")) {
      if (slot.dataset.arrived === words) continue;
      slot.dataset.arrived = words;
      slot.replaceChildren(...(lines.length ? [boxOf(lines)] : []));
    }
  }

  function boxOf(lines) {
    const box = element("div", "", { className: "arrived notice notice--kept" });
    const said = element("div", "", { className: "arrived__said" });
    said.append(...lines.map(paragraph));
    const close = element("button", say("Close"), { type: "button", className: "button button--quiet" });
    close.addEventListener("click", () => {
      shown.clear();
      draw();
    });
    box.append(said, close);
    return box;
  }

  const soon = () => {
    waiting ||= setTimeout(() => look().catch(() => {}), SOON_MS);
  };
  if (globalThis.BroadcastChannel) new BroadcastChannel(CHANNEL).onmessage = soon;
  document.addEventListener("visibilitychange", soon);
  soon();
  return { draw };
}

/** The panel after Keep tells of it by itself; of a refusal only while it waits for the answer. */
function hasPanel(find) {
  const panel = document.querySelector(`[data-tells="${CSS.escape(find.id)}"]`);
  return Boolean(panel) && (find.state !== "refused" || "follows" in panel.dataset);
}

function paragraph(pieces) {
  const line = element("p");
  line.append(...pieces.map((piece) => (piece.href ? element("a", piece.text, { href: piece.href }) : piece)));
  return line;
}
