// Collecting numbers for finds made without a signal: each phone has blocks of its own, so that no two phones ever give
// the same number. Kept as "blocks": {member: [{block, code, first, last, next, back: [numbers given back]}]}.
import { NUMBERS } from "./addresses.js";
import { changeKept, getKept } from "./store.js";

const WANTED = 20;
// Below this many the next block is asked for: enough for a log with several finds where there is no signal.
const FEW = 5;
const WAIT_MS = 20_000;

/** The next number without taking it: {serial, code}, or null where this phone has none. */
export const peek = async (member) => nextOf((await getKept("blocks"))?.[member]);

/** Take the next number: {serial, code}, or null where this phone has none. */
export async function take(member) {
  let taken = null;
  await changeKept("blocks", (blocks) => {
    taken = nextOf(blocks?.[member]);
    return taken ? { ...blocks, [member]: blocks[member].map((block) => without(block, taken)) } : undefined;
  });
  return taken;
}

/** A number that no find came to bear is free again. */
export function giveBack(member, serial) {
  return changeKept("blocks", (blocks) => {
    const mine = blocks?.[member];
    const home = mine?.find((block) => serial >= block.first && serial < block.next);
    if (!home || home.back.includes(serial)) return undefined;
    const back = [...home.back, serial].sort((one, other) => one - other);
    return { ...blocks, [member]: mine.map((block) => (block === home ? { ...block, back } : block)) };
  });
}

export const left = (mine) =>
  (mine ?? []).reduce((sum, block) => sum + block.last - block.next + 1 + block.back.length, 0);

/** The lowest free number of the oldest block. */
function nextOf(mine) {
  for (const { code, back, next, last } of mine ?? []) {
    if (back.length) return { code, serial: back[0] };
    if (next <= last) return { code, serial: next };
  }
  return null;
}

function without(block, { serial }) {
  if (block.back.includes(serial)) return { ...block, back: block.back.filter((one) => one !== serial) };
  return block.next === serial ? { ...block, next: serial + 1 } : block;
}

/**
 * Ask for the next block where few numbers are left. Asked again after a lost answer it is the same request, which the
 * ledger answers with the same block. Throws where there is no signal.
 */
export async function topUp({ member, csrf }, { wanted = WANTED } = {}) {
  if (left((await getKept("blocks"))?.[member]) >= FEW) return;
  const phone = await thisPhone();
  const { requests } = await changeKept("number-requests", (known) => ({
    requests: { ...known?.requests, [member]: known?.requests?.[member] ?? crypto.randomUUID() },
  }));
  const answer = await fetch(NUMBERS, {
    method: "POST",
    credentials: "same-origin",
    headers: { "Content-Type": "application/json", "X-CSRFToken": csrf },
    body: JSON.stringify({ request: requests[member], phone, phone_name: "", member, wanted }),
    signal: AbortSignal.timeout(WAIT_MS),
  });
  if (!answer.ok) throw new Error(`The ledger answered ${answer.status} when asked for numbers.`);
  await add(member, await answer.json());
  await changeKept("number-requests", (known) => {
    const { [member]: done, ...requests } = known?.requests ?? {};
    return { requests };
  });
}

/** Two tabs that asked at once were given the same block: it is kept once. */
function add(member, { block, code, first, last }) {
  return changeKept("blocks", (blocks) => {
    const mine = blocks?.[member] ?? [];
    if (mine.some((known) => known.block === block)) return undefined;
    return { ...blocks, [member]: [...mine, { block, code, first, last, next: first, back: [] }] };
  });
}

/** This phone's own identity, made once. */
export async function thisPhone() {
  return (await getKept("phone")) ?? changeKept("phone", (known) => known ?? crypto.randomUUID());
}
