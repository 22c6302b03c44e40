// The field: where everybody is, the pocket with its dimensions, and the ways.
const fieldOf = (now, { wayParts, isEdge, wayOfRep, mark }) => {
  const { men, frames, rep, ring, rear, passer, at, value, ok, named } = now;
  const [left, right, upper, lower] = now.data.view;
  const field = svg("svg", { class: "se-field", role: "img" });
  let scale = 1, high = 1;
  const px = ([u, v]) => [(u - left) * scale, (v - upper) * scale];

  function draw() {
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
    if (rep) for (const which of ["outside", "inside"]) if (!isEdge(which)) parts.push(...wayOfRep(which, px, wide));
    men.forEach((_, i) => {
      const [x, y] = px(at(i));
      if (x > 9 && x < wide - 9 && y > 16 && y < high - FOOT) parts.push(mark(i, [x, y], scale));
    });
    if (ok()) parts.push(...dimensions());
    field.replaceChildren(...parts);
    put(field, { "aria-label": `the field, ${now.said()}` });
  }

  function pocketParts() {
    const corner = (i) => i >= 0 ? at(i) : [at(i === -1 ? frames.wall_left[now.k] : frames.wall_right[now.k])[0], rear[now.k]];
    return [
      svg("polygon", { points: path(ring[now.k].map(corner).map(px)), class: "se-pocket" }),
      svg("polyline", { points: path(ring[now.k].filter((i) => i >= 0).map(at).map(px)), class: "se-wall" }),
    ];
  }

  function dimensions() {
    const q = px(at(passer)), ends = ["wall_left", "wall_right"].map((name) => px(at(frames[name][now.k])));
    const back = px([0, rear[now.k]])[1], y = high - FOOT + 20, low = high - 40;
    const depth = frames.pocket_depth[now.k] * scale;
    const parts = ends.map(([x]) => line(x, back + 3, x, y + 4, "se-reach"));
    parts.push(dimension([ends[0][0], y], [ends[1][0], y], "pocket_width"));
    const room = ends[1][0] - ends[0][0];
    const width = `${figure(frames.pocket_width[now.k])} yd`;
    const text = [`pocket width ${width}, ${named(frames.wall_left[now.k])} to ${named(frames.wall_right[now.k])}`,
      `width ${width}`, width].find((one) => fits(one, room - 22)) ?? width;
    parts.push(label(ends[0][0] + room / 2, y + 4, text, "se-boxed"));
    parts.push(dimension(q, [q[0], q[1] - depth], "pocket_depth"));
    parts.push(label(q[0] + 7, q[1] - 0.4 * depth, `${scale > 26 ? "depth " : ""}${figure(frames.pocket_depth[now.k])} yd`, "", "start"));
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

  /** Fits the field to the width it has; returns its height, px. */
  function resize() {
    const wide = Math.max(field.clientWidth, 240);
    scale = wide / (right - left);
    high = (lower - upper) * scale + FOOT;
    put(field, { viewBox: `0 0 ${wide} ${high}`, height: high });
    return high;
  }

  return { field, draw, resize };
};
