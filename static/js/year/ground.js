// The ground of the map: land, lakes, rivers and borders out of one file, and tiles of the club's own choice over them.
import { across, down } from "./mercator.js";

// Beyond this many px of the map's edge a line is cut short: what draws it counts no farther.
const FAR_PX = 30000;
const TILE_PX = 256;

/** Outlines as lines of shares of the world, each with its box. */
export async function readOutlines(address) {
  const answer = await fetch(address);
  if (!answer.ok) throw new Error(String(answer.status));
  const packed = await answer.json();
  const kinds = {};
  for (const kind of ["land", "lakes", "rivers", "borders"]) {
    kinds[kind] = packed[kind].map((steps) => unpacked(steps, packed.per_degree));
  }
  return kinds;
}

function unpacked(steps, perDegree) {
  const line = new Float64Array(steps.length);
  const box = [1, 1, 0, 0];
  let longitude = 0;
  let latitude = 0;
  for (let at = 0; at < steps.length; at += 2) {
    longitude += steps[at];
    latitude += steps[at + 1];
    const x = across(longitude / perDegree);
    const y = down(latitude / perDegree);
    line[at] = x;
    line[at + 1] = y;
    box[0] = Math.min(box[0], x);
    box[1] = Math.min(box[1], y);
    box[2] = Math.max(box[2], x);
    box[3] = Math.max(box[3], y);
  }
  return { line, box };
}

/** Draw the ground as `sight` sees it; colours are those of the stylesheet, so that they follow day and dusk. */
export function drawGround(canvas, sight, outlines) {
  const sharp = window.devicePixelRatio || 1;
  canvas.width = Math.round(sight.width * sharp);
  canvas.height = Math.round(sight.height * sharp);
  const pen = canvas.getContext("2d");
  const colour = (name) => getComputedStyle(canvas).getPropertyValue(name).trim();
  pen.scale(sharp, sharp);
  pen.fillStyle = colour("--map-water");
  pen.fillRect(0, 0, sight.width, sight.height);
  if (!outlines) return;
  area(pen, sight, outlines.land, colour("--map-land"), colour("--map-coast"));
  area(pen, sight, outlines.lakes, colour("--map-water"), colour("--map-coast"));
  if (sight.zoom > 4.5) line(pen, sight, outlines.rivers, colour("--map-river"), []);
  line(pen, sight, outlines.borders, colour("--map-border"), [5, 3]);
}

function area(pen, sight, lines, fill, stroke) {
  pen.beginPath();
  trace(pen, sight, lines);
  pen.fillStyle = fill;
  pen.fill("evenodd");
  pen.strokeStyle = stroke;
  pen.lineWidth = 1;
  pen.setLineDash([]);
  pen.stroke();
}

function line(pen, sight, lines, stroke, dashes) {
  pen.beginPath();
  trace(pen, sight, lines);
  pen.strokeStyle = stroke;
  pen.lineWidth = 1;
  pen.setLineDash(dashes);
  pen.stroke();
  pen.setLineDash([]);
}

function trace(pen, sight, lines) {
  const halfX = sight.width / 2 / sight.px;
  const halfY = sight.height / 2 / sight.px;
  const near = (px) => Math.min(Math.max(px, -FAR_PX), FAR_PX);
  for (const { line: points, box } of lines) {
    if (box[2] < sight.x - halfX || box[0] > sight.x + halfX || box[3] < sight.y - halfY || box[1] > sight.y + halfY) continue;
    for (let at = 0; at < points.length; at += 2) {
      const left = near((points[at] - sight.x) * sight.px + sight.width / 2);
      const top = near((points[at + 1] - sight.y) * sight.px + sight.height / 2);
      if (at) pen.lineTo(left, top);
      else pen.moveTo(left, top);
    }
  }
}

/** Lay the club's tiles over the ground as they come; one that does not come leaves the ground to be seen. */
export function layTiles(canvas, sight, address, isCurrent) {
  const zoom = Math.max(0, Math.round(sight.zoom));
  const many = 2 ** zoom;
  const side = sight.px / many;
  const first = (middle, px) => Math.max(0, Math.floor((middle - px / 2 / sight.px) * many));
  const last = (middle, px) => Math.min(many - 1, Math.floor((middle + px / 2 / sight.px) * many));
  for (let x = first(sight.x, sight.width); x <= last(sight.x, sight.width); x += 1) {
    for (let y = first(sight.y, sight.height); y <= last(sight.y, sight.height); y += 1) {
      const tile = new Image(TILE_PX, TILE_PX);
      tile.addEventListener("load", () => {
        if (!isCurrent()) return;
        const pen = canvas.getContext("2d");
        const left = (x / many - sight.x) * sight.px + sight.width / 2;
        const top = (y / many - sight.y) * sight.px + sight.height / 2;
        pen.drawImage(tile, left, top, side, side);
      });
      tile.src = address.replace("{z}", zoom).replace("{x}", x).replace("{y}", y);
    }
  }
}
