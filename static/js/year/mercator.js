// Degrees to shares of the world's width in the spherical Mercator, and back: 0, 0 is 180 west at the top.

export const WORLD_PX = 256;
export const TILE_PX = 256;
const MOST_NORTH = 85.05;

export function across(longitude) {
  return longitude / 360 + 0.5;
}

export function down(latitude) {
  const radians = (Math.min(Math.max(latitude, -MOST_NORTH), MOST_NORTH) * Math.PI) / 180;
  return 0.5 - Math.asinh(Math.tan(radians)) / (2 * Math.PI);
}

export function longitudeOf(x) {
  return (x - 0.5) * 360;
}

export function latitudeOf(y) {
  return (Math.atan(Math.sinh((0.5 - y) * 2 * Math.PI)) * 180) / Math.PI;
}

/** A map of `width` by `height` px around x, y: where degrees lie on it, and which lie at its edges. */
export class Sight {
  constructor(x, y, zoom, width, height) {
    Object.assign(this, { x, y, zoom, width, height });
    this.px = WORLD_PX * 2 ** zoom;
  }

  left(longitude) {
    return (across(longitude) - this.x) * this.px + this.width / 2;
  }

  top(latitude) {
    return (down(latitude) - this.y) * this.px + this.height / 2;
  }

  edges() {
    const half = this.width / 2 / this.px;
    const up = this.height / 2 / this.px;
    return {
      south: latitudeOf(Math.min(this.y + up, 1)),
      west: Math.max(longitudeOf(this.x - half), -180),
      north: latitudeOf(Math.max(this.y - up, 0)),
      east: Math.min(longitudeOf(this.x + half), 180),
    };
  }

  /** The same map moved by px, or with another scale around a point of it. */
  moved(right, lower) {
    return new Sight(this.x - right / this.px, this.y - lower / this.px, this.zoom, this.width, this.height).within();
  }

  scaled(zoom, left = this.width / 2, top = this.height / 2) {
    const px = WORLD_PX * 2 ** zoom;
    const x = this.x + (left - this.width / 2) * (1 / this.px - 1 / px);
    const y = this.y + (top - this.height / 2) * (1 / this.px - 1 / px);
    return new Sight(x, y, zoom, this.width, this.height).within();
  }

  sized(width, height) {
    return new Sight(this.x, this.y, this.zoom, width, height).within();
  }

  /** Its edges stay on the earth; where it is wider than that, the earth stays in its middle. */
  within() {
    const held = (middle, half) => (half >= 0.5 ? 0.5 : Math.min(Math.max(middle, half), 1 - half));
    this.x = held(this.x, this.width / 2 / this.px);
    this.y = held(this.y, this.height / 2 / this.px);
    return this;
  }

  /** The same map of these edges: they fill it, with some room around them, in quarter steps of the scale. */
  around([south, west, north, east], most) {
    const wide = Math.max(across(east) - across(west), 1e-9);
    const high = Math.max(down(south) - down(north), 1e-9);
    const zoom = Math.log2(Math.min((0.86 * this.width) / wide, (0.86 * this.height) / high) / WORLD_PX);
    const middle = [(across(west) + across(east)) / 2, (down(south) + down(north)) / 2];
    return new Sight(...middle, Math.min(Math.floor(zoom * 4) / 4, most), this.width, this.height).within();
  }

  /** The same part of the earth, or a little more, on paper so wide. */
  onPaper(width) {
    const height = Math.min(width, Math.round((width * this.height) / this.width));
    const scale = Math.min(width / this.width, height / this.height);
    return new Sight(this.x, this.y, this.zoom + Math.log2(scale), width, height).within();
  }

  /** Metres on the ground of one px in the middle of the map. */
  metresPerPx() {
    return (40075016.686 * Math.cos((latitudeOf(this.y) * Math.PI) / 180)) / this.px;
  }
}
