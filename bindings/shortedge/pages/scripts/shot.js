// One play as it is shown: its data read, the frame that is shown, and what is asked of the two. `data` is what
// player_data.py makes of the play; its docstring says what each part is. Yards: u to the right, v down the screen,
// behind the line.
const shotOf = (data) => {
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
  const shot = { data, time, count, last: count - 1, men, frames, edges, rushers, rep, ring, detached, rear, passer,
    frame: data.at ?? 0 };
  const at = (i) => [men[i].u[shot.frame], men[i].v[shot.frame]];
  const here = (i) => !Number.isNaN(men[i].u[shot.frame]);
  const active = (i) => men[i].role !== "other" && (men[i].role !== "rusher" || (shot.frame >= men[i].from && shot.frame < men[i].to));
  const named = (i) => (isNone(i) ? "nobody" : men[i].name);
  const inFull = (i) => (isNone(i) ? "nobody" : men[i].name === men[i].called ? men[i].name : `${men[i].name} ${men[i].called}`);
  const value = (side, name) => (edges[side][name] ? edges[side][name][shot.frame] : null);
  const exposure = (side) => frames[`exposure_${SIDES[side]}`][shot.frame];
  const ok = () => frames.status[shot.frame] === "ok";

  const attacked = (side) => !isNone(value(side, "rusher"));
  const tells = (side) => value(side, "tells");
  const titleOf = (side) => (side < 2 ? `${SIDES[side]} edge` : `${named(rep.protector)} on ${named(rep.rusher)}`);
  // Of one whom nobody has: outside or inside of whom. 1 outside the wall's end, 2 inside; below 0 on the left.
  const freeOf = (free) => {
    const end = frames[free < 0 ? "wall_left" : "wall_right"][shot.frame];
    return isNone(end) ? "free" : `free, ${Math.abs(free) === 1 ? "outside" : "inside"} ${named(end)}`;
  };
  const after = () => `${figure(time[shot.frame])} s after the snap`;
  /** The frame in words. */
  const said = () => {
    if (!ok()) return `${after()}: pocket ${frames.status[shot.frame]}${data.says[frames.status[shot.frame]] && ", "}${data.says[frames.status[shot.frame]]}`;
    const sides = SIDES.map((side, k) => `${side} edge set by ${named(value(k, "edge_man"))}, exposure ${figure(exposure(k))}` +
      (attacked(k) && tells(k) ? `, short edge ${figure(value(k, "short_edge"))} yd` : ""));
    return `${after()}: pocket ${figure(frames.pocket_width[shot.frame])} yd wide, ${figure(frames.pocket_depth[shot.frame])} yd deep; ${sides.join("; ")}`;
  };
  return Object.assign(shot, { at, here, active, named, inFull, value, exposure, ok, attacked, tells, titleOf, freeOf,
    after, said });
};
