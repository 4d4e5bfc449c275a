// The outbox on the screen: what waits, what it waits for, how much is left, and how much room there is.
import { element, trouble } from "../log/pieces.js";
import { megabytes } from "../log/sizes.js";
import { notLetIn } from "../log/troubles.js";
import { say, sayN } from "../words.js";
import { SIGN_IN } from "./addresses.js";
import { startArrivals } from "./arrivals.js";
import { drawConflict, merged } from "./conflict.js";
import { freshen } from "./hello.js";
import { isInOutbox, leftOf, sendingWords } from "./message.js";
import { askForBackground, CHANNEL, isSendingAnywhere, keepSending } from "./outbox.js";
import { otherRow, ownRow, rowOf, typingRow } from "./outbox_rows.js";
import { sendNowState } from "./send_now.js";
import { NOT_SIGNED_IN } from "./sending.js";
import { changeFind, getFind, getKept, listFinds, listOwn, roomLeft, setKept } from "./store.js";

const place = (id) => document.getElementById(id);

let who = null;
// Whether the ledger was asked who is signed in: the phone may remember somebody else.
let isKnown = false;
let send = async () => ({ why: null });
// How the last try to send ended, on this page or elsewhere.
let lastWhy = null;

async function start() {
  who = (await getKept("hello")) ?? null;
  await draw();
  await drawAsked();
  send = keepSending({ onProgress: progress });
  place("send-now").addEventListener("click", sendNow);
  for (const kind of ["online", "offline"]) addEventListener(kind, () => draw());
  // What is refused or changed stands in its row.
  startArrivals({ tellHere: (find) => find.state !== "confirmed" });
  place("ask-room").addEventListener("click", askForRoom);
  // Other tabs and the service worker send too, and say how far they are.
  if (globalThis.BroadcastChannel) new BroadcastChannel(CHANNEL).onmessage = ({ data }) => progress(data);
  const { hello, why, told } = await freshen();
  who = hello ?? who;
  isKnown = true;
  lastWhy ??= why;
  tellStanding(why, told);
  await draw();
}

async function sendNow() {
  isSending = true;
  await draw();
  const { why } = await send(true);
  isSending = false;
  lastWhy = why;
  tellStanding(why, (await getKept("signed"))?.told);
  await draw();
}

function tellStanding(why, told) {
  const isOut = NOT_SIGNED_IN.has(why);
  place("outbox-told").replaceChildren(...(isOut ? [trouble(...notLetIn(why, SIGN_IN, { told }))] : []));
}

// --- how far it is ---

// Who said that a find is under way may have been ended by the browser, and never says more.
const SILENCE_MS = 5_000;

let drawing = null;
let isSending = false;
let silence = 0;

function progress({ finds, bytes, total, sentPhotos, allPhotos, current, why }) {
  const bar = place("outbox-progress");
  bar.hidden = !(finds > 0 && total > 0);
  bar.max = total || 1;
  bar.value = Math.max(0, total - bytes);
  isSending = Boolean(current);
  clearTimeout(silence);
  if (current) silence = setTimeout(askWhetherSending, SILENCE_MS);
  if (current) sum(sendingWords({ finds, sentPhotos, allPhotos, number: current.number, size: megabytes(bytes) }));
  if (why !== undefined || !current) bar.hidden = true;
  if (why !== undefined) lastWhy = why;
  // Rows are read from the store, at most a few times a second.
  drawing ??= setTimeout(() => {
    drawing = null;
    draw();
  }, 250);
}

async function askWhetherSending() {
  if ((await isSendingAnywhere()) !== false) {
    silence = setTimeout(askWhetherSending, SILENCE_MS);
    return;
  }
  isSending = false;
  place("outbox-progress").hidden = true;
  await draw();
}

function sum(sentence) {
  place("outbox-sum").textContent = sentence;
}

const leftWords = ({ finds, bytes }) =>
  sayN("{n} find left, {size} to be sent.", "{n} finds left, {size} to be sent.", finds, { size: megabytes(bytes) });

// --- the lists ---

async function draw() {
  const finds = await listFinds();
  const isMine = (find) => find.member === (who?.member ?? null) || (!who && find.member !== null);
  const out = finds.filter(isInOutbox);
  const mine = out.filter((find) => isMine(find));
  const others = out.filter((find) => !isMine(find));
  place("outbox-list").replaceChildren(...mine.map((find) => rowOf(find, { draw, sendNow })));
  place("others-list").replaceChildren(...others.map((find) => otherRow(find, { who, draw, sendNow })));
  place("outbox-others").hidden = others.length === 0;
  const left = leftOf(mine);
  drawButton(left.finds);
  if (!mine.length && others.length) sum(isKnown ? say("Nothing of yours waits.") : say("Looking …"));
  else if (!mine.length) sum(say("Nothing waits: everything kept on this phone is on the ledger."));
  else if (!isSending) sum(left.finds ? leftWords(left) : say("Nothing can be sent before you have decided."));

  const typing = finds.filter((find) => find.state === "typing" && isMine(find));
  place("typing-list").replaceChildren(...typing.map((find) => typingRow(find)));
  place("outbox-typing").hidden = typing.length === 0;
  await drawOwn();
  await drawRoom();
}

/** "Send now", where something can be sent; else why not. */
function drawButton(left) {
  const { isShown, isDisabled, word, sentence } = sendNowState({ left, isOnline: navigator.onLine, isSending, why: lastWhy });
  const button = place("send-now");
  button.hidden = !isShown;
  button.disabled = isDisabled;
  button.textContent = word;
  place("send-why").textContent = sentence;
  place("outbox-do").hidden = !isShown && !sentence;
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
      return {
        ...now,
        fields,
        version: theirs.version,
        openedAt: theirs.opened_at ?? null,
        theirs: null,
        state: "waiting",
        tries: 0,
        notBefore: null,
      };
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
    ? say("As the ledger had them when there was a signal last. They can be amended without one.")
    : who
      ? say("None yet. They come here when there is a signal.")
      : say("Sign in where there is a signal; your finds are kept here then.");
  const list = place("own-list");
  if (list.dataset.drawn === String(own.length)) return;
  list.dataset.drawn = own.length;
  list.replaceChildren(...own.map((find) => ownRow(find)));
}

async function drawRoom() {
  const { used, quota, persistent } = await roomLeft();
  const rows = [];
  if (used !== null && quota !== null) {
    const size = megabytes(Math.max(0, quota - used));
    rows.push([say("Used"), megabytes(used)], [say("Left for this browser"), say("about {size}", { size })]);
  }
  rows.push([say("Kept safe"), SAFE[persistent] ?? SAFE.null]);
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
  true: say("yes: the browser has promised not to clear it by itself"),
  false: say(
    "not promised: short of room, the browser may clear it. Send finds soon, or put the ledger on the home screen and ask again",
  ),
  null: say("this browser does not say"),
};

async function askForRoom() {
  const persistent = (await navigator.storage?.persist?.().catch(() => null)) ?? null;
  await setKept("room-asked", { at: Date.now(), persistent });
  await drawRoom();
  if (!persistent) place("ask-room").textContent = say("Not promised. Ask again");
}

start().catch(() => {
  sum(say("This browser keeps nothing here, as in a private window. Open the ledger in an ordinary window."));
});
