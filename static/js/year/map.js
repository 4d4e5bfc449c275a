// The map: moved by finger, mouse, wheel and keys; what it shows is asked of the ledger, and stands in the address.
import { WORLD_PX, Sight, across, down, latitudeOf, longitudeOf } from "./mercator.js";
import { readOutlines, drawGround } from "./ground.js";
import { Tiles } from "./tiles.js";
import { drawFinds, writeRows } from "./drawn.js";
import { say } from "../words.js";

const MOST_ZOOM = 18;
const MOST_ZOOM_OF_ALL = 15;
// 17 cm, as the stylesheet has it.
const PAPER_PX = 642;
const KEY_STEP_PX = 80;
const ASK_AFTER_MS = 180;

/** At which the earth is as wide as the map. */
function leastZoom(width) {
  return Math.max(1, Math.log2(width / WORLD_PX));
}

const paper = matchMedia("print");
const map = document.querySelector("[data-map]");
if (map) begin(map);

function begin(whole) {
  const part = (name) => whole.querySelector(`[data-${name}]`);
  const [frame, canvas, svg] = [part("frame"), part("ground"), part("finds")];
  const said = document.querySelector("#map-said");
  const body = document.querySelector("[data-rows]");
  const start = Object.fromEntries(["south", "west", "north", "east", "zoom"].map((name) => [name, Number(whole.dataset[name])]));
  let sight = first();
  let outlines = null;
  let answer = { areas: [], finds: [] };
  let asking = null;
  let timer = 0;
  let drawing = 0;
  const tiles = whole.dataset.tiles ? new Tiles(whole.dataset.tiles, draw) : null;

  whole.hidden = false;
  sized(frame.clientWidth, frame.clientHeight);
  // Without a place in the address the map was given the edges of all there is, and fills this screen with them.
  const knowsAll = !new URLSearchParams(location.search).has("at");
  if (knowsAll) sight = all();
  readOutlines(whole.dataset.outlines).then((read) => { outlines = read; draw(); }, () => {
    said.textContent = say("The outlines of land did not come; cells and finds are drawn without them.");
  });

  function first() {
    const x = (across(start.west) + across(start.east)) / 2;
    const y = (down(start.north) + down(start.south)) / 2;
    return new Sight(x, y, start.zoom, frame.clientWidth || 700, frame.clientHeight || 480);
  }

  function sized(width, height) {
    frame.style.setProperty("--map-shape", `${width} / ${height}`);
    sight = new Sight(sight.x, sight.y, Math.max(sight.zoom, leastZoom(width)), width, height).within();
  }

  function all() {
    const around = sight.around([start.south, start.west, start.north, start.east], MOST_ZOOM_OF_ALL);
    return around.zoom < leastZoom(around.width) ? around.scaled(leastZoom(around.width)) : around;
  }

  function address(middle, zoom) {
    const query = new URLSearchParams(whole.dataset.query);
    query.set("at", middle.map((one) => Number(one.toFixed(5))).join(","));
    query.set("zoom", String(Number(zoom.toFixed(2))));
    return `?${query}`;
  }

  function showAll() {
    if (knowsAll) look(all());
    else location.search = whole.dataset.query;
  }

  function closerTo(edges) {
    const next = sight.around(edges, MOST_ZOOM);
    return next.zoom < sight.zoom + 1 ? next.scaled(Math.min(sight.zoom + 1, MOST_ZOOM)) : next;
  }

  function closer(edges) {
    const next = closerTo(edges);
    return address([latitudeOf(next.y), longitudeOf(next.x)], next.zoom);
  }

  function draw() {
    drawing ||= requestAnimationFrame(drawNow);
  }

  function drawNow() {
    cancelAnimationFrame(drawing);
    drawing = 0;
    drawGround(canvas, sight, outlines, tiles);
    drawFinds(svg, sight, answer, closer);
    scale();
    part("in").disabled = sight.zoom >= MOST_ZOOM;
    part("out").disabled = sight.zoom <= leastZoom(sight.width);
  }

  function scale() {
    const metres = sight.metresPerPx() * 150;
    const step = 10 ** Math.floor(Math.log10(metres));
    const round = [5, 2, 1].find((by) => by * step <= metres) * step;
    const bar = part("scale");
    bar.textContent = round >= 1000 ? `${round / 1000} km` : `${round} m`;
    bar.style.setProperty("inline-size", `${Math.round(round / sight.metresPerPx())}px`);
  }

  function look(next) {
    sight = next;
    draw();
    clearTimeout(timer);
    timer = setTimeout(ask, ASK_AFTER_MS);
  }

  async function ask() {
    asking?.abort();
    asking = new AbortController();
    const query = new URLSearchParams(whole.dataset.query);
    for (const [name, value] of Object.entries(sight.edges())) query.set(name, value.toFixed(6));
    query.set("zoom", sight.zoom.toFixed(2));
    try {
      const reply = await fetch(`${whole.dataset.cells}?${query}`, { signal: asking.signal, headers: { Accept: "application/json" } });
      if (!reply.ok) throw new Error(String(reply.status));
      answer = await reply.json();
    } catch (problem) {
      if (problem.name === "AbortError") return;
      said.textContent = say("The ledger did not answer, so the map shows what it had. Move it to ask again.");
      return;
    }
    said.textContent = answer.said;
    writeRows(body, answer, closer, whole.dataset.checklist);
    draw();
    history.replaceState(null, "", address([latitudeOf(sight.y), longitudeOf(sight.x)], sight.zoom));
  }

  function zoomTo(zoom, left, top) {
    look(sight.scaled(Math.min(Math.max(zoom, leastZoom(sight.width)), MOST_ZOOM), left, top));
  }

  const KEYS = {
    ArrowLeft: () => look(sight.moved(KEY_STEP_PX, 0)),
    ArrowRight: () => look(sight.moved(-KEY_STEP_PX, 0)),
    ArrowUp: () => look(sight.moved(0, KEY_STEP_PX)),
    ArrowDown: () => look(sight.moved(0, -KEY_STEP_PX)),
    "+": () => zoomTo(sight.zoom + 0.5),
    "=": () => zoomTo(sight.zoom + 0.5),
    "-": () => zoomTo(sight.zoom - 0.5),
    0: showAll,
  };
  frame.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !KEYS[event.key]) return;
    event.preventDefault();
    KEYS[event.key]();
  });
  part("in").addEventListener("click", () => zoomTo(sight.zoom + 1));
  part("out").addEventListener("click", () => zoomTo(sight.zoom - 1));
  part("whole").addEventListener("click", showAll);
  // "Closer" goes there without a new page, on the map and in the table, whose link brings the map back into view.
  for (const within of [svg, body]) {
    within.addEventListener("click", (event) => {
      const edges = event.target.closest("a[data-edges]")?.dataset.edges;
      if (!edges || event.ctrlKey || event.metaKey || event.shiftKey) return;
      event.preventDefault();
      look(closerTo(edges.split(",").map(Number)));
      if (within === body) frame.focus();
    });
  }
  frame.addEventListener("wheel", (event) => {
    event.preventDefault();
    const box = frame.getBoundingClientRect();
    zoomTo(sight.zoom - Math.sign(event.deltaY) * 0.25, event.clientX - box.left, event.clientY - box.top);
  }, { passive: false });
  pointers(frame, (right, lower) => look(sight.moved(right, lower)), (by, left, top) => zoomTo(sight.zoom + by, left, top));
  new ResizeObserver(() => {
    if (paper.matches || !frame.clientWidth || (frame.clientWidth === sight.width && frame.clientHeight === sight.height)) return;
    sized(frame.clientWidth, frame.clientHeight);
    look(sight);
  }).observe(frame);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
  // Paper is light whatever the screen is, has a width of its own, and does not wait for the next frame.
  let onScreen = sight;
  paper.addEventListener("change", () => {
    if (paper.matches) onScreen = sight;
    sight = paper.matches ? onScreen.onPaper(PAPER_PX) : onScreen;
    frame.style.setProperty("--map-shape", `${sight.width} / ${sight.height}`);
    drawNow();
  });
  draw();
  ask();
}

