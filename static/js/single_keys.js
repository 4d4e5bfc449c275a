/*
 * Single keys of a page: the switch that turns them off (WCAG 2.1.4), and when they are deaf.
 */

/** Show the switch of this page as it was left, kept under that name; return it, or null where the page has none. */
export function singleKeysSwitch(keptAs) {
  const keys = document.querySelector("[data-keys]");
  const toggle = document.querySelector("#keys-switch");
  if (!keys || !toggle) return toggle;
  const show = () => keys.classList.toggle("is-off", !toggle.checked);
  toggle.checked = isLeftOn(keptAs);
  keys.hidden = false;
  show();
  toggle.addEventListener("change", () => {
    keep(keptAs, toggle.checked);
    show();
  });
  return toggle;
}

/** Whether a letter belongs to what is being typed. */
export function isTyping(target) {
  if (!(target instanceof HTMLElement)) return false;
  if (target.isContentEditable || target.matches("textarea, select")) return true;
  return target.matches("input") && !target.matches("[type='checkbox'], [type='radio']");
}

function isLeftOn(keptAs) {
  try {
    return localStorage.getItem(keptAs) !== "off";
  } catch {
    return true; // storage is forbidden here: the keys work, and the switch holds for this page
  }
}

function keep(keptAs, on) {
  try {
    localStorage.setItem(keptAs, on ? "on" : "off");
  } catch {
    // Nothing to do: see isLeftOn().
  }
}
