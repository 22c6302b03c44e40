// What is kept of a board: its state in the address and in a small file, and pictures of the field.

const FILE = "shortedge board";
const saved = (name, blob) => {
  const address = URL.createObjectURL(blob), link = html("a", { href: address, download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 1000);
};

/** The two states as a fragment, and back; null for one that is not of this start. */
const fragmentOf = (start, states) => `#board=${encodeURIComponent(JSON.stringify({ of: start.title, ...states }))}`;
const statesOf = (text, start) => {
  try {
    const said = JSON.parse(text), a = soundEdit(said.a, start), b = soundEdit(said.b, start);
    return said.of === start.title && a && b ? { a, b } : null;
  } catch {
    return null;
  }
};
const fromFragment = (start) => {
  const [, text] = location.hash.match(/^#board=(.*)$/) ?? [];
  try {
    return text ? statesOf(decodeURIComponent(text), start) : null;
  } catch {
    return null;
  }
};

const STYLED = ["fill", "fill-opacity", "stroke", "stroke-width", "stroke-dasharray", "stroke-linejoin", "stroke-linecap", "paint-order", "font-size",
  "font-family", "font-weight", "opacity", "display"];
/** The field as a picture by itself: its styles written into it, a title under it. */
const pictured = (field, title) => {
  const copy = field.cloneNode(true), [, , wide, high] = field.getAttribute("viewBox").split(" ").map(Number);
  const from = [field, ...field.querySelectorAll("*")], into = [copy, ...copy.querySelectorAll("*")];
  from.forEach((one, k) => {
    const style = getComputedStyle(one);
    for (const name of STYLED) into[k].setAttribute(name, style.getPropertyValue(name));
    for (const name of ["style", "class", "tabindex", "role", "aria-pressed", "data-man"]) into[k].removeAttribute(name);
  });
  const style = getComputedStyle(field);
  put(copy, { xmlns: SVG, width: wide, height: high + 24, viewBox: `0 0 ${wide} ${high + 24}` });
  copy.prepend(svg("rect", { width: wide, height: high + 24, fill: style.backgroundColor }));
  copy.append(svg("text", { x: 6, y: high + 17, fill: getComputedStyle(document.body).color, "font-size": 12, "font-family": style.fontFamily }, title));
  return { text: new XMLSerializer().serializeToString(copy), wide, high: high + 24 };
};
const asPng = async ({ text, wide, high }) => {
  const image = new Image(), canvas = html("canvas", { width: 2 * wide, height: 2 * high });
  image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(text)}`;
  await image.decode();
  canvas.getContext("2d").drawImage(image, 0, 0, 2 * wide, 2 * high);
  return new Promise((resolve) => canvas.toBlob(resolve, "image/png"));
};
