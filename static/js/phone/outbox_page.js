// The outbox on the screen: what waits, what it waits for, how much is left, and how much room there is.
import { element, trouble, twoTaps } from "../log/pieces.js";
import { megabytes } from "../log/sizes.js";
import { notLetIn } from "../log/troubles.js";
import { formOf, findPage, LOG, SIGN_IN } from "./addresses.js";
import { drawConflict, merged } from "./conflict.js";
import { freshen } from "./hello.js";
import { findIsLeft, isInOutbox, keptPhotos, leftOf, photosOut, valueIn } from "./message.js";
import { askForBackground, CHANNEL, keepSending } from "./outbox.js";
import { changeFind, getFind, getKept, getPhoto, listFinds, listOwn, roomLeft, setKept } from "./store.js";

const place = (id) => document.getElementById(id);

let who = null;
let send = async () => ({ why: null });

async function start() {
  who = (await getKept("hello")) ?? null;
  await draw();
  await drawAsked();
  send = keepSending({ onProgress: progress });
  place("send-now").addEventListener("click", sendNow);
  place("ask-room").addEventListener("click", askForRoom);
  // Other tabs and the service worker send too, and say how far they are.
  if (globalThis.BroadcastChannel) new BroadcastChannel(CHANNEL).onmessage = ({ data }) => progress(data);
  const { hello, why, told } = await freshen();
  who = hello ?? who;
  tellStanding(why, told);
  await draw();
}

async function sendNow() {
  const button = place("send-now");
  button.disabled = true;
  button.textContent = "Sending …";
  const { why } = await send(true);
  button.disabled = false;
  button.textContent = "Send now";
  tellStanding(why, (await getKept("signed"))?.told);
  if (why === "no signal") sum("No signal. Everything stays here and is sent when there is one.");
}

function tellStanding(why, told) {
  const isOut = ["signed out", "ended", "somebody else"].includes(why);
  place("outbox-told").replaceChildren(...(isOut ? [trouble(...notLetIn(why, SIGN_IN, { told }))] : []));
}

// --- how far it is ---

let drawing = null;

function progress({ finds, bytes, total, current, why }) {
  const bar = place("outbox-progress");
  bar.hidden = !(finds > 0 && total > 0);
  bar.max = total || 1;
  bar.value = Math.max(0, total - bytes);
  if (current) sum(`Sending${current.number ? ` ${current.number}` : ""}: ${leftWords({ finds, bytes })}.`);
  if (why !== undefined || !current) bar.hidden = true;
  // Rows are read from the store, at most a few times a second.
  drawing ??= setTimeout(() => {
    drawing = null;
    draw({ isSending: Boolean(current) });
  }, 250);
}

function sum(sentence) {
  place("outbox-sum").textContent = sentence;
}

const leftWords = ({ finds, bytes }) => `${finds} find${finds === 1 ? "" : "s"} left, ${megabytes(bytes)}`;

// --- the lists ---

async function draw({ isSending = false } = {}) {
  const finds = await listFinds();
  const isMine = (find) => find.member === (who?.member ?? null) || (!who && find.member !== null);
  const out = finds.filter(isInOutbox);
  const mine = out.filter((find) => isMine(find));
  const others = out.filter((find) => !isMine(find));
  place("outbox-list").replaceChildren(...mine.map((find) => rowOf(find)));
  place("others-list").replaceChildren(...others.map((find) => otherRow(find)));
  place("outbox-others").hidden = others.length === 0;
  place("outbox-do").hidden = !mine.some((find) => findIsLeft(find) || photosOut(find).some((photo) => !photo.refused));
  const left = leftOf(mine);
  if (!mine.length) sum("Nothing waits: everything kept on this phone is on the ledger.");
  else if (!isSending) sum(left.finds ? `${leftWords(left)} to be sent.` : "Nothing can be sent before you have decided.");

  const typing = finds.filter((find) => find.state === "typing" && isMine(find));
  place("typing-list").replaceChildren(...typing.map((find) => typingRow(find)));
  place("outbox-typing").hidden = typing.length === 0;
  await drawOwn();
  await drawRoom();
}

