// One play to scrub through. `data` is what data.py makes of it; its docstring says what each part is.
// Nothing is fetched, and no text is ever read as markup. Yards: u to the right, v down the screen, behind the line.

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
const decoded = (table) =>
  Object.fromEntries(Object.entries(table).map(([name, code]) => [
    name,
    name === "way" || !Array.isArray(code) ? code : RUNS.has(name) ? runs(code) : steps(code),
  ]));
const RUNS = new Set("status wall_left wall_right edge_man engaged helpers tells rusher blocker lane".split(" "));

const isNone = (value) => value === null || value === undefined;
const figure = (value, unit = "", never = "none") =>
  isNone(value) || Number.isNaN(value) ? "—"
    : Number.isFinite(value) ? `${value.toFixed(2)}${unit && " "}${unit}` : never;
// A name written the other way round keeps to itself.
const isolated = (text) =>
  /[\u0590-\u08ff\u200e\u200f\u202a-\u202e\u2066-\u2069\ufb1d-\ufefc]/.test(text) ? `\u2068${text}\u2069` : text;
const fits = (text, width, size = 12) => text.length * size * 0.58 < width;

const put = (node, given, ...inside) => {
  for (const [name, value] of Object.entries(given)) if (value !== false) node.setAttribute(name, value);
  node.append(...inside);
  return node;
};
const html = (name, given = {}, ...inside) => put(document.createElement(name), given, ...inside);
const svg = (name, given = {}, ...inside) => put(document.createElementNS(SVG, name), given, ...inside);
const line = (x1, y1, x2, y2, style) => svg("line", { x1, y1, x2, y2, class: style });
const label = (x, y, text, style = "", anchor = "middle") =>
  svg("text", { x, y, class: `se-text ${style}`, "text-anchor": anchor }, text);
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

