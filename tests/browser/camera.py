"""A camera for browser tests: a picture with a code in it, in the place of the one a phone holds.

The page asks for a camera and gets the stream of a canvas. On it stands a sheet of paper with a real QR code (ISO/IEC
18004), made by zxing-cpp, which has no line in common with the decoder of the page; turned, nearer or further, on a grey
desk, in a hand that is not still, with noise. Everything from there on is what a phone does: video, frames, decoding.
"""

import numpy as np
import zxingcpp
from playwright.sync_api import Page

_CAMERA = """() => {
  const canvas = Object.assign(document.createElement("canvas"), { width: 640, height: 480 });
  const brush = canvas.getContext("2d");
  let shown = null;
  let seed = 7;
  const drawn = () => (seed = (seed * 16807) % 2147483647) / 2147483647;
  const noise = Object.assign(document.createElement("canvas"), { width: 640, height: 480 });
  const grains = noise.getContext("2d");
  const data = grains.createImageData(640, 480);
  for (let i = 0; i < data.data.length; i += 4) {
    const grey = 255 * drawn();
    data.data.set([grey, grey, grey, 26], i);
  }
  grains.putImageData(data, 0, 0);
  const rand = (low, high) => low + (high - low) * drawn();
  function draw() {
    brush.setTransform(1, 0, 0, 1, 0, 0);
    brush.fillStyle = "#8d8478";
    brush.fillRect(0, 0, 640, 480);
    if (shown) {
      // No hand holds still.
      shown.turn += rand(-0.012, 0.012);
      shown.dx += rand(-2, 2);
      shown.dy += rand(-2, 2);
      shown.size *= rand(0.995, 1.005);
      const { rows, turn, size } = shown;
      const n = rows.length;
      const cell = size / n;
      brush.translate(320 + shown.dx, 240 + shown.dy);
      brush.rotate(turn);
      brush.fillStyle = "#f4efe4";
      brush.fillRect(-size / 2 - 4 * cell, -size / 2 - 4 * cell, size + 8 * cell, size + 8 * cell);
      brush.fillStyle = "#2b2722";
      rows.forEach((row, y) => [...row].forEach((bit, x) => {
        if (bit === "1") brush.fillRect(-size / 2 + x * cell, -size / 2 + y * cell, cell + 0.4, cell + 0.4);
      }));
      brush.setTransform(1, 0, 0, 1, 0, 0);
    }
    const [left, top] = [-64 * drawn(), -48 * drawn()];
    brush.drawImage(noise, left, top, 704, 528);
  }
  window.testCamera = {
    show(rows) {
      shown = rows && { rows, turn: rand(-0.35, 0.35), size: rand(150, 250), dx: rand(-40, 40), dy: rand(-30, 30) };
      draw();
    },
  };
  draw();
  const stream = canvas.captureStream(30);
  // A still canvas sends no picture; a camera always does.
  setInterval(draw, 33);
  navigator.mediaDevices.getUserMedia = async (asked) => {
    if (asked.audio) throw new Error("nobody asked for sound");
    return stream.clone();
  };
}"""


def code_rows(text: str) -> list[str]:
    """The modules of the QR code of that text, dark ones as 1, without the quiet zone."""
    made = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    modules = np.array(made.to_image(scale=1, add_quiet_zones=False))
    return ["".join("1" if module < 128 else "0" for module in row) for row in modules]


def give_camera(page: Page) -> None:
    """From the next page on. Before the page's own scripts, as a real camera is there before them."""
    page.add_init_script(f"({_CAMERA})()")


def start_camera(page: Page) -> None:
    page.get_by_role("button", name="Start the camera").click()
    page.get_by_role("button", name="Stop the camera").wait_for()


def show(page: Page, text: str) -> None:
    """Hold that code before the camera."""
    page.evaluate("(rows) => window.testCamera.show(rows)", code_rows(text))


_SHOW_ALL = """async ({ codes, rows, waitMs, said }) => {
  const out = document.querySelector(said);
  const waited = (text) => new Promise((resolve, reject) => {
    const until = performance.now() + waitMs;
    const look = () => {
      const there = out.querySelector(".number")?.textContent;
      if (there === text) return resolve();
      if (performance.now() > until) return reject(new Error(`${text} was not read; last: ${out.textContent}`));
      setTimeout(look, 5);
    };
    look();
  });
  for (const text of codes) {
    window.testCamera.show(rows[text]);
    await waited(text);
  }
  window.testCamera.show(null);
}"""


def show_all(page: Page, codes: list[str], *, said: str, wait_ms: int = 20_000) -> None:
    """Hold one code after another before the camera, each until the page has said what it is."""
    rows = {text: code_rows(text) for text in codes}
    given = {"codes": codes, "rows": rows, "waitMs": wait_ms, "said": said}
    page.evaluate(_SHOW_ALL, given)
