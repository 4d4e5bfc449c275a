// Photos are sent as soon as they are chosen, one after another, and then wait in the ledger for the find.
// One that could not be sent stays chosen: it goes with Keep, or before that when there is a signal again.
import { element, twoTaps } from "./pieces.js";
import { fill, send } from "./send.js";

/** Returns `settled()`, which waits until no photo is on its way. */
export function startPhotos(form, check) {
  const list = document.getElementById("photos");
  const note = document.getElementById("photo-note");
  const unsent = new Map();
  let queue = Promise.resolve();

  const body = (parts) => {
    const data = new FormData();
    data.set("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
    for (const [name, value] of Object.entries(parts)) data.append(name, value);
    return data;
  };

  const put = (text) => {
    fill(list, text);
    armRemoval();
    form.dispatchEvent(new CustomEvent("photos"));
  };

  async function sendAll(input, files) {
    const tile = input.closest(".shot");
    tile.classList.add("is-sending");
    for (const [index, file] of files.entries()) {
      note.replaceChildren(element("p", `Sending photo ${index + 1} of ${files.length} …`));
      try {
        const data = body({ find_id: form.elements.find_id.value, view: input.dataset.view, photo: file });
        const { text, ok } = await send(form.dataset.photoUrl, { data });
        put(text);
        if (ok) tile.classList.add("is-done");
      } catch (problem) {
        if (problem.status === 413) {
          list.prepend(element("p", `${file.name} is too big to be sent. It was left out.`, { className: "field__error" }));
        } else {
          unsent.set(input, [...(unsent.get(input) ?? []), file]);
        }
      }
    }
    tile.classList.remove("is-sending");
    choose(input, unsent.get(input) ?? []);
    tell();
  }

  function later(input, files) {
    queue = queue.then(() => sendAll(input, files));
  }

  function tryAgain() {
    for (const [input, files] of unsent) {
      unsent.delete(input);
      later(input, files);
    }
  }

  function tell() {
    const names = [...unsent.values()].flat().map((file) => file.name);
    note.replaceChildren();
    if (!names.length) return;
    const many = names.length === 1 ? `${names[0]} is` : `${names.length} photos are`;
    const again = element("button", "Send now", { type: "button", className: "button button--quiet" });
    again.addEventListener("click", tryAgain);
    const line = element("p", "", { className: "log-ask" });
    line.append(`No signal: ${many} not sent yet and stay chosen. Leave this page open; Keep sends them too. `, again);
    note.append(line);
  }

  window.addEventListener("online", () => {
    if (form.isConnected) tryAgain();
  });

  form.addEventListener("change", (event) => {
    const input = event.target;
    if (input.matches(".shot__input") && input.files.length) later(input, [...input.files]);
    const select = input.closest("[data-view-url]");
    if (select) send(select.dataset.viewUrl, { data: body({ view: select.value }) }).catch(() => {});
  });

  form.addEventListener("click", (event) => {
    const use = event.target.closest("[data-use]");
    if (!use) return;
    event.preventDefault();
    for (const [name, value] of Object.entries(JSON.parse(use.dataset.use))) {
      const field = form.elements[name];
      if (field) field.value = value;
    }
    form.dispatchEvent(new CustomEvent("placed", { detail: "photo" }));
    check();
  });

  function armRemoval() {
    for (const button of list.querySelectorAll("[data-remove-url]")) {
      twoTaps(button, button.querySelector("[data-word]"), "Remove? Tap again", async () => {
        try {
          put((await send(button.dataset.removeUrl, { data: body({}) })).text);
        } catch {
          note.replaceChildren(
            element("p", "The photo could not be removed just now. It is kept; try again where there is a signal.", {
              className: "field__error",
            }),
          );
        }
      });
    }
  }

  armRemoval();
  // A quick hand, or a slow signal: what was chosen before this script ran is sent now.
  for (const input of form.querySelectorAll(".shot__input")) {
    if (input.files.length) later(input, [...input.files]);
  }
  return { settled: () => queue };
}

/** Let the input hold exactly these files: the form then carries them. */
function choose(input, files) {
  const held = new DataTransfer();
  for (const file of files) held.items.add(file);
  input.files = held.files;
}
