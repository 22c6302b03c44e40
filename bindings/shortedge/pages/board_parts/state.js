// What was changed by hand on a board, and what is asked of the core for it.

const NAMES = ["places", "running", "man", "role"]; // each by man: [u, v]; a word; who has him; a word
const empty = () => ({ places: {}, running: {}, man: {}, role: {} });
const copied = (edit) => JSON.parse(JSON.stringify(edit));
const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);
const cents = (value) => Math.round(value * 100) / 100;

/** What a fragment or a file says, as far as it is about men who are there; else null. */
const soundEdit = (said, start) => {
  if (typeof said !== "object" || said === null) return null;
  const edit = empty(), count = start.men.length, finite = (one) => typeof one === "number" && Math.abs(one) <= 60;
  const fits = {
    places: (one) => Array.isArray(one) && one.length === 2 && one.every(finite),
    running: (one) => ["kept", "standing", "straight"].includes(one),
    man: (one) => Number.isInteger(one) && one >= -1 && one < count,
    role: (one) => ["rusher", "other"].includes(one),
  };
  for (const name of NAMES) {
    for (const [man, one] of Object.entries(said[name] ?? {})) {
      if (!(Number(man) >= 0 && Number(man) < count) || !fits[name](one)) return null;
      edit[name][Number(man)] = one;
    }
  }
  return edit;
};

/** The core's answers for one state of a board. */
const askerOf = (core, start) => {
  const given = start.in, count = start.men.length;
  const words = (name) => core.told.in.flatMap((table) => table.columns).find((one) => one.name === name).words;
  const column = (name, fallback) => given.men[name] ?? Array(count).fill(fallback);
  const word = (name, k) => words(name)[column(name, -1)[k]] ?? "";
  const roles = Array.from({ length: count }, (_, k) => word("role", k));
  const passer = roles.indexOf("passer");

  function men(edit) {
    const out = { ...given.men };
    const change = (name, fallback) => (out[name] = [...column(name, fallback)]);
    const [u, v, role, man, running] = [change("u", null), change("v", null), change("role", 0), change("man", -1), change("running", 0)];
    for (const [k, at] of Object.entries(edit.places)) [u[k], v[k]] = at;
    for (const [k, one] of Object.entries(edit.running)) running[k] = words("running").indexOf(one);
    for (const [k, one] of Object.entries(edit.man)) man[k] = one;
    for (const [k, one] of Object.entries(edit.role)) role[k] = words("role").indexOf(one);
    return out;
  }

  function fill(edit) {
    const table = men(edit);
    core.fill("men", table);
    for (const name of ["frame", "rules", "drop"]) core.fill(name, name === "drop" ? drop : given[name] ?? {});
    return table;
  }
  const drop = { ...given.drop };

  /** Everything that is shown of a state. */
  function measure(edit) {
    const table = fill(edit);
    core.call("se_measure");
    const [frame] = core.read("frames"), edges = {}, rushers = {}, stands = {}, even = {};
    for (const row of core.read("edges")) edges[row.side] = row;
    for (const row of core.read("rushers")) rushers[row.rusher] = row;
    for (const row of core.read("stands")) stands[row.rusher] = row;
    for (const row of core.read("break_even")) even[row.rusher] = row;
    const [u, v] = [core.column("points", "u"), core.column("points", "v")], lines = core.read("lines");
    for (const line of lines) line.at = Array.from({ length: line.points }, (_, k) => [u[line.first + k], v[line.first + k]]);
    return { frame, edges, rushers, stands, even, lines, men: table };
  }

  /** The same with the passer at every depth. */
  function sweep(edit) {
    fill(edit);
    core.call("se_sweep");
    return core.read("sweep");
  }

  /** The tables a simulation is asked with. */
  function plan(edit, { draws, thrown, depth }) {
    const table = men(edit), at = [table.u[passer], table.v[passer]];
    const stays = start.kind === "recorded" && !start.snap; // who has dropped already stands where he is
    const here = start.kind === "recorded" ? { passer_u: [at[0]], passer_v: [at[1]] } : {};
    const to = stays ? at[1] : Math.max(depth, (here.passer_v ?? given.plan.passer_v)[0]);
    return {
      men: table, frame: given.frame, rules: given.rules ?? {}, paths: given.paths ?? {}, assumptions: given.assumptions ?? {},
      plan: { ...given.plan, ...here, depth: [to], throw_time: [thrown], draws: [draws] },
    };
  }

  return { measure, sweep, plan, roles, passer, drop, men, word, words };
};

/** Undo and redo. Steps of one kind that follow closely are one. */
const historyOf = () => {
  let steps = [empty()], at = 0, kind = "", when = 0;
  return {
    get now() { return steps[at]; },
    get back() { return at > 0; },
    get on() { return at < steps.length - 1; },
    /** `of`: what kind of step; the same kind within a second is one step, as a run of keys; "" always a new one. */
    put(edit, of) {
      if (same(edit, steps[at])) return;
      const joins = of && of === kind && Date.now() - when < 1000 && at > 0;
      steps = [...steps.slice(0, joins ? at : at + 1), copied(edit)];
      at = steps.length - 1;
      kind = of;
      when = Date.now();
    },
    move(by) { at = Math.max(0, Math.min(steps.length - 1, at + by)); kind = ""; },
    begin(edit) { steps = [edit]; at = 0; kind = ""; },
  };
};
