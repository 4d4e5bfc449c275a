// How to put the ledger on the home screen of this phone, said where that has not been done.
const line = document.querySelector("[data-home-screen]");

/** Opened from the home screen. Safari says so in a word of its own. */
const isThere = () => matchMedia("(display-mode: standalone)").matches || navigator.standalone === true;

/** "iphone", "android" or null: a desk has no home screen. An iPad calls itself a Mac, but is touched. */
function kindOf({ userAgent, maxTouchPoints }) {
  if (/iPhone|iPad|iPod/.test(userAgent) || (/Macintosh/.test(userAgent) && maxTouchPoints > 1)) return "iphone";
  return /Android/.test(userAgent) ? "android" : null;
}

const kind = kindOf(navigator);
if (line && kind && !isThere()) {
  line.querySelector(`[data-on="${kind}"]`).hidden = false;
  line.hidden = false;
}
