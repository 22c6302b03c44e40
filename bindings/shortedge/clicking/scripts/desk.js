// What is being clicked, and what the keys do.
const desk = {
  hello: null, state: null, picture: null, play: "", angle: "", number: 0, target: null, picked: null, toFollow: "", opened: false, last: null, hidden: false, waist: false, ball: false,
  names: false, playing: 0, waiting: 0, said: "", finished: false,
  called(player) {
    const man = desk.state?.men.find((one) => one.player === player);
    return man ? (man.position === player ? player : `${man.position} ${player}`) : player;
  },
  render() { drawFilm(); tell(); list(); strip(); drawMap(); },
};

function tell() {
  const now = desk.picture, target = desk.target;
  let text = desk.said;
  if (!text && !desk.play) text = "No play yet: find the first snap with , and . (space plays) and press n.";
  else if (!text && !now) text = "Loading the picture.";
  else if (!text && !snapHere()) text = "Find the snap of this play with , and . and press s.";
  else if (!text && desk.ball) text = "Click the ball, before the snap.";
  else if (!text && between() && !target) text = `A picture between those to click in: nothing is asked for here. ] goes to the next one.${now.men.length ? "" : " To click here all the same, choose a man in the list, or press m and name a mark."}`;
  else if (!text && now.followed?.waiting) text = "Men are being followed to this picture: a moment.";
  else if (!text && now.followed?.going && now.next.what === "mark" && !now.marks.length && desk.target === desk.picked) text = `The camera is being followed from the picture before (${Math.round(100 * now.followed.share)} %): a moment, or click marks.`;
  else if (!text && now.followed?.going && now.next.what === "picture" && desk.number === here()?.keys.at(-1)) text = `Men are being followed between the pictures (${Math.round(100 * now.followed.share)} %): a moment.`;
  else if (!text && now.next.what === "followed" && !target) text = `Click beside each man who is not in his dashed ring: he moves there. Enter takes the rest (${now.guessed.filter((one) => one.followed).length}) and goes on.${now.camera ? "" : " The dashed crosses must lie on the field's marks; if not, press m and click some."}`;
  else if (!text && now.next.what === "camera" && !target) text = "The camera was followed to this picture: Enter takes it if the dashed crosses lie on the field's marks; else press m and click a mark.";
  else if (!text && target?.name) text = `Click the mark: ${target.name}${offeredNow(target.name) ? " (Enter takes the dashed place)" : " (the map shows it; Tab asks for another, m lets you name one)"}${now.camera ? "" : now.place_known ? `; ${now.wanted} more serve` : `; up to ${now.wanted} more to find the camera`}`;
  else if (!text && target?.player) text = `Click the feet of ${desk.called(target.player)}${desk.waist ? ", at his waist" : ""}${desk.hidden ? ", hidden: a guess" : ""}${guessedNow(target.player) ? " (Enter takes the dashed place)" : ""}${ballMissing() ? "; or the ball: press b, then click it" : ""}`;
  else if (!text && now.next.what === "mark") text = "Say which mark you click: choose it on the map, or press m and type its name.";
  else if (!text && !desk.state?.men.length) text = "The camera of this picture is known. Say who is on the field (Men).";
  else if (!text && now.followed?.men && desk.number === here()?.keys.at(-1)) text = `Men were followed between the clicks to ${now.followed.men} places, drawn dashed in those pictures: Enter takes them.${now.followed.changed ? ` Left out: ${now.followed.changed} whose clicks were changed since; f follows them anew.` : ""}`;
  else if (!text) text = "This picture is done: Enter or ] goes to the next one; a click beside a man moves him there.";
  by("task").textContent = text;
}
const between = () => !!desk.picture?.between;
const ballMissing = () => desk.picture.time <= (here()?.events.snap ?? -1) && !desk.state.plays.find((one) => one.play === desk.play).ball;
const snapHere = () => here()?.events.snap !== undefined;
const here = () => desk.state?.plays.find((one) => one.play === desk.play)?.angles[desk.angle];
const offeredNow = (name) => desk.picture?.offered.find((one) => one.name === name);
const guessedNow = (player) => desk.picture?.guessed.find((one) => one.player === player);

