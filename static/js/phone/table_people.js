// Who found it and who named it, at the foray's table: chips to tap, chosen once for the finds that follow.
import { say } from "../words.js";
import { valueIn } from "./message.js";
import { guest, memberPerson, Picker, selfFirst, used } from "./people.js";

const place = (id) => document.getElementById(id);
const personOf = (people, key) => people.find((person) => person.key === key);

export class TablePeople {
  /** `now()` gives {who, table}; `keep(given)` remembers something of the table; `onChoose(what, person)` is told of each choice. */
  constructor({ now, keep, onChoose }) {
    Object.assign(this, { now, keep, onChoose, finder: null, namer: null });
    const everybody = () => this.everybody();
    this.pickers = {
      finder: new Picker(place("pick-finder"), { everybody, onChoose: (person) => this.choose("finder", person) }),
      here: new Picker(place("pick-here"), { everybody, onChoose: (person) => this.expect(person) }),
      namer: new Picker(place("pick-namer"), { everybody, onChoose: (person) => this.choose("namer", person) }),
    };
  }

  everybody() {
    return (this.now().who?.people ?? []).map(memberPerson);
  }

  /** Who keys the finds in. */
  holder() {
    const { member, name, code } = this.now().who;
    return memberPerson({ id: member, name, code });
  }

  /** The people of the chips, as the ledger knows them now: names change, and members leave. */
  chips() {
    const people = new Map(this.everybody().map((person) => [person.key, person]));
    const known = (shown) => shown.map((person) => ({ ...person, ...people.get(person.key) }));
    const { finders, namers } = this.now().table;
    return { finder: selfFirst(known(finders), this.holder()), namer: selfFirst(known(namers), this.holder()) };
  }

  /** Those of a find that is put into the entry. A fresh one has those of the find before. */
  showFor(find) {
    const { table } = this.now();
    const isFresh = !find.fields.length;
    const { finder, namer } = this.chips();
    this.finder = isFresh ? (personOf(finder, table.finder) ?? null) : (find.table?.finder ?? null);
    this.namer = isFresh ? (personOf(namer, table.namer) ?? this.holder()) : this.namerOf(find);
    this.draw({ isFixed: Boolean(find.onLedger) });
  }

  /** Who named it, as its fields say; the whole form may have written another. */
  namerOf(find) {
    const name = valueIn(find.fields, "determiner_name");
    if (!name) return valueIn(find.fields, "name_typed") ? this.holder() : (find.table?.namer ?? this.holder());
    return find.table?.namer?.name === name ? find.table.namer : guest(name);
  }

  draw({ isFixed }) {
    const withChosen = (shown, person) => (person && !personOf(shown, person.key) ? [...shown, person] : shown);
    const { finder, namer } = this.chips();
    this.isFixed = isFixed;
    this.pickers.finder.show({ shown: withChosen(finder, this.finder), chosen: this.finder?.key, isFixed });
    this.pickers.namer.show({ shown: withChosen(namer, this.namer), chosen: this.namer?.key });
    this.pickers.here.show({ shown: finder, chosen: null });
    place("namer-line").textContent = this.namer ? say("Named by {name}", { name: this.namer.name }) : say("Named by nobody yet");
  }

  /** Somebody will bring finds: a chip beforehand, and numbers while there is a signal. */
  async expect(person) {
    if (person.key !== this.holder().key) await this.keep({ finders: used(this.now().table.finders, person, Date.now()) });
    this.draw(this);
    await this.onChoose("here", person);
  }

  async choose(what, person) {
    this[what] = person;
    const shown = this.now().table[`${what}s`];
    // Who keys is always there, first, and takes nobody else's place.
    const others = person.key === this.holder().key ? shown : used(shown, person, Date.now());
    await this.keep({ [what]: person.key, [`${what}s`]: others });
    this.draw(this);
    await this.onChoose(what, person);
  }
}
