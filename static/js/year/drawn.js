// What lies on the ground: cells that count, areas of places that are kept back, finds; and the same as rows of the table.

import { piled, edgesOf } from "./piles.js";
import { say, sayN } from "../words.js";

const SVG = "http://www.w3.org/2000/svg";
const SHADES = 5;
const ROOM_FOR_NUMBER_PX = 26;
// Dots nearer than this cover each other, and no finger parts them.
const NEAR_PX = 22;
// Finds no farther apart than this are parted by no scale.
const ONE_PLACE_DEG = 0.00005;

function made(name, attributes, text) {
  const one = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) one.setAttribute(key, value);
  if (text !== undefined) one.textContent = text;
  return one;
}

/** Draw an answer of the ledger as `sight` sees it. `closer(area)` gives the address of the map around an area. */
export function drawFinds(svg, sight, answer, closer) {
  const most = Math.max(1, ...answer.areas.filter((area) => !area[5]).map((area) => area[4]));
  const parts = answer.areas.map((area) => drawnArea(area, sight, most, closer));
  const looked = (answer.looked ?? []).map((cell) => drawnLooked(cell, sight));
  const seen = answer.finds.map((find) => ({ find, left: sight.left(find.at[1]), top: sight.top(find.at[0]) }));
  const points = piled(seen, NEAR_PX).map((pile) => (pile.points.length > 1 ? drawnPile(pile, closer) : drawnFind(pile.points[0])));
  svg.setAttribute("preserveAspectRatio", "none");
  svg.setAttribute("viewBox", `0 0 ${sight.width} ${sight.height}`);
  svg.replaceChildren(...looked, ...parts, ...points);
}

function drawnArea(area, sight, most, closer) {
  const [south, west, north, east, n, kept] = area;
  const left = sight.left(west);
  const top = sight.top(north);
  const width = sight.left(east) - left;
  const height = sight.top(south) - top;
  const shade = Math.max(1, Math.ceil((SHADES * Math.log(n + 1)) / Math.log(most + 1)));
  const whole = kept ? made("g", {}) : made("a", { href: closer(area), tabindex: "-1" });
  if (!kept) whole.dataset.edges = area.slice(0, 4).join(",");
  whole.append(made("title", {}, `${areaWords(area)}: ${finds(n)}`));
  const shape = kept ? "map__area" : `map__cell map__cell--${shade}`;
  whole.append(made("rect", { class: shape, x: left, y: top, width, height }));
  if (width >= ROOM_FOR_NUMBER_PX) {
    const at = kept ? { x: left + 6, y: top + 18, class: "map__n map__n--area" } : { x: left + width / 2, y: top + height / 2 + 5, class: "map__n" };
    if (!kept) at["text-anchor"] = "middle";
    whole.append(made("text", at, String(n)));
  }
  return whole;
}

function drawnLooked([south, west, north, east], sight) {
  const left = sight.left(west);
  const top = sight.top(north);
  return made("rect", { class: "map__looked", x: left, y: top, width: sight.left(east) - left, height: sight.top(south) - top });
}

function drawnFind({ find, left, top }) {
  const whole = made("a", { href: find.href, tabindex: "-1" });
  whole.append(made("title", {}, told(find)));
  const at = { cx: left, cy: top };
  whole.append(made("circle", { class: "map__reach", r: 20, ...at }));
  whole.append(made("circle", { class: find.kept ? "map__find map__find--kept" : "map__find", r: 7, ...at }));
  return whole;
}

function drawnPile(pile, closer) {
  const n = pile.points.length;
  const edges = edgesOf(pile);
  const isOnePlace = edges[2] - edges[0] < ONE_PLACE_DEG && edges[3] - edges[1] < ONE_PLACE_DEG;
  const whole = made("a", { href: isOnePlace ? "#map-rows" : closer(edges), tabindex: "-1" });
  if (!isOnePlace) whole.dataset.edges = edges.join(",");
  const names = pile.points.slice(0, 8).map(({ find }) => told(find));
  if (n > names.length) names.push(say("and {n} more", { n: n - names.length }));
  whole.append(made("title", {}, `${finds(n)}\n${names.join("\n")}`));
  const kept = pile.points.some(({ find }) => find.kept);
  const at = { cx: pile.left, cy: pile.top };
  whole.append(made("circle", { class: "map__reach", r: 22, ...at }));
  whole.append(made("circle", { class: kept ? "map__pile map__find--kept" : "map__pile", r: n < 10 ? 12 : n < 100 ? 15 : 19, ...at }));
  whole.append(made("text", { class: kept ? "map__of map__of--kept" : "map__of", x: pile.left, y: pile.top + 5.5, "text-anchor": "middle" }, String(n)));
  return whole;
}

function told(find) {
  return `${find.number}, ${find.name}${find.day ? `, ${find.day}` : ""}`;
}

function finds(n) {
  return sayN("{n} find", "{n} finds", n);
}

export function areaWords([south, west, north, east]) {
  const side = north - south;
  const decimals = Math.max(0, -Math.floor(Math.log10(side) + 1e-6));
  const said = (edge, letters) => `${Math.abs(edge).toFixed(decimals)}° ${edge >= 0 ? letters[0] : letters[1]}`;
  const span = (low, high, letters) => say("{low} to {high}", { low: said(low, letters), high: said(high, letters) });
  return `${span(south, north, "NS")}, ${span(west, east, "EW")}`;
}

/** The rows of the table, in the order of the ledger's answer. */
export function writeRows(body, answer, closer, checklist) {
  const rows = answer.finds.map((find) => row(
    [find.place, find.kept ? ` ${say("(kept back from others)")}` : ""],
    [find.name, find.day ? `, ${find.day}` : ""],
    [[find.number, find.href]],
  ));
  for (const area of answer.areas) {
    const ways = area[5] ? [] : [[say("Closer"), closer(area), area.slice(0, 4).join(",")]];
    const cell = `${area[0]},${area[1]},${Number((area[2] - area[0]).toFixed(4))}`;
    if (checklist) ways.push([say("Checklist"), `${checklist}?cell=${cell}`]);
    rows.push(row([areaWords(area), area[5] ? ` ${say("(told no finer)")}` : ""], ["", finds(area[4])], ways, "no-print"));
  }
  body.replaceChildren(...rows);
}

function row(where, what, ways, waysClass = "") {
  const line = document.createElement("tr");
  const first = document.createElement("td");
  const note = document.createElement("span");
  note.className = "soft";
  note.textContent = where[1];
  first.append(where[0], note);
  const second = document.createElement("td");
  const name = document.createElement("i");
  name.textContent = what[0];
  second.append(name, what[1]);
  for (const [word, address, edges] of ways) {
    const link = document.createElement("a");
    link.href = address;
    link.textContent = word;
    if (edges) link.dataset.edges = edges;
    if (waysClass) link.className = waysClass;
    second.append(" ", link);
  }
  line.append(first, second);
  return line;
}
