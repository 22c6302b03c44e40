// "Move the men" beside a play: a board of the frame that its player shows, over the page.

/** One frame's start: what all frames share, and what this one has of its own. */
const frameOf = (play, k) => {
  const laid = (under, over) => {
    if (typeof over !== "object" || over === null || Array.isArray(over)) return over;
    const out = { ...under };
    for (const [name, value] of Object.entries(over)) out[name] = laid(under?.[name], value);
    return out;
  };
  return laid(play.shared, play.frames[Math.max(0, Math.min(play.frames.length - 1, k))]);
};
const openBoard = (start, packed) => {
  const close = html("button", { type: "button" }, "back to the play"), holder = html("div");
  const over = html("dialog", { class: "bd-over bd-page", "aria-label": `the board: ${start.title}` },
    html("header", { class: "bd-head" }, html("h1", {}, start.title), html("p", {}, start.about), close), holder);
  close.addEventListener("click", () => over.close());
  over.addEventListener("close", () => over.remove());
  over.addEventListener("keydown", (event) => event.stopPropagation());
  document.body.append(over);
  over.showModal();
  window.board = mountBoard(holder, start, packed, { alone: false });
};
for (const held of document.querySelectorAll("script.bd-play")) {
  const player = held.previousElementSibling, button = html("button", { type: "button", class: "bd-open" }, "move the men");
  button.addEventListener("click", () => {
    const shown = Number(player?.querySelector("input[type=range]")?.value ?? 0);
    const frames = held.dataset.like ? document.getElementById(held.dataset.like) : held;
    openBoard(frameOf(JSON.parse(frames.textContent), shown), document.querySelector("script.bd-core").textContent);
  });
  held.before(button);
}
