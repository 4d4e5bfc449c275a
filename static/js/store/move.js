// Moving by scanning: the first place scanned is where things go, what is scanned after it goes there. The form is the
// list: without a camera it is typed, without a script it works as it stands.
import { element } from "../log/pieces.js";
import { readCode } from "../scan/codes.js";
import { startPanel } from "../scan/panel.js";
import { sign } from "../scan/signs.js";
import { say } from "../words.js";

const form = document.getElementById("move");
const said = document.getElementById("said");
const { to, codes } = form.elements;
const prefixes = form.dataset.prefixes.split(" ");

const listed = () => codes.value.split(/[\n,;]+/).map((one) => one.trim()).filter(Boolean);
const textOf = (code) => readCode(code, prefixes).text;

function count() {
  const many = new Set(listed().map(textOf)).size;
  document.getElementById("count").textContent = many ? say("{n} on the list.", { n: many }) : "";
}

function tell(text, sentence, isFine, ...doing) {
  said.className = `scan-said ${isFine ? "scan-said--fine" : "scan-said--odd"}`;
  const line = element("p");
  if (text) line.append(element("b", text, { className: "number" }), " ");
  line.append(sentence);
  said.replaceChildren(line, ...doing);
  sign(isFine);
}

function add(code) {
  codes.value = [...listed(), code].join("\n");
  count();
}

function takeOff(code) {
  codes.value = listed().filter((one) => textOf(one) !== code).join("\n");
  count();
}

function scanned(text) {
  const code = readCode(text, prefixes);
  if (code.kind === "place") return place(code);
  if (code.kind === "part" && listed().map(textOf).includes(code.text)) {
    return tell(code.text, say("is on the list already."), true);
  }
  if (code.kind === "part") add(code.text);
  return ask(code);
}

function place(code) {
  if (!to.value.trim()) {
    to.value = code.text;
    return ask(code, say("Goes here:"));
  }
  if (textOf(to.value) === code.text) return tell(code.text, say("is where they go."), true);
  if (listed().map(textOf).includes(code.text)) return tell(code.text, say("is on the list already."), true);
  const choice = (word, act) => {
    const button = element("button", word, { className: "button", type: "button" });
    button.addEventListener("click", act);
    return button;
  };
  const doing = element("p", "", { className: "actions" });
  doing.append(
    choice(say("Move it too, with all in it"), () => (add(code.text), ask(code))),
    ...(listed().length ? [] : [choice(say("They go here instead"), () => ((to.value = code.text), ask(code, say("Goes here:"))))]),
  );
  return tell(code.text, say("is another place. What with it?"), false, doing);
}

let asked = 0;

/** The ledger's own word on what was scanned: where it is now, or why it cannot be moved. */
async function ask(code, before = "") {
  const mine = (asked += 1);
  let told;
  try {
    const answer = await fetch(`${form.dataset.read}?${new URLSearchParams({ code: code.text })}`, {
      credentials: "same-origin",
      headers: { Accept: "application/json" },
      signal: AbortSignal.timeout(8000),
    });
    if (!answer.ok) throw new Error(`The ledger answered ${answer.status}.`);
    told = await answer.json();
  } catch {
    // Without an answer it stays on the list, and is read when it is sent.
    if (mine === asked) {
      tell(code.text, say("is on the list. No answer of the ledger yet; it is looked up when you press Move."), true);
    }
    return;
  }
  if (!told.fine && code.kind === "part") takeOff(code.text);
  if (!told.fine && code.kind === "place" && textOf(to.value) === code.text) to.value = "";
  const off = !told.fine && code.kind === "part" ? ` ${say("It is not on the list.")}` : "";
  if (mine === asked || !told.fine) tell(told.text || code.text, [before, told.said + off].filter(Boolean).join(" "), told.fine);
}

codes.addEventListener("input", count);
count();
startPanel(document.querySelector("[data-scan]"), scanned);
