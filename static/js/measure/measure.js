// Measuring on a photo. The page's own part: which way is chosen, what is marked, what the ledger makes of it. The lengths
// are computed by the ledger, which has the rules; here are only points.
import { drawCard, drawMarks, drawPores, drawTaken } from "./drawing.js";
import { FULL, asSent, empty, isWhole, nextSays, withMoved, withoutLast, withPoint, withWay } from "./marks.js";
import { GRASP_PX, makeStage } from "./stage.js";
import { ask } from "./ask.js";
import { say } from "../words.js";
import { sayKept, sayRefused } from "./kept.js";

const ASK_AFTER_MS = 250;
const NUDGE_PX = 1;
const PAN_PX = 60;

const page = document.getElementById("measure");
const canvas = page.querySelector("canvas");
const says = page.querySelector("[data-says]");
const result = page.querySelector("[data-result]");
const keep = page.querySelector("[data-keep]");
const kept = page.querySelector("[data-kept]");
const balance = page.querySelector("[data-balance]");
const { photo: address, full, ready } = page.dataset;
const scene = JSON.parse(document.getElementById("measure-scene").textContent);

let marks = empty("line");
let chosen = null;
let pores = null;
let isAsked = false; // the ledger said what speaks against it, and keeps it for whoever is sure
let asking = 0;
let timer = 0;

const stage = makeStage(canvas, {
  width: scene.width,
  height: scene.height,
  draw(pen, toScreen, zoom) {
    if (scene.card) drawCard(pen, toScreen, scene.card);
    drawTaken(pen, toScreen, scene.taken);
    if (pores) drawPores(pen, toScreen, pores.centres, zoom, pores.spacing);
    drawMarks(pen, toScreen, marks, chosen);
  },
  onTap: put,
  graspAt(place, toScreen) {
    const near = marks.points
      .map((point, index) => ({ index, apart: Math.hypot(...toScreen(point).map((at, axis) => at - place[axis])) }))
      .filter(({ apart }) => apart < GRASP_PX)
      .sort((one, other) => one.apart - other.apart);
    // Pores lie close to each other: only the two ends of a counted line are grasped, the rest is tapped.
    const held = near.find(({ index }) => marks.way !== "taps" || index < 2);
    return held && !(marks.way === "taps" && isWhole(marks) && held.apart > GRASP_PX / 2) ? held.index : null;
  },
  onMove(index, point) {
    chosen = index;
    change(withMoved(marks, index, point));
  },
});

function put(point) {
  const inside = point[0] >= 0 && point[1] >= 0 && point[0] <= scene.width && point[1] <= scene.height;
  if (!inside) return;
  const next = withPoint(marks, point);
  if (next === marks) {
    says.textContent = FULL;
    return;
  }
  chosen = next.points.length - 1;
  change(next);
}

function change(next) {
  marks = next;
  pores = null;
  isAsked = false;
  kept.replaceChildren();
  asking += 1;
  clearTimeout(timer);
  tell();
  if (isWhole(marks)) timer = setTimeout(tryOut, ASK_AFTER_MS);
  stage.redraw();
}

/** What is chosen on the page: the trait with its way, how high it lies, the length on the ruler. */
function choice() {
  const picked = page.querySelector('[name="what"]');
  const [way, trait = ""] = picked.value.split(":");
  const number = (name) => page.querySelector(`[name="${name}"]`)?.value.trim() ?? "";
  return { way, trait, above_mm: number("above_mm"), ruler_mm: number("ruler_mm"), note: number("note") };
}

function tell() {
  says.textContent = nextSays(marks);
  result.replaceChildren();
  keep.disabled = true;
  page.querySelector("[data-undo]").disabled = !marks.points.length;
  page.querySelector("[data-ruler]").hidden = marks.way !== "ruler";
  page.querySelector("[data-above]").hidden = marks.way !== "line";
}

