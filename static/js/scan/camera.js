// The phone's camera, reading codes in the page. Nothing of a picture leaves the phone, and none is kept.
import { say } from "../words.js";
import { decode } from "./decode.js";
import { InView } from "./in_view.js";

// The square in the middle of the picture is looked at, so large at most: a code of 40 modules has 8 pixels for each then,
// and an older phone reads several pictures a second.
const SIDE_PX = 420;
const SHARE = 0.9;
const REST_MS = 15;

/** Why there is no camera: the text says what is wrong and what to do. */
export class NoCamera extends Error {}

const WHY = {
  NotAllowedError: say(
    "The camera is not allowed here. Allow it for this page in the browser's settings, then press Start anew. Typing works meanwhile.",
  ),
  NotFoundError: say("This phone or computer has no camera that the browser knows. Type the code instead."),
  NotReadableError: say("Another program holds the camera. Close it, then press Start anew. Typing works meanwhile."),
};
const NONE = say("This browser gives no camera to this page: it needs https, or an ordinary window. Type the code instead.");

/**
 * Start the camera into *video* and call `onCode(text)` for each code that comes into view. Returns {stop, light}: `light`
 * is null, or a function that turns the lamp on and off. Throws NoCamera.
 */
export async function startCamera(video, onCode) {
  if (!navigator.mediaDevices?.getUserMedia) throw new NoCamera(NONE);
  let stream;
  try {
    stream = await navigator.mediaDevices.getUserMedia({
      audio: false,
      video: { facingMode: { ideal: "environment" }, width: { ideal: 1280 }, height: { ideal: 720 } },
    });
  } catch (problem) {
    throw new NoCamera(WHY[problem.name] ?? NONE, { cause: problem });
  }
  video.srcObject = stream;
  video.muted = true;
  await video.play().catch(() => {}); // it plays by itself as soon as it may
  const canvas = document.createElement("canvas");
  const brush = canvas.getContext("2d", { willReadFrequently: true });
  const view = new InView();
  let isOn = true;

  function look() {
    if (!isOn) return;
    const text = video.videoWidth ? decode(square(video, canvas, brush)) : null;
    if (view.read(text, performance.now())) onCode(text);
    setTimeout(waitForPicture, REST_MS);
  }
  function waitForPicture() {
    if (!isOn) return;
    if (video.requestVideoFrameCallback) video.requestVideoFrameCallback(look);
    else setTimeout(look, 60);
  }
  waitForPicture();

  const [track] = stream.getVideoTracks();
  return {
    stop() {
      isOn = false;
      for (const one of stream.getTracks()) one.stop();
      video.srcObject = null;
    },
    light: lightOf(track),
  };
}

function square(video, canvas, brush) {
  const side = Math.round(Math.min(video.videoWidth, video.videoHeight) * SHARE);
  const size = Math.min(side, SIDE_PX);
  if (canvas.width !== size) canvas.width = canvas.height = size;
  const left = (video.videoWidth - side) / 2;
  const top = (video.videoHeight - side) / 2;
  brush.drawImage(video, left, top, side, side, 0, 0, size, size);
  return brush.getImageData(0, 0, size, size);
}

function lightOf(track) {
  if (!track?.getCapabilities?.().torch) return null;
  let isLit = false;
  return async () => {
    isLit = !isLit;
    await track.applyConstraints({ advanced: [{ torch: isLit }] }).catch(() => {});
    return isLit;
  };
}
