// What stands beside the heading of the form: what the find is or will be called.
import { peek } from "../phone/number_blocks.js";
import { ownerOf } from "./drafts.js";

/** The number of the find, or the one this phone would give it. */
export async function showNumber(mine) {
  const place = document.getElementById("log-next");
  if (!place) return;
  const { find } = mine;
  place.hidden = mine.isAmendment;
  const next = find.number ? null : find.member === null ? null : await peek(ownerOf(find));
  const number = find.number ?? (next && `${next.code} ${next.serial}`);
  const word = Object.assign(document.createElement("b"), { className: "number", textContent: number ?? "" });
  const isNobodys = !number && find.member === null;
  place.replaceChildren(...(number ? ["will be ", word] : isNobodys ? signInFirst() : ["its number comes with the signal"]));
}

/** Where nothing is stored the form goes by itself, and the ledger gives the number it has said. */
export function showNumberOfLedger() {
  const place = document.getElementById("log-next");
  if (place?.dataset.next) place.textContent = `will be ${place.dataset.next}`;
}

/** Where nobody has signed in on this phone yet, in the one line beside the heading: nothing below it moves. */
function signInFirst() {
  const { signInUrl } = document.getElementById("log-form").dataset;
  return ["Kept here. ", Object.assign(document.createElement("a"), { href: signInUrl, textContent: "Sign in" }), " to send it."];
}

/** A page that was made for any find is named for the one it amends. */
export function nameAmendment(form, number) {
  const heading = document.querySelector("#main h1");
  const word = Object.assign(document.createElement("span"), {
    className: "number",
    textContent: number ?? "this find",
  });
  heading.replaceChildren("Amend ", word);
  document.title = `Amend ${number ?? "a find"} · Bracket Ledger`;
  form.querySelector("#keep").textContent = "Keep the changes";
}
