// What is touched or typed in stays where it is while answers come, and clear of the bar at the foot.

// Left above a box that is moved up, so that its label stays with it.
const LABEL_PX = 60;

/** Change the page; what has the focus does not move on the screen, whatever grows above it. */
export function steadily(change) {
  const held = document.activeElement?.closest(".log") ? document.activeElement : null;
  const before = held?.getBoundingClientRect();
  change();
  if (!held || before.bottom < 0 || before.top > window.innerHeight) return;
  window.scrollBy(0, held.getBoundingClientRect().top - before.top);
  keepInSight();
}

/** The box that is being typed in, and what is said below it, stand clear of the bar at the foot. */
export function keepInSight() {
  const box = document.activeElement;
  if (!box?.matches(".log input:not(.chip__input, [type=file]), .log textarea")) return;
  const foot = document.getElementById("log-bar").getBoundingClientRect().top;
  const { bottom } = box.closest(".field, .log-row").getBoundingClientRect();
  const { top } = box.getBoundingClientRect();
  // Never so far that the box itself would leave the screen; and not at all where the reader has scrolled away from it.
  if (bottom > foot && top < window.innerHeight) window.scrollBy(0, Math.max(0, Math.min(bottom - foot, top - LABEL_PX)));
}
