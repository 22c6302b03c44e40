// Tables whose columns can be sorted: a button in every heading; missing values stay last.
const text = new Intl.Collator(undefined, { numeric: true });

function value(row, column) {
  const cell = row.cells[column].dataset.v;
  if (cell === undefined) return null;
  const number = Number(cell);
  return cell.trim() !== "" && Number.isFinite(number) ? number : cell;
}

function compare(a, b) {
  if (a === null || b === null) return (a === null) - (b === null);
  if (typeof a === "number" && typeof b === "number") return a - b;
  return text.compare(String(a), String(b));
}

for (const table of document.querySelectorAll("table[data-sort]")) {
  const body = table.tBodies[0], headings = [...table.tHead.rows[0].cells];
  headings.forEach((heading, column) => {
    const button = document.createElement("button");
    button.type = "button";
    button.append(...heading.childNodes);
    heading.append(button);
    button.addEventListener("click", () => {
      const sorted = heading.getAttribute("aria-sort");
      const first = heading.classList.contains("rp-number") ? "descending" : "ascending";
      const other = first === "ascending" ? "descending" : "ascending";
      const order = sorted === first ? other : first;
      headings.forEach((one) => one.removeAttribute("aria-sort"));
      heading.setAttribute("aria-sort", order);
      const sign = order === "ascending" ? 1 : -1;
      const rows = [...body.rows].map((row, place) => [value(row, column), place, row]);
      rows.sort(([a, i], [b, j]) => (a === null || b === null ? compare(a, b) : sign * compare(a, b)) || i - j);
      body.append(...rows.map(([, , row]) => row));
    });
  });
}

// A link to a rep opens it; an address that names one does, too.
const opened = (name) => {
  const rep = document.getElementById(name);
  if (rep?.matches("details")) rep.open = true;
  rep?.scrollIntoView();
};
for (const link of document.querySelectorAll("a[href^='#rep-']")) link.addEventListener("click", () => opened(link.hash.slice(1)));
if (location.hash.startsWith("#rep-")) opened(location.hash.slice(1));

// A table that is wider than its place says so.
const sizes = new ResizeObserver((entries) => entries.forEach(({ target }) => {
  const hides = target.scrollWidth > target.clientWidth + 1;
  target.classList.toggle("rp-scrolls", hides);
  target.style.setProperty("--rp-room", `${target.clientWidth}px`); // what the caption says stays in sight
  const caption = target.querySelector("caption");
  const says = caption.querySelector(".rp-more");
  if (hides && !says) caption.append(Object.assign(document.createElement("span"), { className: "rp-more", textContent: " scroll sideways for more →" }));
  else if (!hides) says?.remove();
}));
document.querySelectorAll(".rp-wide").forEach((one) => sizes.observe(one));

// One side of paper, or everything.
for (const button of document.querySelectorAll("[data-rp-print]")) {
  button.addEventListener("click", () => {
    document.documentElement.dataset.print = button.dataset.rpPrint;
    print();
    delete document.documentElement.dataset.print;
  });
}

// What is marked on the page: beside each rep, and in the count.
const about = document.querySelector("script.rp-rows");
const SAYS = { held: "held", beat: "lost", driven: "walked back", help: "helped", none: "no rep" };
const inWords = (mark) => [mark.outcome && SAYS[mark.outcome] + (mark.beat_time ? ` at ${mark.beat_time} s` : ""), mark.given_to && `the rep of ${mark.given_to}`,
  mark.helped && (mark.helped === "yes" ? "with help" : "without help"), mark.note].filter(Boolean).join(", ");

function tellMarks() {
  const { all } = globalThis.seMarked;
  for (const one of document.querySelectorAll(".rp-mark")) {
    const mark = all(one.dataset.digest)[one.dataset.key];
    one.textContent = mark ? `your mark: ${inWords(mark) || "as measured"}` : "";
  }
  if (!about) return;
  const { man, role, games, rows } = JSON.parse(about.textContent), counts = { held: 0, beat: 0, driven: 0, help: 0 };
  const kept = Object.fromEntries(Object.keys(games).map((digest) => [digest, all(digest)])), seen = new Set();
  const count = (outcome) => outcome in counts && counts[outcome]++;
  for (const [digest, play, protector, rusher, outcome] of rows) {
    const key = globalThis.seMarked.keyOf(play, protector, rusher), mark = kept[digest][key] ?? {};
    seen.add(digest + key);
    if (!mark.given_to || role !== "protector" || mark.given_to === man) count(mark.outcome ?? outcome);
  }
  let marks = 0;
  for (const [digest, of] of Object.entries(kept)) {
    for (const [key, mark] of Object.entries(of)) {
      marks++;
      if (role === "protector" && mark.given_to === man && !seen.has(digest + key)) count(mark.outcome ?? mark.measured);
    }
  }
  const table = document.querySelector("#marks table"), body = table.tBodies[0];
  body.querySelector(".rp-now")?.remove();
  if (marks) {
    const row = body.insertRow();
    row.className = "rp-now";
    const judged = counts.held + counts.beat + counts.driven;
    ["with your marks", judged, counts.held, counts.beat, counts.driven, counts.help].forEach((value, n) => {
      const cell = document.createElement(n ? "td" : "th");
      cell.textContent = value;
      if (n) cell.className = "rp-number";
      row.append(cell);
    });
  }
  document.querySelector("[data-rp-kept]").textContent = marks ? `${marks} of yours in this browser` : "none of yours yet";
}
if (document.querySelector(".rp-mark")) {
  document.addEventListener("se-marked", tellMarks);
  addEventListener("storage", tellMarks);
  tellMarks();
}
document.querySelector("[data-rp-marks]")?.addEventListener("click", () => {
  const { games, before } = JSON.parse(about.textContent);
  globalThis.seMarked.write(games, before);
});
