// One row of the outbox for each find: what it is called, what is the matter with it, and what can be done.
import { element, twoTaps } from "../log/pieces.js";
import { megabytes } from "../log/sizes.js";
import { photoName } from "../log/views.js";
import { say, sayN } from "../words.js";
import { findPage, formOf, LOG } from "./addresses.js";
import { keptPhotos, photosOut, valueIn } from "./message.js";
import { changeFind, getPhoto } from "./store.js";

export function rowOf(find, { draw, sendNow }) {
  const row = rowWith(find);
  row.dataset.state = find.state;
  row.dataset.find = find.id;
  const main = row.querySelector(".row__main");
  main.append(element("p", stateOf(find), { className: "outbox-row__state" }));
  const doubts = find.state === "waiting" ? (find.doubts ?? []) : [];
  if (doubts.length)
    main.append(element("p", say("The ledger does not take it before this is mended:"), { className: "row__note" }));
  const wrong = [...(find.trouble?.wrong ?? []), ...doubts];
  if (wrong.length) {
    const list = element("ul", "", { className: "outbox-row__wrong" });
    list.append(...wrong.map(({ sentence }) => element("li", sentence)));
    main.append(list);
  }
  const act = element("p", "", { className: "actions" });
  if (find.state === "changed") act.append(link(say("Compare and choose"), `?find=${find.id}`));
  else if (find.state === "refused") act.append(link(say("Correct it"), formOf(find)));
  else if (find.state !== "confirmed") act.append(link(doubts.length ? say("Mend it") : say("Change it"), formOf(find)));
  else act.append(link(say("Its page"), findPage(find.id)));
  row.append(act);
  for (const photo of keptPhotos(find).filter((one) => one.refused && !one.confirmed))
    row.append(refusedPhoto(find, photo, { draw, sendNow }));
  return row;
}

/** `isOwn`: what another member typed is not shown. */
function rowWith(find, { isOwn = true } = {}) {
  const row = element("li", "", { className: "row outbox-row" });
  const main = element("div", "", { className: "row__main" });
  const head = element("p", "", { className: "outbox-row__head" });
  head.append(element("b", find.number ?? say("Number comes with the signal"), { className: find.number ? "number" : "" }));
  const name = isOwn ? nameOf(find) : "";
  if (name) head.append(" ", name);
  main.append(head);
  main.append(element("p", aboutPhotos(find), { className: "row__note" }));
  row.append(main);
  return row;
}

const nameOf = (find) => valueIn(find.fields, "name_typed") || valueIn(find.fields, "locality");

function aboutPhotos(find) {
  const photos = keptPhotos(find).length ? keptPhotos(find) : find.photos;
  if (!photos.length)
    return find.version && find.state !== "confirmed" ? say("changes, no new photos") : say("no photos");
  const size = megabytes(photos.reduce((all, photo) => all + photo.bytes, 0));
  const there = photos.filter((photo) => photo.confirmed).length;
  return there
    ? sayN("{n} photo, {size}; {there} on the ledger", "{n} photos, {size}; {there} on the ledger", photos.length, {
        size,
        there,
      })
    : sayN("{n} photo, {size}", "{n} photos, {size}", photos.length, { size });
}

function stateOf(find) {
  const again =
    find.notBefore > Date.now() ? ` ${say("It is tried again at {time}.", { time: timeOf(find.notBefore) })}` : "";
  switch (find.state) {
    case "sending":
      return say("Being sent.");
    case "refused":
      return say("The ledger does not take it like this. Correct what is named, then keep it again.");
    case "changed":
      return find.theirs?.by_you
        ? say("You changed it meanwhile, on another phone or page. Choose field by field which one stays.")
        : say("Somebody else changed it meanwhile. Choose field by field which one stays.");
    case "confirmed": {
      const photos = { here: photosOut(find).length, all: keptPhotos(find).length };
      return say("On the ledger; {here} of {all} photos still here.", photos) + again;
    }
    default:
      return (find.version ? say("Changes wait to be sent.") : say("Waits to be sent.")) + again;
  }
}

