// Photos are sent as soon as they are chosen, one after another, and then wait in the ledger for the find.
import { fill, send } from "./send.js";

export function startPhotos(form, check) {
  const list = document.getElementById("photos");
  const token = form.elements.csrfmiddlewaretoken.value;

  const body = (parts) => {
    const data = new FormData();
    data.set("csrfmiddlewaretoken", token);
    for (const [name, value] of Object.entries(parts)) data.append(name, value);
    return data;
  };

  form.addEventListener("change", async (event) => {
    const input = event.target;
    if (!input.matches(".shot__input")) return;
    const tile = input.closest(".shot");
    const files = [...input.files];
    tile.classList.add("is-sending");
    let sent = 0;
    for (const file of files) {
      sayProgress(list, files.length, sent);
      try {
        const data = body({ find_id: form.elements.find_id.value, view: input.dataset.view, photo: file });
        const { text, ok } = await send(form.dataset.photoUrl, { data });
        fill(list, text);
        if (ok) tile.classList.add("is-done");
      } catch {
        say(list, `${file.name} did not arrive. Nothing else is lost; choose it again where there is a signal.`);
      }
      sent += 1;
    }
    tile.classList.remove("is-sending");
    // Sent already: the form itself must not carry it a second time.
    input.value = "";
  });

  form.addEventListener("change", (event) => {
    const select = event.target.closest("[data-view-url]");
    if (select) send(select.dataset.viewUrl, { data: body({ view: select.value }) }).catch(() => {});
  });

  form.addEventListener("click", async (event) => {
    const use = event.target.closest("[data-use]");
    const remove = event.target.closest("[data-remove-url]");
    if (use) {
      event.preventDefault();
      for (const [name, value] of Object.entries(JSON.parse(use.dataset.use))) {
        const field = form.elements[name];
        if (field) field.value = value;
      }
      form.dispatchEvent(new CustomEvent("placed", { detail: "photo" }));
      check();
    } else if (remove) {
      event.preventDefault();
      try {
        const { text } = await send(remove.dataset.removeUrl, { data: body({}) });
        fill(list, text);
      } catch {
        say(list, "The photo could not be removed just now. It is kept; try again where there is a signal.");
      }
    }
  });

  // A quick hand, or a slow signal: what was chosen before this script ran is sent now.
  for (const input of form.querySelectorAll(".shot__input")) {
    if (input.files.length) input.dispatchEvent(new Event("change", { bubbles: true }));
  }
}

function sayProgress(list, all, sent) {
  if (all > 1) say(list, `Sending photo ${sent + 1} of ${all}`);
}

function say(list, sentence) {
  const note = document.createElement("p");
  note.className = "field__error";
  note.setAttribute("role", "alert");
  note.textContent = sentence;
  list.prepend(note);
}
