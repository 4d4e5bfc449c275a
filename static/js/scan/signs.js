// What is heard and felt of a scan, for hands and eyes that are at the shelf: one short sign for yes, two for "look here".
// The words stand on the screen as well.

let sound = null;

/** Called when the camera is started: a browser gives a page its sound only after a touch. */
export function allowSigns() {
  try {
    sound ??= new AudioContext();
    sound.resume();
  } catch {
    sound = null;
  }
}

export function sign(isFine) {
  navigator.vibrate?.(isFine ? 40 : [90, 70, 90]);
  if (isFine) beep(880, 0);
  else for (const at of [0, 0.18]) beep(330, at);
}

function beep(hertz, after) {
  if (sound?.state !== "running") return;
  const start = sound.currentTime + after;
  const tone = sound.createOscillator();
  const volume = sound.createGain();
  tone.frequency.value = hertz;
  volume.gain.setValueAtTime(0.12, start);
  volume.gain.exponentialRampToValueAtTime(0.001, start + 0.12);
  tone.connect(volume).connect(sound.destination);
  tone.start(start);
  tone.stop(start + 0.13);
}
