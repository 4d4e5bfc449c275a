// Refusals that a person is shown: what is wrong, in one sentence.

/** Text or a specimen that cannot be taken as it stands; the message is for a person. */
export class SaidError extends Error {
  get isSaid() {
    return true;
  }
}

/** A specimen that cannot be checked as written; the message says which reading and why. */
export class SpecimenError extends SaidError {}
