// Lines of latitude and longitude over the ground, with their degrees at the edges: inland there is nothing else to go by.

const LEAST_APART_PX = 130;
const STEPS = [30, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001, 0.0005];

/** The finest step in degrees whose lines are far enough apart, and how many decimals it takes to say it. */
export function netOf(pxPerDegree) {
  const step = STEPS.filter((one) => one * pxPerDegree >= LEAST_APART_PX).at(-1) ?? STEPS[0];
  return { step, decimals: step >= 1 ? 0 : (String(step).split(".")[1] ?? "").length };
}

export function degreesText(degrees, decimals, letters) {
  const text = Math.abs(degrees).toFixed(decimals);
  return Number(text) === 0 ? "0°" : `${text}° ${degrees > 0 ? letters[0] : letters[1]}`;
}

export function drawDegrees(pen, sight, colours) {
  const { step, decimals } = netOf(sight.px / 360);
  const { south, west, north, east } = sight.edges();
  pen.save();
  pen.lineWidth = 1;
  pen.strokeStyle = colours.line;
  pen.fillStyle = colours.word;
  pen.font = "16px 'Source Sans 3', sans-serif";
  pen.beginPath();
  const words = [];
  for (let at = Math.ceil(west / step); at * step <= east; at += 1) {
    const left = Math.round(sight.left(at * step)) + 0.5;
    pen.moveTo(left, 0);
    pen.lineTo(left, sight.height);
    words.push([degreesText(at * step, decimals, "EW"), left + 4, 16]);
  }
  for (let at = Math.ceil(south / step); at * step <= north; at += 1) {
    const top = Math.round(sight.top(at * step)) + 0.5;
    pen.moveTo(0, top);
    pen.lineTo(sight.width, top);
    words.push([degreesText(at * step, decimals, "NS"), 4, top - 4]);
  }
  pen.stroke();
  pen.lineWidth = 3;
  pen.strokeStyle = colours.halo;
  pen.lineJoin = "round";
  for (const [text, left, top] of words) {
    // The corner has room for one.
    if (top < 34 && left < 8) continue;
    pen.strokeText(text, left, top);
    pen.fillText(text, left, top);
  }
  pen.restore();
}
