// Tiles of the club's own choice. Each is asked for once and kept, so that moving the map asks for no tile again, and its
// server is told the tile alone: no address of the ledger goes along.
import { TILE_PX } from "./mercator.js";

const MOST_KEPT = 300;

export class Tiles {
  /** `address` holds {z}, {x} and {y}; `arrived()` is called when one has come that can be drawn. */
  constructor(address, arrived) {
    this.address = address;
    this.arrived = arrived;
    this.kept = new Map();
  }

  /** Draw what is there of `sight`, and ask for the rest; one that does not come leaves the ground to be seen. */
  lay(pen, sight) {
    const zoom = Math.max(0, Math.round(sight.zoom));
    const many = 2 ** zoom;
    const side = sight.px / many;
    const first = (middle, px) => Math.max(0, Math.floor((middle - px / 2 / sight.px) * many));
    const last = (middle, px) => Math.min(many - 1, Math.floor((middle + px / 2 / sight.px) * many));
    for (let x = first(sight.x, sight.width); x <= last(sight.x, sight.width); x += 1) {
      for (let y = first(sight.y, sight.height); y <= last(sight.y, sight.height); y += 1) {
        const tile = this.tile(zoom, x, y);
        if (!tile.complete || !tile.naturalWidth) continue;
        const left = (x / many - sight.x) * sight.px + sight.width / 2;
        const top = (y / many - sight.y) * sight.px + sight.height / 2;
        pen.drawImage(tile, left, top, side, side);
      }
    }
  }

  tile(zoom, x, y) {
    const key = `${zoom}/${x}/${y}`;
    const known = this.kept.get(key);
    if (known) return known;
    const tile = new Image(TILE_PX, TILE_PX);
    tile.referrerPolicy = "no-referrer";
    tile.addEventListener("load", this.arrived);
    tile.src = this.address.replace("{z}", zoom).replace("{x}", x).replace("{y}", y);
    this.kept.set(key, tile);
    if (this.kept.size > MOST_KEPT) this.kept.delete(this.kept.keys().next().value);
    return tile;
  }
}
