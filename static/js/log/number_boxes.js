// The plain number boxes of a form, [data-number], and what the ledger will not take in them.
import { numberProblem } from "./typed_number.js";

/** [{sentence, anchor}], in the order of the boxes. */
export function numberDoubts(form) {
  const doubts = [];
  for (const box of form.querySelectorAll("[data-number]")) {
    const { number: unit, least, most, whole } = box.dataset;
    const about = { unit, least: Number(least), most: Number(most), isWhole: whole !== undefined };
    const problem = numberProblem(box.value, about);
    if (problem) doubts.push({ sentence: `${labelOf(form, box)}: ${problem}`, anchor: box.id });
  }
  return doubts;
}

const labelOf = (form, box) =>
  form.querySelector(`label[for="${box.id}"]`).firstChild.textContent.trim().replace(/\?$/, "");
