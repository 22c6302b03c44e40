// "Simulate from here": many draws in a worker, so that the page goes on, and it can be stopped.

const WORKER = `const coreOf = ${coreOf.toString()};
onmessage = async ({ data: { module, tables } }) => {
  try {
    const core = await coreOf(module, (done, all) => (postMessage({ done, all }), 1));
    for (const [name, columns] of Object.entries(tables)) core.fill(name, columns);
    core.call("se_simulate");
    postMessage({ rows: core.read("outcomes") });
  } catch (failure) {
    postMessage({ failure: String(failure.message ?? failure) });
  }
};`;

/** Runs one simulation; resolves to its rows, or to null when it was stopped. */
const simulated = (module, tables, told, stop) => new Promise((resolve, reject) => {
  const address = URL.createObjectURL(new Blob([WORKER], { type: "text/javascript" })), worker = new Worker(address);
  const end = (then, value) => {
    worker.terminate();
    URL.revokeObjectURL(address);
    then(value);
  };
  stop(() => end(resolve, null));
  worker.onerror = (event) => end(reject, new Error(event.message || "no worker here"));
  worker.onmessage = ({ data }) => {
    if (data.rows) end(resolve, data.rows);
    else if (data.failure) end(reject, new Error(data.failure));
    else told(data.done, data.all);
  };
  worker.postMessage({ module, tables });
});

const runOf = (start, asker, module, states) => {
  const number = (label, value, least, most, step) => {
    const made = html("input", { type: "number", value, min: least, max: most, step });
    return [html("label", {}, label, " ", made), () => Math.min(most, Math.max(least, Number(made.value) || value))];
  };
  const given = start.in.plan, [draws, drawsOf] = number("draws", given.draws[0], 20, 5000, 20);
  const [thrown, thrownOf] = number("thrown after, s (seven-yard drop)", given.throw_time[0], 0.5, 10, 0.1);
  const snap = start.kind === "recorded" && start.snap;
  const [drop, dropOf] = number("drop to, yd", given.depth[0] ?? 7, 1, 20, 0.5);
  const go = html("button", { type: "button", class: "bd-go" }, "Simulate from here"), stop = html("button", { type: "button", hidden: true }, "stop");
  const bar = html("progress", { max: 1, value: 0, hidden: true, "aria-label": "draws done" }), said = html("p", { class: "bd-quiet", role: "status" });
  const out = html("div", { class: "bd-wide", tabindex: 0, role: "region", "aria-label": "what the simulation counts", hidden: true });
  let halt = null;

  const share = (count, of) => `${count} (${((100 * count) / of).toFixed(0)} %)`;
  const difference = (a, b, of) => {
    const by = (100 * (b - a)) / of;
    return Math.abs(by) < 0.5 ? "·" : `${by > 0 ? "+" : "−"}${Math.abs(by).toFixed(0)}`;
  };
  function table(a, b) {
    const line = (title, column, one, other, whole) => html("tr", {}, html("th", { scope: "row" }, title),
      html("td", {}, share(one[column], one.draws)), html("td", {}, share(other[column], other.draws)), html("td", { class: "bd-difference" }, difference(one[column], other[column], whole)));
    const of = a[0].draws, rows = [["a rusher arrives before the throw", "arrived"], ["pressure before the throw", "pressure"], ["pressure, or thrown early because of a rusher", "hurried"], ["a protector turns to run", "hips"]]
      .map(([title, column]) => line(title, column, a[0], b[0], of));
    for (const one of b.slice(1)) {
      const then = a.find((row) => row.man === one.man);
      if (then && (then.hurried || one.hurried)) rows.push(line(`hurried by ${isolated(start.men[one.man][0])}’s man`, "hurried", then, one, of));
    }
    return html("table", { class: "bd-table bd-counts" }, html("caption", {}, `Of ${of} draws, the same chances on both sides`),
      html("thead", {}, html("tr", {}, html("td"), html("th", { scope: "col" }, states.called()), html("th", { scope: "col" }, "now"), html("th", { scope: "col" }, "points"))),
      html("tbody", {}, ...rows));
  }
  async function run() {
    const asked = { draws: Math.round(drawsOf()), thrown: thrownOf(), depth: dropOf() }, found = [];
    go.disabled = true;
    stop.hidden = bar.hidden = false;
    said.textContent = "";
    try {
      for (const [k, edit] of [states.a(), states.b()].entries()) {
        const rows = await simulated(module, asker.plan(edit, asked), (done, all) => (bar.value = (k + done / all) / 2), (how) => (halt = how));
        if (!rows) break;
        found.push(rows);
      }
      if (found.length === 2) {
        out.replaceChildren(table(...found));
        out.hidden = false;
        said.textContent = "";
      } else said.textContent = "Stopped.";
    } catch (failure) {
      said.textContent = `Not simulated: ${failure.message}.`;
    }
    go.disabled = false;
    stop.hidden = bar.hidden = true;
    bar.value = 0;
  }
  go.addEventListener("click", run);
  stop.addEventListener("click", () => halt?.());
  const from = start.kind === "recorded" ? (snap ? "From the snap, everybody at rest where the board has him." : "As if the ball were snapped now: everybody begins at rest where the board has him, and the passer stays.")
    : "From the snap, everybody at rest where the board has him; the passer drops to where the board has him.";
  return html("section", { class: "bd-run" }, html("h2", {}, "Simulate from here"), html("p", {}, html("b", {}, start.conditional), " ", from),
    html("div", { class: "bd-row" }, draws, thrown, ...(snap ? [drop] : []), go, stop, bar), said, out);
};
