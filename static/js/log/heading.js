// What stands beside the heading of the form: what the find is or will be called.
import { peek } from "../phone/number_blocks.js";
import { ownerOf } from "./drafts.js";
import { say, woven } from "../words.js";

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
  if (number) place.replaceChildren(...woven(say("will be {number}"), { number: word }));
  else place.replaceChildren(...(isNobodys ? signInFirst() : [say("its number comes with the signal")]));
}

/** Where nothing is stored the form goes by itself, and the ledger gives the number it has said. */
export function showNumberOfLedger() {
  const place = document.getElementById("log-next");
  if (place?.dataset.next) place.textContent = say("will be {number}", { number: place.dataset.next });
}

/** Where nobody has signed in on this phone yet, in the one line beside the heading: nothing below it moves. */
function signInFirst() {
  const { signInUrl } = document.getElementById("log-form").dataset;
  const link = Object.assign(document.createElement("a"), { href: signInUrl, textContent: say("Sign in") });
  return woven(say("Kept here. {sign_in} to send it."), { sign_in: link });
}

/** A page that was made for any find is named for the one it amends. */
export function nameAmendment(form, number) {
  const heading = document.querySelector("#main h1");
  const word = Object.assign(document.createElement("span"), { className: "number", textContent: number ?? "" });
  heading.replaceChildren(...(number ? woven(say("Amend {number}"), { number: word }) : [say("Amend this find")]));
  document.title = `${number ? say("Amend {number}", { number }) : say("Amend a find")} · Bracket Ledger`;
  form.querySelector("#keep").textContent = say("Keep the changes");
}
