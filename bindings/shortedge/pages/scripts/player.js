// One play to scrub through. Nothing is fetched, and no text is ever read as markup.

/** Shows a play in an element. Returns { show(frame), play(), pause(), frame }. `keys`: where arrow keys are heard. */
export function mount(element, data, { keys = element } = {}) {
  const now = nowOf(data), ways = drawn(now);
  const { time, last, frames, detached, named } = now;
  const field = fieldOf(now, ways), corners = cornersOf(now, ways), tables = tablesOf(now);
  const course = courseOf(now, { show: (wanted) => show(wanted), pause: () => pause() });
  const mine = formOf(now, {});
  let playing = 0, speaking = 0;

  const moment = html("strong"), about = html("span"), note = html("p", { class: "se-note" }), says = html("p", { class: "se-says" });
  const button = (text, what, done) => {
    const made = html("button", { type: "button", "aria-label": what, title: what }, text);
    made.addEventListener("click", done);
    return made;
  };
  const back = button("◂", "one frame back", () => step(-1)), on = button("▸", "one frame on", () => step(1));
  const go = button("play", "play", () => (playing ? pause() : play()));
  const slider = html("input", { type: "range", min: 0, max: last, step: 1, value: 0, "aria-label": "time" });
  slider.addEventListener("input", () => (pause(), show(Number(slider.value))));
  const speed = html("select", { "aria-label": "speed" });
  const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
  for (const [text, factor] of [["¼", 0.25], ["½", 0.5], ["1", 1], ["2", 2]]) {
    speed.append(html("option", { value: factor, selected: factor === (calm ? 0.25 : 1) }, `speed ${text}`));
  }
  const events = html("div", { class: "se-events", role: "group", "aria-label": "jump to" });
  const jumps = data.events.map(([what, when, k]) => {
    const text = isolated(what);
    const made = html("button", { type: "button" }, text, html("small", {}, ` ${(when / 100).toFixed(2)} s`));
    made.addEventListener("click", () => (pause(), show(k)));
    events.append(made);
    return [made, k, text];
  });
  const live = html("p", { class: "se-unseen", role: "status", "aria-live": "polite" });

  // Who had whom: a button a rep, and one for the whole play.
  const pick = (text, rep) => {
    const made = html("button", { type: "button" }, text);
    made.addEventListener("click", () => (pause(), look(rep)));
    return [made, rep];
  };
  const picks = [...now.reps.map((rep) => pick(rep.words, rep)), pick("the whole play", null)];
  const who = html("div", { class: "se-who", role: "group", "aria-label": "who had whom" },
    ...picks.map(([made, rep]) => (rep?.lost && made.classList.add("se-lost"), made)));
  const came = html("p", { class: "se-seen" }, data.seen.join(" "));
  const move = data.board ? html("a", { class: "se-move", "data-se-move": "" }, "move the men") : "";

  element.classList.add("se-player");
  put(element, { role: "group", "aria-label": `play ${data.play}` });
  const ofPlay = html("div", { class: "se-lower" }, corners.figureOf(0),
    html("div", { class: "se-tables" }, tables.pocketTable, tables.edgeTable), corners.figureOf(1));
  const ofRep = html("div", { class: "se-lower se-ofrep" }, corners.figureOf(2), tables.repTable);
  const rushersOf = html("div", { class: "se-wide", tabindex: 0, role: "region", "aria-label": "rushers" }, tables.rusherTable);
  const more = html("span", { class: "se-beyond", hidden: "" }, " scroll sideways for more →");
  tables.rusherTable.querySelector("caption").append(more);
  new ResizeObserver(() => (more.hidden = rushersOf.scrollWidth <= rushersOf.clientWidth + 1)).observe(rushersOf);
  element.replaceChildren(
    html("p", { class: "se-moment" }, moment, " ", about), says, note,
    html("div", { class: "se-stage" },
      html("figure", {}, field.field, html("figcaption", { class: "se-key" }, html("span", {}, "⌄ he comes"), html("span", {}, "ways to the passer, coloured by exposure"),
        html("span", { class: "se-ramp" }, html("i", {}, "0"), html("b"), html("i", {}, "1")))),
      html("figure", {}, course.course)),
    html("div", { class: "se-controls" }, back, go, on, slider, speed), html("div", { class: "se-row" }, events, move), who, came, mine.form,
    ofRep, ofPlay, rushersOf,
    html("p", { class: "se-caution" }, data.caution.join(" "), " Width jumps when a man is detached from the wall."), live);

  /** Shows a rep, at its own moment, or the play where it stands. */
  function look(rep) {
    now.rep = rep;
    arrange();
    course.draw();
    show(rep ? rep.k : now.k);
  }

  function arrange() {
    element.classList.toggle("se-pairing", Boolean(now.rep));
    ofRep.hidden = !now.rep;
    ofPlay.hidden = rushersOf.hidden = came.hidden = Boolean(now.rep);
    says.textContent = now.rep ? now.rep.words : "";
    for (const [made, rep] of picks) put(made, { "aria-pressed": String(rep === now.rep) });
    mine.show();
  }

  function show(wanted) {
    now.k = Math.max(0, Math.min(last, wanted));
    const status = frames.status[now.k];
    const left = isNone(data.throw) ? NaN : data.throw / 100 - time[now.k];
    moment.textContent = now.after();
    about.textContent = (Number.isNaN(left) ? "no throw" : Math.abs(left) < 0.005 ? "at the throw"
      : `${figure(Math.abs(left))} s ${left > 0 ? "before" : "after"} the throw`) + (status === "ok" ? "" : ` · pocket ${status}`);
    note.textContent = now.rep ? "" : [data.says[status], ...detached[now.k].map(([who, end]) => `${named(who)} detached: width set by ${named(end)}`)]
      .filter(Boolean).join("; ");
    slider.value = now.k;
    slider.setAttribute("aria-valuetext", now.after());
    back.disabled = now.k === 0;
    on.disabled = now.k === last;
    tables.tell();
    if (move) move.href = `${data.board}#frame=${encodeURIComponent(JSON.stringify(now.standing()))}`;
    for (const [one, k] of jumps) put(one, { "aria-current": String(k === now.k) });
    field.draw();
    corners.draw();
    course.move();
    clearTimeout(speaking);
    if (!playing) speaking = setTimeout(() => (live.textContent = now.said()), 400);
  }

  const step = (by) => (pause(), show(now.k + by));

  function play() {
    if (now.k === last) show(0);
    let before = null, clock = time[now.k];
    const tick = (stamp) => {
      clock += before === null ? 0 : ((stamp - before) / 1000) * Number(speed.value);
      before = stamp;
      let next = now.k;
      while (next < last && time[next + 1] <= clock + 1e-6) next++;
      if (next !== now.k) show(next);
      if (now.k === last) pause();
      else playing = requestAnimationFrame(tick);
    };
    playing = requestAnimationFrame(tick);
    go.textContent = "pause";
    put(go, { "aria-label": "pause", title: "pause" });
    clearTimeout(speaking);
    live.textContent = "";
  }

  function pause() {
    if (!playing) return;
    cancelAnimationFrame(playing);
    playing = 0;
    go.textContent = "play";
    put(go, { "aria-label": "play", title: "play" });
    show(now.k);
  }

  keys.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey || event.target.closest?.("input, select, textarea")) return;
    const done = { ArrowLeft: () => step(-1), ArrowRight: () => step(1), Home: () => step(-now.k), End: () => step(last),
      " ": event.target.closest?.("button, summary, a") ? null : () => (playing ? pause() : play()) }[event.key];
    if (!done) return;
    event.preventDefault();
    done();
  });

  function resize() {
    course.resize(field.resize());
    show(now.k);
  }
  arrange();
  let seen = 0;
  new ResizeObserver(() => {
    const width = field.field.clientWidth + 1e5 * course.course.clientWidth;
    if (width === seen) return;
    seen = width;
    resize();
  }).observe(element);
  resize();
  return { show, look, play, pause, get frame() { return now.k; } };
}

/** Mounts every block of the page: at once, or when the closed <details> it stands in is opened. */
export function mountAll(root = document) {
  const blocks = [...root.querySelectorAll(".se-player")];
  for (const element of blocks) {
    const text = element.querySelector("script[type='application/json']");
    if (!text) continue;
    const start = () => {
      const own = JSON.parse(text.textContent), of = own.of && root.getElementById(own.of);
      mount(element, of ? { ...JSON.parse(of.textContent), ...own } : own, blocks.length === 1 ? { keys: document } : {});
    };
    const closed = element.closest("details:not([open])");
    if (closed) closed.addEventListener("toggle", start, { once: true });
    else start();
  }
  const page = document.documentElement, dark = matchMedia("(prefers-color-scheme: dark)");
  const buttons = [...root.querySelectorAll("button[data-se-theme]")];
  const isDark = () => (page.dataset.seTheme ?? (dark.matches ? "dark" : "light")) === "dark";
  const name = () => buttons.forEach((one) => (one.textContent = isDark() ? "light page" : "dark page"));
  for (const one of buttons) {
    one.addEventListener("click", () => {
      page.dataset.seTheme = isDark() ? "light" : "dark";
      name();
    });
  }
  dark.addEventListener("change", name);
  name();
}