function rowOf(find) {
  const row = rowWith(find);
  row.dataset.state = find.state;
  row.dataset.find = find.id;
  const main = row.querySelector(".row__main");
  main.append(element("p", stateOf(find), { className: "outbox-row__state" }));
  const wrong = find.trouble?.wrong ?? [];
  if (wrong.length) {
    const list = element("ul", "", { className: "outbox-row__wrong" });
    list.append(...wrong.map(({ sentence }) => element("li", sentence)));
    main.append(list);
  }
  const act = element("p", "", { className: "actions" });
  if (find.state === "changed") act.append(link("Compare and choose", `?find=${find.id}`));
  else if (find.state === "refused") act.append(link("Correct it", formOf(find)));
  else if (find.state !== "confirmed") act.append(link("Change it", formOf(find)));
  else act.append(link("Its page", findPage(find.id)));
  row.append(act);
  for (const photo of keptPhotos(find).filter((one) => one.refused && !one.confirmed)) row.append(refusedPhoto(find, photo));
  return row;
}

function rowWith(find) {
  const row = element("li", "", { className: "row outbox-row" });
  const main = element("div", "", { className: "row__main" });
  const head = element("p", "", { className: "outbox-row__head" });
  head.append(element("b", find.number ?? "Number comes with the signal", { className: find.number ? "number" : "" }));
  const name = nameOf(find);
  if (name) head.append(" ", name);
  main.append(head);
  main.append(element("p", aboutPhotos(find), { className: "row__note" }));
  row.append(main);
  return row;
}

const nameOf = (find) => valueIn(find.fields, "name_typed") || valueIn(find.fields, "locality");

function aboutPhotos(find) {
  const photos = keptPhotos(find).length ? keptPhotos(find) : find.photos;
  if (!photos.length) return find.version && find.state !== "confirmed" ? "changes, no new photos" : "no photos";
  const bytes = photos.reduce((all, photo) => all + photo.bytes, 0);
  const there = photos.filter((photo) => photo.confirmed).length;
  const words = `${photos.length} photo${photos.length === 1 ? "" : "s"}, ${megabytes(bytes)}`;
  return there ? `${words}; ${there} on the ledger` : words;
}

function stateOf(find) {
  const again = find.notBefore > Date.now() ? ` It is tried again at ${timeOf(find.notBefore)}.` : "";
  switch (find.state) {
    case "sending":
      return "Being sent.";
    case "refused":
      return "The ledger does not take it like this. Correct what is named, then keep it again.";
    case "changed":
      return "Somebody else changed it meanwhile. Choose field by field which one stays.";
    case "confirmed":
      return `On the ledger; ${photosOut(find).length} of ${keptPhotos(find).length} photos still here.${again}`;
    default:
      return (find.version ? "Changes wait to be sent." : "Waits to be sent.") + again;
  }
}

/** The ledger does not take it: it lies on this phone only, and can be saved or let go. */
function refusedPhoto(find, photo) {
  const box = element("div", "", { className: "row__main outbox-photo" });
  box.append(element("p", `${photo.name}: ${photo.refused}`, { className: "field__error" }));
  const act = element("p", "", { className: "actions" });
  const save = element("button", "Save it on this phone", { type: "button", className: "button" });
  save.addEventListener("click", () => saveFile(find, photo));
  const again = element("button", "Try it again", { type: "button", className: "button" });
  again.addEventListener("click", async () => {
    await changePhoto(find.id, photo.sha256, { refused: null });
    await sendNow();
  });
  const gone = element("button", "Let it go", { type: "button", className: "button button--quiet" });
  twoTaps(gone, gone, "Tap again: it is gone then", async () => {
    const without = (now) => ({ ...now, photos: now.photos.filter((one) => one.sha256 !== photo.sha256) });
    await changeFind(find.id, (now) => now && without(now), { without: [photo.sha256] });
    await draw();
  });
  act.append(save, again, gone);
  box.append(act);
  return box;
}

const changePhoto = (id, sha256, given) =>
  changeFind(id, (now) => now && { ...now, photos: now.photos.map((one) => (one.sha256 === sha256 ? { ...one, ...given } : one)) });

