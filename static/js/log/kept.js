// On a find's page: what the ledger said when it took the find, and photos of it that are still on their way.
import { photosLeft } from "../phone/message.js";
import { CHANNEL, keepSending } from "../phone/outbox.js";
import { changeFind, getFind } from "../phone/store.js";
import { element } from "./pieces.js";
import { megabytes } from "./sizes.js";
import { say, sayN } from "../words.js";

async function start(mark) {
  const id = mark.dataset.keptFind;
  const find = await getFind(id);
  if (!find?.onLedger) return;
  if (find.told?.length) {
    const notice = element("div", "", { className: "notice notice--success" });
    notice.setAttribute("role", "status");
    const words = element("div");
    words.append(...find.told.map((sentence) => element("p", sentence)));
    notice.append(words);
    mark.before(notice);
    // Said once: the page may be opened again.
    await changeFind(id, (now) => now && { ...now, told: [], isTold: true });
  }
  if (photosLeft(find).length) follow(mark, find);
}

function follow(mark, find) {
  const line = element("p", "", { className: "notice" });
  line.setAttribute("role", "status");
  mark.before(line);
  const show = (now) => {
    const left = photosLeft(now);
    const bytes = left.reduce((all, photo) => all + photo.bytes, 0);
    line.textContent = left.length
      ? sayN(
          "{n} photo is still on the way from this phone ({size}). You can leave this page.",
          "{n} photos are still on the way from this phone ({size}). You can leave this page.",
          left.length,
          { size: megabytes(bytes) },
        )
      : say("All photos are on the ledger.");
    if (!left.length && line.isConnected) line.append(" ", element("a", say("Show them"), { href: "" }));
  };
  show(find);
  if (!globalThis.BroadcastChannel) return;
  new BroadcastChannel(CHANNEL).onmessage = async () => {
    const now = await getFind(find.id);
    if (now) show(now);
  };
}

for (const mark of document.querySelectorAll("[data-kept-find]")) {
  start(mark)
    .then(() => keepSending())
    .catch(() => {}); // This browser keeps nothing: there is nothing to say.
}
