// Codes that the camera reads go into the box of codes, each once; where the page has a tick for a code, it is ticked.
import { startPanel } from "../scan/panel.js";
import { sign } from "../scan/signs.js";

const box = document.querySelector("[data-scan]");
const codes = document.querySelector("[data-codes], input[name=code]");

function take(text) {
  const code = text.trim();
  const tick = [...document.querySelectorAll("[data-code]")].find((one) => one.dataset.code === code);
  if (tick) {
    tick.checked = true;
    tick.scrollIntoView({ block: "center" });
  } else if (codes.tagName === "INPUT") {
    codes.value = code;
  } else {
    const lines = codes.value.split("\n").map((line) => line.trim()).filter(Boolean);
    if (!lines.includes(code)) codes.value = [...lines, code].join("\n");
  }
  // A code that names no part of ours is said by the ledger, with all the others, when the page is sent.
  sign(true);
}

if (box && codes) startPanel(box, take);
