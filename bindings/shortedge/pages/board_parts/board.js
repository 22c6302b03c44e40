// The board: put together, and every hand that moves on it.

const MOVE = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** Shows a board in an element. `alone`: it has the page, and keeps its state in the address. */
const mountBoard = async (element, start, packed, { alone = true } = {}) => {
  const began = performance.now(), module = await unpacked(packed), core = await coreOf(module);
  const asker = askerOf(core, start), past = historyOf(), { men } = start;
  const first = asker.men(empty());
  Object.assign(asker, {
    first, told: core.told, fast: (k) => Boolean(first.vu?.[k] || first.vv?.[k]),
    reach: start.in.rules?.reach?.[0] ?? core.told.in.flatMap((table) => table.columns).find((one) => one.name === "reach").value,
  });
  const original = start.kind === "recorded" ? "as recorded" : "as lined up";
  let then = { edit: empty(), called: original, result: null }, now = empty(), chosen = -1, latest = null, waits = 0, speaks = 0, slow = 0;

  const button = (text, done, given = {}) => {
    const made = html("button", { type: "button", ...given }, text);
    made.addEventListener("click", done);
    return made;
  };
  const words = html("p", { class: "bd-words" }), changed = html("ul", { class: "bd-changes" }), trouble = html("p", { class: "bd-trouble", role: "alert", hidden: true });
  const live = html("p", { class: "bd-unseen", role: "status", "aria-live": "polite" });
  const undo = button("undo", () => step(-1), { title: "Ctrl+Z" }), redo = button("redo", () => step(1), { title: "Ctrl+Y" });
  const reset = button("put everybody back", () => set(empty(), ""));
  const keepA = button("compare from here", () => {
    then = { edit: copied(now), called: "then", result: null };
    draw();
  }, { title: "what is on the board now becomes the left column" });
  const backA = button(`compare with ${original}`, () => {
    then = { edit: empty(), called: original, result: null };
    draw();
  });
  const field = fieldOf(start, asker, { choose, key, move });
  const figures = figuresOf(start, asker);

  // The depth of the drop
  const [least, most] = [start.in.drop.least[0], start.in.drop.most[0]], passer = asker.passer;
  const depth = html("input", { type: "range", class: "bd-depth", min: least, max: most, step: 0.1 }), depthText = html("output", {});
  const strip = svg("svg", { class: "bd-strip", "aria-hidden": "true" }), evenText = html("p", { class: "bd-quiet" });
  const share = html("input", { type: "number", min: 0.05, max: 2, step: 0.05, value: start.in.drop.speed_ratio[0] });
  depth.addEventListener("input", () => move(passer, [now.places[passer]?.[0] ?? first.u[passer], Number(depth.value)], "depth"));
  depth.addEventListener("change", () => commit(""));
  share.addEventListener("input", () => {
    const wanted = Number(share.value);
    if (!(wanted > 0 && wanted <= 2)) return;
    asker.drop.speed_ratio = [wanted];
    draw();
  });
  const depthPart = html("section", { class: "bd-drop" }, html("label", {}, html("b", {}, "depth of the drop "), depthText, depth), strip,
    html("div", { class: "bd-row" }, html("label", {}, "his man’s speed, as a share of the rusher’s ", share), evenText));

  // One man
  const typed = ["u", "v"].map((name, k) => {
    const made = html("input", { type: "number", step: 0.1, min: -60, max: 60 });
    made.addEventListener("change", () => {
      const at = [...placeOf(chosen)];
      if (made.value === "" || !Number.isFinite(Number(made.value))) return draw();
      at[k] = Math.max(-60, Math.min(60, Number(made.value)));
      place(chosen, at);
      commit("");
    });
    return made;
  });
  const running = html("select", {}), owner = html("select", {}), rushes = html("input", { type: "checkbox" });
  for (const [value, text] of [["kept", "as he did"], ["standing", "not: he stands"], ["straight", "straight at the passer"]]) running.append(html("option", { value }, text));
  owner.append(html("option", { value: -1 }, "nobody: he is free"));
  men.forEach(([label], k) => asker.roles[k] === "protector" && owner.append(html("option", { value: k }, isolated(label))));
  const change = (name, value, usual) => {
    const edit = copied(now);
    if (value === usual) delete edit[name][chosen];
    else edit[name][chosen] = value;
    set(edit, "");
  };
  running.addEventListener("change", () => change("running", running.value, "kept"));
  owner.addEventListener("change", () => change("man", Number(owner.value), first.man[chosen] ?? -1));
  rushes.addEventListener("change", () => change("role", rushes.checked ? "rusher" : "other", asker.roles[chosen]));
  const whose = html("h2", {}), home = button("put him back", () => place(chosen, null, true));
  const parts = {
    where: html("span", { class: "bd-row" }, html("label", {}, "yd to the right ", typed[0]), html("label", {}, "yd deep ", typed[1])),
    runs: html("label", {}, "he runs ", running), owner: html("label", {}, "who has him ", owner), rushes: html("label", {}, rushes, " he rushes"),
  };
  const manPart = html("section", { class: "bd-one" }, whose, html("div", { class: "bd-row" }, ...Object.values(parts), home));

  // Keeping
  const file = html("input", { type: "file", accept: ".json", hidden: true, "aria-label": "a board's file" });
  file.addEventListener("change", async () => {
    try {
      const said = JSON.parse(await file.files[0].text());
      if (said.what !== FILE) throw new Error("it is no board");
      if (JSON.stringify(said.start) === JSON.stringify(start)) return load(statesOf(JSON.stringify(said), start));
      throw new Error(`it is of ${said.start?.title ?? "another board"}, and this is ${start.title}`);
    } catch (failure) {
      complain(`That file is not opened: ${failure.message}.`);
    }
    file.value = "";
  });
  const states = () => ({ a: then.edit, b: now });
  const stem = start.title.replace(/[^\w]+/g, "_").slice(0, 40);
  const title = () => `${start.title}${start.about ? `, ${start.about}` : ""}: ${figures.changes(latest, now).join("; ") || original}`;
  const picture = async (kind) => {
    const made = pictured(field.field, title());
    saved(`${stem}.${kind}`, kind === "svg" ? new Blob([made.text], { type: "image/svg+xml" }) : await asPng(made));
  };
  const keep = html("div", { class: "bd-row bd-keep" }, button("picture (SVG)", () => picture("svg")), button("picture (PNG)", () => picture("png")),
    button("save", () => saved(`${stem}.json`, new Blob([JSON.stringify({ what: FILE, of: start.title, ...states(), start })], { type: "application/json" })), { title: "a small file with both states" }),
    button("open", () => file.click(), { title: "a file that was saved here" }), file, button("print", () => print()));
  const run = runOf(start, asker, module, { a: () => then.edit, b: () => now, called: () => then.called });

  element.classList.add("bd-board");
  put(element, { role: "group", "aria-label": `the board: ${start.title}` });
  const wide = (what, inside) => {
    const made = html("div", { class: "bd-wide", tabindex: 0, role: "region", "aria-label": what }, inside);
    const more = html("span", { class: "bd-beyond", hidden: true }, " scroll sideways for more →");
    inside.querySelector("caption")?.append(more);
    new ResizeObserver(() => (more.hidden = made.scrollWidth <= made.clientWidth + 1)).observe(made);
    return made;
  };
  element.replaceChildren(
    words, trouble,
    html("div", { class: "bd-stage" },
      html("div", { class: "bd-left" },
        html("div", { class: "bd-row bd-tools" }, undo, redo, reset, keepA, backA), field.field,
        html("p", { class: "bd-key" }, "Drag a man, or Tab to him and press the arrow keys (0.1 yd; with Shift 1 yd). Ways round the outside by exposure ",
          html("span", { class: "bd-ramp" }, "0", html("b"), "1")),
        depthPart, manPart, html("section", { class: "bd-said" }, html("h2", {}, "What was changed"), changed), wide("every rusher", figures.rusherTable)),
      html("div", { class: "bd-right" }, wide("then and now", figures.compare), run, keep)),
    html("p", { class: "bd-caution" }, [start.caution, ...start.notes].join(" ")), live);

  function placeOf(k) { return now.places[k] ?? [first.u[k], first.v[k]]; }

  /** Puts a man somewhere, in hundredths; null: back where he was. No step of undo by itself. */
  function place(k, at, step = false) {
    const edit = copied(now), [left, right, upper, lower] = start.view;
    const here = at?.map((value, axis) => cents(axis ? Math.max(Math.min(upper, first.v[k] ?? 0), Math.min(Math.max(lower, most), value))
      : Math.max(Math.min(left, first.u[k] ?? 0), Math.min(Math.max(right, first.u[k] ?? 0), value))));
    if (!here || (Math.abs(here[0] - first.u[k]) < 0.005 && Math.abs(here[1] - first.v[k]) < 0.005)) delete edit.places[k];
    else edit.places[k] = here;
    now = edit;
    if (step) commit("");
    else draw();
  }
  const commit = (kind) => {
    past.put(now, kind);
    draw();
  };
  function move(k, at, end) {
    if (first.u[k] === null) return;
    place(k, at);
    if (end === true) commit("");
  }
  function key(event, k) {
    const by = MOVE[event.key];
    if (event.key === "Escape") choose(-1);
    else if (event.key === "Home") place(k, null, true);
    else if (by && !event.altKey && !event.ctrlKey && !event.metaKey) {
      const [u, v] = placeOf(k), size = event.shiftKey ? 1 : 0.1;
      place(k, [u + by[0] * size, v + by[1] * size]);
      commit(`keys ${k}`);
    } else return;
    event.preventDefault();
  }
  function choose(k) {
    if (k === chosen) return;
    chosen = k;
    draw();
  }
  function set(edit, kind) {
    now = copied(edit);
    commit(kind);
  }
  function step(by) {
    past.move(by);
    now = copied(past.now);
    draw();
  }
  function load(said) {
    if (!said) return false;
    then = { edit: said.a, called: same(said.a, empty()) ? original : "then", result: null };
    set(said.b, "");
    return true;
  }
  function complain(text) {
    trouble.textContent = text;
    trouble.hidden = !text;
  }

  /** Shows what is on the board. */
  function draw() {
    const stamp = performance.now();
    try {
      then.result ??= asker.measure(then.edit);
      latest = asker.measure(now);
      complain("");
    } catch (failure) {
      if (failure.message === "one moment") setTimeout(draw, 20);
      else complain(`Not measured: ${failure.message}.`);
      return;
    }
    field.draw(latest, chosen);
    figures.called(then.called);
    figures.show(then.result, latest);
    put(element, { "data-words": (words.textContent = figures.sentence(latest)) });
    const said = figures.changes(latest, now);
    const told = said.length ? said : ["Nothing: everybody is where he was."];
    if (told.length === changed.children.length) told.forEach((text, k) => (changed.children[k].textContent = text));
    else changed.replaceChildren(...told.map((text) => html("li", {}, text)));
    undo.disabled = !past.back;
    redo.disabled = !past.on;
    reset.disabled = same(now, empty());
    backA.hidden = then.called === original;
    tellDepth();
    tellMan();
    slow = performance.now() - stamp;
    clearTimeout(waits);
    waits = setTimeout(settled, 250);
  }

  /** What can wait until the hand rests. */
  function settled() {
    sweep();
    clearTimeout(speaks);
    speaks = setTimeout(() => (live.textContent = chosen >= 0 ? `${isolated(men[chosen][0])}: ${field.said(latest, chosen)}. ${words.textContent}` : words.textContent), 300);
    if (!alone) return;
    try {
      const bare = same(now, empty()) && same(then.edit, empty());
      history.replaceState(null, "", bare ? location.pathname + location.search : fragmentOf(start, states()));
    } catch { /* an address that cannot be changed, as in a notebook */ }
  }

  function tellDepth() {
    const deep = latest.men.v[passer];
    depth.disabled = deep === null;
    depth.value = deep ?? least;
    depthText.textContent = figure(deep, "yd");
    put(depth, { "aria-valuetext": `${figure(deep)} yd` });
    const even = Object.values(latest.even), from = figure(asker.drop.from[0], "", "", 1);
    evenText.textContent = even.map((one) => {
      const who = `${figures.name(one.man)} against ${figures.name(one.rusher)}`;
      return Number.isNaN(one.depth) ? `${who}: no longer at ${from} yd` : Number.isFinite(one.depth) ? `${who}: to ${figure(one.depth, "", "", 1)} yd` : `${who}: at any depth`;
    }).join("; ") + (even.length ? `. To that depth of the drop (from ${from} yd on) he can still meet his rusher if everybody else stands still. Compare men with it; it is no forecast.` : "Nobody has a rusher.");
    marksOf(even);
  }

  const SPAN = 600, EDGE = 8; // the strip is stretched to the slider's width, whose thumb stops so far from its ends
  let span = SPAN; // px, looked up when it may have changed: to ask for it while a man is dragged has the page laid out each time
  const along = (value) => EDGE + ((value - least) / (most - least)) * (span - 2 * EDGE);
  const marks = svg("g"), bands = svg("g");
  strip.append(bands, marks);
  function marksOf(even) {
    const parts = [];
    put(strip, { viewBox: `0 0 ${span} 58` });
    const tick = (value, text, name, low) => {
      const x = along(Math.min(Math.max(value, least), most)), end = x > span - 90;
      parts.push(svg("line", { x1: x, x2: x, y1: 0, y2: low, class: name }), svg("text", { x: x + (end ? -4 : 4), y: low, "text-anchor": end ? "end" : "start", class: name }, text));
    };
    const edges = latest.edges.left ? [latest.edges.left.rusher, latest.edges.right.rusher] : even.map((one) => one.rusher);
    even.filter((one) => edges.includes(one.rusher) && Number.isFinite(one.depth) && one.depth <= most).sort((a, b) => a.depth - b.depth)
      .forEach((one, k) => tick(one.depth, `${figures.name(one.man)} even at ${one.depth.toFixed(1)}`, "bd-even", 42 + (k % 2) * 13));
    if (first.v[passer] !== null && now.places[passer]) tick(first.v[passer], original, "bd-first", 33);
    marks.replaceChildren(...parts);
  }
  let swept = "";
  function sweep() {
    const at = JSON.stringify([now, span]);
    if (at === swept) return;
    swept = at;
    try {
      const rows = asker.sweep(now), step = along(start.in.drop.least[0] + start.in.drop.step[0]) - along(start.in.drop.least[0]), parts = [];
      rows.forEach((row) => ["left", "right"].forEach((side, k) => {
        const exposed = row[`exposure_${side}`], x = along(row.depth) - step / 2;
        const cell = svg("rect", { x: x.toFixed(1), y: 3 + 13 * k, width: (step + 0.5).toFixed(1), height: 11, class: row.status !== "ok" ? "bd-none" : exposed < 0.5 ? "bd-fill bd-less" : "bd-fill bd-more" });
        if (row.status === "ok") cell.style.setProperty("--x", exposed);
        parts.push(cell);
      }));
      parts.push(svg("text", { x: 12, y: 12, class: "bd-on" }, "left edge"), svg("text", { x: 12, y: 25, class: "bd-on" }, "right edge"));
      bands.replaceChildren(...parts);
    } catch { swept = ""; }
  }

  function tellMan() {
    manPart.hidden = chosen < 0;
    if (chosen < 0) return;
    const role = field.roleOf(latest, chosen), defends = men[chosen][2] === "X", here = latest.men.u[chosen] !== null;
    whose.textContent = [...new Set(men[chosen].slice(0, 2))].map(isolated).join(", ");
    typed.forEach((made, k) => {
      if (document.activeElement !== made) made.value = here ? cents(latest.men[k ? "v" : "u"][chosen]) : "";
      made.disabled = !here;
    });
    parts.runs.hidden = !(role === "rusher" && asker.fast(chosen));
    parts.owner.hidden = role !== "rusher";
    parts.rushes.hidden = !defends;
    running.value = now.running[chosen] ?? "kept";
    owner.value = latest.men.man[chosen] ?? -1;
    rushes.checked = role === "rusher";
    home.disabled = !now.places[chosen];
  }

  // Heard on the whole page: a button that is disabled, as undo is at last, loses the focus to it.
  document.addEventListener("keydown", (event) => {
    if (!element.isConnected || !(event.ctrlKey || event.metaKey) || event.altKey || event.target.matches?.("input[type=number]")) return;
    const by = { z: event.shiftKey ? 1 : -1, y: 1 }[event.key.toLowerCase()];
    if (!by) return;
    event.preventDefault();
    step(by);
  }, true);
  let size = 0;
  const resize = () => {
    if (size === field.field.clientWidth) return;
    size = field.field.clientWidth;
    field.resize();
    if (latest) draw();
  };
  new ResizeObserver(resize).observe(field.field);
  const stretched = () => {
    const before = span;
    span = strip.clientWidth || SPAN;
    if (span === before) return;
    if (latest) tellDepth();
    sweep();
  };
  new ResizeObserver(stretched).observe(strip);
  addEventListener("beforeprint", stretched);
  if (alone) addEventListener("hashchange", () => load(fromFragment(start)));
  resize();
  if (!(alone && load(fromFragment(start)))) draw();
  sweep();
  return { get result() { return latest; }, get slow() { return slow; }, get edit() { return copied(now); }, ready: performance.now() - began, load };
};

/** The page's switch of light and dark. */
const themed = () => {
  const page = document.documentElement, dark = matchMedia("(prefers-color-scheme: dark)");
  const isDark = () => (page.dataset.seTheme ?? (dark.matches ? "dark" : "light")) === "dark";
  for (const one of document.querySelectorAll("button[data-bd-theme]")) {
    const tell = () => (one.textContent = isDark() ? "light page" : "dark page");
    one.addEventListener("click", () => {
      page.dataset.seTheme = isDark() ? "light" : "dark";
      tell();
    });
    dark.addEventListener("change", tell);
    tell();
  }
};
