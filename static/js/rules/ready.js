// The tables of a reference made ahead, trait by trait, so that the first check of a find is as quick as the others.

import { answersFor } from "./answers.js";
import { checkSpecimen } from "./check.js";
import { documented } from "./documented.js";

/**
 * Make what a check of a specimen in that condition looks up. `pause` is awaited between traits, for the page to answer a
 * touch; another condition costs its own check a little, for the few traits that tell conditions apart.
 */
export async function makeReady(reference, { state = null, age = null, pause = nextTask } = {}) {
  for (const trait of reference.traits.values()) {
    if (trait.kind === "months") documented(reference, trait, state, age);
    else answersFor(reference, trait, state, age);
    await pause();
  }
  for (const readings of [{}, rehearsal(reference, 0), rehearsal(reference, 1)]) {
    checkSpecimen(reference, { taxon: reference.names[0], state, age, readings });
    await pause();
  }
}

/** Readings of every other trait, of nothing in particular: a browser runs nothing fast that it has not run before. */
function rehearsal(reference, from) {
  const traits = [...reference.traits.values()].filter((_, i) => i % 2 === from);
  return Object.fromEntries(traits.map(({ code, kind, states }) =>
    [code, kind === "states" ? { states: [states[0].code] } : { values: [1] }]));
}

function nextTask() {
  return new Promise((resolve) => setTimeout(resolve));
}
