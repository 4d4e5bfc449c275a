// Photos: their original bytes lie on this phone, together with the find, before the tile says so. They are sent after
// the find, never ahead of it.
import { sha256 } from "../phone/digest.js";
import { getPhoto, NoRoom } from "../phone/store.js";
import { kindOf, noPictureSays } from "./picture.js";
import { element, twoTaps } from "./pieces.js";
import { steadily } from "./sight.js";
import { megabytes } from "./sizes.js";
import { photoName, viewWords } from "./views.js";
import { say } from "../words.js";

const VIEWS = ["cap", "underside", "side", "cut", "margin", "place", "scale"];
const THUMB_PX = 128;
// As many as the ledger takes with one find.
const MOST = 24;

/** Returns {settled, show}: `settled()` waits until every chosen photo is stored; `show()` draws those of the draft. */
export function startPhotos(form, draft) {
  const list = document.getElementById("phone-photos");
  const note = document.getElementById("photo-note");
  let queue = Promise.resolve();

  const later = (work) => {
    queue = queue.then(work).catch(() => {});
    return queue;
  };

  form.addEventListener("change", (event) => {
    const input = event.target;
    if (!input.matches(".shot__input") || !input.files.length) return;
    const files = [...input.files];
    if (draft.hasNoStore) {
      // They stay chosen and go with the form, as where no script runs.
      const names = files.map((file) => file.name).join(", ");
      note.replaceChildren(element("p", say("Chosen: {names}. They go with Keep.", { names })));
      return;
    }
    // Emptied at once: the phone holds them, and the same one can be chosen again after it was taken back.
    input.value = "";
    for (const file of files) later(() => keep(input, file));
  });

  async function keep(input, file) {
    const tile = input.closest(".shot");
    tile.classList.add("is-sending");
    note.replaceChildren(element("p", say("Keeping the photo on this phone …")));
    const problem = await store(file, input.dataset.view);
    tile.classList.remove("is-sending");
    note.replaceChildren();
    if (problem) return note.append(element("p", problem, { className: "field__error", role: "alert" }));
    tick(input.dataset.view);
    return null;
  }

  /** Its view counts as taken where one of the photos of it can be shown. */
  function tick(view) {
    if (!view || !draft.find.photos.some((photo) => photo.view === view && !photo.isDark)) return;
    form.querySelector(`.shot__input[data-view="${CSS.escape(view)}"]`)?.closest(".shot").classList.add("is-done");
  }

  /** Returns a sentence where it could not be stored. */
  async function store(file, view) {
    const { name } = file;
    let bytes, digest;
    try {
      bytes = await file.arrayBuffer();
      digest = await sha256(bytes);
    } catch {
      return say("{name} could not be read from this phone. It was left out; the find is kept. Choose it again.", { name });
    }
    if (!bytes.byteLength) return say("{name} is empty. It was left out; the find is kept. Choose it again.", { name });
    if (draft.find.photos.some((photo) => photo.sha256 === digest)) {
      return say("{name} is here already. It was not added twice.", { name });
    }
    if (draft.find.photos.length >= MOST) {
      return say("{most} photos are the most for one find. {name} was left out.", { most: MOST, name });
    }
    const about = { sha256: digest, bytes: bytes.byteLength, view, name, type: file.type, confirmed: false };
    const blob = new Blob([bytes], { type: file.type });
    const wrong = await noPictureSays(name, bytes, blob);
    if (wrong) return wrong;
    try {
      await draft.addPhoto(about, blob);
    } catch (problem) {
      return problem instanceof NoRoom
        ? noRoomFor(file)
        : say("{name} could not be kept: {problem} The find is kept.", { name, problem: problem.message });
    }
    // It is stored: said before it is drawn, which a slow phone takes its time for.
    form.dispatchEvent(new CustomEvent("photos"));
    await draw(about, blob);
    return null;
  }

  async function draw(photo, blob) {
    const row = rowOf(photo);
    steadily(() => list.append(row));
    const isShown = await drawThumb(row.querySelector("canvas"), blob);
    if (!isShown) await tellDark(photo, blob, row);
    form.dispatchEvent(new CustomEvent("photo-kept", { detail: { photo, blob, row } }));
  }

  /** It begins like a picture, and cannot be decoded here: perhaps cut short, perhaps beyond this phone. It is kept. */
  async function tellDark(photo, blob, row) {
    if (kindOf(await blob.slice(0, 12).arrayBuffer()) !== "picture") return;
    await draft.changePhoto(photo.sha256, { isDark: true });
    untick(photo.view);
    row.querySelector(".log-photo__facts").append(
      element("p", say("This phone cannot show it: it may be damaged. Take it again to be sure; this one is kept as well."), { className: "field__error" }),
    );
    form.dispatchEvent(new CustomEvent("photos"));
  }

  function rowOf(photo) {
    const row = element("li", "", { className: "log-photo" });
    row.dataset.phonePhoto = photo.sha256;
    const facts = element("div", "", { className: "log-photo__facts" });
    facts.append(
      element("p", titleOf(photo), { className: "log-photo__name", title: photo.name }),
      element("p", say("kept on this phone"), { className: "small soft" }),
      // What the photo itself says of place and time is written here.
      element("div", "", { className: "log-photo__says" }),
    );
    const thumb = element("canvas", "", { width: THUMB_PX, height: THUMB_PX, className: "log-photo__thumb" });
    thumb.setAttribute("aria-hidden", "true");
    row.append(thumb, facts, binOf(photo, row), chipsOf(photo));
    return row;
  }

  function chipsOf(photo) {
    const fold = element("details", "", { className: "log-photo__views" });
    const word = element("summary", saysView(photo.view));
    const set = element("fieldset", "", { className: "log-set" });
    set.append(element("legend", say("What this photo shows"), { className: "visually-hidden" }));
    const chips = element("div", "", { className: "chips chips--words" });
    for (const view of VIEWS) {
      const label = element("label", "", { className: "chip" });
      const input = element("input", "", {
        type: "radio",
        className: "chip__input",
        value: view,
        checked: view === photo.view,
      });
      input.name = `view-of-${photo.sha256.slice(0, 12)}`;
      const face = element("span", "", { className: "chip__face" });
      face.append(element("span", viewWords(view), { className: "chip__word" }));
      label.append(input, face);
      chips.append(label);
    }
    set.append(chips);
    set.addEventListener("change", (event) => {
      event.stopPropagation(); // It is no reading: nothing is checked anew.
      word.textContent = saysView(event.target.value);
      fold.closest(".log-photo").querySelector(".log-photo__name").textContent = titleOf({ ...photo, view: event.target.value });
      draft.changePhoto(photo.sha256, { view: event.target.value });
      form.dispatchEvent(new CustomEvent("photos"));
    });
    fold.open = !photo.view;
    fold.append(word, set);
    return fold;
  }

  function binOf(photo, row) {
    const button = element("button", "", { type: "button", className: "button button--quiet log-photo__bin" });
    const icon = document.getElementById("icon-bin").content.cloneNode(true);
    const word = element("span", say("Remove this photo"), { className: "visually-hidden" });
    button.append(icon, word);
    twoTaps(button, word, say("Remove? Tap again"), async () => {
      try {
        await draft.removePhoto(photo.sha256);
        row.remove();
        untick(photo.view);
        form.dispatchEvent(new CustomEvent("photos"));
      } catch {
        note.replaceChildren(
          element("p", say("The photo could not be removed just now. It is kept; try again."), {
            className: "field__error",
          }),
        );
      }
    });
    return button;
  }

  function untick(view) {
    if (!view || draft.find.photos.some((photo) => photo.view === view && !photo.isDark)) return;
    form.querySelector(`.shot__input[data-view="${view}"]`)?.closest(".shot").classList.remove("is-done");
  }

  /** Photos that lie here already, such as after a reload. Of a find that is amended, those on the ledger are listed with it. */
  async function show() {
    for (const photo of draft.find.photos) {
      if (list.querySelector(`[data-phone-photo="${photo.sha256}"]`)) continue;
      if (draft.isAmendment && photo.confirmed) {
        tick(photo.view);
        continue;
      }
      const kept = await getPhoto(draft.find.id, photo.sha256);
      if (!kept) continue;
      tick(photo.view);
      await draw(photo, kept.blob);
    }
  }

  /** What was chosen before this script ran. */
  for (const input of form.querySelectorAll(".shot__input")) {
    if (!input.files.length) continue;
    const files = [...input.files];
    input.value = "";
    for (const file of files) later(() => keep(input, file));
  }
  return { settled: () => queue, show };
}

