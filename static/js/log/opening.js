// The form opens: what lies on this phone is put into it, for whoever is signed in here and in this tab only.
import { freshen, hello as greet } from "../phone/hello.js";
import { getFind } from "../phone/store.js";
import { beginAmending } from "./amending.js";
import { bringBack, tellElsewhere, tellNotYours } from "./aside.js";
import { tellDoubts } from "./doubts.js";
import { fieldsOf, whoIsHere } from "./drafts.js";
import { fillForays, localDay, putBack } from "./filling.js";
import { showNumber } from "./heading.js";
import { tellRefused } from "./keeping.js";
import { takeOver } from "./old_drafts.js";
import { isOtherThanUsual } from "./pieces.js";
import { offerWhatLies, tellBack, tellState } from "./restoring.js";
import { findOfSlip, forgetSlip, takeSlip, tellFinder, tellSlipIsThere } from "./slip.js";
import { tellAbove } from "./troubles.js";
import { isOfAnother } from "./whose.js";
import { say } from "../words.js";

let freshened = null;

/** Put what lies on this phone into the form: who is here, the forays, the find itself. `goOn()` begins a fresh form. */
export async function open(form, mine, asked, { check, photos, restart, goOn, keepNow }) {
  const touched = touchedIn(form, asked);
  await takeOver();
  const who = await whoWorks(form);
  if (who) mine.setMember(who);
  const isNew = !asked.isAmendment && !asked.slip;
  fillForays(form, who?.forays ?? [], { today: localDay(), choose: isNew && !touched.names.has("foray") });

  if (asked.slip) await goOnWithSlip(form, mine, asked, who);
  if (!(await mine.hold())) await standAside(form, mine, { goOn });
  if (mine.isGone) return null; // Meanwhile another find was begun in this page.
  const found = await getFind(asked.id);
  // Of a slip whose finder was unknown when it was typed up.
  if (found?.state === "typing") asked.slip ??= found.slip ?? null;
  if (isOfAnother(found, who)) return refuse(form, mine, found, { goOn });
  const begun = asked.isAmendment ? await beginAmending(form, mine, found) : beginNew(found);
  mine.isBegunHere = !found;
  const shown = begun.putBack ?? null;
  if (shown) putBack(form, shown, { except: touched.names });
  touched.end();
  const isStored = Boolean(found) && found.state !== "confirmed";
  const isBlank = !touched.names.size && !(shown && isStored);
  mine.takeUp(begun.find, { untouched: isBlank ? JSON.stringify(fieldsOf(form)) : "", isStored });
  if (touched.names.size) mine.touch();
  await photos.show();
  if (shown || mine.find.photos.length) check();
  const tell = () => tellWhatLies(form, mine, found, { asked, begun, restart, goOn, keepNow });
  // The form waits for no offer.
  const told = tell().catch(() => {});
  if (!asked.slip || (await takeSlip(form, mine, asked.slip, who))) await tellFinder(mine.find);
  await showNumber(mine);
  form.dispatchEvent(new CustomEvent("ready", { detail: { draft: mine } }));
  form.dataset.ready = "";
  await keepFresh(form, mine, { who, goOn, tellAnew: () => told.then(tell) });
  return null;
}

/** {names, end()}: the fields that were touched before the form was ready, which nothing is put over. */
function touchedIn(form, { isAmendment }) {
  const names = new Set();
  const note = (event) => names.add(event.target.name);
  for (const kind of ["input", "change"]) form.addEventListener(kind, note, { capture: true });
  for (const field of [...form.elements].filter(isOtherThanUsual)) {
    if (field.name !== "found_on" || isAmendment) names.add(field.name);
  }
  const end = () => {
    for (const kind of ["input", "change"]) form.removeEventListener(kind, note, { capture: true });
  };
  return { names, end };
}

/** The ledger's own page knows who it was made for; the kept page asks this phone. */
async function whoWorks(form) {
  const kept = await whoIsHere();
  const member = Number(form.dataset.member) || null;
  if (!member || kept?.member === member) return kept;
  // Only who it is: the reference may be long on its way, and the form waits for nobody.
  const { hello } = await greet().catch(() => ({ hello: null }));
  return hello?.member === member ? hello : { member, name: "", code: "", forays: [] };
}

/** The number of a slip that has a find on this phone already is opened as that find. */
async function goOnWithSlip(form, mine, asked, who) {
  const found = await findOfSlip(asked.slip, who);
  if (!found) return;
  const { slip } = asked;
  asked.slip = null;
  forgetSlip(form);
  if (found.state === "confirmed") {
    asked.isOfUsedSlip = true;
    tellSlipIsThere(slip, found);
    return;
  }
  asked.id = found.id;
  form.elements.find_id.value = found.id;
  mine.find = { ...mine.find, id: found.id };
}

/** Another tab has it. Resolves once it was taken over here. */
function standAside(form, mine, { goOn }) {
  return new Promise((resolve) => {
    const take = async () => {
      if (!(await mine.hold({ isTaking: true }))) return;
      bringBack(form, mine);
      resolve();
    };
    tellElsewhere(form, { take, goOn });
  });
}

/** Somebody else's find is neither shown nor written. */
function refuse(form, mine, found, { goOn }) {
  mine.close();
  tellNotYours(form, found, { goOn });
}

/** A new find; where its photos were confirmed and it was opened again, it goes on as it lies here. */
const beginNew = (found) => (found ? { find: found, putBack: found.fields } : { find: null });

async function tellWhatLies(form, mine, found, { asked, begun, restart, goOn, keepNow }) {
  if (begun.isMissing) {
    tellAbove(form, {
      wrong: [{ sentence: say("This phone does not hold this find as it is now, so it cannot be amended here.") }],
      kept: say("The find, in the ledger."),
      todo: say("Open it where there is a signal."),
    });
  } else if (found?.state === "refused") {
    tellRefused(form, found.trouble);
  } else if (found && found.state !== "typing") {
    // The ledger's own page shows what is on the ledger as it is.
    if (found.state !== "confirmed" || !form.dataset.number) tellState(found);
    if (found.state === "waiting" && found.doubts?.length) tellDoubts(form, found, found.doubts, { keepNow });
  } else if (begun.putBack && found) {
    tellBack(mine, asked.isAmendment ? () => location.reload() : goOn);
  } else if (asked.isAmendment && !form.dataset.number) {
    tellState({ ...mine.find, state: "confirmed" });
  } else if (!asked.isAmendment && !asked.isOfUsedSlip) {
    await offerWhatLies(form, { member: mine.find.member, here: mine.find.id, open: restart });
  }
}

/** Where there is a signal: who is signed in by now, numbers, forays. */
async function keepFresh(form, mine, { who, tellAnew, goOn }) {
  freshened ??= freshen();
  const { hello, why } = await freshened;
  freshened = null;
  if (why || !form.isConnected || mine.isClosed) return;
  const isSomebodyNew = hello.member !== (who?.member ?? null);
  // A find begun in this page belongs to whoever is signed in; one from before to whom it was begun by.
  if (mine.isBegunHere || mine.find.member === null) mine.setMember(hello);
  else if (isOfAnother(mine.find, hello)) return refuse(form, mine, mine.find, { goOn });
  fillForays(form, hello.forays ?? [], { today: localDay(), choose: false });
  await mine.number();
  await showNumber(mine);
  // What was offered was for whoever was here before.
  if (isSomebodyNew && !mine.isAmendment) await tellAnew();
}
