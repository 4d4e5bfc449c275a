// A collecting number as an address holds it: AT-57. The ledger's ledger/collecting_numbers.py says the shape of all of them.

const IN_ADDRESS = /^([A-Z]{2,6})-([0-9]{1,10})$/;
const MOST_SERIAL = 2_000_000_000;

/** Pure. {code, serial} of `AT-57`, letters of either size; null for anything else, and for a share, which has no slip. */
export function numberInAddress(text) {
  const found = IN_ADDRESS.exec(text.toUpperCase());
  const serial = Number(found?.[2]);
  return found && serial >= 1 && serial <= MOST_SERIAL ? { code: found[1], serial } : null;
}
