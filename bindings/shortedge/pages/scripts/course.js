// The play over time: pocket width and depth and the exposures, to be dragged through.
const courseOf = (now, { show, pause }) => {
  const { time, count, last, frames, edges, named } = now;
  const course = svg("svg", { class: "se-course", role: "img" });
  const panelsOf = (rows, who) => rows.map(([title, name, unit, values], k) => {
    const most = values.reduce((a, b) => (b > a && Number.isFinite(b) ? b : a), unit ? 2 : 1);
    return { title, unit, values, name, weight: unit ? 1.15 : 0.8, top: unit ? 1.12 * most : 1, said: null, who: who(k) };
  });
  const ofPlay = panelsOf([["pocket width", "pocket_width", "yd"], ["pocket depth", "pocket_depth", "yd"],
    ["exposure left", "exposure_left", ""], ["exposure inside", "exposure_inside", ""], ["exposure right", "exposure_right", ""],
  ].map(([title, name, unit]) => [title, name, unit, frames[name]]),
  (k) => k === 0 ? frames.wall_left.map((a, n) => (isNone(a) ? "" : `${named(a)} to ${named(frames.wall_right[n])}`))
    : k === 2 || k === 4 ? (edges[k === 2 ? 0 : 1].edge_man ?? []).map((a) => (isNone(a) ? "" : named(a))) : []);
  /** Of the rep: what of its rusher is his man's, while he has him. */
  const ofRep = ({ his, protector }) => {
    const own = (name) => (his?.[name] ?? new Array(count).fill(NaN)).map((value, k) => (isNone(protector) || his.blocker[k] === protector ? value : NaN));
    const short = own("short_edge").map((value, k) => (his?.tells[k] ? value : NaN));
    return panelsOf([["exposure outside", "outside_exposure", "", own("outside_exposure")], ["exposure inside", "inside_exposure", "", own("inside_exposure")],
      ["edge short", "short_edge", "yd", short], ["between the two", "blocker_range", "yd", own("blocker_range")],
      ["rusher to passer", "distance", "yd", his?.distance ?? new Array(count).fill(NaN)]],
    (k) => (k === 4 && his ? his.blocker.map((a, n) => (isNone(his.engaged[n]) ? "" : isNone(a) ? "nobody" : named(a))) : []));
  };
  let panels = ofPlay;
  const gutter = 26, pad = 10;
  let across = 1, tall = 1, cursor = null;
  const span = Math.max(time[last] - time[0], 0.1);
  const atTime = (t) => gutter + ((t - time[0]) / span) * (across - gutter - pad);

  function draw() {
    const head = 32, foot = 18, between = 24;
    panels = now.rep ? ofRep(now.rep) : ofPlay;
    const share = (tall - head - foot - between * panels.length) / panels.reduce((sum, one) => sum + one.weight, 0);
    put(course, { "aria-label": `${panels.map((one) => one.title).join(", ")} over time. Drag to move in time; the slider does the same.` });
    const place = placer(across, tall);
    const parts = [], texts = [], gap = count > 1 ? span / last / 2 : 0.05;
    let y = head;
    panels.forEach((panel, n) => {
      y += between;
      const height = share * panel.weight, base = y + height;
      const to = (value) => base - (value / panel.top) * height;
      parts.push(svg("rect", { x: gutter, y, width: across - gutter - pad, height, class: "se-panel" }));
      const grid = panel.unit ? [0, panel.top > 8 ? 5 : panel.top > 3.2 ? 2 : 1].concat(panel.top > 12 ? [10] : []) : [0, 0.5, 1];
      for (const value of grid) {
        parts.push(line(gutter, to(value), across - pad, to(value), "se-yard"));
        parts.push(label(gutter - 4, to(value) + 4, String(value), "se-small", "end"));
      }
      let start = 0;
      const names = [];
      for (let k = 1; k <= count; k++) { // frames that are not ok
        if (k < count && frames.status[k] === frames.status[start]) continue;
        if (frames.status[start] !== "ok" && !now.rep) {
          const x = Math.max(gutter, atTime(time[start] - gap)), until = Math.min(across - pad, atTime(time[k - 1] + gap));
          parts.push(svg("rect", { x, y, width: until - x, height, class: "se-gap" }));
          if (n === 0 && wideOf(frames.status[start], 11) < until - x) {
            names.push(place.write(frames.status[start], [[(x + until) / 2, y + height / 2 + 4]], "se-small"));
          }
        }
        start = k;
      }
      const points = [];
      panel.values.forEach((value, k) => {
        const next = panel.values[k + 1];
        if (!Number.isFinite(value)) return;
        const [x, h] = [atTime(time[k]), to(value)];
        points.push(`${Number.isFinite(panel.values[k - 1] ?? NaN) ? "L" : "M"}${x.toFixed(1)},${h.toFixed(1)}`);
        if (!panel.unit && Number.isFinite(next ?? NaN) && value + next > 0) {
          const right = atTime(time[k + 1]);
          parts.push(coloured(svg("polygon", { class: "se-fill",
            points: path([[x, base], [x, h], [right, to(next)], [right, base]]) }), (value + next) / 2));
        }
        if (!Number.isFinite(next ?? NaN) && !Number.isFinite(panel.values[k - 1] ?? NaN)) {
          parts.push(svg("circle", { cx: x, cy: h, r: 2, class: "se-dot" }));
        }
      });
      parts.push(svg("path", { d: points.join(""), class: panel.unit ? "se-course-line" : "se-course-ink", "data-course": panel.name }));
      start = 0;
      for (let k = 1; k <= panel.who.length; k++) { // who sets it, where that changes
        if (k < panel.who.length && panel.who[k] === panel.who[start]) continue;
        const x = atTime(time[start]), name = panel.who[start];
        if (start && name) parts.push(line(x, y, x, y + 9, "se-dimension"));
        if (name && wideOf(name, 11) < atTime(time[Math.min(k, last)]) - x - 4) names.push(place.write(name, [[x + 3, y + 10, "start"]], "se-small"));
        start = k;
      }
      texts.push(...names.filter(Boolean), label(gutter, y - 6, panel.title, "se-title", "start"));
      panel.said = label(across - pad, y - 6, "", "se-title", "end");
      texts.push(panel.said);
      y = base;
    });
    const placed = now.data.events.map(([what, when]) => [what, atTime(Math.max(time[0], Math.min(time[last], when / 100)))]);
    for (const [, x] of placed) parts.push(line(x, head - 2, x, tall - foot, "se-event"));
    for (const [what, x] of placed.sort((a, b) => b[0].startsWith("beat") - a[0].startsWith("beat"))) { // beats have room first
      const text = isolated(SHORT[what] ?? what), half = wideOf(text, 11) / 2 + 2;
      const middle = Math.max(half, Math.min(across - half, x));
      parts.push(place.write(text, [head - 19, head - 6].map((row) => [middle, row]), "se-small") ?? "");
    }
    for (let t = Math.ceil(time[0]); t <= time[last] + 1e-6; t++) parts.push(place.write(`${t} s`, [[Math.min(Math.max(atTime(t), 10), across - 12), tall - 4]], "se-small") ?? "");
    cursor = svg("g", { class: "se-cursor" }, line(0, head - 2, 0, tall - foot, ""),
      svg("path", { d: `M0,${tall - foot - 1}l6,9h-12z` }));
    course.replaceChildren(...parts, cursor, ...texts); // texts last, so that no line runs through one
  }

  function move() {
    put(cursor, { transform: `translate(${atTime(time[now.k]).toFixed(1)} 0)` });
    for (const panel of panels) panel.said.textContent = figure(panel.values[now.k], panel.unit);
  }

  /** Fits it to the width it has and to the field's height. */
  function resize(high) {
    across = Math.max(course.clientWidth, 240);
    tall = Math.max(430, Math.min(high, 620));
    put(course, { viewBox: `0 0 ${across} ${tall}`, height: tall });
    draw();
  }

  const grab = (event) => {
    const x = event.clientX - course.getBoundingClientRect().left;
    const wanted = time[0] + ((x - gutter) / (across - gutter - pad)) * span;
    show(time.reduce((best, t, k) => (Math.abs(t - wanted) < Math.abs(time[best] - wanted) ? k : best), 0));
  };
  course.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    pause();
    course.setPointerCapture(event.pointerId);
    grab(event);
  });
  course.addEventListener("pointermove", (event) => course.hasPointerCapture(event.pointerId) && grab(event));
  return { course, move, resize, draw };
};
