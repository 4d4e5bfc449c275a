// The foray's table: one phone, many finders. Keyed in find by find, each handed to the outbox at Next; below it the list
// of the day, with what others sent where there is a signal.
import { localDay } from "../log/filling.js";
import { trouble } from "../log/pieces.js";
import { notLetIn } from "../log/troubles.js";
import { say } from "../words.js";
import { LOG, SIGN_IN } from "./addresses.js";
import { freshen } from "./hello.js";
import { valueIn } from "./message.js";
import { peek, topUp } from "./number_blocks.js";
import { askForBackground, CHANNEL, keepSending } from "./outbox.js";
import { changeKept, getKept } from "./store.js";
import { BLANK, keyOf, typedOf } from "./table_day.js";
import { Entry } from "./table_entry.js";
import { clearTrouble, drawHeading, putInto, sayKept, tell, tellStored, toTop, typedIn } from "./table_form.js";
import { DayList } from "./table_list.js";
import { loadNames } from "./table_names.js";
import { Offers } from "./table_offers.js";
import { tellDoubts, tellRefused, tellRefusedFinds } from "./table_wrong.js";
import { TablePeople } from "./table_people.js";
import { dayOf, drawNumbers, fillSetup, lineOf, startSetup } from "./table_setup.js";

const LOOK_AGAIN_MS = 60_000;
// A few packets of one basket: what is left of them is void in the end.
const WANTED_FOR_ANOTHER = 10;
const place = (id) => document.getElementById(id);
const form = place("entry");

let who = null; // the kept greeting of the ledger: who keys, people, forays
let table = null; // what is kept of this table between two visits
let entry = null;
let send = async () => ({ why: null });
let list = null;
let people = null;
let offers = null;

async function start() {
  who = (await getKept("hello")) ?? null;
  table = { foray: null, day: localDay(), locality: "", place: null, permission: "", finders: [], namers: [], current: null };
  Object.assign(table, await getKept("table"));
  await takeAsked();
  people = new TablePeople({ now: () => ({ who, table }), keep, onChoose: chosen });
  list = new DayList({ open: correct, values: () => offers.draw(), refused: (finds) => tellRefusedFinds(finds, correct) });
  offers = new Offers(form, { today: () => list.rows, hosts: () => list.hosts, onTake: touched });
  startSetup({ onChange: changeSetup });
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("input", (event) => !event.target.closest("[data-pick]") && touched());
  place("next").addEventListener("click", next);
  place("leave").addEventListener("click", leaveCorrection);
  place("whole").addEventListener("click", openWhole);

  await begin();
  document.body.dataset.ready = "";
  loadNames().then(() => who && list.draw());
  send = keepSending({ onProgress: () => list.later() });
  if (globalThis.BroadcastChannel) new BroadcastChannel(CHANNEL).onmessage = () => list.later();
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && list.refresh());
  setInterval(() => navigator.onLine && document.visibilityState === "visible" && list.refresh(), LOOK_AGAIN_MS);
  await greet();
}

/** Where there is a signal: who is signed in by now, the forays, numbers for those at the table, what others sent. */
async function greet() {
  const { hello, why, told } = await freshen();
  const isOut = ["signed out", "ended"].includes(why);
  place("table-told").replaceChildren(...(isOut ? [trouble(...notLetIn(why, SIGN_IN, { told }))] : []));
  const isNew = hello && who?.member !== hello.member;
  who = hello ?? who;
  if (isNew) {
    await takeAsked();
    await begin();
  } else if (who) {
    fillSetup(who, table);
  }
  if (why) return;
  for (const person of [people.holder(), people.finder, ...table.finders]) await numbersFor(person);
  await drawNumbers(atTable());
  await drawHead();
  await loadNames(); // on the first visit the reference came just now
  await list.refresh();
}

