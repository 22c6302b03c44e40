// The play from above, with the error of every man, and the map of the field's marks. Yards of the field.
function drawAbove(seen) {
  const place = by("above");
  const men = seen?.men || [];
  const points = men.map((man) => [man.x, man.y]);
  if (seen?.ball) points.push(seen.ball);
  if (!points.length) {
    place.replaceChildren(make("p", { class: "quiet" }, seen?.says || "Nothing yet: it shows when a camera and a man are known."));
    by("figures").textContent = "";
    return;
  }
  // The offense attacks upwards, as the film from behind it shows.
  const turn = seen.direction || 1;
  const flat = ([x, y]) => [-turn * (y - (seen.ball || points[0])[1]), -turn * (x - (seen.ball || points[0])[0])];
  const all = points.map(flat);
  const [left, right] = [Math.min(-9, ...all.map((p) => p[0] - 2)), Math.max(9, ...all.map((p) => p[0] + 2))];
  const [top, bottom] = [Math.min(-4, ...all.map((p) => p[1] - 1.5)), Math.max(8, ...all.map((p) => p[1] + 1.5))];
  const svg = make("svg", { viewBox: `${left} ${top} ${right - left} ${bottom - top}`, role: "img", "aria-label": "the play from above" });
  svg.append(make("line", { x1: left, x2: right, y1: 0, y2: 0, stroke: "#23282d", "stroke-width": 0.12 }));
  for (let v = 5; v < bottom; v += 5) svg.append(make("line", { x1: left, x2: right, y1: v, y2: v, stroke: "#d6d1c4", "stroke-width": 0.08 }));
  const pocket = seen.pocket;
  if (pocket?.ring?.length) svg.append(make("polygon", { points: pocket.ring.map((p) => flat(p).join()).join(" "), fill: "#dfe7ea", stroke: "#3f5a68", "stroke-width": 0.1 }));
  for (const man of men) {
    const [u, v] = flat([man.x, man.y]);
    const angle = 90 - turn * 0 - man.turn;
    svg.append(make("ellipse", { cx: u, cy: v, rx: Math.max(2 * man.long, 0.08), ry: Math.max(2 * man.short, 0.08), transform: `rotate(${angle} ${u} ${v})`, fill: "none", stroke: "#8a3b12", "stroke-width": 0.07 }));
    if (man.unit === "defense") svg.append(make("path", { d: `M${u - 0.3} ${v - 0.3}L${u + 0.3} ${v + 0.3}M${u + 0.3} ${v - 0.3}L${u - 0.3} ${v + 0.3}`, stroke: "#23282d", "stroke-width": 0.14 }));
    else svg.append(make("circle", { cx: u, cy: v, r: 0.34, fill: "#fffdf8", stroke: "#23282d", "stroke-width": 0.12 }));
    const label = make("text", { x: u + 0.5, y: v - 0.4, style: null, "font-size": 0.9, fill: "#23282d" }, man.position);
    label.setAttribute("class", "small");
    svg.append(label);
  }
  place.replaceChildren(svg);
  const errors = men.map((man) => man.long).sort((a, b) => a - b);
  const parts = [`${seen.since_snap >= 0 ? seen.since_snap.toFixed(2) + " s after" : (-seen.since_snap).toFixed(2) + " s before"} the snap`];
  if (seen.says) parts.push(seen.says);
  if (errors.length) parts.push(`men known to ${errors[errors.length >> 1].toFixed(2)} yd (half of them better)`);
  if (pocket?.status === "ok") {
    parts.push(`pocket ${pocket.width} yd wide, ${pocket.depth} deep`);
    for (const [side, edge] of Object.entries(pocket.edges)) if (edge.man && edge.short !== null && edge.exposure >= 0.2) parts.push(`${side} edge ${desk.called(edge.man)}: ${edge.short > 0 ? "short by " + edge.short + " yd" : "held"}`);
  } else if (pocket) parts.push(`pocket: ${pocket.status}`);
  else if (desk.state?.pocket?.says) parts.push(`not measured yet: ${desk.state.pocket.says}`);
  by("figures").textContent = parts.join(" · ");
}

function drawMap() {
  const svg = make("svg", { viewBox: "-2 -2 124 58", role: "group", "aria-label": "marks of the field: choose the one you click next" });
  for (let x = 0; x <= 120; x += 5) if (x !== 5 && x !== 115) svg.append(make("line", { x1: x, x2: x, y1: 0, y2: 53.33 }));
  svg.append(make("line", { x1: 0, x2: 120, y1: 0, y2: 0 }), make("line", { x1: 0, x2: 120, y1: 53.33, y2: 53.33 }));
  for (const mark of desk.hello.marks.filter((one) => one.sure).sort((a, b) => a.line - b.line)) {  // lines over ticks
    svg.append(make("circle", { cx: mark.x, cy: 53.33 - mark.y, r: mark.line ? 1.3 : 0.3, class: mark.name === desk.target?.name ? "chosen" : null, onclick: () => { desk.target = { name: mark.name }; desk.render(); } }, make("title", {}, mark.name)));
  }
  for (let x = 20; x <= 100; x += 10) svg.append(make("text", { x: x - 2, y: 29, "font-size": 4, fill: "#5d6163" }, String(x <= 60 ? x - 10 : 110 - x)));
  by("map").replaceChildren(svg);
}