async function saveFile(find, photo) {
  const kept = await getPhoto(find.id, photo.sha256);
  if (!kept) return;
  const address = URL.createObjectURL(kept.blob);
  element("a", "", { href: address, download: photo.name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

function otherRow(find) {
  const row = rowWith(find);
  const main = row.querySelector(".row__main");
  if (find.member !== null) {
    main.append(element("p", `Of ${find.memberName || "another member"}. It waits until ${find.memberName || "that member"} signs in on this phone.`, { className: "outbox-row__state" }));
    return row;
  }
  main.append(element("p", "Made while nobody was signed in on this phone.", { className: "outbox-row__state" }));
  if (who) {
    const take = element("button", `It is mine: send it as ${who.name}`, { type: "button", className: "button" });
    twoTaps(take, take, `Tap again: it goes out as ${who.name}'s`, async () => {
      await changeFind(find.id, (now) => now && { ...now, member: who.member, memberName: who.name, memberCode: who.code });
      await draw();
      await send(true);
    });
    const act = element("p", "", { className: "actions" });
    act.append(take);
    row.append(act);
  }
  return row;
}

function typingRow(find) {
  const row = rowWith(find);
  row.querySelector(".row__main").append(element("p", `Typed last at ${timeOf(find.changedAt)}.`, { className: "outbox-row__state" }));
  const act = element("p", "", { className: "actions" });
  act.append(link("Go on with it", formOf(find)));
  row.append(act);
  return row;
}

const link = (words, href) => element("a", words, { href, className: "button" });

function timeOf(at) {
  const date = new Date(at);
  const time = date.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  const isToday = date.toDateString() === new Date().toDateString();
  return isToday ? time : `${time} on ${date.toLocaleDateString("en-GB", { day: "numeric", month: "long" })}`;
}

function dayOf(text) {
  const at = new Date(`${text}T12:00:00`);
  return Number.isNaN(at.getTime()) ? "" : at.toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric" });
}

// --- two versions of one find ---

async function drawAsked() {
  const id = new URLSearchParams(location.search).get("find");
  const find = id && (await getFind(id));
  if (find?.state !== "changed") return;
  drawConflict(place("outbox-conflict"), find, async (choices) => {
    await changeFind(id, (now) => {
      if (now?.state !== "changed") return null;
      const { theirs } = now;
      const fields = merged(now.fields, theirs, choices);
      return { ...now, fields, version: theirs.version, openedAt: theirs.opened_at ?? null, theirs: null, state: "waiting", tries: 0, notBefore: null };
    });
    place("outbox-conflict").replaceChildren();
    history.replaceState(history.state, "", location.pathname);
    askForBackground();
    await draw();
    await send(true);
    await draw();
    const after = await getFind(id);
    if (after?.state === "changed") await drawAskedOf(id);
  });
}

/** Changed once more while it was chosen: it is asked once more. */
async function drawAskedOf(id) {
  history.replaceState(history.state, "", `${location.pathname}?find=${id}`);
  await drawAsked();
}

// --- own finds, and room ---

async function drawOwn() {
  const own = who ? await listOwn() : [];
  own.sort((one, other) => String(other.found_on ?? "").localeCompare(String(one.found_on ?? "")));
  place("own-note").textContent = own.length
    ? "As the ledger had them when there was a signal last. They can be amended without one."
    : who
      ? "None yet. They come here when there is a signal."
      : "Sign in where there is a signal; your finds are kept here then.";
  const list = place("own-list");
  if (list.dataset.drawn === String(own.length)) return;
  list.dataset.drawn = own.length;
  list.replaceChildren(
    ...own.map((find) => {
      const row = element("li", "", { className: "row outbox-row" });
      const main = element("div", "", { className: "row__main" });
      const head = element("p", "", { className: "outbox-row__head" });
      head.append(element("b", find.number, { className: "number" }), " ", find.name || "no name yet");
      main.append(head, element("p", [dayOf(find.found_on), find.status].filter(Boolean).join(" · "), { className: "row__note" }));
      row.append(main, element("a", "Amend", { href: `${LOG}?amend=${find.id}`, className: "button" }));
      row.lastChild.setAttribute("aria-label", `Amend ${find.number}`);
      return row;
    }),
  );
}

async function drawRoom() {
  const { used, quota, persistent } = await roomLeft();
  const rows = [];
  if (used !== null && quota !== null) {
    rows.push(["Used", megabytes(used)], ["Left for this browser", `about ${megabytes(Math.max(0, quota - used))}`]);
  }
  rows.push(["Kept safe", SAFE[persistent] ?? SAFE.null]);
  place("room").replaceChildren(
    ...rows.map(([term, words]) => {
      const row = element("div");
      row.append(element("dt", term), element("dd", words));
      return row;
    }),
  );
  place("ask-room").hidden = persistent !== false;
}

const SAFE = {
  true: "yes: the browser has promised not to clear it by itself",
  false: "not promised: short of room, the browser may clear it. Send finds soon, or put the ledger on the home screen and ask again",
  null: "this browser does not say",
};

async function askForRoom() {
  const persistent = (await navigator.storage?.persist?.().catch(() => null)) ?? null;
  await setKept("room-asked", { at: Date.now(), persistent });
  await drawRoom();
  if (!persistent) place("ask-room").textContent = "Not promised. Ask again";
}

start().catch(() => {
  sum("This browser keeps nothing here, as in a private window. Open the ledger in an ordinary window.");
});
