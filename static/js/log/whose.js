// Whose a find on this phone is. What one member has begun is not for the next who signs in on the same phone. Pure.

/** `who`: {member} as this phone knows it, or null where nobody has signed in yet. A find without a member is anybody's. */
export const isOfAnother = (find, who) =>
  Boolean(find && who) && (find.member ?? null) !== null && find.member !== who.member;

/** Why the form does not open it: {wrong, kept, do}. */
export function notYours(find) {
  const name = find.memberName || "another member";
  const what = find.version ? `Changes of ${find.number ?? "this find"}` : "This find";
  const begun = find.version ? `that ${name} typed wait on this phone` : `was begun by ${name} on this phone`;
  return {
    wrong: `${what} ${begun}. It is not for anybody else to open.`,
    kept: `All of it, on this phone, for ${name} alone.`,
    do: `${capital(name)} signs in on this phone and goes on with it here. You can begin a find of your own.`,
  };
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
