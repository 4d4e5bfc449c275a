// Keeping: pressed once, sent once; and nothing typed is left behind without a word.

export function startKeeping(form) {
  let touched = false;
  let leaving = false;

  form.addEventListener("input", () => {
    touched = true;
  });
  form.addEventListener("submit", (event) => {
    if (leaving) {
      // A second tap while the first is under way.
      event.preventDefault();
      return;
    }
    leaving = true;
    document.getElementById("keep").textContent = "Keeping …";
  });
  window.addEventListener("pageshow", () => {
    leaving = false;
  });
  window.addEventListener("beforeunload", (event) => {
    if (touched && !leaving) event.preventDefault();
  });

  document.getElementById("trouble")?.focus();
}
