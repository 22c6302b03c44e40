// The figures in words and tables: state A beside state B, and the difference.

const SIDES = ["left", "right"];
const figuresOf = (start, asker) => {
  const { men } = start, name = (k) => (k >= 0 ? isolated(men[k][0]) : "nobody");
  const tells = (row) => row.exposure >= asker.told.shown_exposure;

  /** Who has a rusher, or that he is free and where. */
  const has = (result, k) => {
    const stands = result.stands[k];
    if (!stands) return "–";
    if (stands.man >= 0) return name(stands.man);
    const end = result.frame[stands.side < 0 ? "wall_left" : "wall_right"];
    return end >= 0 ? `free, ${stands.outside ? "outside" : "inside"} ${name(end)}` : "free";
  };
  const short = (result, side) => {
    const row = result.edges[side];
    if (!row || !(row.rusher >= 0)) return "–";
    if (result.stands[row.rusher]?.man === -1) return "nobody’s";
    return tells(row) ? row.short_edge : `under ${asker.told.shown_exposure} exposure`;
  };
  const ofEdge = (column) => (side) => (result) => result.edges[side]?.[column] ?? NaN;
  const ofHis = (column) => (side) => (result) => result.rushers[result.edges[side]?.rusher]?.[column] ?? NaN;
  const ofFrame = (column) => (result) => result.frame[column];

  const POCKET = [
    ["pocket width", "yd", ofFrame("pocket_width")],
    ["set by", "", (result) => (result.frame.wall_left >= 0 ? `${name(result.frame.wall_left)} to ${name(result.frame.wall_right)}` : "–")],
    ["pocket depth", "yd", ofFrame("pocket_depth")],
    ["pocket area", "yd²", ofFrame("pocket_area")],
    ["room for the passer", "yd²", ofFrame("passer_room")],
    ["passer behind the line", "yd", ofFrame("passer_depth")],
    ["nearest rusher", "yd", ofFrame("nearest_rusher")],
    ["exposure inside", "", ofFrame("exposure_inside")],
  ];
  const EDGE = [
    ["exposure", "", ofEdge("exposure")],
    ["short edge", "yd", (side) => (result) => short(result, side)],
    ["corner held", "yd", ofEdge("corner_held")],
    ["set by", "", (side) => (result) => (result.edges[side] ? name(result.edges[side].edge_man) : "–")],
    ["rusher", "", (side) => (result) => (result.edges[side] ? name(result.edges[side].rusher) : "–")],
    ["who has him", "", (side) => (result) => (result.edges[side]?.rusher >= 0 ? has(result, result.edges[side].rusher) : "–")],
    ["cut-off ratio", "", ofHis("cutoff_ratio")],
    ["way round outside", "s", ofEdge("outside_time")],
    ["edge width", "yd", ofEdge("edge_width")],
    ["edge given", "yd", ofEdge("edge_given")],
    ["passer’s drift", "yd", ofEdge("drift")],
    ["engaged, helping", "", (side) => (result) => (result.edges[side]?.rusher >= 0 ? `${result.edges[side].engaged ? "yes" : "no"}, ${result.edges[side].helpers}` : "–")],
  ];
  const heads = (...titles) => html("thead", {}, html("tr", {}, ...titles.map((title) => (title ? html("th", { scope: "col" }, title) : html("td")))));
  const cells = [];
  const row = ([title, unit, get], key) => {
    const three = [0, 1, 2].map((k) => html("td", { class: k === 2 ? "bd-difference" : "" }));
    cells.push([three, get]);
    return html("tr", { "data-figure": key }, html("th", { scope: "row" }, title, unit ? html("small", {}, ` ${unit}`) : ""), ...three);
  };
  const first = html("th", { scope: "col" }), second = html("th", { scope: "col" }, "now");
  const compare = html("table", { class: "bd-table bd-compare" }, html("caption", {}, "Then and now"),
    html("thead", {}, html("tr", {}, html("td"), first, second, html("th", { scope: "col" }, "difference"))),
    html("tbody", {}, html("tr", { class: "bd-part" }, html("th", { scope: "rowgroup", colspan: 4 }, "pocket")), ...POCKET.map((one) => row(one, one[0]))),
    ...SIDES.map((side) => html("tbody", { class: `bd-${side}` }, html("tr", { class: "bd-part" }, html("th", { scope: "rowgroup", colspan: 4 }, `${side} edge`)),
      ...EDGE.map(([title, unit, get]) => row([title, unit, get(side)], `${side} ${title}`)))));
  const shows = (value) => (typeof value === "string" ? value : figure(value));
  const differs = (a, b) => {
    if (typeof a === "string" || typeof b === "string") return typeof a === typeof b && a === b ? "" : "changed";
    if (Number.isNaN(a) && Number.isNaN(b)) return "";
    if (!Number.isFinite(b - a)) return a === b ? "" : "changed";
    const by = cents(b) - cents(a);
    return Math.abs(by) < 0.005 ? "" : `${by > 0 ? "+" : "−"}${Math.abs(by).toFixed(2)}`;
  };

  const rusherRows = html("tbody");
  const rusherTable = html("table", { class: "bd-table bd-rushers" }, html("caption", {}, "Every rusher, now"),
    heads("", "who has him", "exposure outside", "inside", "cut-off ratio", "to the passer, yd", "shortest clear way, yd", "lane"), rusherRows);

  /** What the pocket is, and what is wrong with it. */
  const sentence = (result) => {
    const { frame, stands } = result, parts = [];
    parts.push(frame.status === "ok" ? `The pocket stands: ${figure(frame.pocket_width)} yd wide, ${figure(frame.pocket_depth)} yd to step up`
      : `No pocket: ${start.says[frame.status]}`);
    for (const side of SIDES) {
      const edge = result.edges[side], gone = short(result, side);
      if (edge && typeof gone === "number" && gone >= asker.told.told_short) {
        parts.push(`${side} edge short by ${figure(gone)} yd, ${name(edge.edge_man)} against ${name(edge.rusher)}, exposure ${figure(edge.exposure)}`);
      } else if (edge && tells(edge)) {
        parts.push(`${side} edge exposed ${figure(edge.exposure)}, ${edge.rusher >= 0 ? name(edge.rusher) : ""} on ${name(edge.edge_man)}`);
      }
    }
    for (const one of Object.values(stands)) if (one.man === -1) parts.push(`${name(one.rusher)} is ${has(result, one.rusher)}`);
    return `${parts.join("; ")}.`;
  };

  /** What was changed by hand, in words, and what that assumes. */
  const changes = (result, edit) => {
    const said = [];
    for (const [k, [u, v]] of Object.entries(edit.places)) {
      const deeper = cents(v - asker.first.v[k]), right = cents(u - asker.first.u[k]), parts = [];
      if (deeper) parts.push(`${figure(Math.abs(deeper))} yd ${deeper > 0 ? "deeper" : "farther upfield"}`);
      if (right) parts.push(`${figure(Math.abs(right))} yd to the ${right > 0 ? "right" : "left"}`);
      if (!parts.length) continue;
      const role = asker.roles[k], running = edit.running[k] ?? "kept", fast = asker.fast(k);
      const assumed = role === "rusher" && fast ? (running === "kept" ? "; assumed to run as he did" : "") : "";
      said.push(`${name(k)} moved ${parts.join(", ")}${assumed}`);
    }
    for (const [k, one] of Object.entries(edit.running)) {
      if (one !== "kept") said.push(`${name(k)} taken to ${one === "standing" ? "stand still" : "run straight at the passer, as fast as he did"}`);
    }
    for (const [k, one] of Object.entries(edit.man)) said.push(`${name(k)} given to ${one < 0 ? "nobody: he is free" : name(one)}`);
    for (const [k, one] of Object.entries(edit.role)) said.push(one === "rusher" ? `${name(k)} sent to rush` : `${name(k)} taken out of the rush`);
    return said;
  };

  const show = (a, b) => {
    for (const [three, get] of cells) {
      const values = [get(a), get(b)], by = differs(...values);
      [...values.map(shows), by || "·"].forEach((text, k) => three[k].textContent !== text && (three[k].textContent = text));
      three[2].classList.toggle("bd-same", !by);
    }
    const rows = Object.values(b.rushers).map((one) => html("tr", {},
      html("th", { scope: "row" }, name(one.rusher), men[one.rusher][1] && men[one.rusher][1] !== men[one.rusher][0] ? html("small", {}, ` ${isolated(men[one.rusher][1])}`) : ""),
      ...[has(b, one.rusher), figure(one.outside_exposure), figure(one.inside_exposure), figure(one.cutoff_ratio, "", "past"), figure(one.distance),
        figure(one.path_length), one.lane ? (one.lane_side && one.lane !== "in" ? `${one.lane} ${one.lane_side}` : one.lane) : "–"].map((text) => html("td", {}, text))));
    if (rows.length !== rusherRows.children.length || rows.some((one, k) => !one.isEqualNode(rusherRows.children[k]))) rusherRows.replaceChildren(...rows);
  };
  const called = (text) => (first.textContent = text);
  return { compare, rusherTable, show, sentence, changes, called, has, name };
};
