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
