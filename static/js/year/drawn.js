// What lies on the ground: cells that count, areas of places that are kept back, finds; and the same as rows of the table.

const SVG = "http://www.w3.org/2000/svg";
const SHADES = 5;
const ROOM_FOR_NUMBER_PX = 26;

function made(name, attributes, text) {
  const one = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) one.setAttribute(key, value);
  if (text !== undefined) one.textContent = text;
  return one;
}

/** Draw an answer of the ledger as `sight` sees it. `closer(area)` gives the address of the map around an area. */
export function drawFinds(svg, sight, answer, closer) {
  const most = Math.max(1, ...answer.areas.filter((area) => !area[5]).map((area) => area[4]));
  const parts = answer.areas.map((area) => drawnArea(area, sight, most, closer));
  const points = answer.finds.map((find) => drawnFind(find, sight));
  svg.setAttribute("viewBox", `0 0 ${sight.width} ${sight.height}`);
  svg.replaceChildren(...parts, ...points);
}

function drawnArea(area, sight, most, closer) {
  const [south, west, north, east, n, kept] = area;
  const left = sight.left(west);
  const top = sight.top(north);
  const width = sight.left(east) - left;
  const height = sight.top(south) - top;
  const shade = Math.max(1, Math.ceil((SHADES * Math.log(n + 1)) / Math.log(most + 1)));
  const whole = kept ? made("g", {}) : made("a", { href: closer(area), tabindex: "-1" });
  whole.append(made("title", {}, `${areaWords(area)}: ${finds(n)}`));
  const shape = kept ? "map__area" : `map__cell map__cell--${shade}`;
  whole.append(made("rect", { class: shape, x: left, y: top, width, height }));
  if (width >= ROOM_FOR_NUMBER_PX) {
    const at = kept ? { x: left + 6, y: top + 18, class: "map__n map__n--area" } : { x: left + width / 2, y: top + height / 2 + 5, class: "map__n" };
    if (!kept) at["text-anchor"] = "middle";
    whole.append(made("text", at, String(n)));
  }
  return whole;
}

function drawnFind(find, sight) {
  const [latitude, longitude] = find.at;
  const whole = made("a", { href: find.href, tabindex: "-1" });
  whole.append(made("title", {}, `${find.number}, ${find.name}${find.day ? `, ${find.day}` : ""}`));
  const at = { cx: sight.left(longitude), cy: sight.top(latitude) };
  whole.append(made("circle", { class: "map__reach", r: 16, ...at }));
  whole.append(made("circle", { class: find.kept ? "map__find map__find--kept" : "map__find", r: 6, ...at }));
  return whole;
}

function finds(n) {
  return n === 1 ? "1 find" : `${n} finds`;
}

export function areaWords([south, west, north, east]) {
  const side = north - south;
  const decimals = Math.max(0, -Math.floor(Math.log10(side) + 1e-6));
  const said = (edge, letters) => `${Math.abs(edge).toFixed(decimals)}° ${edge >= 0 ? letters[0] : letters[1]}`;
  return `${said(south, "NS")} to ${said(north, "NS")}, ${said(west, "EW")} to ${said(east, "EW")}`;
}

/** The rows of the table, in the order of the ledger's answer. */
export function writeRows(body, answer, closer, checklist) {
  const rows = answer.finds.map((find) => row(
    [find.place, find.kept ? " (kept back from others)" : ""],
    [find.name, find.day ? `, ${find.day}` : ""],
    [[find.number, find.href]],
  ));
  for (const area of answer.areas) {
    const ways = area[5] ? [] : [["Closer", closer(area)]];
    const cell = `${area[0]},${area[1]},${Number((area[2] - area[0]).toFixed(4))}`;
    if (checklist) ways.push(["Checklist", `${checklist}?cell=${cell}`]);
    rows.push(row([areaWords(area), area[5] ? " (told no finer)" : ""], ["", finds(area[4])], ways));
  }
  body.replaceChildren(...rows);
}

function row(where, what, ways) {
  const line = document.createElement("tr");
  const first = document.createElement("td");
  const note = document.createElement("span");
  note.className = "soft";
  note.textContent = where[1];
  first.append(where[0], note);
  const second = document.createElement("td");
  const name = document.createElement("i");
  name.textContent = what[0];
  second.append(name, what[1]);
  const third = document.createElement("td");
  for (const [word, address] of ways) {
    const link = document.createElement("a");
    link.href = address;
    link.textContent = word;
    third.append(link, " ");
  }
  line.append(first, second, third);
  return line;
}