/** Opened from the page of a foray: that one is chosen. Day and permission come with the choice. */
async function takeAsked() {
  const asked = Number(new URLSearchParams(location.search).get("foray")) || null;
  const foray = asked !== table.foray && (who?.forays ?? []).find(({ id }) => id === asked);
  if (!foray) return;
  const { id, name, held_on: heldOn, permission } = foray;
  await keep({ foray: id, forayName: name, day: dayOf(heldOn), permission, locality: "", place: null, current: null, isBegun: true });
}

/** With what this phone knows: the find that was being keyed in, or a fresh one. */
async function begin() {
  place("table-nobody").hidden = Boolean(who);
  place("table").hidden = !who;
  if (!who) return;
  fillSetup(who, table);
  place("table-setup").open = !table.isBegun;
  list.about({ key: keyOf(table), foray: table.foray });
  show((await begun()) ?? fresh());
  await list.draw(entry.find.id);
}

const told = { onTrouble: tellStored, onLost: (one) => entryLost(one) };

/** The find that was being keyed in, or null where there is none, or another tab has it. */
async function begun() {
  if (table.current === null || table.current === entry?.find.id) return null;
  const going = await Entry.over(table.current, who, told);
  return going?.isNew && (await going.hold()) ? going : null;
}

function fresh() {
  const made = new Entry(who, told);
  // Nobody else knows of it yet: the form waits for nothing.
  made.hold();
  return made;
}

/** Another tab has opened the find that is in the entry: two that wrote it would each write over what the other typed. */
async function entryLost(lost) {
  if (lost !== entry) return;
  if (table.current === lost.find.id) await keep({ current: null });
  show(fresh());
  await list.draw(entry.find.id);
  tell(
    say("The find that was open here was opened in another tab."),
    say("What you had typed, there."),
    say("Go on there, or key in the next find here."),
  );
}

/** Remember something of this table. Another tab may have the same table open: only what is given is written. */
async function keep(given) {
  table = { ...table, ...given };
  await changeKept("table", (kept) => ({ ...table, ...kept, ...given }));
}

// --- the entry ---

/** Put a find into the entry. */
function show(shown) {
  if (entry !== shown && !entry?.isUnderWay) entry?.letGo();
  entry = shown;
  const { find } = shown;
  const typed = find.fields.length ? typedOf(find.fields) : BLANK;
  putInto(form, typed, { isNew: shown.isNew, photos: find.photos.length });
  people.showFor(find);
  offers.draw();
  drawHead();
}

/** What the find is or will be called, and whose it is. */
async function drawHead() {
  const { find, isNew } = entry;
  const { finder } = people;
  const isOpen = finder && !find.number && !find.onLedger;
  const coming = isOpen ? await peek(entry.ownerOf(finder)) : null;
  drawHeading({ find, isNew, finder, coming, code: finder?.code || who.code, serial: form.elements.serial.value });
}

const given = () => ({
  typed: typedIn(form),
  finder: people.finder,
  namer: people.namer,
  table: entry.isNew ? table : ownTable(entry.find),
});

/** What a find that is corrected keeps of its own: the day, the foray, the place. */
const ownTable = (find) => ({ foray: valueIn(find.fields, "foray"), day: valueIn(find.fields, "found_on") });

async function touched() {
  clearTrouble();
  offers.draw();
  const mine = entry;
  const writing = mine.touch(given());
  if (mine.isNew && table.current !== mine.find.id) await keep({ current: mine.find.id });
  await writing;
  if (mine === entry) await drawHead();
}

/** Who keys, and those that were chosen or are expected. */
const atTable = () => people.chips().finder;

async function chosen(what, person) {
  if (what === "here") {
    await numbersFor(person);
    await drawNumbers(atTable());
    return;
  }
  if (what === "namer") place("namer-more").open = false;
  if (entry.isTouched || !entry.isNew || entry.find.fields.length) await touched();
  if (what === "namer") return;
  await drawHead();
  await numbersFor(people.finder);
  await drawHead();
}