/** One finger or the mouse moves the map, two change its scale; a press that hardly moved stays a click. */
function pointers(frame, move, pinch) {
  const held = new Map();
  let moved = 0;
  frame.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    if (!held.size) moved = 0;
    held.set(event.pointerId, { x: event.clientX, y: event.clientY });
  });
  frame.addEventListener("pointermove", (event) => {
    const before = held.get(event.pointerId);
    if (!before) return;
    const now = { x: event.clientX, y: event.clientY };
    moved += Math.hypot(now.x - before.x, now.y - before.y);
    if (moved > 6 && !frame.hasPointerCapture(event.pointerId)) frame.setPointerCapture(event.pointerId);
    if (held.size === 2) {
      const other = [...held].find(([id]) => id !== event.pointerId)[1];
      const box = frame.getBoundingClientRect();
      const apart = (one) => Math.hypot(one.x - other.x, one.y - other.y) || 1;
      pinch(Math.log2(apart(now) / apart(before)), (now.x + other.x) / 2 - box.left, (now.y + other.y) / 2 - box.top);
    } else if (held.size === 1) {
      move(now.x - before.x, now.y - before.y);
    }
    held.set(event.pointerId, now);
  });
  for (const end of ["pointerup", "pointercancel"]) frame.addEventListener(end, (event) => held.delete(event.pointerId));
  frame.addEventListener("click", (event) => { if (moved > 6) event.preventDefault(); }, true);
  frame.addEventListener("dragstart", (event) => event.preventDefault());
}
