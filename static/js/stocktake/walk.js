// One walk along a shelf: what a code means where it is read. Pure: clock and keys come in as arguments.
import { readCode } from "../scan/codes.js";
import { say } from "../words.js";

/**
 * `about`: what the ledger told of the stocktake (queries.for_phone): {prefixes, places: [[number, kind, way, isInWalk]],
 * parts: [[number, place, name]]}. `sightings`: those of this walk on this phone.
 */
export class Walk {
  constructor(about, sightings = []) {
    this.about = about;
    this.places = new Map(about.places.map(([number, kind, way, isInWalk]) => [number, { number, kind, way, isInWalk }]));
    this.parts = new Map(about.parts.map(([text, place, name]) => [text, { text, place, name }]));
    this.here = null;
    this.last = null; // the code recorded last in this place
    this.seen = new Map(); // text -> ids of sightings by place: Map(place -> Set(id))
    const inWalk = about.places.filter(([, , , isInWalk]) => isInWalk);
    if (inWalk.length === 1) this.here = inWalk[0][0];
    for (const one of sightings) {
      if (one.takenBack) continue;
      if (one.isPlace) this.here = one.place;
      else this.#note(one);
    }
  }

  #note({ id, text, place }) {
    const places = this.seen.get(text) ?? new Map();
    places.set(place, (places.get(place) ?? new Set()).add(id));
    this.seen.set(text, places);
  }

  wayOf(number) {
    return this.places.get(number)?.way ?? say("place {number}", { number });
  }

  /** Its own name, without where it stands. */
  nameOf(number) {
    return this.wayOf(number).split(" › ").at(-1);
  }

  /**
   * Read one code. Returns {text, said, isFine, sighting, canBeAnother}: a sentence, whether all is well, what to record
   * ({text, place, isPlace} or null), and whether the same code may be taken as another packet's (`another(text)`).
   */
  read(typed) {
    const code = readCode(typed, this.about.prefixes);
    if (code.kind === "place") return this.#place(code);
    if (this.here === null) {
      return answer(code.text, say("Scan the label of the box or shelf first; then this one again."), { isFine: false });
    }
    if (this.last === code.text) {
      return answer(code.text, say("is taken already."), { isFine: true, canBeAnother: true });
    }
    return this.#take(code);
  }

  /** Another packet that bears the number that was taken last. */
  another(text) {
    return this.#take(readCode(text, this.about.prefixes));
  }

  #place(code) {
    const place = this.places.get(code.number);
    if (!place) {
      if (this.here === null) return answer(code.text, say("There is no such place in this store."), { isFine: false });
      return this.#record(code.text, say("There is no such place in this store. It is noted."), false);
    }
    if (this.here === code.number && this.hasBegun) {
      return answer(code.text, say("{place}: you are there.", { place: place.way }), { isFine: true });
    }
    this.here = code.number;
    this.last = null;
    this.hasBegun = true;
    const sighting = { text: code.text, place: code.number, isPlace: true };
    if (place.isInWalk) {
      return answer(code.text, say("{place}. Now each packet in it, once.", { place: place.way }), { isFine: true, sighting });
    }
    const said = say("{place} is not part of this stocktake. What you scan there is held against the record all the same.", {
      place: place.way,
    });
    return answer(code.text, said, { isFine: false, sighting });
  }

  #take(code) {
    if (code.kind === "foreign") return this.#record(code.text, say("is a code of another collection. It is noted."), false);
    if (code.kind === "tray") return this.#record(code.text, say("is the tag of a drying tray. It is noted."), false);
    if (code.kind !== "part") return this.#record(code.text, say("is no code of this collection. It is noted."), false);
    const before = this.seen.get(code.text);
    if (before?.get(this.here)?.size) {
      const said = say("was scanned here before: it is noted as seen twice. If it is the same packet, take it back.");
      return this.#record(code.text, said, false);
    }
    const elsewhere = [...(before ?? [])].find(([, ids]) => ids.size);
    if (elsewhere) {
      const place = this.nameOf(elsewhere[0]);
      return this.#record(code.text, say("was scanned in {place} before: it is noted as seen twice.", { place }), false);
    }
    const part = this.parts.get(code.text);
    if (!part) return this.#record(code.text, say("is not on record as this phone knows it. It is noted."), false);
    const { name } = part;
    if (part.place === null) {
      const said = name
        ? say("{name} has no place on record. It is noted.", { name })
        : say("has no place on record. It is noted.");
      return this.#record(code.text, said, false);
    }
    if (part.place !== this.here) {
      const place = this.wayOf(part.place);
      const said = name
        ? say("{name} belongs in {place}. It is noted.", { name, place })
        : say("belongs in {place}. It is noted.", { place });
      return this.#record(code.text, said, false);
    }
    return this.#record(code.text, part.name, true);
  }

  #record(text, said, isFine) {
    return answer(text, said, { isFine, sighting: { text, place: this.here, isPlace: false } });
  }

  /** What was answered is on the disk; it was recorded under that key. */
  recorded(sighting) {
    if (sighting.isPlace) return;
    this.#note(sighting);
    this.last = sighting.text;
  }

  /** A sighting was taken back. */
  tookBack({ id, text, place }) {
    this.seen.get(text)?.get(place)?.delete(id);
    if (this.last === text) this.last = null;
  }

  /** {seen, expected, left}: in this place, of the parts that belong there; `left` are their numbers, in order. */
  count() {
    const expected = [...this.parts.values()].filter((part) => part.place === this.here);
    const left = expected.filter((part) => !this.seen.get(part.text)?.get(this.here)?.size).map((part) => part.text);
    return { seen: expected.length - left.length, expected: expected.length, left };
  }
}

const answer = (text, said, { isFine, sighting = null, canBeAnother = false }) => ({
  text,
  said,
  isFine,
  sighting,
  canBeAnother,
});
