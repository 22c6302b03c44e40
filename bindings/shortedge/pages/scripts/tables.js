// The tables beside the field: the figures of the frame that is shown, of the play or of the rep's two men.
const tablesOf = (now) => {
  const { frames, rushers, named, inFull, value, exposure, ok, attacked, tells, freeOf, mine } = now;
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
  const ofFrame = (name, unit) => () => figure(frames[name][now.k], unit);
  const ofBoth = (title, say) => row(title, () => (ok() ? say(0) : "—"), () => (ok() ? say(1) : "—"));
  const blocked = (who, range, free) =>
    free ? freeOf(free) : isNone(who) ? "not in sight" : `${named(who)}, ${figure(range)} yd off`;
  const shortOf = (tells, short) => (tells ? figure(short, "yd") : `exposure under ${now.data.shown_from}`);

  const pocketTable = table("pocket", "pocket", html("tbody", {},
    row("pocket width", ofFrame("pocket_width", "yd")),
    row("set by", () => (ok() ? `${named(frames.wall_left[now.k])} to ${named(frames.wall_right[now.k])}` : "—")),
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
    ofBoth("his blocker", (side) => (attacked(side) ? blocked(value(side, "blocker"), value(side, "blocker_range"), value(side, "free")) : "—")),
    ofBoth("engaged, helping", (side) =>
      attacked(side) ? `${value(side, "engaged") ? "engaged" : "not engaged"}, ${value(side, "helpers")}` : "—"),
    ofBoth("corner held", (side) => (attacked(side) ? figure(value(side, "corner_held"), "yd") : "—")),
    ofBoth("short edge", (side) => !attacked(side) ? "—" : value(side, "free") ? "nobody’s"
      : shortOf(tells(side), value(side, "short_edge"))),
    ofBoth("way round him", (side) => (attacked(side) ? figure(value(side, "outside_time"), "s", "never") : "—"))));
  const ofRusher = (his, name, unit) => () => figure(his[name][now.k], unit);
  const rusherTable = table("rushers", "rushers",
    heads("", "to the passer, yd", "closing, yd/s", "his blocker", "engaged", "helping", "cut-off ratio",
      "exposure outside", "inside", "lane"),
    html("tbody", {}, ...rushers.map((his) => {
      const there = () => !isNone(his.engaged[now.k]);
      return row(inFull(now.data.rushers[rushers.indexOf(his)].man), ofRusher(his, "distance"), ofRusher(his, "closing"),
        () => (there() ? blocked(his.blocker[now.k], his.blocker_range[now.k], his.free[now.k]) : "—"),
        () => (there() ? (his.engaged[now.k] ? "yes" : "no") : "—"), () => (there() ? String(his.helpers[now.k]) : "—"),
        () => figure(his.cutoff_ratio[now.k], "", "past"), ofRusher(his, "outside_exposure"), ofRusher(his, "inside_exposure"),
        () => his.lane[now.k] ?? "—");
    })));

  // Of the rep. `—` while its man has not this rusher.
  const his = (name) => (now.rep?.his ? now.rep.his[name][now.k] : null);
  const own = (say) => () => (now.has() ? say() : "—");
  const repTable = table("the two", "two", html("tbody", {},
    row("protector", () => (now.rep ? inFull(now.rep.protector) : "")),
    row("rusher", () => (now.rep ? inFull(now.rep.rusher) : "")),
    row("who has him", () => (isNone(now.rep?.rusher) ? "—" : isNone(his("engaged")) ? "not rushing now"
      : his("free") ? freeOf(his("free")) : isNone(his("blocker")) ? "not in sight" : named(his("blocker")))),
    row("apart", own(() => `${figure(mine("blocker_range"), "yd")}, ${mine("engaged") ? "engaged" : "not engaged"}`)),
    row("helping", own(() => String(mine("helpers")))),
    row("he is", own(() => (mine("side") ? (mine("outside") ? "outside of his man" : "inside of his man") : "—"))),
    row("exposure outside", () => figure(mine("outside_exposure"))),
    row("exposure inside", () => figure(mine("inside_exposure"))),
    row("corner held", own(() => figure(mine("corner_held"), "yd"))),
    row("short edge", own(() => (Number.isNaN(mine("short_edge")) ? "—" : shortOf(mine("tells"), mine("short_edge"))))),
    row("cut-off ratio", () => figure(his("cutoff_ratio"), "", "past")),
    row("rusher to passer", () => figure(his("distance"), "yd"))));
  const tell = () => cells.forEach(([one, say]) => (one.textContent = say()));
  return { pocketTable, edgeTable, rusherTable, repTable, tell };
};
