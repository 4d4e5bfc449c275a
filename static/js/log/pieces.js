// Small pieces that several parts of the log form build with.
import { say } from "../words.js";

export function element(tag, text, given = {}) {
  const made = Object.assign(document.createElement(tag), given);
  if (text) made.textContent = text;
  return made;
}

/** A line above the form that asks or tells one thing; what can be done is appended. */
export function rowOf(sentence) {
  const row = element("div", "", { className: "log-unfinished notice notice--doubt" });
  row.append(element("p", sentence));
  return row;
}

/** Whether a field holds something else than the page gave it. */
export function isOtherThanUsual(field) {
  if (field.matches("button, fieldset, [type=hidden], [type=file]")) return false;
  if (field.matches("select")) {
    const usual = [...field.options].findIndex((option) => option.defaultSelected);
    return field.selectedIndex !== Math.max(usual, 0);
  }
  if (field.matches("[type=radio], [type=checkbox]")) return field.checked !== field.defaultChecked;
  return field.value !== field.defaultValue;
}

const ARMED_MS = 5000;

/** What cannot be undone wants a second tap; the word says so in between. */
export function twoTaps(button, word, question, act) {
  const usual = word.textContent;
  let armed = 0;
  button.addEventListener("click", (event) => {
    event.preventDefault();
    event.stopPropagation();
    if (armed) {
      clearTimeout(armed);
      act();
      return;
    }
    word.textContent = question;
    button.classList.add("is-armed");
    armed = setTimeout(() => {
      armed = 0;
      word.textContent = usual;
      button.classList.remove("is-armed");
    }, ARMED_MS);
  });
}

/** What was wrong, what was kept, what to do. Each is a string, or a list of strings and elements. */
export function trouble(wrong, kept, todo) {
  const box = element("dl", "", { className: "trouble", tabIndex: -1 });
  box.setAttribute("role", "alert");
  for (const [term, said] of [[say("Wrong"), wrong], [say("Kept"), kept], [say("Do"), todo]]) {
    const row = element("div");
    const words = element("dd");
    words.append(...[said].flat());
    row.append(element("dt", term), words);
    box.append(row);
  }
  return box;
}
