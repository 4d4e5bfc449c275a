// On every page: has the service worker fetch what the form needs without a signal, once the page itself is there; and on
// a kept page fills in the menu.
import { offerNewer } from "./release.js";
import { fillWays } from "./ways.js";

const AGAIN_MS = 60 * 60 * 1000;

async function install() {
  const slot = document.getElementById("newer-form");
  const registration = (await kept()) ?? (await register());
  const offer = () => offerNewer(registration, slot);
  registration.addEventListener("updatefound", () => {
    registration.installing?.addEventListener("statechange", offer);
  });
  // The line waits while a find is typed; it is looked at anew when the page comes back into sight.
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") offer();
  });
  setInterval(() => navigator.onLine && registration.update().catch(() => {}), AGAIN_MS);
  await offer();
}

/** Pages of the ledger are in the language that holds now, and so is the worker they register; a kept page may still be in
 * that of the release that was taken, and leaves the worker as it is. */
const register = () =>
  navigator.serviceWorker.register(document.body.dataset.worker, { type: "module", scope: "/", updateViaCache: "none" });

const kept = async () =>
  "keptPage" in document.body.dataset ? navigator.serviceWorker.getRegistration("/") : null;

/** Not before the page can be used: the form comes first, keeping it comes second. */
function afterwards(work) {
  const rest = () => (window.requestIdleCallback ?? setTimeout)(() => work().catch(() => {}));
  if (document.readyState === "complete") rest();
  else window.addEventListener("load", rest, { once: true });
}

// Without a service worker, as in some private windows, the ledger works with a signal only.
if ("serviceWorker" in navigator) afterwards(install);

if ("keptPage" in document.body.dataset) {
  // Where nothing is kept, the menu stays as it is for everybody.
  const fill = () => fillWays().catch(() => {});
  document.addEventListener("hello", fill);
  fill();
}