/** Numbers of this phone for that finder's next finds; where there is no signal they come later. */
async function numbersFor(person) {
  if (!person || !navigator.onLine) return;
  const member = person.member ?? who.member;
  const wanted = member === who.member ? undefined : WANTED_FOR_ANOTHER;
  await topUp({ member, csrf: who.csrf }, { wanted }).catch(() => {});
}

let isUnderWay = false;

/** The fresh entry is there at once: who types on while the find before is being stored loses no letter. */
async function next() {
  // A second tap while the first is under way.
  if (isUnderWay && !entry.isTouched) return;
  clearTrouble();
  const mine = entry;
  const all = given();
  if (!people.finder) {
    tell(say("Nobody is chosen as its finder."), say("What you entered."), say("Tap who found it."), "pick-finder");
    return;
  }
  if (!mine.isWorthKeeping(all)) {
    const todo = say("Give a name, what it grows on, the host or how many.");
    tell(say("Nothing is said of the specimen yet."), say("Its finder; no number is used up."), todo, "entry-name");
    return;
  }
  if (tellDoubts(form, mine)) return;
  isUnderWay = mine.isUnderWay = true;
  if (mine.isNew) {
    keep({ current: null });
    show(fresh());
    toTop();
  }
  try {
    await handOver(mine, all);
  } finally {
    isUnderWay = mine.isUnderWay = false;
    if (mine !== entry) mine.letGo();
  }
}

async function handOver(mine, all) {
  let find;
  try {
    find = await mine.handOver(all);
  } catch (problem) {
    // Back into the entry, unless the next one is being typed there already: then it stands in the list.
    if (!entry.isTouched) show(mine);
    await list.draw(entry.find.id);
    tellStored(problem);
    return;
  }
  sayKept(find, all.finder);
  if (!mine.isNew) await goOn();
  else await list.draw(entry.find.id);
  afterwards(find.id);
}

/** Sent while the next one is keyed in: nobody at the table waits for the signal. */
async function afterwards(id) {
  askForBackground();
  await numbersFor(people.finder);
  await drawHead();
  await send(id);
  await list.refresh();
}

/** After a correction: the find that was being keyed in, or a fresh one. */
async function goOn() {
  show((await begun()) ?? fresh());
  await list.draw(entry.find.id);
  toTop();
}

async function correct(id) {
  if (id === entry.find.id) return null;
  const opened = await Entry.over(id, who, told);
  if (!opened) return list.draw(entry.find.id);
  if (!(await opened.hold())) {
    tell(
      say("This find is open in another tab."),
      say("Everything, as it stands there."),
      say("Close it there, then tap it here again."),
    );
    return null;
  }
  await entry.writing;
  clearTrouble();
  place("entry-said").replaceChildren();
  // Begun and left before: it is the one that is keyed in now.
  if (opened.isNew) await keep({ current: id });
  show(opened);
  await list.draw(id);
  toTop();
  tellRefused(opened);
  return null;
}

async function leaveCorrection() {
  clearTrouble();
  await entry.leave();
  await goOn();
}

/** All that is typed goes with it; it is written before the page is left. */
async function openWhole() {
  await entry.touch(given());
  if (entry.isNew) await keep({ current: entry.find.id });
  entry.letGo();
  location.assign(`${LOG}?draft=${entry.find.id}`);
}

async function changeSetup(changes) {
  await keep({ ...changes, isBegun: true });
  place("setup-line").textContent = lineOf(who, table);
  list.about({ key: keyOf(table), foray: table.foray });
  if (entry.isTouched && entry.isNew) await touched();
  await list.draw(entry.find.id);
  await list.refresh();
}

start().catch(() => {
  place("table-told").replaceChildren(
    trouble(
      say("This browser keeps nothing here, as in a private window."),
      say("Nothing was entered yet."),
      say("Open the ledger in an ordinary window."),
    ),
  );
});
