// The check as the log form shows it, drawn on the phone: the same HTML as the ledger's own templates make (finds/_check,
// _check_summary, _trait_mark, _trait_answer, _next_look, _candidate, _range_strip, _name_note). Texts in, text out; no page.

import { decideReach, sentenceOf, stillOpenIn } from "../rules/checkup.js";
import { clearFirst } from "../rules/lookalikes.js";
import { inShort } from "../rules/next_look.js";
import { shortName, stripFor } from "../rules/strip.js";
import { lowered, say, sayN } from "../words.js";
import { resultWord } from "./result_words.js";

const SHOWN = 6;
const STRIP_LOOK_ALIKES = 3;
const AGAINST_SHOWN = 3;
// As many characters as stand in one line of a phone 390 px wide, two lines of one 320 px wide.
const LINE_CHARACTERS = 60;

const SIGNS = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#x27;" };

/** Text made safe to stand in HTML, as Django does it. */
export const safe = (text) => String(text).replace(/[&<>"']/g, (sign) => SIGNS[sign]);

/**
 * All slots of the form, {name: answer} as slots.js takes them. `made` is what form.js made of the fields, `result` the check of it, `entered` the
 * codes of the traits that were entered (month and wood may come from the record alone), `icons` the address of ui.svg.
 * `isDry`: nothing is asked for that drying has destroyed.
 */
export function slotsOf({ reference, made, result: whole, entered, icons, isDry = false }) {
  const result = isDry ? { ...whole, next_look: whole.next_look.filter((look) => !look.fresh_only) } : whole;
  const outcomes = new Map(result.traits.map((outcome) => [outcome.trait, outcome]));
  const taxa = stripTaxa(result);
  const slots = {};
  for (const trait of reference.traits.values()) {
    if (trait.kind === "months") continue;
    const outcome = outcomes.get(trait.code) ?? null;
    const reading = entered.has(trait.code) ? made.specimen.readings[trait.code] : null;
    slots[`mark-${trait.code}`] = traitMark(outcome, reading, icons);
    slots[`answer-${trait.code}`] = traitAnswer({ reference, trait, made, result, taxa, outcome, reading, icons });
  }
  const readCount = readCountOf(made.specimen);
  slots["bar-line"] = safe(barLine(reference, result, readCount));
  slots.check = summary({ reference, specimen: made.specimen, result, readCount, icons });
  return slots;
}

/** The codes of the traits that somebody entered, by the fields of the form. */
export function enteredIn(fields, specimen) {
  const typed = new Set();
  for (const [name, value] of fields) {
    const [, code] = /^r-(\w+)-(?:states|values|line|looked)$/.exec(name) ?? [];
    if (code && value.trim()) typed.add(code);
  }
  return new Set(Object.keys(specimen.readings).filter((code) => typed.has(code)));
}

/** Whether anybody looked at the fungus: month and wood may come from the record, and rank nothing by themselves. */
function readCountOf(specimen) {
  return Object.entries(specimen.readings).filter(
    ([code, reading]) => !["fruiting_months", "host"].includes(code) && ["read", "absent"].includes(reading.looked),
  ).length;
}

function stripTaxa(result) {
  const nearest = result.look_alikes.slice(0, STRIP_LOOK_ALIKES).map((candidate) => candidate.taxon);
  return result.taxon ? [result.taxon, ...nearest] : nearest;
}

// --- one trait ---

const slug = (word) => word.replaceAll(" ", "-");

function icon(icons, name) {
  return `<svg class="icon" aria-hidden="true" focusable="false"><use href="${icons}#${name}"></use></svg>`;
}

function markHtml(word, icons, { bare = false } = {}) {
  return `<span class="mark mark--${slug(word)}${bare ? " mark--bare" : ""}">${icon(icons, `mark-${slug(word)}`)}<span class="mark__word${bare ? " visually-hidden" : ""}">${safe(resultWord(word))}</span></span>`;
}

function traitMark(outcome, reading, icons) {
  if (outcome) return markHtml(outcome.outcome, icons, { bare: true });
  if (!reading) return markHtml("not read", icons, { bare: true });
  return `<span class="mark mark--bare">${icon(icons, "check")}<span class="visually-hidden">${safe(resultWord(reading.looked))}</span></span>`;
}

function traitAnswer({ reference, trait, made, result, taxa, outcome, reading, icons }) {
  const parts = [problemHtml(trait.code, made)];
  if (made.converted[trait.code]) parts.push(`<p class="small log-converted">${safe(made.converted[trait.code])}</p>`);
  if (reading) {
    if (reading.looked === "read") parts.push(stripHtml(stripOf(reference, trait, taxa, reading, made.specimen, result)));
    if (outcome) {
      parts.push(`<p class="log-outcome">${markHtml(outcome.outcome, icons)} <span class="small">${safe(outcome.why)}</span></p>`);
      if (outcome.slip) parts.push(`<p class="small log-slip">${safe(outcome.slip.sentence)}</p>`);
    }
  }
  return parts.join("");
}

function problemHtml(code, made) {
  const problem = made.problems[code];
  if (!problem) return "";
  const ways = (made.ways[code] ?? []).map((way) => `<li>${say("it can be <b>{way}</b>", { way: safe(way) })}</li>`).join("");
  return `<p class="field__error" id="row-${code}-error">${safe(problem)}</p>${ways ? `<ul class="small">${ways}</ul>` : ""}`;
}

function stripOf(reference, trait, taxa, reading, specimen, result) {
  return stripFor(reference, trait, taxa, {
    reach: decideReach(trait, reading),
    named: result.taxon,
    state: reading.state ?? specimen.state,
    age: reading.age ?? specimen.age,
  });
}

/** A strip as HTML; nothing where there is none. */
export function stripHtml(strip) {
  if (!strip) return "";
  const rows = strip.rows.map((row) => stripRowHtml(row, strip.mark)).join("");
  const ticks = strip.ticks
    .map(
      ({ x, text, anchor }) =>
        `<line class="strip-rule" x1="${x}%" x2="${x}%" y1="0" y2="5"/><text class="strip-tick" x="${x}%" y="1.25em" text-anchor="${anchor}">${safe(text)}</text>`,
    )
    .join("");
  return `<div class="strip" role="img" aria-label="${safe(strip.sentence)}">${rows}<div class="strip-row strip-axis"><span class="strip-unit">${safe(strip.unit)}</span><span class="strip-cell">${TRACK}<line class="strip-rule" x1="0" x2="100%" y1="1" y2="1"/>${ticks}</svg></span></div></div>`;
}

const TRACK = '<svg class="strip-track" aria-hidden="true" focusable="false">';

function stripRowHtml(row, mark) {
  const parts = [];
  if (mark) parts.push(`<rect class="strip-uncertainty" x="${mark.x}%" y="0" width="${mark.width}%" height="100%"/>`);
  if (row.extremeX !== null && row.extremeEnd !== null) {
    parts.push(`<line class="strip-extreme" x1="${row.extremeX}%" x2="${row.extremeEnd}%" y1="50%" y2="50%"/>`);
  }
  for (const bar of row.bars) {
    const kind = `${bar.isOpen ? " is-open" : ""}${bar.doubtful ? " is-doubtful" : ""}${bar.binding ? " is-binding" : ""}`;
    parts.push(`<rect class="strip-bar${kind}" x="${bar.x}%" y="22%" width="${bar.width}%" height="56%"/>`);
  }
  for (const x of mark?.lines ?? []) parts.push(`<line class="strip-reading" x1="${x}%" x2="${x}%" y1="0" y2="100%"/>`);
  return `<div class="strip-row${row.named ? " is-named" : ""}"><i class="strip-name" title="${safe(row.taxon)}: ${safe(row.text)}">${safe(row.short)}</i><span class="strip-cell">${TRACK}${parts.join("")}</svg></span></div>`;
}

// --- the whole check ---

function summary({ reference, specimen, result, readCount, icons }) {
  const warned = say("This compares readings with published descriptions. It never says what a fungus is, and never that one may be eaten.");
  const caution = `<p class="small soft check-caution">${warned}</p>`;
  if (!readCount) {
    const begin = say('Nothing is read yet. <a href="#row-underside">Begin with the underside.</a>');
    return [`<p class="check-begin">${begin}</p>`, caution];
  }
  const rest = result.look_alikes.slice(SHOWN);
  return [
    standingHtml(reference, result, icons),
    nextLookHtml(reference, specimen, result),
    table(result.look_alikes.slice(0, SHOWN), icons, alikeHeading(reference, result)),
    restHtml(rest, icons),
    caution,
  ];
}

/** A hundred rows that hardly anybody opens: drawn when somebody does. */
function restHtml(rest, icons) {
  const others = sayN("The other {n} taxon", "The other {n} taxa", rest.length);
  const head = `<details class="more check-rest"><summary>${others}</summary>`;
  return { html: `${head}${table(rest, icons)}</details>`, closed: `${head}</details>` };
}

function standingHtml(reference, result, icons) {
  if (!result.taxon) {
    return `<p class="check-standing">${say("No name is given that the books know.")} ${standingOut(reference, result)}</p>`;
  }
  const authority = reference.taxa.get(result.taxon)?.authority ?? "";
  const standing = result.standing ? `${markHtml(result.standing, icons)} ` : "";
  return `<p class="check-name"><span class="taxon"><i>${safe(result.taxon)}</i> <span class="taxon__authority">${safe(authority)}</span></span></p><p class="check-standing">${standing}${safe(sentenceOf(reference, result))}</p>`;
}

/** Without a name: the taxon that stands out, or how many are open while none does. */
function standingOut(reference, result) {
  const first = clearFirst(reference, result.look_alikes);
  const open = stillOpenIn(result);
  const values = { still_open: open, taxa_in_reference: reference.taxa.size };
  if (first) {
    return say(
      "<i>{taxon}</i> fits best so far, clearly ahead of the next; {still_open} of {taxa_in_reference} taxa are still open.",
      { taxon: safe(first.taxon), ...values },
    );
  }
  return open
    ? say("{still_open} of {taxa_in_reference} taxa are still open, and none of them stands out yet.", values)
    : say("None of the {taxa_in_reference} taxa of the reference is still open: look at the readings again.", values);
}

function alikeHeading(reference, result) {
  if (result.taxon) return say("Look-alikes");
  return clearFirst(reference, result.look_alikes) ? say("Best fits") : say("Nearest so far");
}

function nextLookHtml(reference, specimen, result) {
  const [look] = result.next_look;
  if (!look) return "";
  const says = inShort(look, { stillOpen: stillOpenIn(result), state: specimen.state });
  const answers = look.answers.map((answer, i) => `<li><b>${safe(answer.text)}</b>: ${leftHtml(answer.leaves, i === 0)}</li>`);
  return `<div class="next-look"><p class="next-look__head small soft">${say("Next look")}</p><h3><a href="#row-${look.trait}">${safe(say(reference.traits.get(look.trait).ask))}</a></h3><p>${safe(says)}</p><details class="more"><summary>${say("What each answer would leave")}</summary><ul class="next-look__answers">${answers.join("")}</ul></details></div>`;
}

function leftHtml(leaves, isFirst) {
  const left = leaves.length;
  if (!left) return say("none");
  const values = { left, leaves: safe(leaves[0]) };
  if (left === 1) return isFirst ? say("{left} taxon left, <i>{leaves}</i>", values) : `${left}, <i>${values.leaves}</i>`;
  return isFirst ? say("{left} taxa left, first <i>{leaves}</i>", values) : say("{left}, first <i>{leaves}</i>", values);
}

function table(candidates, icons, caption = null) {
  const columns = [say("Taxon"), say("Standing"), say("What speaks against it")].map((word) => `<th scope="col">${word}</th>`);
  const head = `<thead><tr>${columns.join("")}</tr></thead>`;
  const rows = candidates.map((candidate) => candidateHtml(candidate, icons)).join("");
  return `<table class="ledger check-table">${caption ? `<caption>${caption}</caption>` : ""}${head}<tbody>${rows}</tbody></table>`;
}

function candidateHtml({ taxon, standing, against }, icons) {
  const shown = against.slice(0, AGAINST_SHOWN).map((one) => safe(one.text));
  const said = shown.length ? shown.join("; ") : `<span class="soft">${say("nothing against it yet")}</span>`;
  const more = against.length > AGAINST_SHOWN ? `; ${say("and {n} more", { n: against.length - AGAINST_SHOWN })}` : "";
  return `<tr><th scope="row"><i>${safe(taxon)}</i></th><td class="check-mark">${markHtml(standing, icons)}</td><td class="check-against">${said}${more}</td></tr>`;
}

/**
 * The standing of the name, and the next look; at most 60 characters. Without a name: the taxon that stands out, or how
 * many are still open while none does.
 */
export function barLine(reference, result, readCount) {
  const parts = [standingLine(reference, result, readCount)];
  const [look] = result.next_look;
  if (look) parts.push(say("next: {trait}", { trait: lowered(reference.traits.get(look.trait).label).split(",")[0] }));
  const signs = [...parts.filter(Boolean).join(" · ")];
  if (signs.length <= LINE_CHARACTERS) return signs.join("");
  return `${signs.slice(0, LINE_CHARACTERS - 1).join("").trimEnd()}…`;
}

function standingLine(reference, result, readCount) {
  if (!readCount) return say("Nothing is read yet");
  if (result.taxon && result.standing) return `${shortName(result.taxon)}: ${resultWord(result.standing)}`;
  const first = clearFirst(reference, result.look_alikes);
  if (first) return say("Fits best: {taxon}", { taxon: shortName(first.taxon) });
  const open = stillOpenIn(result);
  return open ? sayN("{n} taxon still open", "{n} taxa still open", open) : say("No taxon fits");
}

// --- the name ---

/** What the form says under a name: `note` is that of names.js, null where nothing is typed. */
export function nameNoteHtml(note, isNear) {
  if (!note) return "";
  const text = note.text.map(pieceHtml).join("");
  if (isNear) {
    const takes = note.takes.map(({ name }) => `<button class="button" type="submit" name="take_name" value="${safe(name)}"><i>${safe(name)}</i></button>`);
    return `<div class="log-note"><p>${text}</p><p class="log-takes">${takes.join("")}</p></div>`;
  }
  const takes = note.takes.map(
    ({ name, label }) => `<button class="button button--quiet" type="submit" name="take_name" value="${safe(name)}">${safe(label)}</button>`,
  );
  return `<p class="log-note">${text}${takes.join("")}</p>`;
}

function pieceHtml(piece) {
  if (typeof piece === "string") return safe(piece);
  if (piece.said) return `<b>${safe(piece.said)}</b>`;
  if (piece.soft) return `<span class="soft small">${safe(piece.soft)}</span>`;
  return `<span class="taxon"><i>${safe(piece.taxon)}</i> <span class="taxon__authority">${safe(piece.authority)}</span></span>`;
}
