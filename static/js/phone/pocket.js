// The pocket sheets on this phone: keeping the one that is open, and the list of those that are kept.
import { say } from "../words.js";
import { drop, isKept, keep, list } from "./pocket_store.js";

const box = document.querySelector("[data-pocket]");
const said = document.querySelector("[data-pocket-said]");
const shelf = document.querySelector("[data-pocket-kept]");

async function show() {
  const kept = await isKept(address());
  box.hidden = false;
  box.querySelector("[data-pocket-keep]").textContent = kept ? say("Keep anew") : say("Keep on this phone");
  box.querySelector("[data-pocket-drop]").hidden = !kept;
  return kept;
}

const address = () => new URL(`?${box.dataset.pocket}`, location.href.split("?")[0]).href;

/** One after the other, however fast somebody taps. */
async function work(button, doing, done, failed) {
  button.disabled = true;
  said.textContent = doing;
  try {
    said.textContent = await done();
  } catch {
    said.textContent = failed;
  }
  button.disabled = false;
  await show();
}

function startKeeping() {
  const keeping = box.querySelector("[data-pocket-keep]");
  const dropping = box.querySelector("[data-pocket-drop]");
  keeping.addEventListener("click", () =>
    work(
      keeping,
      say("Keeping it …"),
      async () => {
        await keep(address());
        return say("Kept. It opens on this phone without a signal.");
      },
      say(
        "It could not be kept: no signal, or no room on this phone. What was kept before is still there; try again where there is a signal.",
      ),
    ),
  );
  dropping.addEventListener("click", () =>
    work(
      dropping,
      "",
      async () => {
        await drop(address());
        return say("Taken off this phone. The ledger still has it.");
      },
      say("It could not be taken off. Try again."),
    ),
  );
  return show();
}

async function fillShelf() {
  const sheets = await list();
  // Without a signal the page says that none is kept; elsewhere the shelf is not worth a word then.
  const none = shelf.querySelector("[data-pocket-none]");
  if (none) none.hidden = sheets.length > 0;
  else shelf.hidden = !sheets.length;
  shelf.querySelector("ul").replaceChildren(...sheets.map(rowOf));
}

/** The first name, and how many more. */
function rowOf({ address: to, names }) {
  const row = document.createElement("li");
  const link = row.appendChild(document.createElement("a"));
  link.href = to;
  link.appendChild(document.createElement("i")).textContent = names[0];
  if (names.length > 1) link.append(`\u00a0${say("and {n} more", { n: names.length - 1 })}`);
  return row;
}

// On paper nothing is folded away: a figure without its source is none.
addEventListener("beforeprint", () => {
  for (const fold of document.querySelectorAll("[data-opens-for-print]")) fold.open = true;
});

// Without a cache, as in some private windows, the sheet is a page like any other.
if ("caches" in window) {
  if (box) startKeeping().catch(() => (box.hidden = true));
  if (shelf) fillShelf().catch(() => {});
}
