// The picture on the canvas, what is drawn over it, the magnifier, and clicks on it. Pixels are those of the film.
const film = {
  canvas: null, image: null, size: [1280, 720], zoom: 1, at: [0, 0], pointer: null, drag: null, touches: new Map(),
  onclick: () => {},
};
const RED = "#ff5a36", WHITE = "#ffffff", DARK = "#101418", GOLD = "#ffd34d";

function scaleOf() {
  return (film.canvas.width / film.size[0]) * film.zoom;
}
function toCanvas(x, y) {
  const s = scaleOf();
  return [(x - film.at[0]) * s, (y - film.at[1]) * s];
}
function toFilm(event) {
  const box = film.canvas.getBoundingClientRect(), s = scaleOf(), dense = film.canvas.width / box.width;
  return [((event.clientX - box.left) * dense) / s + film.at[0], ((event.clientY - box.top) * dense) / s + film.at[1]];
}
function clampView() {
  const shown = [film.size[0] / film.zoom, film.size[1] / film.zoom];
  film.at = film.at.map((value, k) => Math.min(Math.max(value, 0), film.size[k] - shown[k]));
}
function zoomBy(factor, around) {
  const [x, y] = around || film.pointer || [film.size[0] / 2, film.size[1] / 2];
  const before = film.zoom;
  film.zoom = Math.min(Math.max(film.zoom * factor, 1), 8);
  film.at = [x - ((x - film.at[0]) * before) / film.zoom, y - ((y - film.at[1]) * before) / film.zoom];
  clampView();
  drawFilm();
}

function cross(pen, x, y, colour, dashed, size = 9) {
  const [cx, cy] = toCanvas(x, y);
  pen.setLineDash(dashed ? [4, 3] : []);
  for (const [line, width] of [[DARK, 4], [colour, 1.8]]) {
    pen.strokeStyle = line;
    pen.lineWidth = width;
    pen.beginPath();
    pen.moveTo(cx - size, cy); pen.lineTo(cx - 2.5, cy); pen.moveTo(cx + 2.5, cy); pen.lineTo(cx + size, cy);
    pen.moveTo(cx, cy - size); pen.lineTo(cx, cy - 2.5); pen.moveTo(cx, cy + 2.5); pen.lineTo(cx, cy + size);
    pen.stroke();
  }
  pen.setLineDash([]);
}
function ring(pen, x, y, colour, dashed, radius = 8) {
  const [cx, cy] = toCanvas(x, y);
  pen.setLineDash(dashed ? [4, 3] : []);
  for (const [line, width] of [[DARK, 4], [colour, 2]]) {
    pen.strokeStyle = line;
    pen.lineWidth = width;
    pen.beginPath();
    pen.ellipse(cx, cy, radius, radius * 0.5, 0, 0, 2 * Math.PI);
    pen.stroke();
  }
  pen.setLineDash([]);
}
function write(pen, text, x, y, colour) {
  const [cx, cy] = toCanvas(x, y);
  pen.font = `${Math.round(12 * (film.canvas.width / film.canvas.clientWidth || 1))}px "DejaVu Sans", sans-serif`;
  pen.lineWidth = 3;
  pen.strokeStyle = DARK;
  pen.strokeText(text, cx + 10, cy + 4);
  pen.fillStyle = colour;
  pen.fillText(text, cx + 10, cy + 4);
}

function drawFilm() {
  const canvas = film.canvas, pen = canvas.getContext("2d");
  const wide = Math.max(Math.round(canvas.clientWidth * devicePixelRatio), 320), tall = Math.round((wide * film.size[1]) / film.size[0]);
  if (canvas.width !== wide || canvas.height !== tall) { canvas.width = wide; canvas.height = tall; }
  pen.fillStyle = DARK;
  pen.fillRect(0, 0, wide, tall);
  if (film.image) {
    const shown = [film.size[0] / film.zoom, film.size[1] / film.zoom];
    pen.imageSmoothingEnabled = film.zoom < 3;
    pen.drawImage(film.image, ...film.at, ...shown, 0, 0, wide, tall);
  }
  drawOver(pen);
  if (film.pointer && film.image && !film.drag) magnify(pen);
}

