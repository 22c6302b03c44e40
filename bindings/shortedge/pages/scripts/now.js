// One play as it is shown: its data read, the frame `k` and the rep that are shown, and what is asked of them. `data`
// is what player_data.py makes of the play; its docstring says what each part is. Yards: u to the right, v down the
// screen, behind the line.
const nowOf = (data) => {
  const time = steps(data.time), count = time.length;
  const men = data.men.map(([name, called, mark, role, slot, from, to, id], i) => (
    { name: isolated(name), called: isolated(called), mark, role, slot, from, to, id, u: steps(data.u[i]), v: steps(data.v[i]) }
  ));
  const frames = decoded(data.frames);
  const edges = SIDES.map((side) => decoded(data.edges[side]));
  const rushers = data.rushers.map(decoded);
  const ofMan = new Map(rushers.map((his) => [his.man, his]));
  const reps = data.reps.map(([protector, rusher, outcome, k, words, lost, mark]) => (
    { protector, rusher, outcome, k, words: isolated(words), lost, mark, his: ofMan.get(rusher) }));
  const ring = changes(data.ring, count), detached = changes(data.detached, count), rear = steps(data.rear);
  const passer = men.findIndex((man) => man.role === "passer");
  const now = { data, time, count, last: count - 1, men, frames, edges, rushers, reps, ring, detached, rear, passer,
    k: data.at ?? 0, rep: isNone(data.rep) ? null : reps[data.rep] };
  const at = (i) => [men[i].u[now.k], men[i].v[now.k]];
  const here = (i) => !isNone(i) && !Number.isNaN(men[i].u[now.k]);
  const active = (i) => men[i].role !== "other" && (men[i].role !== "rusher" || (now.k >= men[i].from && now.k < men[i].to));
  const named = (i) => (isNone(i) ? "nobody" : men[i].name);
  const inFull = (i) => (isNone(i) ? "nobody" : men[i].name === men[i].called ? men[i].name : `${men[i].name} ${men[i].called}`);
  // Of an edge, its own figures; else those of the rusher who attacks it, in this frame.
  const value = (side, name) => {
    if (edges[side][name]) return edges[side][name][now.k];
    const his = ofMan.get(edges[side].rusher?.[now.k]);
    return his?.[name] ? his[name][now.k] : null;
  };
  const exposure = (side) => frames[`exposure_${SIDES[side]}`][now.k];
  const ok = () => frames.status[now.k] === "ok";
  /** Whether the man of the rep that is shown has his rusher in this frame. */
  const has = () => Boolean(now.rep?.his) && !isNone(now.rep.protector) && now.rep.his.blocker[now.k] === now.rep.protector;
  /** A figure of the rep's rusher in this frame, while its man has him (of a rep without a man: always). */
  const mine = (name) => (has() || (now.rep?.his && isNone(now.rep.protector)) ? now.rep.his[name][now.k] : null);
  const ofRep = (i) => !isNone(i) && Boolean(now.rep) && (i === now.rep.protector || i === now.rep.rusher);

  const attacked = (side) => !isNone(value(side, "rusher"));
  const tells = (side) => value(side, "tells");
  const titleOf = (side) => (side < 2 ? `${SIDES[side]} edge` : repTitle(now.rep));
  const repTitle = ({ protector, rusher }) => isNone(rusher) ? `${named(protector)}, nobody`
    : isNone(protector) ? `${named(rusher)}, free` : `${named(protector)} on ${named(rusher)}`;
  // Of one whom nobody has: outside or inside of whom. 1 outside the wall's end, 2 inside; below 0 on the left.
  const freeOf = (free) => {
    const end = frames[free < 0 ? "wall_left" : "wall_right"][now.k];
    return isNone(end) ? "free" : `free, ${Math.abs(free) === 1 ? "outside" : "inside"} ${named(end)}`;
  };
  /** Who has the rep's rusher in this frame, when its man has not. */
  const hasHim = () => {
    const his = now.rep.his, who = his?.blocker[now.k];
    if (isNone(now.rep.rusher)) return "he has nobody";
    if (!his || isNone(his.engaged[now.k])) return `${named(now.rep.rusher)} is not rushing now`;
    return isNone(who) ? `${named(now.rep.rusher)} is ${his.free[now.k] ? freeOf(his.free[now.k]) : "free"}` : `${named(who)} has ${named(now.rep.rusher)} now`;
  };
  const after = () => `${figure(time[now.k])} s after the snap`;
  /** The frame in words. */
  const said = () => {
    if (now.rep) {
      const short = mine("tells") ? `, short edge ${figure(mine("short_edge"))} yd` : "";
      return `${after()}: ${repTitle(now.rep)}` + (has() ? `, ${figure(mine("blocker_range"))} yd apart, exposure outside ${figure(mine("outside_exposure"))}, inside ${figure(mine("inside_exposure"))}${short}`
        : `, ${hasHim()}`);
    }
    if (!ok()) return `${after()}: pocket ${frames.status[now.k]}${data.says[frames.status[now.k]] && ", "}${data.says[frames.status[now.k]]}`;
    const sides = SIDES.map((side, k) => `${side} edge set by ${named(value(k, "edge_man"))}, exposure ${figure(exposure(k))}` +
      (attacked(k) && tells(k) ? `, short edge ${figure(value(k, "short_edge"))} yd` : ""));
    return `${after()}: pocket ${figure(frames.pocket_width[now.k])} yd wide, ${figure(frames.pocket_depth[now.k])} yd deep; ${sides.join("; ")}`;
  };
  /** Where everybody stands in this frame, for a page that moves them. */
  const standing = () => ({ game: data.game, play: data.play, time: time[now.k], yards: true,
    men: men.map((man, i) => ({ id: man.id, label: man.name, unit: man.mark === "X" ? "defense" : "offense",
      role: man.role, slot: man.slot, u: man.u[now.k], v: man.v[now.k] })).filter((man) => !Number.isNaN(man.u)) });
  return Object.assign(now, { at, here, active, named, inFull, value, exposure, ok, has, mine, ofRep, attacked, tells,
    titleOf, repTitle, freeOf, hasHim, after, said, standing });
};
