// The field: where everybody is, the pocket with its dimensions, and the ways; of a rep its two men, all else faintly.
const fieldOf = (now, { wayParts, wayOfRep, marks }) => {
  const { frames, ring, rear, passer, at, value, ok, named } = now;
  const [left, right, upper, lower] = now.data.view;
  const field = svg("svg", { class: "se-field", role: "img" });
  let scale = 1, high = 1;
  const px = ([u, v]) => [(u - left) * scale, (v - upper) * scale];

  function draw() {
    const wide = scale * (right - left), parts = [], place = placer(wide, high), written = [];
    for (let v = Math.ceil(upper); v <= lower; v++) {
      const y = (v - upper) * scale;
      if (v % 5 === 0) parts.push(line(0, y, wide, y, v ? "se-yard" : "se-scrimmage"));
      else parts.push(line(0, y, 6, y, "se-yard"), line(wide - 6, y, wide, y, "se-yard"));
    }
    if (ok()) parts.push(...pocketParts());
    if (now.rep) for (const which of ["inside", "outside"]) parts.push(...wayOfRep(which, px));
    else SIDES.forEach((_, side) => parts.push(...wayParts(side, px)));
    parts.push(...marks(px, scale, place, ([x, y]) => x > 9 && x < wide - 9 && y > 16 && y < high - FOOT));
    if (now.rep) written.push(...ofTheTwo(place, parts));
    else {
      if (ok()) written.push(...dimensions(place, parts, wide));
      SIDES.forEach((_, side) => {
        const who = ok() ? value(side, "rusher") : null;
        if (isNone(who)) return;
        const text = figure(now.exposure(side)), [x, y] = px(at(who));
        written.push(place.write(`exposure ${text}`, beside(x, y, side), "se-small") ?? place.write(text, beside(x, y, side), "se-small"));
      });
    }
    for (let v = Math.ceil(upper / 5) * 5; v <= lower; v += 5) {
      const y = (v - upper) * scale - 4, text = v ? `${Math.abs(v)} yd${v < 0 ? " upfield" : ""}` : "line of scrimmage";
      written.push(place.write(text, [[5, y, "start"], [wide - 5, y, "end"]], "se-small"));
    }
    field.replaceChildren(...parts, ...written.filter(Boolean));
    put(field, { "aria-label": `the field, ${now.said()}` });
  }

  const beside = (x, y, side) => {
    const out = side ? [x + 14, y + 4, "start"] : [x - 14, y + 4, "end"], other = side ? [x - 14, y + 4, "end"] : [x + 14, y + 4, "start"];
    return [out, [out[0], y + 18, out[2]], other, [out[0], y - 12, out[2]], [other[0], y + 18, other[2]], [out[0], y + 32, out[2]]];
  };

  /** Of the rep: exposure outside and inside beside its rusher; who has him, when its man has not. */
  function ofTheTwo(place, parts) {
    const { rep } = now;
    if (!now.here(rep.rusher)) return [];
    const [x, y] = px(at(rep.rusher)), side = now.here(passer) && at(rep.rusher)[0] < at(passer)[0] ? 0 : 1, out = [];
    if (now.has() || isNone(rep.protector)) {
      for (const which of ["outside", "inside"]) {
        const exposed = now.mine(`${which}_exposure`);
        if (!isNone(exposed) && !Number.isNaN(exposed)) out.push(place.write(`${which} ${figure(exposed)}`, beside(x, y, side), "se-small"));
      }
      if (!isNone(rep.protector) && now.here(rep.protector)) parts.unshift(line(...px(at(rep.protector)), x, y, "se-pair"));
    } else out.push(place.write(now.hasHim(), beside(x, y, side), "se-small"));
    return out;
  }

  function pocketParts() {
    const corner = (i) => i >= 0 ? at(i) : [at(i === -1 ? frames.wall_left[now.k] : frames.wall_right[now.k])[0], rear[now.k]];
    return [
      svg("polygon", { points: path(ring[now.k].map(corner).map(px)), class: "se-pocket" }),
      svg("polyline", { points: path(ring[now.k].filter((i) => i >= 0).map(at).map(px)), class: "se-wall" }),
    ];
  }

  function dimensions(place, parts, wide) {
    const q = px(at(passer)), ends = ["wall_left", "wall_right"].map((name) => px(at(frames[name][now.k])));
    const back = px([0, rear[now.k]])[1], y = high - FOOT + 20, low = high - 40, written = [];
    const depth = frames.pocket_depth[now.k] * scale;
    parts.push(...ends.map(([x]) => line(x, back + 3, x, y + 4, "se-reach")));
    parts.push(dimension([ends[0][0], y], [ends[1][0], y], "pocket_width"));
    const room = ends[1][0] - ends[0][0], middle = ends[0][0] + room / 2;
    const width = `${figure(frames.pocket_width[now.k])} yd`;
    const text = [`pocket width ${width}, ${named(frames.wall_left[now.k])} to ${named(frames.wall_right[now.k])}`,
      `width ${width}`, width].find((one) => wideOf(one) < room - 22) ?? width;
    written.push(place.write(text, [[middle, y + 4], [Math.min(Math.max(middle, 60), wide - 60), y - 8]], "se-boxed"));
    parts.push(dimension(q, [q[0], q[1] - depth], "pocket_depth"));
    const says = `${scale > 26 ? "depth " : ""}${figure(frames.pocket_depth[now.k])} yd`;
    written.push(place.write(says, [0.4, 0.55, 0.25, 0.7].flatMap((part) => [[q[0] + 7, q[1] - part * depth, "start"], [q[0] - 7, q[1] - part * depth, "end"]])));
    parts.push(line(q[0], q[1] + MAN * scale, q[0], low + 34, "se-axis"));
    SIDES.forEach((side, k) => {
      const way = k ? 1 : -1, x = q[0] + way * value(k, "edge_width") * scale;
      parts.push(line(x, px(at(value(k, "edge_man")))[1], x, low + 4, "se-reach"));
      parts.push(dimension([q[0], low], [x, low], `edge_width_${side}`));
      const long = `${figure(value(k, "edge_width"))} yd`, from = q[0] + 7 * way, anchor = k ? "start" : "end";
      for (const one of [`${side} edge ${long}, ${named(value(k, "edge_man"))}`, `${side} ${long}`, long]) {
        const made = place.write(one, [[from, low + 16, anchor]]);
        if (made) {
          written.push(made);
          break;
        }
      }
      const given = value(k, "edge_given"), change = given < 0 ? `gained ${figure(-given)} yd` : `given ${figure(given)} yd`;
      written.push(place.write(change, [[from, low + 31, anchor]], "se-small"));
    });
    return written;
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