function pick() {
  const next = between() ? { what: "picture" } : desk.picture.next;
  const nameless = next.what === "mark" && !desk.picture.offered.length;  // the map helps; it is put away when it no longer does
  if (nameless || desk.opened) by("markbox").open = nameless;
  desk.opened = nameless;
  desk.target = desk.picked = next.what === "mark" ? (next.name ? { name: next.name } : null) : next.what === "man" ? { player: next.player } : null;
}

let turn = 0;
async function show(number, keep = false) {
  if (!desk.play) return;
  const mine = ++turn;
  const stamps = desk.hello.films[desk.angle]?.stamps;
  desk.number = Math.max(0, stamps ? Math.min(number, stamps.length - 1) : number);
  const asked = { play: desk.play, angle: desk.angle, number: desk.number };
  try {
    const [image, picture] = await Promise.all([frameOf(desk.play, desk.angle, desk.number), ask("/picture", asked)]);
    if (mine !== turn) return image.close();
    film.image?.close();
    film.image = image;
    film.size = desk.hello.angles[desk.angle];
    desk.picture = picture;
    if (!keep) pick();
    desk.render();
    look();
    untilFollowed(mine);
  } catch (why) { if (mine === turn) say(why.message); }
}
function untilFollowed(mine) {  // men are followed to a picture while he looks at it
  if (desk.picture.followed?.waiting) setTimeout(() => mine === turn && again(true), 250);
}
let asks = 0, answered = 0;
async function again(keep) {
  const mine = turn, wanted = desk.target, nth = ++asks, was = desk.picture.next.what;
  const picture = await ask("/picture", { play: desk.play, angle: desk.angle, number: desk.number });
  if (mine !== turn) return;
  if (nth > answered) [answered, desk.picture] = [nth, picture];  // an older answer may come late
  // What he chose himself is kept; what the page chose, too, until it wants something of another kind.
  if (desk.target === wanted && (!keep || (desk.target === desk.picked && desk.picture.next.what !== was))) pick();
  desk.render();
  untilFollowed(mine);
}
async function look() {
  if (!desk.play || !desk.picture) return;
  drawAbove(await ask("/above", { play: desk.play, time: desk.picture.time, angle: desk.angle }));
}
function say(text) {
  desk.said = text;
  tell();
  clearTimeout(desk.waiting);
  desk.waiting = setTimeout(() => { desk.said = ""; tell(); }, 5000);
}

