"use strict";
// How the page asks its server. The word that lets it in comes in the address's fragment, which no browser sends.
const word = location.hash.slice(1) || sessionStorage.getItem("word") || "";
sessionStorage.setItem("word", word);
if (location.hash) history.replaceState(null, "", location.pathname);
const tab = crypto.randomUUID();
const heads = { "X-Shortedge-Token": word, "X-Shortedge-Tab": tab };

async function ask(what, said = {}) {
  let answer;
  try {
    answer = await fetch(what, { method: "POST", headers: { ...heads, "Content-Type": "application/json" }, body: JSON.stringify(said) });
  } catch {
    if (!desk.finished) cover("The program that keeps the trace does not answer. Start it again: nothing that was drawn is lost.", false);
    throw new Error("no answer");
  }
  const body = await answer.json();
  if (answer.status === 409) cover("This trace is open in another tab.", true);
  if (!answer.ok) throw new Error(body.says || answer.status);
  return body;
}

async function frameOf(play, angle, number) {
  const asked = new URLSearchParams({ play, angle, number });
  const answer = await fetch(`/frame?${asked}`, { headers: heads });
  if (!answer.ok) throw new Error((await answer.json()).says);
  return createImageBitmap(await answer.blob());
}

const by = (id) => document.getElementById(id);

function cover(says, may) {
  by("cover-says").textContent = says;
  by("take").hidden = !may;
  by("cover").hidden = false;
}

function make(tag, attributes = {}, ...children) {
  const svg = ["svg", "line", "circle", "ellipse", "polygon", "text", "g", "path", "rect"].includes(tag);
  const made = svg ? document.createElementNS("http://www.w3.org/2000/svg", tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else made.setAttribute(name, value === true ? "true" : value);
  }
  made.append(...children);
  return made;
}