const noRoomFor = (file) =>
  say(
    "There is no room left on this phone for {name} ({size}). It was left out; the find and its other photos are kept. Make room, then take it again.",
    { name: file.name, size: megabytes(file.size) },
  );

const titleOf = ({ view, bytes }) => `${photoName(view)}, ${megabytes(bytes)}`;

const saysView = (view) => (view ? say("shows: {view}", { view: viewWords(view) }) : say("shows …"));

/** Whether it was drawn. One that this browser cannot draw, such as HEIC, gets a plain tile; its bytes are kept all the same. */
async function drawThumb(canvas, blob) {
  let picture;
  try {
    picture = await createImageBitmap(blob, { resizeWidth: 2 * THUMB_PX, resizeQuality: "medium" });
  } catch {
    const plain = document.getElementById("icon-camera").content.cloneNode(true);
    const tile = element("span", "", { className: "log-photo__thumb log-photo__thumb--plain" });
    tile.append(plain);
    canvas.replaceWith(tile);
    return false;
  }
  const side = Math.min(picture.width, picture.height);
  const [left, top] = [(picture.width - side) / 2, (picture.height - side) / 2];
  canvas.getContext("2d").drawImage(picture, left, top, side, side, 0, 0, THUMB_PX, THUMB_PX);
  picture.close();
  return true;
}