async function act(said, keep = false) {
  try {
    const done = await ask("/do", said);
    desk.last = ["mark", "foot", "ball"].includes(said.do) ? { ...said, n: done.n } : null;
    desk.said = "";
    const before = desk.picture.next.what, men = said.do === "foot" && (before === "man" || before === "followed");
    await again(keep);
    refresh();
    if (men && !keep) goOn();
    return done.n;
  } catch (why) { say(why.message); }
}
function goOn() {  // a picture whose men are all there is left by itself; after the first the camera is followed, after the last the men
  if (desk.picture.next.what !== "picture") return;
  const keys = here()?.keys || [];
  const followed = desk.picture.followed, last = !keys.some((one) => one > desk.number);
  if (desk.hello.follows && (last ? !followed?.going && !followed?.men : !followed)) desk.toFollow = desk.play + desk.angle;
  if (!last) keyPicture(1);
}
const where = () => ({ play: desk.play, angle: desk.angle, time: desk.picture.time });
async function put(x, y) {
  if (!desk.picture) return;
  const at = { ...where(), x: Math.round(x * 100) / 100, y: Math.round(y * 100) / 100 };
  if (desk.ball) {
    desk.ball = false;
    pressed();
    return act({ do: "ball", ...at });
  }
  if (desk.target?.name) return act({ do: "mark", ...at, name: markNear(at.x, at.y) });
  if (desk.target?.player) {
    const said = { do: "foot", ...at, player: desk.target.player, at: desk.waist ? "waist" : "between" };
    if (desk.hidden) said.hidden = true;
    desk.hidden = desk.waist = false;
    pressed();
    return act(said);
  }
  if (between()) return say("Nothing is asked for in this picture: choose a man in the list, or press m and name a mark, to click here all the same.");
  const beside = manNear(at.x, at.y);
  if (beside) {
    if (await act({ do: "foot", ...at, player: beside.player, at: "between" }, desk.picture.next.what === "picture")) say(`${desk.called(beside.player)} is moved; z puts him back.`);
    return;
  }
  if (desk.picture.next.what === "followed") return say("No man's ring is near there: press Tab until he is asked for, or choose his name, then click him.");
  if (desk.picture.next.what === "mark") { by("markbox").open = true; by("mark").focus(); say("Which mark is that? Choose it on the map or type its name, then click it."); }
}
function markNear(x, y) {  // the mark asked for; or, if he did not ask for it himself, another whose dashed cross he clicks at
  const offered = desk.picture.offered, apart = (one) => Math.hypot(one.x - x, one.y - y);
  if (desk.target !== desk.picked || !offered.length) return desk.target.name;
  const nearest = offered.reduce((best, one) => (apart(one) < apart(best) ? one : best));
  return apart(nearest) < (15 * film.size[1]) / 720 ? nearest.name : desk.target.name;  // crosses may be drawn far off
}
function manNear(x, y) {  // who is moved by a click: the nearest of those who are drawn where they are thought to be
  const reach = (60 * film.size[1]) / 720, now = desk.picture;
  if (desk.target || desk.ball || !["followed", "picture"].includes(now?.next.what)) return null;
  const apart = (man) => Math.hypot(man.x - x, man.y - y);
  return [...now.men, ...now.guessed.filter((one) => one.followed)].filter((man) => apart(man) < reach).sort((a, b) => apart(a) - apart(b))[0];
}
async function enter(all) {
  const now = desk.picture;
  if (!now) return;
  if (between() && !desk.target) return key("]");
  if (now.followed?.waiting && !desk.target) return say("Men are still being followed to this picture: a moment.");
  if (now.next.what === "followed" && (all || !desk.target)) return accept("/accept-guessed", { number: desk.number }, true);
  if (!all && !desk.target && now.next.what === "camera") return accept("/accept-camera", { number: desk.number });
  if (!all && !desk.target && now.next.what === "picture" && now.followed?.men && desk.number === here()?.keys.at(-1)) return accept("/accept-men", {});
  if (!all) {
    const one = desk.target?.name ? offeredNow(desk.target.name) : desk.target?.player ? guessedNow(desk.target.player) : null;
    if (one) return put(one.x, one.y);
    if (now.next.what === "picture") return key("]");
    return say("Nothing is drawn for that yet: click it.");
  }
  const marks = desk.target?.name !== undefined || now.next.what === "mark";
  for (const one of marks ? now.offered.slice(0, now.wanted) : now.guessed) {
    desk.target = marks ? { name: one.name } : { player: one.player };
    await put(one.x, one.y);
  }
}
async function accept(what, more, on = false) {
  try {
    const done = await ask(what, { play: desk.play, angle: desk.angle, ...more });
    if (done.men) say(`${done.men} places of men between the clicks are taken.`);
    await again();
    refresh();
    if (on) goOn();
  } catch (why) { say(why.message); }
}
function step(by_) {
  const now = desk.picture;
  if (!now) return;
  const marking = desk.target?.name !== undefined || (!desk.target && now.next.what === "mark");
  const names = marking ? [...now.offered.map((one) => one.name), ...now.likely] : desk.state.men.map((one) => one.player);
  if (!names.length) return;
  const at = names.indexOf(marking ? desk.target?.name : desk.target?.player);
  const next = names[(at + by_ + names.length) % names.length];
  desk.target = marking ? { name: next } : { player: next };
  desk.render();
}
function keyPicture(by_) {
  const keys = here()?.keys || [];
  const next = by_ > 0 ? keys.find((one) => one > desk.number) : keys.findLast((one) => one < desk.number);
  if (next !== undefined) return show(next);
  say(by_ > 0 ? "That was the last picture of this play." : "That is the first picture of this play.");
}
function pressed() {
  for (const [name, on] of [["h", desk.hidden], ["w", desk.waist], ["b", desk.ball]]) document.querySelector(`#tools [data-key="${name}"]`).setAttribute("aria-pressed", on);
}

