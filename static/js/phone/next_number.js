// On pages of the ledger that say the next collecting number: it is the one this phone would give, as in the form. Where the
// phone has none yet, nothing is said: the number of the ledger's own row may be another.
import { hello } from "./hello.js";
import { peek } from "./number_blocks.js";
import { getKept } from "./store.js";

async function show(place) {
  const member = Number(place.dataset.member);
  // Somebody else has signed in since this phone asked last: it learns so now, and not under what they are typing.
  if ((await getKept("hello"))?.member !== member) await hello();
  const next = await peek(member);
  place.hidden = !next;
  if (next) place.querySelector("[data-number]").textContent = `${next.code} ${next.serial}`;
}

function showAll() {
  for (const place of document.querySelectorAll("[data-next-number]")) show(place).catch(() => {});
}

showAll();
// Gone back to, the page stands as it was left, and a find was numbered meanwhile.
addEventListener("pageshow", (event) => event.persisted && showAll());
