// One play as it is shown: its data read, the frame `k` that is shown, and what is asked of the two. `data` is what
// player_data.py makes of the play; its docstring says what each part is. Yards: u to the right, v down the screen,
// behind the line.
const nowOf = (data) => {
  const time = steps(data.time), count = time.length;
  const men = data.men.map(([name, called, mark, role, slot, from, to], i) => (
    { name: isolated(name), called: isolated(called), mark, role, slot, from, to, u: steps(data.u[i]), v: steps(data.v[i]) }
  ));
  const frames = decoded(data.frames);
  const edges = SIDES.map((side) => decoded(data.edges[side]));
  const rushers = data.rushers.map(decoded);
  const rep = data.rep && { ...decoded(data.rep), protector: data.rep.protector, rusher: data.rep.rusher };
  const ring = changes(data.ring, count), detached = changes(data.detached, count), rear = steps(data.rear);
  const passer = men.findIndex((man) => man.role === "passer");
  const now = { data, time, count, last: count - 1, men, frames, edges, rushers, rep, ring, detached, rear, passer,
    k: data.at ?? 0 };
  const at = (i) => [men[i].u[now.k], men[i].v[now.k]];
  const here = (i) => !Number.isNaN(men[i].u[now.k]);
  const active = (i) => men[i].role !== "other" && (men[i].role !== "rusher" || (now.k >= men[i].from && now.k < men[i].to));
  const named = (i) => (isNone(i) ? "nobody" : men[i].name);
  const inFull = (i) => (isNone(i) ? "nobody" : men[i].name === men[i].called ? men[i].name : `${men[i].name} ${men[i].called}`);
  const value = (side, name) => (edges[side][name] ? edges[side][name][now.k] : null);
  const exposure = (side) => frames[`exposure_${SIDES[side]}`][now.k];
  const ok = () => frames.status[now.k] === "ok";

  const attacked = (side) => !isNone(value(side, "rusher"));
  const tells = (side) => value(side, "tells");
  const titleOf = (side) => (side < 2 ? `${SIDES[side]} edge` : `${named(rep.protector)} on ${named(rep.rusher)}`);
  // Of one whom nobody has: outside or inside of whom. 1 outside the wall's end, 2 inside; below 0 on the left.
  const freeOf = (free) => {
    const end = frames[free < 0 ? "wall_left" : "wall_right"][now.k];
    return isNone(end) ? "free" : `free, ${Math.abs(free) === 1 ? "outside" : "inside"} ${named(end)}`;
  };
  const after = () => `${figure(time[now.k])} s after the snap`;
  /** The frame in words. */
  const said = () => {
    if (!ok()) return `${after()}: pocket ${frames.status[now.k]}${data.says[frames.status[now.k]] && ", "}${data.says[frames.status[now.k]]}`;
    const sides = SIDES.map((side, k) => `${side} edge set by ${named(value(k, "edge_man"))}, exposure ${figure(exposure(k))}` +
      (attacked(k) && tells(k) ? `, short edge ${figure(value(k, "short_edge"))} yd` : ""));
    return `${after()}: pocket ${figure(frames.pocket_width[now.k])} yd wide, ${figure(frames.pocket_depth[now.k])} yd deep; ${sides.join("; ")}`;
  };
  return Object.assign(now, { at, here, active, named, inFull, value, exposure, ok, attacked, tells, titleOf, freeOf,
    after, said });
};
