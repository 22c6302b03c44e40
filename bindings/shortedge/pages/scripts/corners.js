// The corner of either edge, and of the rep's two men, enlarged.
const cornersOf = (now, { wayParts, wayOfRep, marks }) => {
  const { edges, ring, passer, at, here, named, value, ok, titleOf, freeOf } = now, { reach } = now.data;
  const views = [0, 1, 2].map(() => svg("svg", { class: "se-corner", role: "img" })); // left, right, the rep's two men
  const titles = views.map(() => html("b")), notes = views.map(() => html("span", { class: "se-quiet" }));
  const figureOf = (side) => html("figure", { class: `se-${SIDES[side] ?? "rep"}` },
    html("figcaption", {}, titles[side], " ", notes[side]), views[side]);

  /** Two men enlarged, of an edge or of the rep: the rusher's straight line, his blocker's reach, what is held of the
      corner. */
  function draw(side) {
    const ofRep = side === 2, get = (name) => (ofRep ? now.mine(name) : value(side, name));
    const view = views[side], size = 240, who = ofRep ? now.rep.rusher : value(side, "rusher");
    const blocker = ofRep ? now.rep.protector : value(side, "blocker");
    titles[side].textContent = titleOf(side);
    put(view, { viewBox: `0 0 ${size} ${size}` });
    const nothing = (text) => {
      view.replaceChildren(label(size / 2, size / 2, text, "se-quiet"));
      put(view, { "aria-label": `${titleOf(side)}: ${text}` });
      notes[side].textContent = "";
    };
    if (ofRep && !now.has()) return nothing(now.hasHim());
    if (!ofRep) {
      if (!ok()) return nothing("no pocket in this frame");
      if (isNone(who)) return nothing("nobody attacks it");
      if (isNone(blocker)) return nothing(value(side, "free") ? freeOf(value(side, "free")) : "his man is not in sight");
    }
    if (!here(passer)) return nothing("no passer in this frame");
    const half = 2.3, unit = size / (2 * half), r = at(who), b = at(blocker), q = at(passer);
    const far = Math.hypot(q[0] - r[0], q[1] - r[1]);
    const toward = far > 1e-9 ? [(q[0] - r[0]) / far, (q[1] - r[1]) / far] : [0, 1];
    const center = [0, 1].map((k) => b[k] + Math.max(-0.9, Math.min(0.9, (r[k] - b[k] + (reach + 0.8) * toward[k]) / 2)));
    const to = ([u, v]) => [(u - center[0] + half) * unit, (v - center[1] + half) * unit];
    const parts = [], place = placer(size, size), written = [];
    for (let n = -2; n <= 2; n++) {
      const middle = size / 2 + n * unit;
      parts.push(line(middle, 0, middle, size, "se-grid"), line(0, middle, size, middle, "se-grid"));
    }
    parts.push(svg("polyline", { points: path((ring[now.k] ?? []).filter((i) => i >= 0).map(at).map(to)), class: "se-wall" }));
    const [x, y] = to(b);
    parts.push(svg("circle", { cx: x, cy: y, r: reach * unit, class: "se-disc" }));
    if (ofRep) parts.push(...wayOfRep("inside", to), ...wayOfRep("outside", to));
    else parts.push(...wayParts(side, to));
    parts.push(line(...to(r), ...to(q), "se-straight"));
    parts.push(...marks(to, 0.75 * unit, place, ([px, py]) => Math.min(px, py) > 10 && Math.max(px, py) < size - 10));
    const sign = ofRep ? now.mine("side") : side ? 1 : -1;
    const text = cornerParts(sign, get, SIDES[side] ?? "rep", { r, b, toward, to, size, place }, parts, written);
    written.push(place.write("1 yd grid", [[4, size - 5, "start"], [size - 4, size - 5, "end"], [4, 12, "start"], [size - 4, 12, "end"]], "se-small se-quiet"));
    view.replaceChildren(...parts, ...written.filter(Boolean));
    put(view, { "aria-label": `${titleOf(side)}: ${text}` });
    const off = `${figure(get("blocker_range"))} yd`;
    notes[side].textContent = !ofRep ? `${named(who)} ${off} from ${named(blocker)}`
      : `${get("outside") ? "outside" : "inside"}, ${off} apart, ${get("engaged") ? "engaged" : "not engaged"}`;
  }

  /** Across the rusher's straight line, from the blocker's centre outward: short edge, then the corner. */
  function cornerParts(sign, get, name, { r, b, toward, to, size, place }, parts, written) {
    const out = [sign * toward[1], -sign * toward[0]];
    const held = get("corner_held"), short = get("short_edge"), passes = reach - held;
    const says = get("tells") && short > 0 ? `short edge ${figure(short)}` : "";
    const straight = Math.max(-reach, Math.min(reach, out[0] * (r[0] - b[0]) + out[1] * (r[1] - b[1])));
    const write = (text, point, push) => {
      const wide = wideOf(text), [x, y] = to(point);
      const middle = x + (Math.abs(push[0]) > 0.35 ? Math.sign(push[0]) * (wide / 2 + 7) : 0);
      const across = Math.max(wide / 2 + 3, Math.min(size - wide / 2 - 3, middle)), down = y + push[1] * 16 + 4;
      const tries = [0, 14, -14, 28, -28, 44, -44, 60, -60, 80, -80, 110, -110].map((off) => [across, Math.max(14, Math.min(size - 18, down + off))]);
      written.push(place.write(text, tries) ?? place.write(text, tries, "se-small"));
    };
    if (!sign) { // a man without a side has no corner
      write("he is of no side: no corner", b, [0, 1.6]);
      return "no corner";
    }
    if (Math.abs(straight - passes) > 0.02) { // past him, or no longer before him: his corner is nowhere on the line
      const text = held > 0 ? "past him inside" : `corner gone${says && ", "}${says}`;
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
    if (held > 0) measured(passes, reach, `corner held ${figure(held)}`, `corner_held_${name}`, toward);
    if (says) measured(0, passes, says, `short_edge_${name}`, held > 0 ? [-out[0], -out[1]] : toward);
    return [held > 0 && `corner held ${figure(held)} yd`, says && `${says} yd`].filter(Boolean).join(", ");
  }

  return { figureOf, draw: () => (now.rep ? [2] : [0, 1]).forEach(draw) };
};
