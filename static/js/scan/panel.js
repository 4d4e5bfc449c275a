// The camera as a part of a page: its picture, Start and Stop, the lamp. Typing stands beside it as the equal way.
//
//   <div data-scan> <video data-scan-video> <button data-scan-start> <button data-scan-stop> <button data-scan-light>
//     <p data-scan-trouble> </div>
import { say } from "../words.js";
import { allowSigns } from "./signs.js";

/** `onCode(text)` is called for each code that comes into view. */
export function startPanel(box, onCode) {
  const part = (name) => box.querySelector(`[data-scan-${name}]`);
  const said = part("trouble");
  let camera = null;

  function show() {
    box.classList.toggle("is-on", Boolean(camera));
    part("video").hidden = !camera;
    part("start").hidden = Boolean(camera);
    part("stop").hidden = !camera;
    part("light").hidden = !camera?.light;
  }

  function stop() {
    camera?.stop();
    camera = null;
    show();
  }

  part("start").addEventListener("click", async () => {
    said.textContent = "";
    allowSigns();
    part("start").disabled = true;
    try {
      // The decoder is heavy, and many pages are opened without scanning.
      const { startCamera } = await import("./camera.js");
      camera = await startCamera(part("video"), onCode);
    } catch (problem) {
      said.textContent =
        problem.name === "TypeError" ? say("The part of the page that reads codes did not arrive. Try again, or type.") : problem.message;
    }
    part("start").disabled = false;
    show();
  });
  part("stop").addEventListener("click", stop);
  part("light").addEventListener("click", () => camera?.light?.());
  // A camera left on empties the battery; the browser ends it by itself on some phones and not on others.
  document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && stop());
  box.hidden = false;
  show();
}
