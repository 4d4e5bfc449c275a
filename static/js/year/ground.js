// The ground of the map: land, lakes, rivers and borders out of one file, and lines of degrees over them.
import { across, down } from "./mercator.js";
import { drawDegrees } from "./degrees.js";

// Beyond this many px of the map's edge a line is cut short: what draws it counts no farther.
const FAR_PX = 30000;
const PAPER_SHARP = 3;

/** Outlines as lines of shares of the world, each with its box. */
export async function readOutlines(address) {
  const answer = await fetch(address);
  if (!answer.ok) throw new Error(String(answer.status));
  const packed = await answer.json();
  const kinds = {};
  for (const kind of ["land", "lakes", "rivers", "borders"]) {
    kinds[kind] = packed[kind].flatMap((steps) => unpacked(steps, packed.per_degree));
  }
  return kinds;
}

/** A line that goes over 180° goes on beyond the edge of the world, and stands a second time at its other side. */
function unpacked(steps, perDegree) {
  const line = new Float64Array(steps.length);
  const box = [1, 1, 0, 0];
  let longitude = 0;
  let latitude = 0;
  let turned = 0;
  for (let at = 0; at < steps.length; at += 2) {
    longitude += steps[at];
    latitude += steps[at + 1];
    if (at && Math.abs(steps[at]) > 180 * perDegree) turned -= Math.sign(steps[at]);
    const x = across(longitude / perDegree) + turned;
    const y = down(latitude / perDegree);
    line[at] = x;
    line[at + 1] = y;
    box[0] = Math.min(box[0], x);
    box[1] = Math.min(box[1], y);
    box[2] = Math.max(box[2], x);
    box[3] = Math.max(box[3], y);
  }
  const whole = { line, box };
  if (box[0] < 0) return [whole, shifted(whole, 1)];
  return box[2] > 1 ? [whole, shifted(whole, -1)] : [whole];
}

function shifted({ line, box }, by) {
  return { line: line.map((one, at) => (at % 2 ? one : one + by)), box: [box[0] + by, box[1], box[2] + by, box[3]] };
}

/** Draw the ground as `sight` sees it; colours are those of the stylesheet, so that they follow day and dusk. */
export function drawGround(canvas, sight, outlines, tiles) {
  const sharp = matchMedia("print").matches ? PAPER_SHARP : window.devicePixelRatio || 1;
  const [wide, high] = [Math.round(sight.width * sharp), Math.round(sight.height * sharp)];
  // As a picture: Chromium prints what is drawn on a canvas itself a little smaller than it is, and finds lay beside it.
  const sheet = globalThis.OffscreenCanvas ? new OffscreenCanvas(wide, high) : canvas;
  [canvas.width, canvas.height] = [wide, high];
  const pen = sheet.getContext("2d");
  const colour = (name) => getComputedStyle(canvas).getPropertyValue(name).trim();
  pen.scale(sharp, sharp);
  pen.fillStyle = colour("--map-water");
  pen.fillRect(0, 0, sight.width, sight.height);
  pen.save();
  pen.beginPath();
  pen.rect(sight.left(-180), 0, sight.px, sight.height);
  pen.clip();
  if (outlines) drawOutlines(pen, sight, outlines, colour);
  tiles?.lay(pen, sight);
  pen.restore();
  drawDegrees(pen, sight, { line: colour("--map-net"), word: colour("--ink"), halo: colour("--map-land") });
  if (sheet !== canvas) canvas.getContext("bitmaprenderer").transferFromImageBitmap(sheet.transferToImageBitmap());
}

function drawOutlines(pen, sight, outlines, colour) {
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
