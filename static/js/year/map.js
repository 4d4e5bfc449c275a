// The map: moved by finger, mouse, wheel and keys; what it shows is asked of the ledger, and stands in the address.
import { Sight, across, down, latitudeOf, longitudeOf } from "./mercator.js";
import { readOutlines, drawGround, layTiles } from "./ground.js";
import { drawFinds, writeRows } from "./drawn.js";

const LEAST_ZOOM = 1;
const MOST_ZOOM = 18;
const KEY_STEP_PX = 80;
const ASK_AFTER_MS = 180;

const map = document.querySelector("[data-map]");
if (map) begin(map);

function begin(whole) {
  const part = (name) => whole.querySelector(`[data-${name}]`);
  const [frame, canvas, svg] = [part("frame"), part("ground"), part("finds")];
  const said = document.querySelector("[data-said]");
  const body = document.querySelector("[data-rows]");
  const start = Object.fromEntries(["south", "west", "north", "east", "zoom"].map((name) => [name, Number(whole.dataset[name])]));
  let sight = first();
  let outlines = null;
  let answer = { areas: [], finds: [] };
  let asking = null;
  let timer = 0;
  let drawing = 0;
  let drawnFor = 0;

  whole.hidden = false;
  sight = sight.sized(frame.clientWidth, frame.clientHeight);
  readOutlines(whole.dataset.outlines).then((read) => { outlines = read; draw(); }, () => {
    said.textContent = "The outlines of land did not come; cells and finds are drawn without them.";
  });

  function first() {
    const x = (across(start.west) + across(start.east)) / 2;
    const y = (down(start.north) + down(start.south)) / 2;
    return new Sight(x, y, start.zoom, frame.clientWidth || 700, frame.clientHeight || 480);
  }

  function address(middle, zoom) {
    const query = new URLSearchParams(whole.dataset.query);
    query.set("at", middle.map((one) => Number(one.toFixed(5))).join(","));
    query.set("zoom", String(Number(zoom.toFixed(2))));
    return `?${query}`;
  }

  function closer([south, west, north, east]) {
    const fits = Math.log2(Math.min(sight.width / (across(east) - across(west)), sight.height / (down(south) - down(north))) / 256);
    const zoom = Math.min(Math.max(Math.floor(fits * 4) / 4, Math.min(sight.zoom + 1, MOST_ZOOM)), MOST_ZOOM);
    return address([(south + north) / 2, (west + east) / 2], zoom);
  }

  function draw() {
    if (drawing) return;
    drawing = requestAnimationFrame(() => {
      drawing = 0;
      drawnFor += 1;
      const current = drawnFor;
      drawGround(canvas, sight, outlines);
      if (whole.dataset.tiles) layTiles(canvas, sight, whole.dataset.tiles, () => current === drawnFor);
      drawFinds(svg, sight, answer, closer);
      scale();
    });
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
      said.textContent = "The ledger did not answer, so the map shows what it had. Move it to ask again.";
      return;
    }
    said.textContent = answer.said;
    writeRows(body, answer, closer, whole.dataset.checklist);
    draw();
    history.replaceState(null, "", address([latitudeOf(sight.y), longitudeOf(sight.x)], sight.zoom));
  }

  function zoomTo(zoom, left, top) {
    look(sight.scaled(Math.min(Math.max(zoom, LEAST_ZOOM), MOST_ZOOM), left, top));
  }

  const KEYS = {
    ArrowLeft: () => look(sight.moved(KEY_STEP_PX, 0)),
    ArrowRight: () => look(sight.moved(-KEY_STEP_PX, 0)),
    ArrowUp: () => look(sight.moved(0, KEY_STEP_PX)),
    ArrowDown: () => look(sight.moved(0, -KEY_STEP_PX)),
    "+": () => zoomTo(sight.zoom + 0.5),
    "=": () => zoomTo(sight.zoom + 0.5),
    "-": () => zoomTo(sight.zoom - 0.5),
  };
  frame.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !KEYS[event.key]) return;
    event.preventDefault();
    KEYS[event.key]();
  });
  part("in").addEventListener("click", () => zoomTo(sight.zoom + 1));
  part("out").addEventListener("click", () => zoomTo(sight.zoom - 1));
  part("whole").addEventListener("click", () => { location.search = whole.dataset.query; });
  frame.addEventListener("wheel", (event) => {
    event.preventDefault();
    const box = frame.getBoundingClientRect();
    zoomTo(sight.zoom - Math.sign(event.deltaY) * 0.25, event.clientX - box.left, event.clientY - box.top);
  }, { passive: false });
  pointers(frame, (right, lower) => look(sight.moved(right, lower)), (by, left, top) => zoomTo(sight.zoom + by, left, top));
  new ResizeObserver(() => {
    if (!frame.clientWidth || (frame.clientWidth === sight.width && frame.clientHeight === sight.height)) return;
    look(sight.sized(frame.clientWidth, frame.clientHeight));
  }).observe(frame);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
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
