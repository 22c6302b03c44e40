// What the player's data are read with, and what everything in it is drawn with. No text is ever read as markup.

const SVG = "http://www.w3.org/2000/svg";
const SIDES = ["left", "right"];
const MAN = 0.37; // yd, radius of an O
const FOOT = 86; // px below the field, for the dimensions across
const SHORT = { "first contact": "contact", "top of the drop": "top" };

const steps = (code) => {
  let last = 0;
  return code.flatMap((one) => (one.length === 1 ? Array(one[0]).fill(NaN) : one === "inf" ? Infinity : (last += one) / 100));
};
const runs = (code) => {
  const out = [];
  for (let k = 0; k < code.length; k += 2) for (let n = code[k + 1]; n > 0; n--) out.push(code[k]);
  return out;
};
const changes = (code, count) => {
  const out = new Array(count).fill([]);
  for (const [from, value] of code) out.fill(value, from);
  return out;
};
const arcs = ([kinds, differences]) => {
  const last = [0, 0, 0, 0, 0, 0];
  let n = 0;
  return runs(kinds).map((kind) => (kind ? last.map((_, j) => (last[j] += differences[n++])) : kind));
};
const decoded = (table) =>
  Object.fromEntries(Object.entries(table).map(([name, code]) => [
    name, !Array.isArray(code) ? code : name.endsWith("way") ? arcs(code) : RUNS.has(name) ? runs(code) : steps(code),
  ]));
const RUNS = new Set("status wall_left wall_right edge_man engaged helpers tells rusher blocker lane free side outside".split(" "));

const isNone = (value) => value === null || value === undefined;
const figure = (value, unit = "", never = "none") =>
  isNone(value) || Number.isNaN(value) ? "—"
    : Number.isFinite(value) ? `${value.toFixed(2)}${unit && " "}${unit}` : never;
// A name written the other way round keeps to itself.
const isolated = (text) =>
  /[\u0590-\u08ff\u200e\u200f\u202a-\u202e\u2066-\u2069\ufb1d-\ufefc]/.test(text) ? `\u2068${text}\u2069` : text;

const put = (node, given, ...inside) => {
  for (const [name, value] of Object.entries(given)) if (value !== false) node.setAttribute(name, value);
  node.append(...inside);
  return node;
};
const html = (name, given = {}, ...inside) => put(document.createElement(name), given, ...inside);
const svg = (name, given = {}, ...inside) => put(document.createElementNS(SVG, name), given, ...inside);
const line = (x1, y1, x2, y2, style) => svg("line", { x1, y1, x2, y2, class: style });
const label = (x, y, text, style = "", anchor = "middle") =>
  svg("text", { x: x.toFixed(1), y: y.toFixed(1), class: `se-text ${style}`, "text-anchor": anchor }, text);
const path = (points) => points.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");
// Colour says exposure and nothing else: the style sheet mixes it from --se-x.
const coloured = (node, exposure) => {
  node.classList.add(exposure > 0.5 ? "se-more" : "se-less");
  node.style.setProperty("--se-x", Math.min(1, Math.max(0, exposure)));
  return node;
};

/** A line with arrowheads from a to b, px. */
const dimension = (a, b, name) => {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  if (length < 0.5) return svg("g", { "data-dimension": name });
  const [x, y] = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
  const head = (tip, way) => {
    const size = way * Math.min(8, length / 2);
    const at = (along, across) => [tip[0] + along * x - across * y, tip[1] + along * y + across * x];
    return svg("polygon", { points: path([tip, at(size, 0.32 * size), at(size, -0.32 * size)]), class: "se-head-of" });
  };
  return svg("g", { "data-dimension": name }, line(...a, ...b, "se-dimension"), head(a, 1), head(b, -1));
};

/** How wide a text is, px, in the page's own letters. */
const wideOf = (() => {
  const pen = document.createElement("canvas").getContext("2d"), known = new Map();
  return (text, size = 12, bold = false) => {
    const key = `${bold}${text}`;
    if (!known.has(key)) {
      pen.font = `${bold ? "bold " : ""}100px ${getComputedStyle(document.body).fontFamily}`;
      known.set(key, pen.measureText(text).width / 100);
    }
    return known.get(key) * size;
  };
})();
const SIZES = { "se-small": [11, false], "se-title": [12, true], "se-name": [11.5, true], "se-quiet": [12, false] };

/** Places texts within [0, wide] x [0, high] so that none covers another, or what is taken. */
const placer = (wide, high) => {
  const taken = [];
  const meets = (a, b) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];
  const boxOf = (x, y, long, size, anchor) => {
    const left = anchor === "start" ? x : anchor === "end" ? x - long : x - long / 2;
    return [left - 1.5, y - 0.86 * size, left + long + 1.5, y + 0.26 * size];
  };
  const free = (box, but) => box[0] >= 0 && box[2] <= wide && box[1] >= 0 && box[3] <= high
    && !taken.some((one) => one.whose !== but && meets(one, box));
  /** Takes a box; of whose figure it is says `whose`. */
  const take = (box, whose = NaN) => taken.push(Object.assign([...box], { whose }));
  /** The first of the tries [x, y, anchor] at which the text covers nothing, as a label; null when there is none. */
  const write = (text, tries, style = "", { size, bold, whose = NaN } = {}) => {
    const known = SIZES[style.split(" ").find((one) => SIZES[one])] ?? [12, false];
    const [tall, thick] = [size ?? known[0], bold ?? known[1]], long = wideOf(text, tall, thick);
    for (const [x, y, anchor = "middle"] of tries) {
      const box = boxOf(x, y, long, tall, anchor);
      if (!free(box, whose)) continue;
      take(box);
      return label(x, y, text, style, anchor);
    }
    return null;
  };
  return { take, write, free };
};
/** Round a figure of radius r at [x, y]: above, below, beside, and farther out. */
const round = ([x, y], r, size = 11.5) => [1, 1.7, 2.6, 3.6].flatMap((far) => {
  const out = r * far + 2, up = y - out, down = y + out + 0.75 * size, level = y + 0.35 * size;
  return [[x, up], [x, down], [x + out, level, "start"], [x - out, level, "end"],
    [x + 0.7 * out, up + 0.3 * r, "start"], [x - 0.7 * out, up + 0.3 * r, "end"],
    [x + 0.7 * out, down - 0.3 * r, "start"], [x - 0.7 * out, down - 0.3 * r, "end"]];
});