function drawOver(pen) {
  const now = desk.picture;
  if (!now) return;
  for (const one of now.offered) cross(pen, one.x, one.y, one.name === desk.target?.name ? GOLD : WHITE, true);
  for (const one of now.marks) {
    cross(pen, one.x, one.y, one.wrong ? RED : GOLD, false);
    if (one.wrong) write(pen, "looks wrong", one.x, one.y, RED);
  }
  for (const one of now.ball) ring(pen, one.x, one.y, "#e0a070", false, 6);
  const beside = film.pointer && manNear(...film.pointer)?.player;  // whom a click here moves
  for (const one of now.guessed) {
    const wanted = one.player === desk.target?.player || one.player === beside;
    if (now.next.what === "followed" && !one.followed && !wanted) continue;  // asked for by name later
    ring(pen, one.x, one.y, wanted ? GOLD : WHITE, true);
    if (wanted || desk.names) write(pen, desk.called(one.player), one.x, one.y, wanted ? GOLD : WHITE);
  }
  for (const one of now.followed?.seen || []) ring(pen, one.x, one.y, "#7fe08a", true);
  for (const one of now.men) {
    ring(pen, one.x, one.y, one.player === beside ? GOLD : one.hidden ? "#9fc7ff" : "#7fe08a", false);
    write(pen, desk.called(one.player), one.x, one.y, "#d9f5dc");
  }
  if (desk.target?.name) {
    const offered = now.offered.find((one) => one.name === desk.target.name);
    if (offered) write(pen, offered.name, offered.x, offered.y, GOLD);
  }
}

function magnify(pen) {
  const [x, y] = film.pointer, s = scaleOf(), radius = 48 * (film.canvas.width / film.canvas.clientWidth), times = 3;
  let [cx, cy] = toCanvas(x, y);
  const lens = [cx + radius * 2.2 > film.canvas.width ? cx - radius * 1.7 : cx + radius * 1.7, cy - radius * 1.7 < 0 ? cy + radius * 1.7 : cy - radius * 1.7];
  pen.save();
  pen.beginPath();
  pen.arc(lens[0], lens[1], radius, 0, 2 * Math.PI);
  pen.clip();
  const half = radius / (s * times);
  pen.drawImage(film.image, x - half, y - half, 2 * half, 2 * half, lens[0] - radius, lens[1] - radius, 2 * radius, 2 * radius);
  pen.strokeStyle = GOLD;
  pen.lineWidth = 1;
  pen.beginPath();
  pen.moveTo(lens[0] - radius, lens[1]); pen.lineTo(lens[0] + radius, lens[1]);
  pen.moveTo(lens[0], lens[1] - radius); pen.lineTo(lens[0], lens[1] + radius);
  pen.stroke();
  pen.restore();
  pen.strokeStyle = DARK;
  pen.lineWidth = 2;
  pen.beginPath();
  pen.arc(lens[0], lens[1], radius, 0, 2 * Math.PI);
  pen.stroke();
}

function watchFilm() {
  const canvas = (film.canvas = by("film"));
  canvas.addEventListener("pointerdown", (event) => {
    canvas.focus();
    canvas.setPointerCapture(event.pointerId);
    film.touches.set(event.pointerId, [event.clientX, event.clientY]);
    film.pointer = toFilm(event);
    if (event.button === 1 || film.touches.size === 2) film.drag = { from: [event.clientX, event.clientY], at: [...film.at], apart: spread() };
    event.preventDefault();
    drawFilm();
  });
  canvas.addEventListener("pointermove", (event) => {
    if (film.touches.has(event.pointerId)) film.touches.set(event.pointerId, [event.clientX, event.clientY]);
    film.pointer = toFilm(event);
    if (film.drag) {
      const dense = film.canvas.width / canvas.clientWidth / scaleOf();
      film.at = [film.drag.at[0] - (event.clientX - film.drag.from[0]) * dense, film.drag.at[1] - (event.clientY - film.drag.from[1]) * dense];
      if (film.touches.size === 2 && film.drag.apart) { film.zoom = Math.min(Math.max((film.zoom * spread()) / film.drag.apart, 1), 8); film.drag.apart = spread(); }
      clampView();
    }
    drawFilm();
  });
  canvas.addEventListener("pointerup", (event) => {
    const dragged = film.drag;
    film.touches.delete(event.pointerId);
    if (!film.touches.size) film.drag = null;
    if (!dragged && event.button === 0) film.onclick(...toFilm(event));
    if (event.pointerType !== "mouse") film.pointer = null;
    drawFilm();
  });
  canvas.addEventListener("pointercancel", (event) => { film.touches.delete(event.pointerId); film.drag = null; });
  canvas.addEventListener("pointerleave", () => { film.pointer = null; drawFilm(); });
  canvas.addEventListener("wheel", (event) => { event.preventDefault(); zoomBy(event.deltaY < 0 ? 1.25 : 0.8, toFilm(event)); }, { passive: false });
  addEventListener("resize", drawFilm);
}
function spread() {
  const [a, b] = [...film.touches.values()];
  return b ? Math.hypot(a[0] - b[0], a[1] - b[1]) : 0;
}
