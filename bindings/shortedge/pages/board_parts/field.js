// The field: everybody where he is, the pocket, and the ways that the core has worked out. Here yards become pixels, no more.

const SVG = "http://www.w3.org/2000/svg";
const RADIUS = 0.4; // yd, of a man's mark
const put = (element, given) => {
  for (const [name, value] of Object.entries(given)) element.setAttribute(name, value);
  return element;
};
const svg = (tag, given = {}, ...inside) => {
  const made = put(document.createElementNS(SVG, tag), given);
  made.append(...inside);
  return made;
};
const html = (tag, given = {}, ...inside) => {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(given)) {
    if (value === true) made.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) made.setAttribute(name, value);
  }
  made.append(...inside);
  return made;
};
const isolated = (text) => `\u2068${text}\u2069`;
const figure = (value, unit = "", never = "none", places = 2) => {
  if (value === undefined || value === null || Number.isNaN(value)) return "–";
  if (!Number.isFinite(value)) return never;
  const text = value.toFixed(places).replace(/^-(0\.?0*)$/, "$1");
  return unit ? `${text} ${unit}` : text;
};

const fieldOf = (start, asker, hands) => {
  const [left, right, upper, lower] = start.view, { men } = start;
  const layer = () => svg("g");
  const ground = layer(), under = layer(), ghosts = layer(), ways = layer(), over = layer(), people = layer();
  const field = svg("svg", { class: "bd-field", role: "group", "aria-label": "the field: Tab goes from man to man, arrow keys move him" },
    ground, under, ghosts, ways, over, people);
  let scale = 30, shown = null, chosen = -1;
  const px = ([u, v]) => [(u - left) * scale, (v - upper) * scale];
  const path = (points) => points.map((one) => px(one).map((value) => value.toFixed(1)).join(",")).join(" ");
  const write = (x, y, text, given = {}) => svg("text", { x, y, "text-anchor": "middle", ...given }, text);

  const marks = men.map(([label], k) => {
    const mark = svg("g", { class: "bd-man", tabindex: 0, role: "button", "data-man": k });
    people.append(mark);
    mark.addEventListener("focus", () => hands.choose(k));
    mark.addEventListener("keydown", (event) => hands.key(event, k));
    return { mark, label, drawn: "" };
  });

  /** Whom a finger is on: marks are small and men stand close, so the one it is nearest to, or who is chosen, if that is near. */
  function underHand(event) {
    const box = field.getBoundingClientRect(), size = box.width / (right - left);
    const away = (k) => Math.hypot((shown.men.u[k] - left) * size - (event.clientX - box.left), (shown.men.v[k] - upper) * size - (event.clientY - box.top));
    const here = marks.map((_, k) => k).filter((k) => shown.men.u[k] !== null).sort((a, b) => away(a) - away(b));
    return chosen >= 0 && away(chosen) <= RADIUS * size ? chosen : here[0];
  }
  drag();

  function drag() {
    let from = null, wanted = null, asked = 0, k = -1;
    people.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      event.preventDefault();
      k = underHand(event);
      people.setPointerCapture(event.pointerId);
      marks[k].mark.focus({ preventScroll: true });
      hands.choose(k);
      from = { x: event.clientX, y: event.clientY, u: shown.men.u[k], v: shown.men.v[k], size: field.getBoundingClientRect().width / (right - left) };
    });
    people.addEventListener("pointermove", (event) => {
      if (!from) return;
      wanted = [from.u + (event.clientX - from.x) / from.size, from.v + (event.clientY - from.y) / from.size];
      asked ||= requestAnimationFrame(() => {
        asked = 0;
        if (wanted) hands.move(k, wanted, false);
      });
    });
    const end = () => {
      if (!from) return;
      from = null;
      cancelAnimationFrame(asked);
      asked = 0;
      if (wanted) hands.move(k, wanted, true);
      wanted = null;
    };
    people.addEventListener("pointerup", end);
    people.addEventListener("pointercancel", end);
  }

  /** A man's mark, drawn once for a size: O for the offence (a square for the centre, filled for the passer), X for the defence. */
  function shape(k) {
    const r = Math.max(RADIUS * scale, 8), [label, , side] = men[k], role = asker.roles[k];
    const parts = [svg("circle", { r: Math.max(r, 21), class: "bd-hold" }), svg("circle", { r: r + 5, class: "bd-chosen" })];
    if (side === "X") {
      const arm = 0.66 * r;
      parts.push(svg("path", { d: `M${-arm},${-arm}l${2 * arm},${2 * arm}m0,${-2 * arm}l${-2 * arm},${2 * arm}` }), write(0, -r - 2, label));
    } else {
      parts.push(asker.word("slot", k) === "C" ? svg("rect", { x: -0.9 * r, y: -0.9 * r, width: 1.8 * r, height: 1.8 * r }) : svg("circle", { r }));
      const inside = label.length <= (r > 11 ? 3 : 2), size = Math.min(12, (label.length > 2 ? 0.68 : 0.85) * r);
      const text = write(0, inside ? 0.34 * size : r + 11, label, { class: inside ? "bd-inside" : "" });
      if (inside) text.style.fontSize = `${size}px`;
      parts.push(text);
    }
    marks[k].mark.replaceChildren(...parts);
    marks[k].mark.classList.toggle("bd-passer", role === "passer");
  }

  /** What does not change with the men. */
  function resize() {
    const wide = Math.max(field.clientWidth || 640, 240), high = (lower - upper) * (scale = wide / (right - left));
    put(field, { viewBox: `0 0 ${wide.toFixed(0)} ${high.toFixed(0)}`, height: high.toFixed(0) });
    const parts = [];
    for (let yard = Math.ceil(upper); yard <= lower; yard++) {
      const y = (yard - upper) * scale;
      parts.push(svg("line", { x1: 0, x2: wide, y1: y, y2: y, class: yard ? (yard % 5 ? "bd-yard" : "bd-five") : "bd-scrimmage" }));
      if (yard % 5 === 0 && yard > 0) parts.push(write(5, y - 4, `${yard} yd deep`, { "text-anchor": "start", class: "bd-quiet", "data-yard": yard }));
    }
    parts.push(write(5, -upper * scale - 5, "line of scrimmage", { "text-anchor": "start", class: "bd-quiet" }));
    ground.replaceChildren(...parts);
    men.forEach((_, k) => shape(k));
    if (shown) draw(shown, chosen);
  }

  const arrow = ([x, y], [a, b]) => svg("path", { d: `M${x},${y}L${a},${b}`, class: "bd-moved" });

  function draw(result, who) {
    shown = result;
    chosen = who;
    const { frame, edges, rushers, stands, lines } = result, ok = frame.status === "ok";
    const at = (k) => [result.men.u[k], result.men.v[k]], sets = ok ? [edges.left.edge_man, edges.right.edge_man] : [];
    const attacks = ok ? [edges.left.rusher, edges.right.rusher] : [];
    const told = who >= 0 && asker.roles[who] === "rusher" ? [who] : Object.values(stands).filter((one) => one.man === who && who >= 0).map((one) => one.rusher);
    const below = [], roads = [], above = [];
    for (const line of lines) {
      const points = path(line.at), mine = told.includes(line.of), edge = attacks.includes(line.of);
      if (line.stroke === "ring") below.push(svg("polygon", { points, class: "bd-pocket" }));
      else if (line.stroke === "wall") below.push(svg("polyline", { points, class: "bd-wall" }));
      else if (line.stroke === "straight" && mine) roads.push(svg("polyline", { points, class: "bd-straight" }));
      else if (line.stroke === "taut" && mine) roads.push(svg("polyline", { points, class: "bd-taut" }));
      else if (line.stroke === "outside" || (line.stroke === "inside" && mine)) {
        const exposed = rushers[line.of][`${line.stroke}_exposure`] || 0, wide = edge || mine;
        if (!wide && !(exposed > 0)) continue;
        roads.push(svg("polyline", { points, class: `bd-casing ${wide ? "" : "bd-thin"}` }));
        const road = svg("polyline", { points, class: `bd-way ${exposed < 0.5 ? "bd-less" : "bd-more"} ${wide ? "" : "bd-thin"}`, "data-way": `${line.stroke} ${line.of}` });
        road.style.setProperty("--x", exposed);
        roads.push(road);
      } else if (line.stroke === "corner_held" && (mine || edge)) above.push(svg("polyline", { points, class: "bd-corner" }));
      else if (line.stroke === "short_edge" && (mine || edge)) above.push(svg("polyline", { points, class: "bd-short", "data-short": line.side }));
      else if (line.stroke === "width" || line.stroke === "depth") {
        const [a, b] = line.at.map(px), down = line.stroke === "width";
        below.push(svg("path", { d: `M${a}L${b}`, class: "bd-measure" }));
        const text = `${scale < 30 ? "" : down ? "width " : "depth "}${figure(frame[down ? "pocket_width" : "pocket_depth"])} yd`;
        const fits = down ? Math.abs(b[0] - a[0]) > 120 : a[1] - b[1] > 26;
        const passer = px(at(asker.passer)), middle = (a[0] + b[0]) / 2;
        const hides = Math.abs(passer[1] - a[1]) < 34 && Math.abs(passer[0] - middle) < 52; // beside his mark, not on it
        if (fits) above.push(write(down ? middle + (hides ? Math.abs(b[0] - a[0]) / 4 : 0) : a[0] + 7, down ? a[1] - 5 : (a[1] + b[1]) / 2 + 4, text, down ? {} : { "text-anchor": "start" }));
      }
    }
    const placed = [];
    for (const k of new Set([...attacks, ...told])) {
      if (k < 0 || !rushers[k]) continue;
      const [x, y] = px(at(k)), out = stands[k]?.side < 0 ? -1 : 1, row = rushers[k];
      const inside = Number.isNaN(row.outside_exposure), word = scale < 30 ? (inside ? "in " : "") : inside ? "inside " : "exposure ";
      const says = `${word}${figure(inside ? row.inside_exposure : row.outside_exposure)}`, room = out < 0 ? x : (right - left) * scale - x, turn = room > says.length * 6.4 + 16 ? out : -out;
      placed.push(write(x + turn * 13, y + 4, says, { "text-anchor": turn < 0 ? "end" : "start" }));
    }
    const who_has = who >= 0 ? told.map((k) => stands[k]?.man).filter((k) => k >= 0) : [];
    for (const k of who_has) {
      const [cx, cy] = px(at(k));
      above.unshift(svg("circle", { cx, cy, r: asker.reach * scale, class: "bd-reach" }));
    }
    for (const yard of ground.querySelectorAll("[data-yard]")) { // not under a figure
      const y = Number(yard.getAttribute("y")), under = placed.some((one) => {
        const [x, long] = [Number(one.getAttribute("x")), one.textContent.length * 6.6];
        return Math.abs(one.getAttribute("y") - y) < 13 && (one.getAttribute("text-anchor") === "end" ? x - long : x) < 70;
      });
      yard.style.visibility = under ? "hidden" : "";
    }
    under.replaceChildren(...below);
    ways.replaceChildren(...roads);
    over.replaceChildren(...above, ...placed);

    const faint = [];
    men.forEach((man, k) => {
      const { mark } = marks[k], here = result.men.u[k] !== null;
      const first = [asker.first.u[k], asker.first.v[k]], moved = first[0] !== null && (first[0] !== result.men.u[k] || first[1] !== result.men.v[k]);
      mark.classList.toggle("bd-away", !here);
      if (!here) return;
      const [x, y] = px(at(k));
      put(mark, { transform: `translate(${x.toFixed(1)},${y.toFixed(1)})` });
      mark.classList.toggle("bd-is-chosen", k === who);
      mark.classList.toggle("bd-sets", sets.includes(k));
      mark.classList.toggle("bd-idle", !["passer", "protector", "rusher"].includes(roleOf(result, k)));
      mark.classList.toggle("bd-free", stands[k]?.man === -1);
      const label = `${isolated(man[0])}${man[1] && man[1] !== man[0] ? `, ${isolated(man[1])}` : ""}: ${said(result, k)}`;
      if (marks[k].drawn !== label) put(mark, { "aria-label": (marks[k].drawn = label), "aria-pressed": String(k === who) });
      if (moved) {
        const ghost = px(first);
        faint.push(svg("circle", { cx: ghost[0], cy: ghost[1], r: Math.max(RADIUS * scale, 8), class: "bd-ghost" }), arrow(ghost, [x, y]));
      }
    });
    ghosts.replaceChildren(...faint);
  }

  const roleOf = (result, k) => asker.words("role")[result.men.role[k]] ?? "";
  const said = (result, k) => {
    const u = result.men.u[k], v = result.men.v[k];
    return `${figure(Math.abs(u))} yd ${u < 0 ? "left" : "right"}, ${figure(Math.abs(v))} yd ${v < 0 ? "beyond the line" : "deep"}`;
  };
  const focus = (k) => marks[k].mark.focus({ preventScroll: true });
  return { field, draw, resize, said, roleOf, focus };
};
