// The list of the day on the screen, and what the ledger has of the same foray.
import { element } from "../log/pieces.js";
import { say, sayN } from "../words.js";
import { findPage, LOG, OUTBOX, tableList } from "./addresses.js";
import { valueIn } from "./message.js";
import { changeKept, getKept, getOwn, listFinds } from "./store.js";
import { keptRows, keyOf, rowsOfDay, stateWords, totals } from "./table_day.js";
import { written } from "./table_names.js";

const WAIT_MS = 20_000;
const SOON_MS = 300;
const place = (id) => document.getElementById(id);

export class DayList {
  /** `open(id)` corrects a find; `values()` is told when the list has changed; `refused(finds)` which the ledger refused. */
  constructor({ open, values, refused }) {
    Object.assign(this, { open, values, refused, rows: [], hosts: [], without: null, soon: null });
  }

  /** Which table: its key, and the foray the ledger is asked for, or null. */
  about({ key, foray }) {
    Object.assign(this, { key, foray });
  }

  /** Draw it from this phone; `without`: the find in the entry. */
  async draw(without = this.without) {
    this.without = without;
    const { key } = this;
    const [finds, days, ledger] = await Promise.all([listFinds(), getKept("table-days"), getKept("table-ledger")]);
    const kept = days?.[key] ?? {};
    const told = this.foray && ledger?.foray === this.foray ? ledger : null;
    const typed = rowsOfDay({ finds, kept, ledger: told?.finds ?? [], key, without });
    const rows = typed.map((row) => ({ ...row, name: written(row.name) }));
    if (key !== this.key) return;
    this.rows = rows;
    const mine = finds.filter((find) => find.table && keyOf(find.table) === key);
    this.hosts = mine.map((find) => valueIn(find.fields, "host"));
    const known = keptRows(rows);
    if (Object.keys(known).some((id) => kept[id]?.name !== known[id].name)) {
      await changeKept("table-days", (all) => latest({ ...all, [key]: { ...all?.[key], ...known } }));
    }
    place("day-list").replaceChildren(...(await Promise.all(rows.map((row) => this.row(row)))));
    place("day-empty").hidden = rows.length > 0;
    place("day-sum").textContent = sumOf(rows, told, this.foray);
    drawTotals(rows);
    this.refused(mine.filter(({ id, state }) => state === "refused" && id !== without));
    this.values();
  }

  later() {
    this.soon ??= setTimeout(() => {
      this.soon = null;
      this.draw();
    }, SOON_MS);
  }

  /** Ask the ledger for what it has of this foray, where there is a signal; then draw. */
  async refresh() {
    const { foray } = this;
    if (foray && navigator.onLine) {
      try {
        const answer = await fetch(tableList(foray), {
          credentials: "same-origin",
          cache: "no-store",
          signal: AbortSignal.timeout(WAIT_MS),
        });
        if (answer.ok) {
          const { finds } = await answer.json();
          await changeKept("table-ledger", () => ({ foray, finds, at: Date.now() }));
        }
      } catch {
        // What was known of it stays.
      }
    }
    await this.draw();
  }

  async row(row) {
    const item = element("li", "", { className: "row table-row" });
    item.dataset.find = row.id;
    item.dataset.state = row.state;
    const main = element("span", "", { className: "table-row__main" });
    main.append(element("b", row.number ?? say("no number yet"), { className: row.number ? "number" : "" }), " ");
    main.append(row.name ? element("i", row.name) : element("span", say("no name yet"), { className: "soft" }));
    if (row.isTwice) main.append(" ", element("strong", say("same number twice"), { className: "table-twice" }));
    const note = element("span", `${row.finder || say("finder not said")} · `, { className: "row__note table-row__note" });
    note.append(element("span", stateWords(row), { className: "table-row__state" }));
    const door = await this.door(row);
    door.append(main, note);
    item.append(door);
    return item;
  }

  /** Where a tap leads: into the entry, to the choice between two versions, to the whole form, or to the find's page. */
  async door(row) {
    if (["typing", "waiting", "sending", "refused"].includes(row.state)) {
      const button = element("button", "", { type: "button", className: "table-row__door" });
      button.addEventListener("click", () => this.open(row.id));
      return button;
    }
    const href =
      row.state === "changed"
        ? `${OUTBOX}?find=${row.id}`
        : (await getOwn(row.id))
          ? `${LOG}?amend=${row.id}`
          : findPage(row.id);
    return element("a", "", { href, className: "table-row__door" });
  }
}

/** A table is remembered as long as the next few. */
const latest = (all) => Object.fromEntries(Object.entries(all).slice(-3));

function sumOf(rows, told, foray) {
  const out = rows.filter(({ state }) => state !== "there").length;
  const many = rows.length;
  if (foray && !told) {
    const here = out
      ? sayN("{n} find of this phone, {out} in the outbox or begun.", "{n} finds of this phone, {out} in the outbox or begun.", many, { out })
      : sayN("{n} find of this phone.", "{n} finds of this phone.", many);
    return `${here} ${say("Those of others are shown when there is a signal.")}`;
  }
  const all = out
    ? sayN("{n} find, {out} in the outbox or begun.", "{n} finds, {out} in the outbox or begun.", many, { out })
    : sayN("{n} find.", "{n} finds.", many);
  if (!foray) return all;
  const time = new Date(told.at).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  return `${all} ${say("What others sent: as of {time}.", { time })}`;
}

function drawTotals(rows) {
  const { finders, names } = totals(rows);
  place("totals").hidden = rows.length === 0;
  for (const [id, counted] of [["totals-finders", finders], ["totals-names", names]]) {
    place(id).replaceChildren(
      ...counted.map(([word, many]) => {
        const row = element("tr");
        row.append(element("th", word, { scope: "row" }), element("td", String(many), { className: "figures" }));
        return row;
      }),
    );
  }
}
