// What somebody who saw the film marks: kept in the page's own storage, by game, and written out as a table.
const QUOTE = String.fromCharCode(34);
const MARKS = ["outcome", "beat_time", "given_to", "helped", "note"];
const marked = (() => {
  const memory = new Map(), name = (digest) => `shortedge marks ${digest}`;
  const box = () => {
    try {
      return localStorage;
    } catch {
      return null;
    }
  };
  /** The marks of a game: { key: { outcome, beat_time, given_to, helped, note, game } }. */
  const all = (digest) => {
    try {
      return JSON.parse(box()?.getItem(name(digest)) ?? "{}");
    } catch {
      return memory.get(digest) ?? {};
    }
  };
  const keyOf = (play, protector, rusher) => JSON.stringify([play, protector ?? "", rusher ?? ""]);
  /** Keeps a mark; one that says nothing is taken away. Whether the page could keep it beyond this visit. */
  const keep = (digest, key, mark) => {
    const kept = all(digest);
    if (mark === null) delete kept[key];
    else kept[key] = mark;
    memory.set(digest, kept);
    let stays = true;
    try {
      localStorage.setItem(name(digest), JSON.stringify(kept));
    } catch {
      stays = false;
    }
    document.dispatchEvent(new CustomEvent("se-marked"));
    return stays;
  };
  /** Every mark of these games (digest: name) as the table of corrections, with those laid over before the page was made:
      [digest, play, protector, rusher, outcome, beat_time, given_to, helped, note], of which a new one takes the place. */
  const table = (games, before) => {
    const rows = new Map(before.map(([digest, play, protector, rusher, ...says]) => [digest + keyOf(play, protector, rusher), [games[digest], play, protector, rusher, ...says]]));
    for (const digest of Object.keys(games)) {
      for (const [key, mark] of Object.entries(all(digest))) rows.set(digest + key, [games[digest], ...JSON.parse(key), ...MARKS.map((name) => mark[name])]);
    }
    const cell = (value) => { // what a spreadsheet would run gets an apostrophe before it
      const text = String(value ?? "").replace(/^[=+@-]/, "'$&");
      return [QUOTE, ",", "\n", "\r"].some((one) => text.includes(one)) ? QUOTE + text.replaceAll(QUOTE, QUOTE + QUOTE) + QUOTE : text;
    };
    return [["game", "play", "protector", "rusher", ...MARKS], ...rows.values()].map((row) => row.map(cell).join(",") + "\n").join("");
  };
  const write = (games, before) => {
    const file = html("a", { href: `data:text/csv;charset=utf-8,${encodeURIComponent(table(games, before))}`, download: "marks.csv" });
    file.click();
  };
  globalThis.seMarked = { all, keyOf, write };
  return { all, keep, keyOf, write };
})();

/** The form of the rep that is shown. */
const formOf = (now, { seek }) => {
  const { data, men } = now, form = html("form", { class: "se-mine" });
  const field = (title, input) => html("label", {}, html("span", {}, title), put(input, { "aria-label": title }));
  const select = (options) => html("select", {}, ...options.map(([value, text]) => html("option", { value }, text)));
  const outcome = select([["", "as measured"], ["held", "held"], ["beat", "lost"], ["driven", "walked back"], ["help", "helped"], ["none", "no rep"]]);
  const beat = html("input", { type: "number", min: 0, step: 0.01, inputmode: "decimal" });
  const here = html("button", { type: "button" }, "this moment");
  const whose = select([["", "his, as measured"], ...men.filter((man) => man.mark === "O" && man.role !== "passer")
    .map((man) => [man.id, man.name === man.called ? man.name : `${man.name} ${man.called}`])]);
  const helped = select([["", "as measured"], ["yes", "yes"], ["no", "no"]]);
  const note = html("input", { type: "text", maxlength: 300 });
  const clear = html("button", { type: "button" }, "remove the mark");
  const out = html("button", { type: "button" }, "save my marks as a file"), state = html("p", { class: "se-state", role: "status" });
  const inputs = { outcome, beat_time: beat, given_to: whose, helped, note };
  form.append(html("strong", {}, "Your mark"), field("how it ended", outcome), field("lost at, s", beat), here,
    field("whose man", whose), field("help", helped), field("note", note), clear, out, state);
  form.addEventListener("submit", (event) => event.preventDefault());
  const keyOfRep = (rep) => marked.keyOf(data.play, rep.mark?.of ?? men[rep.protector]?.id, men[rep.rusher]?.id), key = () => keyOfRep(now.rep);
  const pair = () => !isNone(now.rep.protector) && !isNone(now.rep.rusher);

  function show() {
    form.hidden = !now.rep;
    if (!now.rep) return;
    const kept = marked.all(data.digest)[key()], given = kept ?? now.rep.mark ?? {};
    for (const name of MARKS) inputs[name].value = given[name] ?? "";
    for (const option of outcome.options) option.hidden = option.disabled = !pair() && !["", "none"].includes(option.value);
    const own = now.rep.mark?.of ?? men[now.rep.protector]?.id; // it is his as it is
    for (const option of whose.options) option.hidden = option.value === own && option.value !== given.given_to;
    whose.disabled = helped.disabled = !pair();
    told(true);
  }
  function told(stays) {
    beat.disabled = here.disabled = outcome.value !== "beat" && !(outcome.value === "" && now.rep.outcome === "beat");
    state.textContent = !stays ? "This page may keep nothing here: save your marks as a file before you close it."
      : marked.all(data.digest)[key()] ? "Marked; kept in this browser until you remove it." : now.rep.mark ? "Marked before this page was made." : "";
  }
  function keep() {
    const mark = Object.fromEntries(MARKS.map((name) => [name, inputs[name].value.trim()]).filter(([, value]) => value));
    if (mark.beat_time && !mark.outcome) mark.outcome = "beat";
    if (mark.outcome !== "beat") delete mark.beat_time;
    const says = Object.keys(mark).length > 0;
    told(marked.keep(data.digest, key(), says || now.rep.mark ? { ...mark, game: data.game, measured: now.rep.outcome } : null));
  }
  for (const one of Object.values(inputs)) one.addEventListener("change", keep);
  here.addEventListener("click", () => {
    outcome.value = "beat";
    beat.disabled = false;
    beat.value = now.time[now.k].toFixed(2);
    keep();
  });
  out.addEventListener("click", () => marked.write({ [data.digest]: data.game }, now.reps.filter((rep) => rep.mark).map((rep) =>
    [data.digest, ...JSON.parse(keyOfRep(rep)), ...MARKS.map((name) => rep.mark[name])])));
  clear.addEventListener("click", () => {
    marked.keep(data.digest, key(), null);
    show();
  });
  return { form, show };
};