/** The ledger does not take it: it lies on this phone only, and can be saved or let go. */
function refusedPhoto(find, photo, { draw, sendNow }) {
  const box = element("div", "", { className: "row__main outbox-photo" });
  box.append(element("p", `${photoName(photo.view)} (${photo.name}): ${photo.refused}`, { className: "field__error" }));
  const act = element("p", "", { className: "actions" });
  const save = element("button", say("Save it on this phone"), { type: "button", className: "button" });
  save.addEventListener("click", () => saveFile(find, photo));
  const again = element("button", say("Try it again"), { type: "button", className: "button" });
  again.addEventListener("click", async () => {
    await changePhoto(find.id, photo.sha256, { refused: null });
    await sendNow();
  });
  const gone = element("button", say("Let it go"), { type: "button", className: "button button--quiet" });
  twoTaps(gone, gone, say("Tap again: it is gone then"), async () => {
    const without = (now) => ({ ...now, photos: now.photos.filter((one) => one.sha256 !== photo.sha256) });
    await changeFind(find.id, (now) => now && without(now), { without: [photo.sha256] });
    await draw();
  });
  act.append(save, ...(photo.isForGood ? [] : [again]), gone);
  box.append(act);
  return box;
}

const changePhoto = (id, sha256, given) =>
  changeFind(
    id,
    (now) => now && { ...now, photos: now.photos.map((one) => (one.sha256 === sha256 ? { ...one, ...given } : one)) },
  );

async function saveFile(find, photo) {
  const kept = await getPhoto(find.id, photo.sha256);
  if (!kept) return;
  const address = URL.createObjectURL(kept.blob);
  element("a", "", { href: address, download: photo.name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

/** A find that was made under another name, or under none: `who` is signed in here now. */
export function otherRow(find, { who, draw, sendNow }) {
  const row = rowWith(find, { isOwn: find.member === null });
  const main = row.querySelector(".row__main");
  if (find.member !== null) {
    const whose = find.memberName
      ? say("Of {name}. It waits until {name} signs in on this phone.", { name: find.memberName })
      : say("Of another member. It waits until that member signs in on this phone.");
    main.append(element("p", whose, { className: "outbox-row__state" }));
    return row;
  }
  main.append(element("p", say("Made while nobody was signed in on this phone."), { className: "outbox-row__state" }));
  if (who) {
    const take = element("button", say("It is mine: send it as {name}", { name: who.name }), { type: "button", className: "button" });
    twoTaps(take, take, say("Tap again: it goes out as {name}'s", { name: who.name }), async () => {
      await changeFind(
        find.id,
        (now) => now && { ...now, member: who.member, memberName: who.name, memberCode: who.code },
      );
      await draw();
      await sendNow();
    });
    const act = element("p", "", { className: "actions" });
    act.append(take);
    row.append(act);
  }
  return row;
}

export function typingRow(find) {
  const row = rowWith(find);
  row
    .querySelector(".row__main")
    .append(element("p", say("Typed last at {time}.", { time: timeOf(find.changedAt) }), { className: "outbox-row__state" }));
  const act = element("p", "", { className: "actions" });
  act.append(link(say("Go on with it"), formOf(find)));
  row.append(act);
  return row;
}

const link = (words, href) => element("a", words, { href, className: "button" });

function timeOf(at) {
  const date = new Date(at);
  const time = date.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  const isToday = date.toDateString() === new Date().toDateString();
  if (isToday) return time;
  const day = date.toLocaleDateString(document.documentElement.lang, { day: "numeric", month: "long" });
  return say("{time} on {day}", { time, day });
}

function dayOf(text) {
  const at = new Date(`${text}T12:00:00`);
  return Number.isNaN(at.getTime())
    ? ""
    : at.toLocaleDateString(document.documentElement.lang, { day: "numeric", month: "short", year: "numeric" });
}

const STATUSES = {
  logged: say("logged"),
  held: say("held"),
  "sent back": say("sent back"),
  settled: say("settled"),
};

/** A find of this member as the ledger had it last. */
export function ownRow(find) {
  const row = element("li", "", { className: "row outbox-row" });
  const main = element("div", "", { className: "row__main" });
  const head = element("p", "", { className: "outbox-row__head" });
  head.append(element("b", find.number, { className: "number" }), " ", find.name || say("no name yet"));
  main.append(
    head,
    element("p", [dayOf(find.found_on), STATUSES[find.status] ?? find.status].filter(Boolean).join(" · "), {
      className: "row__note",
    }),
  );
  row.append(main, element("a", say("Amend"), { href: `${LOG}?amend=${find.id}`, className: "button" }));
  row.lastChild.setAttribute("aria-label", say("Amend {number}", { number: find.number }));
  return row;
}
