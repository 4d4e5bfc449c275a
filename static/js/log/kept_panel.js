// After Keep: the find is on this phone, says so, and is on its way. The next one is a tap away.
import { findPage, OUTBOX, TABLE } from "../phone/addresses.js";
import { markTold } from "../phone/arrivals.js";
import { changedWords, findIsLeft, isInOutbox, photosLeft } from "../phone/message.js";
import { CHANNEL } from "../phone/outbox.js";
import { getFind, listFinds } from "../phone/store.js";
import { element, trouble } from "./pieces.js";
import { megabytes } from "./sizes.js";
import { say, sayN, woven } from "../words.js";

// So long the page of a find that was confirmed opens by itself; after that nobody is pulled away from what they do.
const FEW_SECONDS_MS = 8000;
const PHOTOS_WAIT_MS = 4000;
const LOOK_MS = 200;

/** Shows the panel in place of the form. `goOn()` begins the next find, `goBack()` opens this one again. */
export function showKept(form, find, { goOn, goBack }) {
  const place = document.getElementById("log-kept");
  const begun = Date.now();
  let isTouched = false;

  const head = element("h2", "", { tabIndex: -1 });
  head.append(...titleOf(find));
  const line = element("p", "", { className: "kept__line" });
  line.setAttribute("role", "status");
  const bar = element("progress", "", { className: "progress", hidden: true });
  bar.setAttribute("aria-label", say("How much is sent"));
  const told = element("div");
  const box = element("section", "", { className: "plate kept" });
  Object.assign(box.dataset, { tells: find.id, follows: "" });
  box.append(head);
  if (find.number && !find.version) box.append(writeOnPacket(find));
  box.append(line, bar, told, doors());
  form.hidden = true;
  for (const id of ["log-told", "unfinished"]) document.getElementById(id).replaceChildren();
  const next = document.getElementById("log-next");
  if (next) next.hidden = true;
  place.replaceChildren(box);
  window.scrollTo(0, 0);
  head.focus({ preventScroll: true });
  tell(navigator.onLine ? say("It is being sent …") : say("It is sent when there is a signal."));
  countOthers();

  function doors() {
    const next = find.table
      ? element("a", say("Back to the foray table"), { href: TABLE, className: "button button--primary" })
      : element("button", say("Next find"), { type: "button", className: "button button--primary" });
    if (!find.table) next.addEventListener("click", () => goOn());
    const back = element("button", say("Back to this find"), { type: "button", className: "button" });
    back.addEventListener("click", () => goBack());
    const outbox = element("a", say("Outbox"), { href: OUTBOX, className: "button" });
    const row = element("p", "", { className: "actions" });
    row.append(next, outbox, back);
    row.addEventListener("pointerdown", () => {
      isTouched = true;
    });
    return row;
  }

  function tell(sentence) {
    line.textContent = sentence;
  }

  async function countOthers() {
    const others = (await listFinds(find.member)).filter((one) => one.id !== find.id && isInOutbox(one)).length;
    const outbox = box.querySelector("a.button:not(.button--primary)");
    if (others) outbox.textContent = sayN("Outbox: {n} find", "Outbox: {n} finds", others + 1);
  }

  const panel = {
    get isShown() {
      return box.isConnected && form.hidden;
    },
    progress({ bytes, total }) {
      bar.hidden = !(total > 0 && bytes > 0);
      bar.max = total || 1;
      bar.value = total - bytes;
      if (bytes > 0) tell(say("It is being sent: {sent} of {total}.", { sent: megabytes(total - bytes), total: megabytes(total) }));
    },
    tell(wrong, kept, todo) {
      bar.hidden = true;
      tell("");
      told.replaceChildren(trouble(wrong, kept, todo));
    },
    /** Watch the find until it is decided on. Resolves to {why}: "there", "refused", "changed", or why it was not sent. */
    async follow(sending) {
      let result = null;
      sending.then(
        (given) => {
          result = given;
        },
        (problem) => {
          result = { why: problem.name };
        },
      );
      for (;;) {
        const now = await getFind(find.id);
        if (!now) return { why: "gone" };
        const isThere = now.onLedger && !findIsLeft(now) && now.state === "confirmed";
        const isWhole = isThere && photosLeft(now).length === 0;
        if (isWhole || (isThere && Date.now() - begun > PHOTOS_WAIT_MS) || (isThere && result))
          return arrived(now, isWhole);
        if (now.state === "refused") return { why: "refused" };
        if (now.state === "changed") return changed(now);
        if (result) return waits(result.why, now);
        await new Promise((go) => setTimeout(go, LOOK_MS));
      }
    },
  };

  async function arrived(now, isWhole) {
    bar.hidden = true;
    const page = findPage(now.id);
    // Who has gone on to the next find is told there.
    if (panel.isShown) await markTold(now.id);
    if (panel.isShown && !isTouched && Date.now() - begun < FEW_SECONDS_MS) {
      // Who came from the foray's table has a queue waiting there.
      location.assign(now.table ? TABLE : page);
      return { why: "there" };
    }
    head.replaceChildren(
      ...(now.number ? woven(say("{number} is on the ledger"), { number: numberOf(now.number) }) : [say("It is on the ledger")]),
    );
    tell(isWhole ? "" : say("Its photos are on their way."));
    line.append(" ", element("a", say("Open its page"), { href: page }));
    return { why: "there" };
  }

  function changed(now) {
    bar.hidden = true;
    if (panel.isShown) markTold(now.id);
    const compare = element("a", say("compare and choose"), { href: `${OUTBOX}?find=${now.id}` });
    const changed = changedWords(now.theirs, say("this find"));
    line.replaceChildren(...woven(say("{changed}. Nothing was overwritten: {compare}"), { changed, compare }));
    return { why: "changed" };
  }

  function waits(why, now) {
    bar.hidden = true;
    isTouched = true; // Told to wait, nobody is led away any more.
    delete box.dataset.follows;
    listen();
    const problem = now.trouble?.wrong?.[0]?.sentence;
    tell(
      problem
        ? say("{problem} It stays in the outbox and is tried again.", { problem })
        : say("No signal. It is sent when there is one."),
    );
    return { why };
  }

  /** Sent later, by whoever sends it: this page says so. */
  function listen() {
    if (!globalThis.BroadcastChannel) return;
    const channel = new BroadcastChannel(CHANNEL);
    channel.onmessage = async ({ data }) => {
      if (!box.isConnected) return channel.close();
      const now = await getFind(find.id);
      if (now?.onLedger && now.state === "confirmed") arrived(now, photosLeft(now).length === 0);
      else if (now?.state === "changed") changed(now);
      else if (data.current?.id === find.id) panel.progress(data);
      return null;
    };
  }

  return panel;
}

function titleOf(find) {
  const number = find.number && numberOf(find.number);
  if (find.version) {
    return number
      ? woven(say("Your changes are kept on this phone: {number}"), { number })
      : [say("Your changes are kept on this phone")];
  }
  return number
    ? woven(say("Kept on this phone as {number}"), { number })
    : [say("Kept on this phone. Its number comes with the signal.")];
}

function writeOnPacket(find) {
  const words = element("p", "");
  words.append(...woven(say("Write {number} on the packet."), { number: numberOf(find.number) }));
  return words;
}

const numberOf = (number) => element("b", number, { className: "number" });
