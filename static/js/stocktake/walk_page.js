// The page of a walk: camera, box to type, what was seen. Each sighting is on this phone before it is said to be taken, and
// goes to the ledger when there is a signal.
import { element, trouble } from "../log/pieces.js";
import { hello } from "../phone/hello.js";
import { getKept, setKept } from "../phone/store.js";
import { startPanel } from "../scan/panel.js";
import { sign } from "../scan/signs.js";
import { say } from "../words.js";
import { sendWalks } from "./sending.js";
import { Walk } from "./walk.js";
import { changeSightings, everySighting, forgetOthers, putSighting, sightingsOf } from "./walks.js";

const place = (id) => document.getElementById(id);
const SHOWN = 30;
const SEND_AFTER_MS = 1500;

let about = null; // what the ledger told of the stocktake
let who = null;
let walk = null;
let sightings = [];

async function start() {
  who = (await getKept("hello")) ?? null;
  const asked = Number(new URLSearchParams(location.search).get("stocktake")) || null;
  const kept = (await getKept("stocktake")) ?? null;
  // Known already: the page is there at once, and the ledger is asked beside it.
  if (kept && (!asked || kept.id === asked)) await begin(kept);
  await renew(asked ?? kept?.id ?? null, kept);
  place("walk-none").hidden = Boolean(about);
  listen();
  await send();
}

/** What the ledger knows now; without a signal what it knew goes on serving. */
async function renew(id, kept) {
  const greeting = await hello();
  who = greeting.hello ?? who;
  if (greeting.why === "signed out" || greeting.why === "ended") {
    about = null;
    place("walk").hidden = true;
    return tellOut(greeting.told);
  }
  if (greeting.why || !id) return null;
  let answer, told;
  try {
    answer = await fetch(`/stocktake/${id}.json`, { credentials: "same-origin", cache: "no-store" });
    told = await answer.json();
  } catch {
    if (!about) {
      tell(
        say("The stocktake did not arrive: no signal."),
        say("Everything on this phone."),
        say("Try again where there is a signal."),
      );
    }
    return null;
  }
  if (!answer.ok) {
    about = null;
    place("walk").hidden = true;
    return tell(told.wrong, told.kept, told.do);
  }
  await setKept("stocktake", told);
  await forgetOthers(told.id);
  if (!told.is_open) {
    tell(
      say("This stocktake has ended."),
      say("What was seen is on its page."),
      say("Open another, or go on with one that is open."),
    );
    about = null;
    place("walk").hidden = true;
    return null;
  }
  return begin(told);
}

async function begin(told) {
  about = told;
  sightings = await sightingsOf(about.id);
  const here = walk?.here;
  walk = new Walk(about, sightings);
  if (here) walk.here = here;
  place("walk").hidden = false;
  place("walk-of").textContent = say("Stocktake of {place}", { place: about.place });
  place("walk-page").href = `/stocktake/${about.id}/`;
  draw();
}

function tell(wrong, kept, todo) {
  place("walk-told").replaceChildren(trouble(wrong, kept, todo));
}

function tellOut(told) {
  const link = element("a", say("Sign in"), { href: place("walk-told").dataset.signIn, className: "button" });
  tell(told?.wrong ?? say("You are signed out."), say("What was seen stays on this phone."), [
    link,
    ` ${say("It is sent then.")}`,
  ]);
}

// --- one code ---

let working = Promise.resolve();

/** One after the other, in the order they were read. */
function read(text, { isAnother = false } = {}) {
  working = working.then(() => take(isAnother ? walk.another(text) : walk.read(text))).catch(notKept);
  return working;
}

async function take(answer) {
  if (answer.sighting) {
    const sighting = {
      id: crypto.randomUUID(),
      stocktake: about.id,
      member: who?.member ?? null,
      ...answer.sighting,
      at: Date.now(),
      takenBack: false,
      sent: false,
      trouble: null,
    };
    await putSighting(sighting);
    walk.recorded(sighting);
    sightings.push(sighting);
    sendSoon();
  }
  show(answer);
  draw();
}

function notKept() {
  tell(
    say("What you scanned could not be kept: there is no room on this phone, or the browser keeps nothing in this window."),
    say("What was taken before."),
    say("Make room, or open the ledger in an ordinary window; then scan it again."),
  );
  sign(false);
}

function show({ text, said, isFine, sighting, canBeAnother }) {
  const line = element("p");
  line.append(element("b", text, { className: "number" }), " ", said);
  const doing = element("p", "", { className: "actions" });
  const offer = (word, act) => {
    const button = element("button", word, { className: "button", type: "button" });
    button.addEventListener("click", act, { once: true });
    doing.append(button);
  };
  if (canBeAnother) offer(say("It is another packet with the same number"), () => read(text, { isAnother: true }));
  else if (sighting && !isFine) offer(say("Take it back"), () => takeBack(sightings.at(-1)));
  place("walk-said").className = `scan-said ${isFine ? "scan-said--fine" : "scan-said--odd"}`;
  place("walk-said").replaceChildren(line, ...(doing.childElementCount ? [doing] : []));
  sign(isFine);
}

