// The photo on its stage: pan and zoom by finger, mouse and keys, and a cross in the middle under which a point can be put
// without a finger on it. All points are pixels of the upright original; the stage alone knows where they lie on the screen.

const MOST_ZOOM = 16; // screen pixels for one of the photo: enough to tap single pores
const STEP_ZOOM = 1.5;
const TAP_MS = 500;
const TAP_PX = 9;
export const GRASP_PX = 26;

/**
 * `draw(pen, toScreen, zoom)` draws over the photo; `onTap([x, y])` is told of a tap on the photo; `graspAt(screen, toScreen)`
 * gives the key of a point that lies there (or null), and `onMove(key, [x, y])` is told where it is dragged.
 */
export function makeStage(canvas, { width, height, draw, onTap, graspAt, onMove }) {
  const pen = canvas.getContext("2d");
  const eye = { x: width / 2, y: height / 2, zoom: 1 };
  let picture = null;
  let asked = false;

  const box = () => ({ w: canvas.clientWidth, h: canvas.clientHeight });
  const fit = () => Math.min(box().w / width, box().h / height);
  const toScreen = ([x, y]) => [(x - eye.x) * eye.zoom + box().w / 2, (y - eye.y) * eye.zoom + box().h / 2];
  const toPhoto = ([x, y]) => [(x - box().w / 2) / eye.zoom + eye.x, (y - box().h / 2) / eye.zoom + eye.y];

  function redraw() {
    if (asked) return;
    asked = true;
    requestAnimationFrame(() => {
      asked = false;
      paint();
    });
  }

  function paint() {
    const ratio = window.devicePixelRatio || 1;
    const { w, h } = box();
    if (canvas.width !== Math.round(w * ratio) || canvas.height !== Math.round(h * ratio)) {
      canvas.width = Math.round(w * ratio);
      canvas.height = Math.round(h * ratio);
    }
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    pen.clearRect(0, 0, w, h);
    if (picture) {
      const [left, top] = toScreen([0, 0]);
      // Seen close, a pixel is a pixel: smoothing would draw pore walls that the camera never saw.
      pen.imageSmoothingEnabled = eye.zoom * (width / picture.naturalWidth) < 2;
      pen.drawImage(picture, left, top, width * eye.zoom, height * eye.zoom);
    }
    draw(pen, toScreen, eye.zoom);
    cross(w / 2, h / 2);
  }

  function cross(x, y) {
    for (const [line, colour] of [[4, "#191713"], [1.5, "#fffdf8"]]) {
      pen.lineWidth = line;
      pen.strokeStyle = colour;
      pen.beginPath();
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
        pen.moveTo(x + dx * 5, y + dy * 5);
        pen.lineTo(x + dx * 16, y + dy * 16);
      }
      pen.stroke();
    }
  }

  function keepIn() {
    eye.zoom = Math.min(MOST_ZOOM, Math.max(fit(), eye.zoom));
    eye.x = Math.min(width, Math.max(0, eye.x));
    eye.y = Math.min(height, Math.max(0, eye.y));
    redraw();
  }

  /** Zoom by a factor so that what lies under that place of the screen stays under it. */
  function zoomBy(factor, [sx, sy] = [box().w / 2, box().h / 2]) {
    const [x, y] = toPhoto([sx, sy]);
    eye.zoom = Math.min(MOST_ZOOM, Math.max(fit(), eye.zoom * factor));
    eye.x = x - (sx - box().w / 2) / eye.zoom;
    eye.y = y - (sy - box().h / 2) / eye.zoom;
    keepIn();
  }

  const panBy = (dx, dy) => {
    eye.x -= dx / eye.zoom;
    eye.y -= dy / eye.zoom;
    keepIn();
  };

  function whole() {
    Object.assign(eye, { x: width / 2, y: height / 2, zoom: fit() });
    keepIn();
  }

  const fingers = new Map();
  let grasped = null;
  let tap = null;
  const at = (event) => {
    const { left, top } = canvas.getBoundingClientRect();
    return [event.clientX - left, event.clientY - top];
  };

  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, at(event));
    grasped = fingers.size === 1 ? graspAt(at(event), toScreen) : null;
    tap = fingers.size === 1 ? { at: at(event), time: event.timeStamp } : null;
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!fingers.has(event.pointerId)) return;
    const before = [...fingers.values()];
    const from = fingers.get(event.pointerId);
    const to = at(event);
    if (tap && Math.hypot(to[0] - tap.at[0], to[1] - tap.at[1]) > TAP_PX) tap = null;
    if (tap) return;
    fingers.set(event.pointerId, to);
    if (fingers.size === 2) pinch(before, [...fingers.values()]);
    else if (grasped !== null) onMove(grasped, toPhoto(to));
    else panBy(to[0] - from[0], to[1] - from[1]);
    redraw();
  });
  for (const kind of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(kind, (event) => {
      fingers.delete(event.pointerId);
      const short = tap && event.timeStamp - tap.time < TAP_MS;
      if (kind === "pointerup" && short && grasped === null) onTap(toPhoto(tap.at));
      tap = null;
      grasped = null;
      redraw();
    });
  }

  function pinch([a, b], [c, d]) {
    const middle = (p, q) => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
    const apart = (p, q) => Math.hypot(p[0] - q[0], p[1] - q[1]) || 1;
    const [from, to] = [middle(a, b), middle(c, d)];
    panBy(to[0] - from[0], to[1] - from[1]);
    zoomBy(apart(c, d) / apart(a, b), to);
  }

  canvas.addEventListener(
    "wheel",
    (event) => {
      event.preventDefault();
      zoomBy(event.deltaY < 0 ? STEP_ZOOM : 1 / STEP_ZOOM, at(event));
    },
    { passive: false },
  );
  new ResizeObserver(keepIn).observe(canvas);

  return {
    redraw,
    whole,
    panBy,
    zoomIn: () => zoomBy(STEP_ZOOM),
    zoomOut: () => zoomBy(1 / STEP_ZOOM),
    middle: () => [eye.x, eye.y],
    /** How many screen pixels one of the photo takes. */
    zoom: () => eye.zoom,
    /** Bring that point under the cross. */
    lookAt([x, y]) {
      Object.assign(eye, { x, y });
      keepIn();
    },
    show(image) {
      picture = image;
      redraw();
    },
  };
}
