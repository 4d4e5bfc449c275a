// What is drawn over the photo: the marks of now, what was taken before, and the pores that the program found.
// Each line is drawn twice, dark below light, so that it stands out on pale pores and on dark bark alike.

const DARK = "#191713";
const LIGHT = "#fffdf8";
const NOW = "#f2c14e";
const FOUND = "#7fe0cf";

function stroke(pen, width, colour, path) {
  for (const [line, paint] of [[width + 2.5, DARK], [width, colour]]) {
    pen.lineWidth = line;
    pen.strokeStyle = paint;
    pen.beginPath();
    path();
    pen.stroke();
  }
}

function line(pen, [ax, ay], [bx, by], colour, width = 2) {
  stroke(pen, width, colour, () => {
    pen.moveTo(ax, ay);
    pen.lineTo(bx, by);
  });
}

function ring(pen, [x, y], radius, colour) {
  stroke(pen, 2, colour, () => pen.arc(x, y, radius, 0, 2 * Math.PI));
}

const WORD_PX = 24;

/** A word on its own ground, so that it can be read on any photo; `known` are the grounds of those before, which it spares. */
function word(pen, [x, y], text, colour, known) {
  pen.font = "600 16px sans-serif";
  const width = pen.measureText(text).width + 12;
  // Near the right edge it moves in; what begins beyond it is out of sight with its line.
  const left = x < pen.canvas.clientWidth ? Math.min(x + 8, pen.canvas.clientWidth - width - 4) : x + 8;
  const ground = { left, top: y - 26, width };
  const covers = (other) =>
    ground.left < other.left + other.width && other.left < ground.left + ground.width && Math.abs(ground.top - other.top) < WORD_PX;
  while (known.some(covers)) ground.top += WORD_PX + 2;
  known.push(ground);
  pen.fillStyle = "#191713d9";
  pen.fillRect(ground.left, ground.top, ground.width, WORD_PX);
  pen.fillStyle = colour;
  pen.fillText(text, ground.left + 6, ground.top + 17);
}

const rectangle = (pen, [ax, ay], [bx, by], colour) =>
  stroke(pen, 2, colour, () => pen.rect(Math.min(ax, bx), Math.min(ay, by), Math.abs(bx - ax), Math.abs(by - ay)));

/** The marks of now; `chosen` is the index of the point that the keys move. */
export function drawMarks(pen, toScreen, { way, points }, chosen) {
  const seen = points.map(toScreen);
  if (way === "count" && seen.length === 2) rectangle(pen, seen[0], seen[1], NOW);
  else if (seen.length >= 2) line(pen, seen[0], seen[1], NOW);
  seen.forEach((place, index) => {
    const isTap = way === "taps" && index > 1;
    ring(pen, place, isTap ? 5 : 9, index === chosen ? LIGHT : NOW);
  });
}

/** What was taken before: {way, points, text}. */
export function drawTaken(pen, toScreen, taken) {
  for (const { way, points } of taken) {
    if (way === "count") {
      const [[x, y], [w, h]] = points;
      rectangle(pen, toScreen([x, y]), toScreen([x + w, y + h]), LIGHT);
    } else line(pen, toScreen(points[0]), toScreen(points[1]), LIGHT, 1.5);
  }
  // Words after all lines, which would cross them out.
  const words = [];
  for (const { points, text } of taken) word(pen, toScreen(points[0]), text, LIGHT, words);
}

/** Pores as they were found, in pixels of the photo, so that the eye can accept or reject them. */
export function drawPores(pen, toScreen, centres, zoom, spacing) {
  const radius = Math.max(2, spacing * zoom * 0.25);
  for (const centre of centres) ring(pen, toScreen(centre), radius, FOUND);
}

/** The outline of the card as it was found. */
export function drawCard(pen, toScreen, corners) {
  const seen = corners.map(toScreen);
  stroke(pen, 1.5, FOUND, () => {
    pen.moveTo(...seen.at(-1));
    for (const corner of seen) pen.lineTo(...corner);
  });
}