async function tryOut() {
  const mine = ++asking;
  const { way, ...rest } = choice();
  if (way === "ruler" && !rest.ruler_mm) {
    says.textContent = say("Say how many mm lie between the two points.");
    return;
  }
  if (way === "taps" && marks.points.length < 4) return;
  says.textContent = way === "count" ? say("Counting …") : say("Measuring …");
  const told = await ask(page.dataset.try, { way, points: asSent(marks), ...rest });
  if (mine !== asking) return;
  says.textContent = nextSays(marks);
  for (const [text, kind] of [[told.text, "onphoto__value"], [told.sentence, "onphoto__sentence"]]) {
    if (!text) continue;
    const line = document.createElement("p");
    line.className = kind;
    line.textContent = text;
    result.append(line);
  }
  isAsked = told.ask ?? false;
  result.classList.toggle("onphoto__result--refused", !told.ok || isAsked);
  pores = told.centres ? { centres: told.centres, spacing: told.spacing_px } : null;
  keep.disabled = !told.ok;
  keep.textContent = told.keep ?? say("Keep it");
  stage.redraw();
}

async function keepIt() {
  keep.disabled = true;
  const { way, ...rest } = choice();
  const told = await ask(page.dataset.keep, { way, points: asSent(marks), sure: isAsked, ...rest });
  if (!told.ok) {
    sayRefused(kept, told.sentence);
    keep.disabled = false;
    return;
  }
  // Another scale: everything on the page is measured by it from here on.
  if (told.to) {
    window.location.assign(told.to);
    return;
  }
  chosen = null;
  page.querySelector('[name="note"]').value = "";
  change(empty(way));
  const fresh = await sayKept(kept, told);
  if (fresh) scene.taken = fresh.taken;
  stage.redraw();
}

function move(dx, dy) {
  if (chosen === null || !marks.points[chosen]) {
    stage.panBy(-dx * PAN_PX, -dy * PAN_PX);
    return;
  }
  const [x, y] = marks.points[chosen];
  const step = NUDGE_PX / Math.min(1, stage.zoom());
  change(withMoved(marks, chosen, [x + dx * step, y + dy * step]));
}

const KEYS = {
  ArrowLeft: () => move(-1, 0),
  ArrowRight: () => move(1, 0),
  ArrowUp: () => move(0, -1),
  ArrowDown: () => move(0, 1),
  Enter: () => put(stage.middle()),
  " ": () => put(stage.middle()),
  Backspace: () => undo(),
  "+": () => stage.zoomIn(),
  "=": () => stage.zoomIn(),
  "-": () => stage.zoomOut(),
  0: () => stage.whole(),
  Escape: () => {
    chosen = null;
    stage.redraw();
  },
  n: () => {
    if (!marks.points.length) return;
    chosen = ((chosen ?? -1) + 1) % marks.points.length;
    stage.lookAt(marks.points[chosen]);
  },
};

function undo() {
  const next = withoutLast(marks);
  chosen = next.points.length ? next.points.length - 1 : null;
  change(next);
}

canvas.addEventListener("keydown", (event) => {
  const act = KEYS[event.key];
  if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  act();
});
const ACTS = {
  in: stage.zoomIn,
  out: stage.zoomOut,
  whole: stage.whole,
  put: () => put(stage.middle()),
  undo,
  left: KEYS.ArrowLeft,
  right: KEYS.ArrowRight,
  up: KEYS.ArrowUp,
  down: KEYS.ArrowDown,
};
page.addEventListener("click", (event) => {
  const act = event.target.closest("[data-act]")?.dataset.act;
  if (act) ACTS[act]();
});
page.addEventListener("change", (event) => {
  if (event.target.name !== "what") return;
  chosen = null;
  change(withWay(marks, choice().way));
});
// While it is typed: a button that wakes up only when the box is left looks broken.
page.addEventListener("input", (event) => {
  if (["above_mm", "ruler_mm"].includes(event.target.name) && isWhole(marks)) change(marks);
});
keep.addEventListener("click", keepIt);
balance?.addEventListener("change", () => canvas.classList.toggle("onphoto__stage--balanced", balance.checked));

const image = new Image();
image.src = address;
image.decode().then(() => {
  stage.show(image);
  stage.whole();
  page.dataset.ready = ready ?? "";
  const whole = new Image();
  whole.src = full;
  // The whole photo comes behind: what can be seen without it can be measured without it.
  return whole.decode().then(() => stage.show(whole));
}).catch(() => {
  says.textContent = say("The photo could not be shown. Nothing was lost; load the page again where there is a signal.");
});
change(empty(choice().way));