function key(name, shift = false) {
  const event = { s: "snap", t: "throw", e: "end" }[name];
  if (name === "?") return by("help").showModal();
  if (name === "n") return newPlay();
  if (!desk.picture) return;
  if (event) return act({ do: "event", what: event, ...where() });
  const does = {
    "[": () => keyPicture(-1), "]": () => keyPicture(1), ",": () => show(desk.number - 1), ".": () => show(desk.number + 1),
    b: () => { desk.ball = !desk.ball; pressed(); tell(); }, h: () => { desk.hidden = !desk.hidden; pressed(); tell(); }, w: () => { desk.waist = !desk.waist; pressed(); tell(); },
    x: () => desk.last && act({ do: "strike", act: desk.last.n }), z: () => act({ do: "undo" }), y: () => act({ do: "redo" }),
    "+": () => zoomBy(1.5), "=": () => zoomBy(1.5), "-": () => zoomBy(1 / 1.5), m: () => { by("markbox").open = true; by("mark").focus(); }, g: () => { desk.names = !desk.names; drawFilm(); }, " ": playStop,
    o: () => desk.target?.player && act({ do: "note", play: desk.play, text: `not in play: ${desk.target.player}` }),
    Enter: () => enter(shift), f: follow,
  };
  does[name]?.();
}
function playStop() {
  if (desk.playing) { clearInterval(desk.playing); desk.playing = 0; return; }
  let busy = false;
  desk.playing = setInterval(async () => {
    if (busy) return;
    busy = true;
    await show(desk.number + 1);
    busy = false;
  }, 33);
}
async function follow() {
  if (!desk.hello.follows) return say("Following needs the extra for films (pip install 'shortedge[film]'); without it the page works with more clicks.");
  try {
    await ask("/follow", { play: desk.play, angle: desk.angle });
    await again(true);
  } catch (why) { say(why.message); }
}

function renew(box, rows) {  // a row that says the same stays: one pressed while the page asks again is not lost
  rows.forEach((row, k) => {
    const old = box.children[k];
    if (!old) box.append(row);
    else if (old.outerHTML !== row.outerHTML) old.replaceWith(row);
  });
  while (box.children.length > rows.length) box.lastElementChild.remove();
}
function list() {
  const now = desk.picture;
  if (!now) return;
  const there = new Map(now.men.map((one) => [one.player, one]));
  const rows = now.marks.map((one) => make("li", { class: "here" }, `${one.name}${one.wrong ? ", looks wrong" : ""}`));
  for (const man of desk.state?.men || []) {
    const wanted = desk.target?.player === man.player;
    rows.push(make("li", { class: wanted ? "now" : there.has(man.player) ? "here" : null },
      make("button", { type: "button", onclick: () => { desk.target = { player: man.player }; desk.render(); by("film").focus(); } }, desk.called(man.player)),
      there.has(man.player) ? (there.get(man.player).hidden ? " clicked, hidden" : " clicked") : guessedNow(man.player) ? " drawn dashed" : ""));
  }
  renew(by("list"), rows);
  const doubts = (desk.state?.doubts || []).filter((one) => one.play === null || one.play === desk.play);
  renew(by("doubts"), doubts.length ? doubts.map((one) => {
    const goes = one.time !== null && desk.hello.films[one.angle];
    const said = `${one.angle && one.angle !== desk.angle ? one.angle + ": " : ""}${one.says}`;
    return make("li", {}, said, goes ? make("button", { type: "button", title: `${one.angle}, ${one.time.toFixed(2)} s`, onclick: () => goTo(one) }, "go there") : "");
  }) : [make("li", { class: "quiet" }, "none")]);
}
function goTo(doubt) {
  desk.angle = doubt.angle;
  const stamps = desk.hello.films[doubt.angle].stamps;
  show(stamps.reduce((best, stamp, k) => (Math.abs(stamp - doubt.time) < Math.abs(stamps[best] - doubt.time) ? k : best), 0));
}
function strip() {
  const play = here(), keys = play?.keys || [];
  renew(by("strip"), keys.map((number, k) => make("button", { type: "button", "aria-current": String(number === desk.number), title: `picture ${number}`, onclick: () => show(number) }, String(k + 1))));
  const events = Object.entries(play?.events || {}).map(([what, time]) => `${what} ${time.toFixed(2)}`);
  const now = desk.picture;
  by("progress").textContent = [
    now ? `picture ${desk.number} of ${now.last}, ${now.time.toFixed(2)} s` : "", ...events, play ? `${Math.round(100 * play.done)} % of this play` : "",
    now?.followed ? (now.followed.going ? `following, ${Math.round(100 * now.followed.share)} %` : now.followed.says || `followed${now.followed.lost ? `, lost in ${now.followed.lost} pictures` : ""}`) : "",
    now?.camera ? `camera ${now.camera.sd.toFixed(2)} yd` : "", desk.state?.busy ? "working it out" : "", notReady(),
  ].filter(Boolean).join(" · ");
}

