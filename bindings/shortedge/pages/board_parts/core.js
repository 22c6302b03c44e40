// The core as WebAssembly, asked by name. All geometry of this page is worked out in it; here numbers are only handed over.

/** The compiled module, from its packed text. */
const unpacked = async (text) => {
  const bytes = Uint8Array.from(atob(text.trim()), (one) => one.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
  return WebAssembly.compile(await new Response(stream).arrayBuffer());
};

/** A core that is ready. After a refusal, which ends an instance, the next call finds a new one. Also run in the worker, so it
    uses nothing from outside. */
const coreOf = async (module, progress = () => 1) => {
  let exports = null, told = null, refused = "";
  const text = (at, size) => new TextDecoder().decode(new Uint8Array(exports.memory.buffer, at, size));
  const imports = { page: { progress, refused: (at, size) => (refused = text(at, size)) } };
  for (const one of WebAssembly.Module.imports(module)) {
    imports[one.module] ??= {};
    imports[one.module][one.name] ??= () => 0; // the system, of which nothing is there
  }
  const begin = async () => {
    exports = (await WebAssembly.instantiate(module, imports)).exports;
    exports._initialize();
    if (told) return;
    const at = exports.se_columns(), all = new Uint8Array(exports.memory.buffer, at);
    told = JSON.parse(text(at, all.indexOf(0)));
  };
  const find = (way, name) => {
    const place = told[way].findIndex((table) => table.name === name);
    return { place, columns: told[way][place].columns };
  };
  const call = (name) => {
    if (!exports) throw new Error("one moment");
    refused = "";
    try {
      return exports[name]();
    } catch (failure) {
      exports = null;
      begin();
      throw new Error(refused || String(failure));
    }
  };
  /** columns: name to a list of numbers; what is missing is NaN, or has its default. */
  const fill = (name, columns) => {
    if (!exports) throw new Error("one moment");
    const table = find("in", name), wide = table.columns.length;
    const rows = Math.max(0, ...Object.values(columns).map((values) => values.length), "value" in table.columns[0] ? 1 : 0);
    const at = exports.se_input(table.place, rows), numbers = new Float64Array(exports.memory.buffer, at, rows * wide);
    table.columns.forEach((column, k) => {
      for (let row = 0; row < rows; row++) numbers[row * wide + k] = columns[column.name]?.[row] ?? column.value ?? NaN;
    });
  };
  const numbersOf = (table) => {
    const rows = exports.se_rows(table.place);
    return new Float64Array(exports.memory.buffer, exports.se_output(table.place), rows * table.columns.length);
  };
  /** Rows by the names of the columns; a word as text or null, a man as his number, -1 for nobody. */
  const read = (name) => {
    const table = find("out", name), wide = table.columns.length, numbers = numbersOf(table), rows = [];
    for (let at = 0; at < numbers.length; at += wide) {
      const row = {};
      table.columns.forEach((column, k) => (row[column.name] = column.words ? (column.words[numbers[at + k]] ?? null) : numbers[at + k]));
      rows.push(row);
    }
    return rows;
  };
  /** One column of a table alone. */
  const column = (name, of) => {
    const table = find("out", name), wide = table.columns.length, place = table.columns.findIndex((one) => one.name === of);
    return numbersOf(table).filter((_, k) => k % wide === place);
  };
  await begin();
  return { fill, read, column, call, get told() { return told; }, get ready() { return exports !== null; } };
};