/** Shows a play in an element. Returns { show(frame), play(), pause(), frame }. `keys`: where arrow keys are heard. */
export function mount(element, data, { keys = element } = {}) {
  const time = steps(data.time), count = time.length, last = count - 1;
  const men = data.men.map(([name, called, mark, role, slot, from], i) => (
    { name: isolated(name), called: isolated(called), mark, role, slot, from, u: steps(data.u[i]), v: steps(data.v[i]) }
  ));
  const frames = decoded(data.frames);
  const edges = SIDES.map((side) => decoded(data.edges[side]));
  const rushers = data.rushers.map(decoded);
  const ring = changes(data.ring, count), detached = changes(data.detached, count), rear = steps(data.rear);
  const passer = men.findIndex((man) => man.role === "passer");
  const reach = data.reach;
  let frame = data.at ?? 0, playing = 0, speaking = 0;

  const at = (i) => [men[i].u[frame], men[i].v[frame]];
  const here = (i) => !Number.isNaN(men[i].u[frame]);
  const active = (i) => men[i].role !== "other" && (men[i].role !== "rusher" || frame >= men[i].from);
  const named = (i) => (isNone(i) ? "nobody" : men[i].name);
  const inFull = (i) => (isNone(i) ? "nobody" : men[i].name === men[i].called ? men[i].name : `${men[i].name} ${men[i].called}`);
  const value = (side, name) => (edges[side][name] ? edges[side][name][frame] : null);
  const exposure = (side) => frames[`exposure_${SIDES[side]}`][frame];
  const ok = () => frames.status[frame] === "ok";

  // ------------------------------------------------------------------------------------------- what is on the page

  const moment = html("strong"), about = html("span"), note = html("p", { class: "se-note" });
  const field = svg("svg", { class: "se-field", role: "img" });
  const course = svg("svg", { class: "se-course", role: "img", "aria-label":
    "Pocket width and depth and exposure left, inside and right over time. Drag to move in time; the slider does the same." });
  const corners = SIDES.map(() => svg("svg", { class: "se-corner", role: "img" }));
  const cornerNotes = SIDES.map(() => html("span", { class: "se-quiet" }));
  const button = (text, what, done) => {
    const made = html("button", { type: "button", "aria-label": what, title: what }, text);
    made.addEventListener("click", done);
    return made;
  };
  const back = button("◂", "one frame back", () => step(-1)), on = button("▸", "one frame on", () => step(1));
  const go = button("play", "play", () => (playing ? pause() : play()));
  const slider = html("input", { type: "range", min: 0, max: last, step: 1, value: 0, "aria-label": "time" });
  slider.addEventListener("input", () => (pause(), show(Number(slider.value))));
  const speed = html("select", { "aria-label": "speed" });
  const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
  for (const [text, factor] of [["¼", 0.25], ["½", 0.5], ["1", 1], ["2", 2]]) {
    speed.append(html("option", { value: factor, selected: factor === (calm ? 0.25 : 1) }, `speed ${text}`));
  }
  const events = html("div", { class: "se-events", role: "group", "aria-label": "jump to" });
  const jumps = data.events.map(([what, when, k]) => {
    const text = isolated(what);
    const made = html("button", { type: "button" }, text, html("small", {}, ` ${(when / 100).toFixed(2)} s`));
    made.addEventListener("click", () => (pause(), show(k)));
    events.append(made);
    return [made, k, text];
  });
  const live = html("p", { class: "se-unseen", role: "status", "aria-live": "polite" });

  const cells = []; // [cell, what it says now]
  const cell = (what) => {
    const made = html("td");
    cells.push([made, what]);
    return made;
  };
  const row = (title, ...what) => html("tr", {}, html("th", { scope: "row" }, title), ...what.map(cell));
  const heads = (...titles) =>
    html("thead", {}, html("tr", {}, ...titles.map((title) => (title ? html("th", { scope: "col" }, title) : html("td")))));
  const table = (caption, name, ...inside) =>
    html("table", { class: `se-table se-${name}` }, html("caption", {}, caption), ...inside);
  const ofFrame = (name, unit) => () => figure(frames[name][frame], unit);
  const ofBoth = (title, say) => row(title, () => (ok() ? say(0) : "—"), () => (ok() ? say(1) : "—"));
  const attacked = (side) => !isNone(value(side, "rusher"));
  const tells = (side) => value(side, "tells");
  const blocked = (who, range) => (isNone(who) ? "nobody" : `${named(who)}, ${figure(range)} yd off`);

  const pocketTable = table("pocket", "pocket", html("tbody", {},
    row("pocket width", ofFrame("pocket_width", "yd")),
    row("set by", () => (ok() ? `${named(frames.wall_left[frame])} to ${named(frames.wall_right[frame])}` : "—")),
    row("pocket depth", ofFrame("pocket_depth", "yd")),
    row("pocket area", ofFrame("pocket_area", "yd²")),
    row("room for the passer", ofFrame("passer_room", "yd²")),
    row("passer behind the line", ofFrame("passer_depth", "yd")),
    row("nearest rusher", ofFrame("nearest_rusher", "yd")),
    row("exposure inside", ofFrame("exposure_inside"))));
  const edgeTable = table("edges", "edges", heads("", "left", "right"), html("tbody", {},
    ofBoth("exposure", (side) => figure(exposure(side))),
    ofBoth("edge set by", (side) => inFull(value(side, "edge_man"))),
    ofBoth("edge width", (side) => figure(value(side, "edge_width"), "yd")),
    ofBoth("edge given", (side) => figure(value(side, "edge_given"), "yd")),
    ofBoth("passer’s drift", (side) => figure(value(side, "drift"), "yd")),
    ofBoth("rusher", (side) => inFull(value(side, "rusher"))),
    ofBoth("his blocker", (side) => (attacked(side) ? blocked(value(side, "blocker"), value(side, "blocker_range")) : "—")),
    ofBoth("engaged, helping", (side) =>
      attacked(side) ? `${value(side, "engaged") ? "engaged" : "not engaged"}, ${value(side, "helpers")}` : "—"),
    ofBoth("corner held", (side) => (attacked(side) ? figure(value(side, "corner_held"), "yd") : "—")),
    ofBoth("short edge", (side) => !attacked(side) ? "—"
      : tells(side) ? figure(value(side, "short_edge"), "yd") : `exposure under ${data.shown_from}`),
    ofBoth("way round him", (side) => (attacked(side) ? figure(value(side, "outside_time"), "s", "never") : "—"))));
  const ofRusher = (his, name, unit) => () => figure(his[name][frame], unit);
  const rusherTable = table("rushers", "rushers",
    heads("", "to the passer, yd", "closing, yd/s", "his blocker", "engaged", "helping", "cut-off ratio",
      "exposure outside", "inside", "lane"),
    html("tbody", {}, ...rushers.map((his) => {
      const there = () => !isNone(his.engaged[frame]);
      return row(inFull(data.rushers[rushers.indexOf(his)].man), ofRusher(his, "distance"), ofRusher(his, "closing"),
        () => (there() ? blocked(his.blocker[frame], his.blocker_range[frame]) : "—"),
        () => (there() ? (his.engaged[frame] ? "yes" : "no") : "—"), () => (there() ? String(his.helpers[frame]) : "—"),
        () => figure(his.cutoff_ratio[frame], "", "past"), ofRusher(his, "outside_exposure"), ofRusher(his, "inside_exposure"),
        () => his.lane[frame] ?? "—");
    })));

  const cornerFigure = (side) => html("figure", { class: `se-${SIDES[side]}` },
    html("figcaption", {}, html("b", {}, `${SIDES[side]} edge`), " ", cornerNotes[side]), corners[side]);
  element.classList.add("se-player");
  put(element, { role: "group", "aria-label": `play ${data.play}` });
  element.replaceChildren(
    html("p", { class: "se-moment" }, moment, " ", about), note,
    html("div", { class: "se-stage" },
      html("figure", {}, field, html("figcaption", { class: "se-key" }, "ways round the outside, coloured by exposure",
        html("span", { class: "se-ramp" }, html("i", {}, "0"), html("b"), html("i", {}, "1")))),
      html("figure", {}, course)),
    html("div", { class: "se-controls" }, back, go, on, slider, speed), events,
    html("div", { class: "se-lower" }, cornerFigure(0), html("div", { class: "se-tables" }, pocketTable, edgeTable), cornerFigure(1)),
    html("div", { class: "se-wide", tabindex: 0, role: "region", "aria-label": "rushers" }, rusherTable),
    html("p", { class: "se-caution" }, data.caution.join(" "), " Width jumps when a man is detached from the wall."), live);

  // --------------------------------------------------------------------------------------------------- the field

  const [left, right, upper, lower] = data.view;
  let scale = 1, high = 1;
  const px = ([u, v]) => [(u - left) * scale, (v - upper) * scale];

  function drawField() {
    const wide = scale * (right - left), parts = [];
    for (let v = Math.ceil(upper); v <= lower; v++) {
      const y = (v - upper) * scale;
      if (v % 5 === 0) {
        parts.push(line(0, y, wide, y, v ? "se-yard" : "se-scrimmage"));
        parts.push(label(5, y - 4, v ? `${Math.abs(v)} yd${v < 0 ? " upfield" : ""}` : "line of scrimmage", "se-small", "start"));
      } else parts.push(line(0, y, 6, y, "se-yard"), line(wide - 6, y, wide, y, "se-yard"));
    }
    if (ok()) parts.push(...pocketParts());
    SIDES.forEach((_, side) => parts.push(...wayParts(side, px, wide)));
    men.forEach((_, i) => {
      const [x, y] = px(at(i));
      if (x > 9 && x < wide - 9 && y > 16 && y < high - FOOT) parts.push(mark(i, [x, y], scale));
    });
    if (ok()) parts.push(...dimensions());
    field.replaceChildren(...parts);
    put(field, { "aria-label": `the field, ${said()}` });
  }

  function pocketParts() {
    const corner = (i) => i >= 0 ? at(i) : [at(i === -1 ? frames.wall_left[frame] : frames.wall_right[frame])[0], rear[frame]];
    return [
      svg("polygon", { points: path(ring[frame].map(corner).map(px)), class: "se-pocket" }),
      svg("polyline", { points: path(ring[frame].filter((i) => i >= 0).map(at).map(px)), class: "se-wall" }),
    ];
  }

  /** The outside way of a side's rusher: the arc's ends and radius are the core's. */
  function wayParts(side, to, wide) {
    const way = ok() ? value(side, "way") : null, who = value(side, "rusher");
    if (isNone(way) || isNone(who)) return [];
    const [x, y] = to(at(who)), goal = to(at(passer));
    let d = `M${x},${y}`;
    if (way) {
      const on = to([way[0] / 100, way[1] / 100]), off = to([way[2] / 100, way[3] / 100]);
      const radius = (way[4] / 100) * (to([1, 0])[0] - to([0, 0])[0]);
      d = `${way[5] & 2 ? "" : d}${way[5] & 2 ? "M" : "L"}${on}A${radius},${radius},0,${way[5] & 1},${side},${off}`;
    }
    d += `L${goal}`;
    const parts = [svg("path", { d, class: "se-casing" }), coloured(svg("path", { d, class: "se-way", "data-way": SIDES[side] }), exposure(side))];
    if (wide) {
      const text = wide > 480 ? `exposure ${figure(exposure(side))}` : figure(exposure(side));
      const outward = side ? 1 : -1, space = side ? wide - x : x, turn = fits(text, space - 14, 11) ? 1 : -1;
      parts.push(label(x + 14 * outward * turn, y + 4, text, "se-small", outward * turn > 0 ? "start" : "end"));
    }
    return parts;
  }

  /** The trade's marks: O for the offence (the passer's filled), a square for the centre, X for the defence. */
  function mark(i, [x, y], size) {
    const man = men[i], r = Math.max(MAN * size, 8.5);
    const out = svg("g", { class: `se-man ${active(i) ? "" : "se-idle"} ${man.role === "passer" ? "se-passer" : ""}` });
    if (man.mark === "X") {
      const arm = 0.62 * r;
      out.append(svg("path", { d: `M${x - arm},${y - arm}l${2 * arm},${2 * arm}m0,${-2 * arm}l${-2 * arm},${2 * arm}` }));
      out.append(label(x, y - r - 2, man.name, "se-name"));
      return out;
    }
    const sets = ok() && SIDES.some((_, side) => value(side, "edge_man") === i);
    if (sets) out.append(svg("circle", { cx: x, cy: y, r: r + 4, class: "se-sets" }));
    out.append(man.slot === "C" ? svg("rect", { x: x - 0.9 * r, y: y - 0.9 * r, width: 1.8 * r, height: 1.8 * r })
      : svg("circle", { cx: x, cy: y, r }));
    const inside = man.name.length <= (r > 11 ? 3 : 2);
    out.append(label(x, inside ? y + 0.3 * Math.min(12, 0.85 * r) : y + r + 11, man.name, inside ? "se-inside" : "se-name"));
    if (inside) out.lastChild.style.fontSize = `${Math.min(12, man.name.length > 2 ? 0.7 * r : 0.85 * r)}px`;
    return out;
  }

  function dimensions() {
    const q = px(at(passer)), ends = ["wall_left", "wall_right"].map((name) => px(at(frames[name][frame])));
    const back = px([0, rear[frame]])[1], y = high - FOOT + 20, low = high - 40;
    const depth = frames.pocket_depth[frame] * scale;
    const parts = ends.map(([x]) => line(x, back + 3, x, y + 4, "se-reach"));
    parts.push(dimension([ends[0][0], y], [ends[1][0], y], "pocket_width"));
    const room = ends[1][0] - ends[0][0];
    const width = `${figure(frames.pocket_width[frame])} yd`;
    const text = [`pocket width ${width}, ${named(frames.wall_left[frame])} to ${named(frames.wall_right[frame])}`,
      `width ${width}`, width].find((one) => fits(one, room - 22)) ?? width;
    parts.push(label(ends[0][0] + room / 2, y + 4, text, "se-boxed"));
    parts.push(dimension(q, [q[0], q[1] - depth], "pocket_depth"));
    parts.push(label(q[0] + 7, q[1] - 0.4 * depth, `${scale > 26 ? "depth " : ""}${figure(frames.pocket_depth[frame])} yd`, "", "start"));
    parts.push(line(q[0], q[1] + MAN * scale, q[0], low + 34, "se-axis"));
    SIDES.forEach((side, k) => {
      const way = k ? 1 : -1, x = q[0] + way * value(k, "edge_width") * scale;
      parts.push(line(x, px(at(value(k, "edge_man")))[1], x, low + 4, "se-reach"));
      parts.push(dimension([q[0], low], [x, low], `edge_width_${side}`));
      const [first, second] = [`${side} edge ${figure(value(k, "edge_width"))} yd, ${named(value(k, "edge_man"))}`,
        `given ${figure(value(k, "edge_given"))} yd`];
      const from = q[0] + 7 * way, anchor = k ? "start" : "end";
      parts.push(label(from, low + 16, first, "", anchor), label(from, low + 31, second, "se-small", anchor));
    });
    return parts;
  }

  // ------------------------------------------------------------------------------------- the corner of either edge

  /** One edge enlarged: the rusher's straight line, his blocker's reach, and what of the corner is held. */
  function drawCorner(side) {
    const view = corners[side], size = 240, who = value(side, "rusher"), blocker = value(side, "blocker");
    put(view, { viewBox: `0 0 ${size} ${size}` });
    const nothing = (text) => {
      view.replaceChildren(label(size / 2, size / 2, text, "se-quiet"));
      put(view, { "aria-label": `${SIDES[side]} edge: ${text}` });
      cornerNotes[side].textContent = "";
    };
    if (!ok()) return nothing("no pocket in this frame");
    if (isNone(who)) return nothing("nobody attacks it");
    if (isNone(blocker)) return nothing("nobody blocks him");
    const half = 2.3, unit = size / (2 * half), r = at(who), b = at(blocker), q = at(passer);
    const far = Math.hypot(q[0] - r[0], q[1] - r[1]);
    const toward = far > 1e-9 ? [(q[0] - r[0]) / far, (q[1] - r[1]) / far] : [0, 1];
    const center = [0, 1].map((k) => b[k] + Math.max(-0.9, Math.min(0.9, (r[k] - b[k] + (reach + 0.8) * toward[k]) / 2)));
    const to = ([u, v]) => [(u - center[0] + half) * unit, (v - center[1] + half) * unit];
    const parts = [];
    for (let n = -2; n <= 2; n++) {
      const middle = size / 2 + n * unit;
      parts.push(line(middle, 0, middle, size, "se-grid"), line(0, middle, size, middle, "se-grid"));
    }
    parts.push(svg("polyline", { points: path(ring[frame].filter((i) => i >= 0).map(at).map(to)), class: "se-wall" }));
    const [x, y] = to(b);
    parts.push(svg("circle", { cx: x, cy: y, r: reach * unit, class: "se-disc" }));
    parts.push(...wayParts(side, to, 0), line(...to(r), ...to(q), "se-straight"));
    men.forEach((_, i) => {
      if (here(i) && Math.abs(at(i)[0] - center[0]) < half - 0.2 && Math.abs(at(i)[1] - center[1]) < half - 0.2) {
        parts.push(mark(i, to(at(i)), 0.75 * unit));
      }
    });
    parts.push(label(4, size - 5, "1 yd grid", "se-small se-quiet", "start"));
    const text = cornerParts(side, { r, b, toward, to, size }, parts);
    view.replaceChildren(...parts);
    put(view, { "aria-label": `${SIDES[side]} edge: ${text}` });
    cornerNotes[side].textContent = `${named(who)} ${figure(value(side, "blocker_range"))} yd from ${named(blocker)}`;
  }

  /** Across the rusher's straight line, from the blocker's centre outward: short edge, then the corner. */
  function cornerParts(side, { r, b, toward, to, size }, parts) {
    const sign = side ? 1 : -1, out = [sign * toward[1], -sign * toward[0]];
    const held = value(side, "corner_held"), short = value(side, "short_edge"), passes = reach - held;
    const says = tells(side) && short > 0 ? `short edge ${figure(short)}` : "";
    const straight = Math.max(-reach, Math.min(reach, out[0] * (r[0] - b[0]) + out[1] * (r[1] - b[1])));
    const write = (text, point, push) => {
      const wide = text.length * 6.8, [x, y] = to(point);
      const middle = x + (Math.abs(push[0]) > 0.35 ? Math.sign(push[0]) * (wide / 2 + 7) : 0);
      parts.push(label(Math.max(wide / 2 + 3, Math.min(size - wide / 2 - 3, middle)),
        Math.max(14, Math.min(size - 18, y + push[1] * 16 + 4)), text));
    };
    if (Math.abs(straight - passes) > 0.02) { // past him, or no longer before him: his corner is nowhere on the line
      const text = `corner gone${says && ", "}${says}`;
      write(text, b, [0, 1.6]);
      return text;
    }
    const along = (offset, on) => [0, 1].map((k) => b[k] + offset * out[k] + on * toward[k]);
    const level = reach + 0.3;
    const measured = (from, until, text, name, push) => {
      for (const end of [from, until]) parts.push(line(...to(along(end, 0.1)), ...to(along(end, level + 0.12)), "se-reach"));
      parts.push(dimension(to(along(from, level)), to(along(until, level)), name));
      write(text, along((from + until) / 2, level), push);
    };
    if (held > 0) measured(passes, reach, `corner held ${figure(held)}`, `corner_held_${SIDES[side]}`, toward);
    if (says) measured(0, passes, says, `short_edge_${SIDES[side]}`, held > 0 ? [-out[0], -out[1]] : toward);
    return [held > 0 && `corner held ${figure(held)} yd`, says && `${says} yd`].filter(Boolean).join(", ");
  }

  // -------------------------------------------------------------------------------------------- the play over time

  const panels = [
    ["pocket width", "pocket_width", "yd"], ["pocket depth", "pocket_depth", "yd"],
    ["exposure left", "exposure_left", ""], ["exposure inside", "exposure_inside", ""], ["exposure right", "exposure_right", ""],
  ].map(([title, name, unit], k) => {
    const values = frames[name], most = values.reduce((a, b) => (b > a ? b : a), unit ? 2 : 1);
    return { title, unit, values, name, weight: unit ? 1.15 : 0.8, top: unit ? 1.12 * most : 1, said: null,
      who: k === 0 ? frames.wall_left.map((a, n) => (isNone(a) ? "" : `${named(a)} to ${named(frames.wall_right[n])}`))
        : k === 2 || k === 4 ? (edges[k === 2 ? 0 : 1].edge_man ?? []).map((a) => (isNone(a) ? "" : named(a))) : [] };
  });
  const gutter = 26, pad = 10;
  let across = 1, tall = 1, cursor = null;
  const span = Math.max(time[last] - time[0], 0.1);
  const atTime = (t) => gutter + ((t - time[0]) / span) * (across - gutter - pad);

  function drawCourse() {
    const head = 32, foot = 18, between = 24;
    const share = (tall - head - foot - between * panels.length) / panels.reduce((sum, one) => sum + one.weight, 0);
    const parts = [], gap = count > 1 ? span / last / 2 : 0.05;
    let y = head;
    panels.forEach((panel, n) => {
      y += between;
      const height = share * panel.weight, base = y + height;
      const to = (value) => base - (value / panel.top) * height;
      parts.push(svg("rect", { x: gutter, y, width: across - gutter - pad, height, class: "se-panel" }));
      const grid = panel.unit ? [0, panel.top > 8 ? 5 : panel.top > 3.2 ? 2 : 1].concat(panel.top > 12 ? [10] : []) : [0, 0.5, 1];
      for (const value of grid) {
        parts.push(line(gutter, to(value), across - pad, to(value), "se-yard"));
        parts.push(label(gutter - 4, to(value) + 4, String(value), "se-small", "end"));
      }
      let start = 0;
      for (let k = 1; k <= count; k++) { // frames that are not ok
        if (k < count && frames.status[k] === frames.status[start]) continue;
        if (frames.status[start] !== "ok") {
          const x = Math.max(gutter, atTime(time[start] - gap)), until = Math.min(across - pad, atTime(time[k - 1] + gap));
          parts.push(svg("rect", { x, y, width: until - x, height, class: "se-gap" }));
          if (n === 0 && fits(frames.status[start], until - x, 11)) {
            parts.push(label((x + until) / 2, y + height / 2 + 4, frames.status[start], "se-small"));
          }
        }
        start = k;
      }
      const points = [];
      panel.values.forEach((value, k) => {
        const next = panel.values[k + 1];
        if (Number.isNaN(value)) return;
        const [x, h] = [atTime(time[k]), to(value)];
        points.push(`${Number.isNaN(panel.values[k - 1] ?? NaN) ? "M" : "L"}${x.toFixed(1)},${h.toFixed(1)}`);
        if (!panel.unit && !Number.isNaN(next ?? NaN) && value + next > 0) {
          const right = atTime(time[k + 1]);
          parts.push(coloured(svg("polygon", { class: "se-fill",
            points: path([[x, base], [x, h], [right, to(next)], [right, base]]) }), (value + next) / 2));
        }
        if (Number.isNaN(next ?? NaN) && Number.isNaN(panel.values[k - 1] ?? NaN)) {
          parts.push(svg("circle", { cx: x, cy: h, r: 2, class: "se-dot" }));
        }
      });
      parts.push(svg("path", { d: points.join(""), class: panel.unit ? "se-course-line" : "se-course-ink", "data-course": panel.name }));
      start = 0;
      for (let k = 1; k <= panel.who.length; k++) { // who sets it, where that changes
        if (k < panel.who.length && panel.who[k] === panel.who[start]) continue;
        const x = atTime(time[start]), name = panel.who[start];
        if (start && name) parts.push(line(x, y, x, y + 9, "se-dimension"));
        if (name && fits(name, atTime(time[Math.min(k, last)]) - x - 4, 11)) parts.push(label(x + 3, y + 10, name, "se-small", "start"));
        start = k;
      }
      parts.push(label(gutter, y - 6, panel.title, "se-title", "start"));
      panel.said = label(across - pad, y - 6, "", "se-title", "end");
      parts.push(panel.said);
      y = base;
    });
    const ends = [-99, -99]; // where the last moment of each row was written
    data.events.forEach(([what, when]) => {
      const x = atTime(Math.max(time[0], Math.min(time[last], when / 100)));
      parts.push(line(x, head - 2, x, tall - foot, "se-event"));
      const text = isolated(SHORT[what] ?? what), wide = text.length * 6.4;
      const left = Math.max(2, Math.min(across - wide - 2, x - wide / 2)), rowOf = ends[0] + 6 < left ? 0 : 1;
      if (ends[rowOf] + 4 < left) {
        parts.push(label(left, head - 19 + 13 * rowOf, text, "se-small", "start"));
        ends[rowOf] = left + wide;
      }
    });
    for (let t = Math.ceil(time[0]); t <= time[last] + 1e-6; t++) parts.push(label(atTime(t), tall - 4, `${t} s`, "se-small"));
    cursor = svg("g", { class: "se-cursor" }, line(0, head - 2, 0, tall - foot, ""),
      svg("path", { d: `M0,${tall - foot - 1}l6,9h-12z` }));
    course.replaceChildren(...parts, cursor);
  }

  function moveCourse() {
    put(cursor, { transform: `translate(${atTime(time[frame]).toFixed(1)} 0)` });
    for (const panel of panels) panel.said.textContent = figure(panel.values[frame], panel.unit);
  }

  const grab = (event) => {
    const x = event.clientX - course.getBoundingClientRect().left;
    const wanted = time[0] + ((x - gutter) / (across - gutter - pad)) * span;
    show(time.reduce((best, t, k) => (Math.abs(t - wanted) < Math.abs(time[best] - wanted) ? k : best), 0));
  };
  course.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    pause();
    course.setPointerCapture(event.pointerId);
    grab(event);
  });
  course.addEventListener("pointermove", (event) => course.hasPointerCapture(event.pointerId) && grab(event));

  // ------------------------------------------------------------------------------------------------ moving in time

  const after = () => `${figure(time[frame])} s after the snap`;
  /** The frame in words. */
  function said() {
    if (!ok()) return `${after()}: pocket ${frames.status[frame]}${data.says[frames.status[frame]] && ", "}${data.says[frames.status[frame]]}`;
    const sides = SIDES.map((side, k) => `${side} edge set by ${named(value(k, "edge_man"))}, exposure ${figure(exposure(k))}` +
      (attacked(k) && tells(k) ? `, short edge ${figure(value(k, "short_edge"))} yd` : ""));
    return `${after()}: pocket ${figure(frames.pocket_width[frame])} yd wide, ${figure(frames.pocket_depth[frame])} yd deep; ${sides.join("; ")}`;
  }

  function show(wanted) {
    frame = Math.max(0, Math.min(last, wanted));
    const status = frames.status[frame];
    const left = isNone(data.throw) ? NaN : data.throw / 100 - time[frame];
    moment.textContent = after();
    about.textContent = (Number.isNaN(left) ? "no throw" : Math.abs(left) < 0.005 ? "at the throw"
      : `${figure(Math.abs(left))} s ${left > 0 ? "before" : "after"} the throw`) + ` · pocket ${status}`;
    note.textContent = [data.says[status], ...detached[frame].map(([who, end]) => `${named(who)} detached: width set by ${named(end)}`)]
      .filter(Boolean).join("; ");
    slider.value = frame;
    slider.setAttribute("aria-valuetext", after());
    back.disabled = frame === 0;
    on.disabled = frame === last;
    for (const [one, say] of cells) one.textContent = say();
    for (const [one, k] of jumps) put(one, { "aria-current": String(k === frame) });
    drawField();
    SIDES.forEach((_, side) => drawCorner(side));
    moveCourse();
    clearTimeout(speaking);
    if (!playing) speaking = setTimeout(() => (live.textContent = said()), 400);
  }

  const step = (by) => (pause(), show(frame + by));

  function play() {
    if (frame === last) show(0);
    let before = null, now = time[frame];
    const tick = (stamp) => {
      now += before === null ? 0 : ((stamp - before) / 1000) * Number(speed.value);
      before = stamp;
      let next = frame;
      while (next < last && time[next + 1] <= now + 1e-6) next++;
      if (next !== frame) show(next);
      if (frame === last) pause();
      else playing = requestAnimationFrame(tick);
    };
    playing = requestAnimationFrame(tick);
    go.textContent = "pause";
    put(go, { "aria-label": "pause", title: "pause" });
    clearTimeout(speaking);
    live.textContent = "";
  }

  function pause() {
    if (!playing) return;
    cancelAnimationFrame(playing);
    playing = 0;
    go.textContent = "play";
    put(go, { "aria-label": "play", title: "play" });
    show(frame);
  }

  keys.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey || event.target.closest?.("input, select, textarea")) return;
    const done = { ArrowLeft: () => step(-1), ArrowRight: () => step(1), Home: () => step(-frame), End: () => step(last),
      " ": event.target.closest?.("button, summary, a") ? null : () => (playing ? pause() : play()) }[event.key];
    if (!done) return;
    event.preventDefault();
    done();
  });

  function resize() {
    const wide = Math.max(field.clientWidth, 240);
    scale = wide / (right - left);
    high = (lower - upper) * scale + FOOT;
    put(field, { viewBox: `0 0 ${wide} ${high}`, height: high });
    across = Math.max(course.clientWidth, 240);
    tall = Math.max(430, Math.min(high, 620));
    put(course, { viewBox: `0 0 ${across} ${tall}`, height: tall });
    drawCourse();
    show(frame);
  }
  let seen = 0;
  new ResizeObserver(() => {
    const width = field.clientWidth + 1e5 * course.clientWidth;
    if (width === seen) return;
    seen = width;
    resize();
  }).observe(element);
  resize();
  return { show, play, pause, get frame() { return frame; } };
}

/** Mounts every block of the page: at once, or when the closed <details> it stands in is opened. */
export function mountAll(root = document) {
  const blocks = [...root.querySelectorAll(".se-player")];
  for (const element of blocks) {
    const text = element.querySelector("script[type='application/json']");
    if (!text) continue;
    const start = () => mount(element, JSON.parse(text.textContent), blocks.length === 1 ? { keys: document } : {});
    const closed = element.closest("details:not([open])");
    if (closed) closed.addEventListener("toggle", start, { once: true });
    else start();
  }
  const page = document.documentElement, dark = matchMedia("(prefers-color-scheme: dark)");
  const buttons = [...root.querySelectorAll("button[data-se-theme]")];
  const isDark = () => (page.dataset.seTheme ?? (dark.matches ? "dark" : "light")) === "dark";
  const name = () => buttons.forEach((one) => (one.textContent = isDark() ? "light page" : "dark page"));
  for (const one of buttons) {
    one.addEventListener("click", () => {
      page.dataset.seTheme = isDark() ? "light" : "dark";
      name();
    });
  }
  dark.addEventListener("change", name);
  name();
}