function notReady() {
  const share = desk.state?.ready?.[desk.angle] ?? 1;
  return share < 0.995 ? `${Math.floor(100 * share)} % of the film's pictures are ready: elsewhere one may take a second` : "";
}

let refreshing = false;
async function refresh() {
  if (refreshing || desk.finished) return;
  refreshing = true;
  try {
    const before = desk.state;
    desk.state = await ask("/state", { play: desk.play });
    const fresh = !before || before.version !== desk.state.version || !!before.pocket !== !!desk.state.pocket;
    plays();
    if (desk.toFollow && !desk.state.busy) {
      const wanted = desk.toFollow === desk.play + desk.angle;
      desk.toFollow = "";
      if (wanted) await follow();
    }
    if ((fresh || desk.picture?.followed?.going) && desk.picture) { await again(!!desk.target); await look(); }
    else { list(); strip(); tell(); }
  } catch (why) { say(why.message); }
  refreshing = false;
}
function plays() {
  const names = desk.state.plays.map((one) => one.play);
  const chosen = by("play");
  if (chosen.dataset.names !== JSON.stringify(names)) {
    chosen.replaceChildren(...names.map((name) => make("option", { value: name }, name)));
    chosen.dataset.names = JSON.stringify(names);
  }
  chosen.value = desk.play;
  const angles = Object.keys(desk.state.plays.find((one) => one.play === desk.play)?.angles || desk.hello.films);
  renew(by("angles"), angles.map((name) => make("button", { type: "button", "aria-pressed": String(name === desk.angle), onclick: () => turnTo(desk.play, name) }, name)));
}
function turnTo(play, angle) {
  desk.play = play;
  const of = desk.state.plays.find((one) => one.play === play)?.angles || {};
  desk.angle = of[angle] ? angle : Object.keys(of)[0] || Object.keys(desk.hello.films)[0];
  const keys = of[desk.angle]?.keys || [];
  plays();
  if (keys.length) ask("/fetch", { play, angle: desk.angle, first: keys[0], last: keys[keys.length - 1] }).catch(() => {});
  show(keys.length ? keys[0] : desk.number);
  refresh();
}
function newPlay() {
  by("new-name").value = String(desk.state.plays.length + 1);
  by("play-new").showModal();
}
async function makePlay() {
  const name = by("new-name").value.trim(), film_ = desk.hello.films[desk.angle || Object.keys(desk.hello.films)[0]];
  if (!name || !film_) return;
  desk.play = name;
  desk.angle = desk.angle || Object.keys(desk.hello.films)[0];
  try {
    await ask("/do", { do: "event", play: name, what: "snap", angle: desk.angle, time: film_.stamps[desk.number] });
    await refresh();
    turnTo(name, desk.angle);
  } catch (why) { say(why.message); }
}
async function saveMen() {
  for (const line of by("men-text").value.split("\n").map((one) => one.trim()).filter(Boolean)) {
    const [player, unit, position] = line.split(/[,;\t]/).map((one) => one.trim());
    const known = desk.state.men.find((man) => man.player === player);
    if (known && known.unit === unit && known.position === position) continue;
    try {
      if (!player || !unit || !position) throw new Error(`"${line}": id, unit and position are wanted`);
      await ask("/do", { do: "person", player, unit, position });
    } catch (why) { say(why.message); return; }
  }
  await refresh();
  if (desk.picture) again();
}

async function start(take = false) {
  watchFilm();
  desk.hello = await ask("/hello", { take });
  if (!desk.hello.yours) return cover("This trace is open in another tab.", true);
  by("trace").textContent = desk.hello.trace;
  document.title = desk.hello.trace;
  by("marks").replaceChildren(...desk.hello.marks.map((one) => make("option", { value: one.name })));
  desk.angle = Object.keys(desk.hello.films)[0] || Object.keys(desk.hello.angles)[0];
  desk.state = await ask("/state", { play: "" });
  drawMap();
  drawAbove(null);
  const first = desk.state.plays.find((one) => Object.values(one.angles).some((angle) => angle.done < 1)) || desk.state.plays[0];
  if (first) turnTo(first.play, desk.angle);
  else await browse(0);
  setInterval(refresh, 900);
}
async function browse(number) {  // the film before there is a play
  const stamps = desk.hello.films[desk.angle]?.stamps;
  if (!stamps) return tell();
  desk.number = Math.max(0, Math.min(number, stamps.length - 1));
  film.size = desk.hello.angles[desk.angle];
  try { film.image = await frameOf("", desk.angle, desk.number); } catch (why) { return say(why.message); }
  plays();
  by("progress").textContent = `picture ${desk.number} of ${stamps.length - 1}, ${stamps[desk.number].toFixed(2)} s`;
  drawFilm();
  tell();
}

