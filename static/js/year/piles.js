// Finds that would lie on each other on the map, put together: a pile tells their number where dots would hide it.

/** Points `{left, top, find}` as piles `{left, top, points}`: those nearer than `nearPx` to the first of a pile join it. */
export function piled(points, nearPx) {
  const piles = [];
  const around = new Map();
  for (const point of points) {
    const column = Math.floor(point.left / nearPx);
    const row = Math.floor(point.top / nearPx);
    const pile = nearest(around, column, row, point, nearPx);
    if (pile) {
      pile.points.push(point);
      continue;
    }
    const made = { left: point.left, top: point.top, points: [point] };
    piles.push(made);
    const key = `${column},${row}`;
    around.set(key, [...(around.get(key) ?? []), made]);
  }
  return piles;
}

function nearest(around, column, row, point, nearPx) {
  let best = null;
  let least = nearPx;
  for (let x = column - 1; x <= column + 1; x += 1) {
    for (let y = row - 1; y <= row + 1; y += 1) {
      for (const pile of around.get(`${x},${y}`) ?? []) {
        const apart = Math.hypot(pile.left - point.left, pile.top - point.top);
        if (apart < least) [best, least] = [pile, apart];
      }
    }
  }
  return best;
}

/** South, west, north, east of the finds of a pile. */
export function edgesOf(pile) {
  const latitudes = pile.points.map(({ find }) => find.at[0]);
  const longitudes = pile.points.map(({ find }) => find.at[1]);
  return [Math.min(...latitudes), Math.min(...longitudes), Math.max(...latitudes), Math.max(...longitudes)];
}