async function takeBack(sighting) {
  await changeSightings([sighting.id], (now) => ({ ...now, takenBack: true, sent: false }));
  sighting.takenBack = true;
  sighting.sent = false;
  walk.tookBack(sighting);
  place("walk-said").className = "scan-said";
  place("walk-said").replaceChildren(element("p", say("{number} is taken back.", { number: sighting.text })));
  draw();
  sendSoon();
}

// --- what is shown ---

let drawing = 0;

/** At most once a picture, however fast is scanned. */
function draw() {
  cancelAnimationFrame(drawing);
  drawing = requestAnimationFrame(drawNow);
}

function drawNow() {
  if (!walk) return;
  place("walk-place").textContent = walk.here === null ? say("No place yet") : walk.nameOf(walk.here);
  const { seen, expected, left } = walk.count();
  place("walk-count").textContent = walk.here === null ? "" : say("{seen} of {expected}", { seen, expected });
  place("walk-left-head").textContent = left.length
    ? say("Not seen here yet: {n}", { n: left.length })
    : say("Nothing left to be seen here");
  place("walk-left").textContent = left.slice(0, 200).join(", ");
  place("walk-last").replaceChildren(...sightings.slice(-SHOWN).reverse().map(rowOf));
}

function rowOf(sighting) {
  const row = element("li", "", { className: "row" });
  const main = element("div", "", { className: "row__main" });
  main.append(element("span", sighting.text, { className: "number" }));
  const where = sighting.isPlace
    ? walk.wayOf(sighting.place)
    : say("in {place}", { place: walk.nameOf(sighting.place) });
  const state = sighting.takenBack ? say("taken back") : sighting.trouble ?? where;
  main.append(element("p", state, { className: "row__note" }));
  row.append(main);
  if (!sighting.takenBack && !sighting.isPlace && !sighting.trouble) {
    const side = element("div", "", { className: "row__side" });
    const button = element("button", say("Take back"), { className: "button button--quiet", type: "button" });
    button.setAttribute("aria-label", say("Take back {number}", { number: sighting.text }));
    button.addEventListener("click", () => takeBack(sighting));
    side.append(button);
    row.append(side);
  }
  return row;
}

// --- sending ---

let timer = 0;
const WHY = {
  "no signal": say("There is no signal; they go by themselves when there is one."),
  "signed out": say("Sign in, and they go."),
  ended: say("Your membership has ended."),
  "somebody else": say("They were seen by another member, and go when that one signs in here."),
};

function sendSoon() {
  clearTimeout(timer);
  timer = setTimeout(send, SEND_AFTER_MS);
  drawWaiting(null);
}

let isSending = false;

async function send() {
  clearTimeout(timer);
  if (isSending) {
    timer = setTimeout(send, SEND_AFTER_MS);
    return;
  }
  isSending = true;
  const result = navigator.onLine ? await sendWalks().catch(() => ({ why: "no signal" })) : { why: "no signal" };
  isSending = false;
  if (about) {
    const now = new Map((await sightingsOf(about.id)).map((one) => [one.id, one]));
    for (const one of sightings) Object.assign(one, { sent: now.get(one.id)?.sent, trouble: now.get(one.id)?.trouble });
    draw();
  }
  if (result.why === "signed out" || result.why === "ended") tellOut(result.told);
  await drawWaiting(result);
  if (result.why && result.why !== "signed out") timer = setTimeout(send, 20_000);
}

async function drawWaiting(result) {
  const all = (await everySighting()).filter((one) => !one.isPlace);
  const waiting = all.filter((one) => !one.sent && !one.trouble).length;
  const refused = all.filter((one) => one.trouble).length;
  const words = [""];
  if (waiting) words[0] = say("{n} to be sent.", { n: waiting });
  else if (all.length) words[0] = say("All that was seen is on the ledger.");
  if (refused) {
    words.push(say("{n} the ledger did not take: they stand below, or belong to a stocktake that has ended.", { n: refused }));
  }
  if (waiting && result?.why) {
    words.push(WHY[result.why] ?? say("The ledger did not take them; they stay here and are tried again."));
  }
  place("walk-waits").textContent = words.join(" ");
  place("walk-send").hidden = !waiting;
}

function listen() {
  place("walk-send").addEventListener("click", send);
  addEventListener("online", send);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && send());
  if (!walk) return;
  startPanel(document.querySelector("[data-scan]"), read);
  place("walk-type").addEventListener("submit", (event) => {
    event.preventDefault();
    const box = place("walk-code");
    const typed = box.value.trim();
    if (!typed) return;
    read(typed);
    box.value = "";
    box.focus();
  });
}

start().catch(() =>
  tell(
    say("This browser keeps nothing here, as in a private window."),
    say("Nothing was scanned yet."),
    say("Open the ledger in an ordinary window."),
  ),
);