// A click is taken when the one before it is answered, so that it is of the man who is asked for then; a double click is one.
let clicks = Promise.resolve(), clicked = { when: -Infinity, x: 0, y: 0 };
film.onclick = (x, y) => {
  const when = performance.now(), number = desk.number;
  const twice = when - clicked.when < 350 && Math.hypot(x - clicked.x, y - clicked.y) * scaleOf() < 6;
  clicked = { when, x, y };
  if (!twice) clicks = clicks.then(() => (desk.number === number ? put(x, y) : say("The picture changed before that click was taken: click again."))).catch((why) => say(why.message));
};
addEventListener("keydown", (event) => {
  const typing = event.target.closest("input, textarea, select, dialog");
  if (typing || event.altKey) return;
  if ((event.ctrlKey || event.metaKey) && !["z", "y"].includes(event.key)) return;
  const onButton = event.target.closest("button");
  if (onButton && ["Enter", " ", "Tab"].includes(event.key)) return;
  if (event.repeat && event.key === "Enter") return;  // a key held down takes nothing that was not looked at
  const nudge = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  if (nudge && desk.last) {
    const by_ = event.shiftKey ? 5 : 0.5;
    clicks = clicks.then(() => {
      const { n, ...said } = desk.last;
      return act({ ...said, x: said.x + nudge[0] * by_, y: said.y + nudge[1] * by_ }, true);
    }).catch((why) => say(why.message));
  } else if (event.key === "Tab" && event.target === film.canvas && desk.picture && desk.picture.next.what !== "picture") step(event.shiftKey ? -1 : 1);
  else if (!desk.play && [",", ".", " ", "[", "]"].includes(event.key)) browse(desk.number + { ",": -1, ".": 1, " ": 10, "[": -30, "]": 30 }[event.key]);
  else if (event.key.length === 1 || event.key === "Enter") key(event.key, event.shiftKey);
  else return;
  event.preventDefault();
});
by("tools").addEventListener("click", (event) => { const name = event.target.closest("[data-key]")?.dataset.key; if (name) (desk.play ? key(name) : browse(desk.number + ({ ",": -1, ".": 1 }[name] || 0))); });
by("play").addEventListener("change", () => turnTo(by("play").value, desk.angle));
by("mark").addEventListener("change", () => {
  const name = by("mark").value;
  if (!desk.hello.marks.some((one) => one.name === name)) return;
  desk.target = { name };
  by("mark").value = "";
  by("film").focus();
  desk.render();
});
by("new").addEventListener("click", newPlay);
by("play-new").addEventListener("close", () => { if (by("play-new").returnValue === "save") makePlay(); by("film").focus(); });
by("men-open").addEventListener("click", () => {
  by("men-text").value = desk.state.men.map((man) => `${man.player}, ${man.unit}, ${man.position}`).join("\n");
  by("men").showModal();
});
by("men-eleven").addEventListener("click", () => {
  by("men-text").value = [...["LT", "LG", "C", "RG", "RT", "QB"].map((one) => `${one}, offense, ${one}`), ...["R1", "R2", "R3", "R4", "R5"].map((one) => `${one}, defense, rusher`)].join("\n");
});
by("men").addEventListener("close", () => { if (by("men").returnValue === "save") saveMen(); by("film").focus(); });
by("help-open").addEventListener("click", () => by("help").showModal());
by("take").addEventListener("click", async () => { by("cover").hidden = true; if (!desk.hello || !desk.state) await start(true); else { await ask("/hello", { take: true }); refresh(); } });
by("stop").addEventListener("click", async () => { await ask("/stop"); desk.finished = true; cover("The trace is closed. Measure it with: shortedge measure " + desk.hello.trace + " -o pocket.h5", false); });
start().catch((why) => say(why.message));
