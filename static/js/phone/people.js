// People at a foray's table: members of the club, and guests by name. The first half is pure.
//
// A person is {key, member, name, code}; a guest has no member and no code.
import { element } from "../log/pieces.js";
import { say } from "../words.js";

const MOST_CHIPS = 6;
const MOST_MATCHES = 6;

export const memberPerson = ({ id, name, code }) => ({ key: `m${id}`, member: id, name, code });

export function guest(name) {
  const plain = name.trim().replace(/\s+/g, " ").slice(0, 120);
  return { key: `g${folded(plain)}`, member: null, name: plain, code: "" };
}

/** Without accents and capitals, as people type it in a hurry. */
const folded = (text) =>
  text
    .normalize("NFD")
    .replace(/\p{M}/gu, "")
    .toLowerCase();

/** People whose code or whose names begin like what is typed; a code that fits whole comes first. */
export function matching(people, typed) {
  const words = folded(typed).split(/\s+/).filter(Boolean);
  if (!words.length) return [];
  const fits = ({ name, code }) => {
    const parts = [...folded(name).split(/[\s-]+/), folded(code)];
    return words.every((word) => parts.some((part) => part.startsWith(word)));
  };
  const isCode = (person) => folded(person.code) === words.join("");
  return people
    .filter(fits)
    .sort((one, other) => isCode(other) - isCode(one))
    .slice(0, MOST_MATCHES);
}

/**
 * The people offered first, with this one among them, `at` in ms. Whoever is there already keeps the place, so that a
 * thumb finds it again; whoever was used longest ago makes room.
 */
export function used(shown, person, at) {
  const now = { ...person, at };
  if (shown.some(({ key }) => key === person.key)) return shown.map((one) => (one.key === person.key ? now : one));
  if (shown.length < MOST_CHIPS) return [...shown, now];
  const oldest = shown.reduce((old, one) => (one.at < old.at ? one : old));
  return shown.map((one) => (one === oldest ? now : one));
}

/** Whoever keys the finds in is the first chip, and always there: most tables begin with a find of one's own. */
export const selfFirst = (shown, self) => [self, ...shown.filter(({ key }) => key !== self.key)];

/**
 * Chips of the people used last, and a box for anybody else. `root` is a fieldset of table.html; `everybody()` gives
 * all members; `onChoose(person)` is told of each choice. `show({shown, chosen})` draws it.
 */
export class Picker {
  constructor(root, { everybody, onChoose }) {
    Object.assign(this, { root, everybody, onChoose });
    this.chips = root.querySelector("[data-chips]");
    this.more = root.querySelector("[data-more]");
    this.box = root.querySelector("input");
    this.found = root.querySelector("[data-found]");
    this.box.addEventListener("input", () => this.search());
    this.box.addEventListener("keydown", (event) => {
      if (event.key === "Enter") this.found.querySelector("button")?.click();
    });
  }

  show({ shown, chosen, isFixed = false }) {
    const asked = this.chips.contains(document.activeElement) ? document.activeElement.value : null;
    this.root.disabled = isFixed;
    const name = `pick-${this.root.id}`;
    this.chips.replaceChildren(...shown.map((person) => this.chip(person, { name, isChosen: person.key === chosen })));
    this.chips.append(this.other());
    this.hideMore();
    if (asked) this.chips.querySelector(`input[value="${CSS.escape(asked)}"]`)?.focus();
  }

  chip(person, { name, isChosen }) {
    const label = element("label", "", { className: "chip" });
    const input = element("input", "", { type: "radio", name, value: person.key, checked: isChosen });
    input.className = "chip__input";
    input.addEventListener("change", () => this.onChoose(person));
    const face = element("span", "", { className: "chip__face" });
    face.append(element("span", person.name, { className: "chip__word" }));
    face.append(element("span", person.code || say("guest"), { className: "small soft" }));
    label.append(input, face);
    return label;
  }

  other() {
    const button = element("button", say("Somebody else"), { type: "button", className: "button table-else" });
    button.setAttribute("aria-expanded", "false");
    button.addEventListener("click", () => {
      const opens = this.more.hidden;
      button.setAttribute("aria-expanded", String(opens));
      if (!opens) return this.hideMore();
      this.more.hidden = false;
      this.search();
      this.box.focus();
      return null;
    });
    return button;
  }

  hideMore() {
    this.more.hidden = true;
    this.box.value = "";
    this.found.replaceChildren();
  }

  search() {
    const typed = this.box.value.trim();
    const found = typed ? matching(this.everybody(), typed) : [];
    const buttons = found.map((person) => this.answer(person, `${person.name} · ${person.code}`));
    if (typed.length > 1) buttons.push(this.answer(guest(typed), say("Guest: {name}", { name: typed })));
    this.found.replaceChildren(...buttons);
  }

  answer(person, words) {
    const button = element("button", words, { type: "button", className: "button" });
    button.addEventListener("click", () => this.onChoose(person));
    return button;
  }
}
