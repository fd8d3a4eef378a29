// What is pasted over a table: rows of it, rows below headings that it knows, or a list of its own.
// @ts-check

/** @typedef {import("./grid.js").Column} Column */
/** @typedef {{ list?: string, headings: string[], lines: string[][] }} Pasted */

/**
 * Read rows that were copied from a spreadsheet: the headings that their cells come under, or the text of a list.
 * @param {string} text
 * @param {{ name: string, columns: Column[] }} table
 * @param {Column[]} shown the columns in sight, in their order
 * @param {string} heading where the keyboard is
 * @returns {Pasted | null} null where it is but one cell
 */
export function pasted(text, table, shown, heading) {
  if (!/[\t\n]/.test(text.trimEnd())) return null;
  const lines = text.replace(/\r\n?/g, "\n").replace(/\n+$/, "").split("\n").map((line) => line.split("\t"));
  const copied = copiedHeadings(lines[0], table.columns);
  if (copied) return { headings: copied, lines: lines.slice(1) };
  if (table.name === "pieces" && haveOwnHeadings(lines)) {
    // It is read as a list that is dropped, which says what heading it does not know.
    const quoted = (/** @type {string} */ cell) => `"${cell.trim().replaceAll('"', '""')}"`;
    return { list: lines.map((line) => line.map(quoted).join(",")).join("\n"), headings: [], lines };
  }
  const headings = shown.map((column) => column.heading), at = headings.indexOf(heading);
  return { headings: shown[at]?.number && beginWithNames(lines) ? headings : headings.slice(at), lines };
}

/** The headings of a list that was copied with them, whatever their order; null where the first line is a row. @param {string[]} line @param {Column[]} columns */
function copiedHeadings(line, columns) {
  const plain = (/** @type {string} */ text) => text.trim().toLowerCase().replace(/[\s_-]+/g, " ");
  const known = line.map((cell) => columns.find((column) => plain(column.heading) === plain(cell))?.heading ?? "");
  return known.filter(Boolean).length > 1 ? known : null;
}

/** Whether rows with numbers stand below a line without any. @param {string[][]} lines */
function haveOwnHeadings([first, ...rest]) {
  const hasNumber = (/** @type {string} */ cell) => /\d/.test(cell);
  return rest.length > 0 && first.every((cell) => cell && !hasNumber(cell)) && rest.every((line) => line.some(hasNumber));
}

/** Whether all rows begin with a name; where a number stands they are not meant to begin. @param {string[][]} lines */
const beginWithNames = (lines) => lines.every((line) => line.length > 1 && /^\D*\p{L}{2}/u.test(line[0]));
