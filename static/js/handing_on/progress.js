// While a file is written and comes, the page says how far it is.
const box = document.querySelector("[data-handing]");
const EVERY_MS = 1000;
let waiting = null;

function show(state) {
  const bar = box.querySelector("[data-bar]");
  bar.max = Math.max(state.total, 1);
  bar.value = state.finished ? bar.max : state.done;
  box.querySelector("[data-said]").textContent = state.said;
  box.querySelector("[data-digest]").textContent = state.sha256;
  box.querySelector("[data-sum]").hidden = !state.sha256;
}

async function ask() {
  waiting = null;
  try {
    const answer = await fetch(box.dataset.handing, { headers: { Accept: "application/json" } });
    if (answer.ok) {
      const state = await answer.json();
      show(state);
      if (state.finished || state.broken) return;
    }
  } catch {
    // No signal for a moment: the file comes by another way, or has ended; ask again.
  }
  again();
}

function again() {
  if (waiting === null) waiting = setTimeout(ask, EVERY_MS);
}

box?.querySelector("[data-begin]").addEventListener("click", again);
