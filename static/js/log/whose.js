// Whose a find on this phone is. What one member has begun is not for the next who signs in on the same phone. Pure.

import { say } from "../words.js";

/** `who`: {member} as this phone knows it, or null where nobody has signed in yet. A find without a member is anybody's. */
export const isOfAnother = (find, who) =>
  Boolean(find && who) && (find.member ?? null) !== null && find.member !== who.member;

/** Why the form does not open it: {wrong, kept, do}. */
export function notYours(find) {
  const name = find.memberName || say("another member");
  return {
    wrong: wrongOf(find, name),
    kept: say("All of it, on this phone, for {name} alone.", { name }),
    do: say("{name} signs in on this phone and goes on with it here. You can begin a find of your own.", { name: capital(name) }),
  };
}

function wrongOf({ version, number }, name) {
  if (!version) return say("This find was begun by {name} on this phone. It is not for anybody else to open.", { name });
  const values = { number, name };
  return number
    ? say("Changes of {number} that {name} typed wait on this phone. It is not for anybody else to open.", values)
    : say("Changes of this find that {name} typed wait on this phone. It is not for anybody else to open.", values);
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
