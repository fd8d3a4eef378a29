// A table to type in: keys as in a spreadsheet, each cell saved when it is left.
// @ts-check
import { Refused, askWall, hear, say, wall } from "./base.js";
import { pasted } from "./pasted.js";

const body = document.body;

/** @typedef {{ heading: string, meaning: string, everyday: boolean, number: boolean, required: boolean, unit: string }} Column */
/** @typedef {{ row: number, cells: Record<string, string> }} Row */
/** @typedef {{ row: number | null, column?: string, words?: string, fault?: boolean, mend?: Record<string, string>, size?: string }} Said */
/** @typedef {{ name: string, version: string, next: number, columns: Column[], rows: Row[], said: Said[], undo: string | null, redo: string | null }} Table */

const WIDE = ["piece", "boards", "notes", "shop", "board", "group"];

/** @type {Set<Grid>} */
const grids = new Set();
// A link is followed once all that was typed is saved.
document.addEventListener("click", (event) => {
  const link = event.target instanceof Element ? event.target.closest("a") : null;
  const saving = [...grids].filter((grid) => grid.waiting);
  if (!link || !saving.length || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  Promise.all(saving.map((grid) => grid.last)).then(() => { location.href = link.href; });
});

export class Grid {
  /**
   * @param {Element} place
   * @param {Table} table
   * @param {{ moved?: (row: Row, typing: boolean) => void, net?: Record<string, string>, removed?: (row: number) => void, changed?: (answer: any) => void }} hooks
   */
  constructor(place, table, hooks = {}) {
    grids.add(this);
    this.place = place;
    this.table = table;
    this.hooks = hooks;
    this.all = false;
    this.at = 0;
    this.begun = 0; // the new row that one has not left yet: what is still empty in it is no fault
    this.changed = 0;
    /** @type {Map<number, { words: string, lines: HTMLTableRowElement[] }>} What is drawn of each row, and what it said. */
    this.drawn = new Map();
    this.last = Promise.resolve();
    this.waiting = 0;
    this.drawing = false;
    this.clicked = false;
    /** @type {{ row?: string, heading?: string } | undefined} The cell that is still typed in: its faults wait until it is left. */
    this.still = undefined;
    /** @type {string | undefined} */
    this.tabbed = undefined;
    this.body = /** @type {HTMLTableSectionElement} */ (place.querySelector("tbody"));
    place.addEventListener("keydown", (event) => this.key(/** @type {KeyboardEvent} */ (event)));
    place.addEventListener("focusin", (event) => this.entered(/** @type {HTMLElement} */ (event.target)));
    place.addEventListener("focusout", (event) => {
      this.left(/** @type {HTMLElement} */ (event.target));
      this.leftRow(this.begun);
    });
    // A click chooses a cell, so that what is typed takes its place; a second click sets the caret.
    place.addEventListener("mousedown", (event) => {
      this.clicked = event.target !== document.activeElement;
      this.tabbed = undefined;
    });
    place.addEventListener("mouseup", (event) => {
      if (this.clicked && event.target instanceof HTMLInputElement && event.target.dataset.heading) event.target.select();
    });
    place.addEventListener("input", (event) => this.typed(/** @type {HTMLInputElement} */ (event.target)));
    place.addEventListener("paste", (event) => this.paste(/** @type {ClipboardEvent} */ (event)));
    for (const button of place.querySelectorAll("[data-do]")) {
      button.addEventListener("click", () => this.tool(/** @type {HTMLElement} */ (button)));
    }
    hear((told) => {
      if (told.kind === "table") { // one history for all tables of a wall
        this.table = { ...this.table, undo: told.undo, redo: told.redo };
        this.nameSteps();
      }
      if (told.kind === "table" && told.table === this.table.name && told.version !== this.table.version && !this.waiting) {
        this.reload();
      }
    });
    this.draw();
  }

  get columns() {
    const filled = (/** @type {Column} */ column) => this.table.rows.some((row) => row.cells[column.heading]);
    if (this.all) return this.table.columns;
    const everyday = this.table.columns.filter((column) => column.everyday);
    return [...everyday, ...this.table.columns.filter((column) => !column.everyday && filled(column))];
  }

  draw() {
    const head = /** @type {HTMLElement} */ (this.place.querySelector("thead"));
    const line = document.createElement("tr");
    const corner = document.createElement("th");
    corner.className = "number";
    corner.textContent = "row";
    corner.title = "Numbered as in the file, where the headings are row 1.";
    line.append(corner);
    const units = /** @type {Record<string, string | undefined>} */ ({ length: body.dataset.unit, money: body.dataset.currency });
    for (const column of this.columns) {
      const cell = document.createElement("th");
      cell.scope = "col";
      cell.textContent = column.heading;
      const unit = units[column.unit];
      const longest = Math.max(0, ...this.table.rows.map((row) => (row.cells[column.heading] ?? "").length));
      cell.style.minWidth = `${Math.min(longest, 24) * 0.58 + 1.45}em`; // what is typed is read whole
      if (unit) cell.append(" ", Object.assign(document.createElement("small"), { textContent: unit }));
      cell.title = column.meaning;
      cell.className = column.number ? "n" : "";
      line.append(cell);
    }
    if (this.hooks.net) {
      const cell = document.createElement("th");
      cell.scope = "col";
      cell.className = "n";
      cell.textContent = "after discount";
      line.append(cell);
    }
    head.replaceChildren(line);
    this.drawRows();
    this.nameSteps();
    this.nameRow();
  }

  /** Draw the rows: of a long table only those that are not drawn already as they are to be. */
  drawRows() {
    const shape = this.columns.map((column) => column.heading).join("\n");
    /** @type {Map<number | null, Said[]>} */
    const said = new Map();
    for (const each of this.table.said) if (each.words && !this.waits(each)) said.set(each.row, [...(said.get(each.row) ?? []), each]);
    /** @type {typeof this.drawn} */
    const drawn = new Map();
    const lines = [...this.table.rows, ...this.newRows()].flatMap((row) => {
      const its = said.get(row.row) ?? [], words = JSON.stringify([shape, its]), was = this.drawn.get(row.row);
      const lines = was?.words === words && this.isAsIn(was.lines[0], row) ? was.lines : this.rowOf(row, its);
      drawn.set(row.row, { words, lines });
      return lines;
    });
    this.drawn = drawn;
    this.drawing = true; // a cell that goes while it is typed in was not left
    const wanted = new Set(lines);
    for (const line of [...this.body.children]) if (!wanted.has(/** @type {HTMLTableRowElement} */ (line))) line.remove();
    let at = this.body.firstElementChild;
    for (const line of lines) {
      if (line === at) at = at.nextElementSibling;
      else this.body.insertBefore(line, at);
    }
    this.drawing = false;
  }

  /** Whether what is said of a cell waits: it is still typed in, or still to be written in a new row. @param {Said} said */
  waits(said) {
    if (this.isStill(String(said.row), said.column)) return true;
    const cells = this.table.rows.find((row) => row.row === this.begun)?.cells;
    return said.row === this.begun && Boolean(said.column) && !cells?.[said.column ?? ""];
  }

  /** The rows below those that are saved: one, and on to the one that is being typed in. @returns {Row[]} */
  newRows() {
    const first = this.table.next, last = Math.max(first, this.rowTypedIn());
    return Array.from({ length: last - first + 1 }, (_, place) => ({ row: first + place, cells: {} }));
  }

  /** The row that has the keyboard; 0 where none has. */
  rowTypedIn() {
    const line = this.body.contains(document.activeElement) ? document.activeElement?.closest("tr") : null;
    return Number(line?.dataset.row ?? 0);
  }

  /** Have a row below the last one as soon as that is typed in: the next key may be meant for it before this row is saved. @param {HTMLInputElement} input */
  below(input) {
    const line = /** @type {HTMLElement} */ (input.closest("tr"));
    if (input.value && line === this.body.lastElementChild) this.body.append(...this.rowOf({ row: Number(line.dataset.row) + 1, cells: {} }, []));
  }

  /** Whether a row shows what stands in its cells. @param {HTMLElement} line @param {Row} row */
  isAsIn(line, row) {
    const net = /** @type {HTMLElement | null} */ (line.querySelector(".net"));
    return (!net || net.textContent === (this.hooks.net?.[row.row] ?? "")) && [...line.querySelectorAll("input")].every((input) => {
      const text = row.cells[input.dataset.heading ?? ""] ?? "";
      return input.value === text && input.dataset.was === text;
    });
  }

  /** Name the row that the button removes: the one that was typed in last. */
  nameRow() {
    const button = /** @type {HTMLButtonElement | null} */ (this.place.querySelector("[data-do=remove]"));
    if (!button) return;
    const row = this.table.rows.find((each) => each.row === this.at);
    button.disabled = !row;
    button.textContent = row ? `Remove row ${row.row}` : "Remove a row";
  }

  /** Remove a row; what was being typed in it goes with it. @param {number} number */
  remove(number) {
    const row = this.table.rows.find((each) => each.row === number);
    if (!row) return;
    clearTimeout(this.rest);
    for (const input of this.body.querySelectorAll(`tr[data-row="${number}"] input`)) {
      const each = /** @type {HTMLInputElement} */ (input);
      each.value = each.dataset.was ?? "";
    }
    this.change(`removed ${row.cells.piece || `row ${row.row}`}`, [], [row.row]);
    this.last.then(() => this.hooks.removed?.(row.row));
  }

  /** Name the steps that can be undone and redone. */
  nameSteps() {
    for (const [name, words] of /** @type {const} */ ([["undo", this.table.undo], ["redo", this.table.redo]])) {
      const button = /** @type {HTMLButtonElement | null} */ (this.place.querySelector(`[data-do=${name}]`));
      if (button) {
        button.disabled = !words;
        button.title = words ?? ""; // one history for all tables of a wall: what it takes back may be of another one
        button.textContent = `${name === "undo" ? "Undo" : "Redo"}${words ? `: ${words.slice(0, 40)}` : ""}`;
      }
    }
  }

  /** @param {Row} row @param {Said[]} all @returns {HTMLTableRowElement[]} */
  rowOf(row, all) {
    const line = document.createElement("tr");
    line.dataset.row = String(row.row);
    const number = document.createElement("td");
    number.className = "number";
    number.textContent = String(row.row);
    line.append(number);
    const place = (/** @type {Said} */ each) => this.columns.findIndex((column) => column.heading === each.column);
    const said = all.sort((one, other) => place(one) - place(other));
    for (const column of this.columns) {
      const cell = document.createElement("td");
      const input = document.createElement("input");
      const bad = said.some((each) => each.column === column.heading && each.fault);
      cell.className = [column.number ? "n" : "", WIDE.includes(column.heading) ? "w" : "", bad ? "bad" : ""].join(" ").trim();
      input.value = row.cells[column.heading] ?? "";
      input.dataset.heading = column.heading;
      input.dataset.was = input.value;
      input.setAttribute("aria-label", `${column.heading}, row ${row.row}`);
      if (bad) {
        input.setAttribute("aria-invalid", "true");
        input.setAttribute("aria-describedby", `said-${this.table.name}-${row.row}`);
      }
      input.autocomplete = "off";
      input.spellcheck = false;
      cell.append(input);
      line.append(cell);
    }
    if (this.hooks.net) {
      const cell = document.createElement("td");
      cell.className = "net";
      cell.textContent = this.hooks.net[row.row] ?? "";
      line.append(cell);
    }
    return said.length ? [line, this.saidOf(row.row, said)] : [line];
  }

  /** @param {number} row @param {Said[]} said */
  saidOf(row, said) {
    const line = document.createElement("tr");
    const cell = document.createElement("td");
    cell.colSpan = this.columns.length + (this.hooks.net ? 2 : 1);
    const box = document.createElement("div");
    box.className = "said";
    box.id = `said-${this.table.name}-${row}`;
    for (const each of said) {
      const words = document.createElement("p");
      words.className = each.fault ? "" : "look";
      words.textContent = each.column ? `${each.column}: ${each.words?.[0].toLowerCase()}${each.words?.slice(1)}` : each.words ?? "";
      const mend = Object.entries(each.mend ?? {});
      if (mend.length) {
        const button = document.createElement("button");
        button.type = "button";
        button.textContent = mend.map(([heading, text]) => `${heading} ${text}`).join(", ");
        button.addEventListener("click", () => this.change(`mended ${each.column}`, mend.map(([heading, text]) => [row, heading, text])));
        words.append(button);
      }
      box.append(words);
    }
    cell.append(box);
    line.append(cell);
    return line;
  }

  /** @param {HTMLElement} input @returns {Row} */
  rowAt(input) {
    const line = /** @type {HTMLElement} */ (input.closest("tr"));
    const number = Number(line.dataset.row);
    const kept = this.table.rows.find((row) => row.row === number)?.cells ?? {};
    const cells = { ...kept };
    for (const each of line.querySelectorAll("input")) cells[each.dataset.heading ?? ""] = each.value;
    return { row: number, cells };
  }

  /** @param {HTMLElement} target */
  entered(target) {
    if (!(target instanceof HTMLInputElement) || !target.dataset.heading) return;
    for (const line of this.body.querySelectorAll(".now")) line.classList.remove("now");
    target.closest("tr")?.classList.add("now");
    const row = Number(target.closest("tr")?.dataset.row);
    if (row !== this.at) this.begun = row >= this.table.next ? row : 0;
    this.at = row;
    this.nameRow();
    this.hooks.moved?.(this.rowAt(target), false);
  }

  /** Whether a cell was saved at rest and is not left yet. @param {string} row @param {string | undefined} heading */
  isStill(row, heading) {
    return this.still?.row === row && this.still.heading === heading;
  }

  /** @param {HTMLInputElement} target */
  typed(target) {
    if (!target.dataset.heading) return;
    this.below(target);
    this.hooks.moved?.(this.rowAt(target), true);
    clearTimeout(this.rest);
    const row = String(this.rowAt(target).row), heading = target.dataset.heading;
    this.rest = setTimeout(() => {
      const same = this.input(row, heading); // the cell may have been drawn again meanwhile
      if (same) this.left(same, true);
    }, 1000);
  }

  /** Save a cell that is left, or at rest. @param {HTMLElement} target @param {boolean} resting */
  left(target, resting = false) {
    if (this.drawing || !(target instanceof HTMLInputElement) || !target.dataset.heading) return;
    const row = this.rowAt(target);
    if (target.value === target.dataset.was) {
      // Saved at rest before: what waited is shown once the next cell has the keyboard.
      if (!resting && this.isStill(String(row.row), target.dataset.heading)) setTimeout(() => this.waiting || this.redraw());
      return;
    }
    target.dataset.was = target.value;
    const name = row.cells.piece || row.cells.shop || row.cells.board || `row ${row.row}`;
    this.changed = row.row;
    this.change(`changed ${target.dataset.heading} of ${name}`, [[row.row, target.dataset.heading, target.value]], [], resting);
  }

  /** Say what is empty in a new row that is left, after the click that may have ended it: that must not miss what it is for. @param {number} row */
  leftRow(row) {
    if (row) setTimeout(() => {
      if (this.rowTypedIn() === row) return;
      if (this.begun === row) this.begun = 0;
      if (!this.waiting) this.redraw();
    }, 200);
  }

  /**
   * @param {string} name
   * @param {(string | number)[][]} cells
   * @param {number[]} removed
   */
  change(name, cells, removed = [], resting = false) {
    this.send(() => askWall("change", { table: this.table.name, version: this.table.version, name: name.slice(0, 200), cells, removed }), resting);
  }

  /** Ask one after the other, so that each carries the version that the one before made. @param {() => Promise<any>} act */
  send(act, resting = false) {
    this.waiting += 1;
    this.saved("");
    this.last = this.last.then(act).then(
      (answer) => {
        this.waiting -= 1;
        if (answer.said) say(answer.said);
        this.take(answer.table, resting);
        this.hooks.changed?.(answer);
        if (!this.waiting) this.saved("Saved");
      },
      (error) => {
        this.waiting -= 1;
        this.saved("Not saved");
        say(error.message);
        if (error instanceof Refused && error.status === 409) {
          return this.fetched().then((table) => {
            if (table) this.take(table);
          });
        }
      },
    );
    return this.last;
  }

  /** Read the table again, after what is being saved: an answer that comes late must not put back what stood before. */
  reload() {
    this.waiting += 1;
    this.last = this.last.then(() => this.fetched()).then((table) => {
      this.waiting -= 1;
      if (table) this.take(table);
    });
    return this.last;
  }

  /** @returns {Promise<Table | null>} */
  async fetched() {
    const answer = await fetch(`/wall/${wall}/tables/${this.table.name}`);
    return answer.ok ? await answer.json() : null;
  }

  /** Show a table as it is on the disk. @param {Table} table */
  take(table, resting = false) {
    this.table = table;
    if (!this.waiting) this.redraw(resting);
  }

  /** Draw the table again; the cell that is being typed in keeps its text and the keyboard. */
  redraw(resting = false) {
    const active = document.activeElement;
    const mine = active instanceof HTMLInputElement && this.place.contains(active) ? active : null;
    const at = mine ? { row: mine.closest("tr")?.dataset.row, heading: mine.dataset.heading, value: mine.value, was: mine.dataset.was, start: mine.selectionStart, end: mine.selectionEnd } : null;
    this.still = resting && at ? at : undefined;
    this.draw();
    if (!at) return;
    const again = this.input(at.row ?? "", at.heading ?? "");
    if (!again) return;
    if (at.value !== at.was) {
      again.value = at.value;
      this.below(again);
    }
    again.focus({ preventScroll: true });
    again.setSelectionRange(at.start, at.end);
    // What is said of the row that one has come from is seen without scrolling for it.
    this.body.querySelector(`#said-${this.table.name}-${this.changed}`)?.scrollIntoView({ block: "nearest" });
  }

  /** @param {string} row @param {string} heading @returns {HTMLInputElement | null} */
  input(row, heading) {
    const line = this.body.querySelector(`tr[data-row="${row}"]`);
    return [...(line?.querySelectorAll("input") ?? [])].find((each) => each.dataset.heading === heading) ?? null;
  }

  /** Write what a sheet costs after its discount, and touch nothing else. @param {Record<string, string>} prices */
  showNet(prices) {
    this.hooks.net = prices;
    for (const cell of /** @type {NodeListOf<HTMLElement>} */ (this.body.querySelectorAll(".net"))) {
      cell.textContent = prices[cell.closest("tr")?.dataset.row ?? ""] ?? "";
    }
  }

  /** @param {string} words */
  saved(words) {
    const place = this.place.querySelector(".saved");
    if (place) place.textContent = words;
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const input = event.target;
    if (!(input instanceof HTMLInputElement) || !input.dataset.heading) return;
    const whole = input.selectionStart === 0 && input.selectionEnd === input.value.length;
    if ((event.ctrlKey || event.metaKey) && ["z", "y"].includes(event.key.toLowerCase()) && input.value === input.dataset.was) {
      event.preventDefault();
      this.step(event.key.toLowerCase() === "y" || event.shiftKey);
    } else if (event.key === "Tab" && !event.shiftKey) this.tabbed ??= input.dataset.heading;
    else if (event.key === "Enter") {
      // After a row that was written along with the tab key the next one begins where that began.
      const back = this.columns.findIndex((column) => column.heading === this.tabbed) - this.columns.findIndex((column) => column.heading === input.dataset.heading);
      this.go(event, input, 1, this.tabbed ? back : 0);
      this.tabbed = undefined;
    } else if (event.key === "ArrowDown") this.go(event, input, 1, 0);
    else if (event.key === "ArrowUp") this.go(event, input, -1, 0);
    else if (event.key === "ArrowRight" && (whole || input.selectionStart === input.value.length)) this.go(event, input, 0, 1);
    else if (event.key === "ArrowLeft" && (whole || input.selectionEnd === 0)) this.go(event, input, 0, -1);
    else if (event.key === "Escape") {
      input.value = input.dataset.was ?? "";
      this.entered(input);
    } else if (event.key === "F2") input.setSelectionRange(input.value.length, input.value.length);
    else if ((event.key === "Home" && (whole || input.selectionEnd === 0)) || (event.key === "End" && (whole || input.selectionStart === input.value.length))) {
      const across = [...(input.closest("tr")?.querySelectorAll("input") ?? [])];
      this.go(event, input, 0, (event.key === "Home" ? 0 : across.length - 1) - across.indexOf(input));
    } else if (event.key === "Delete" && (event.ctrlKey || event.metaKey)) {
      event.preventDefault();
      this.remove(this.rowAt(input).row);
    }
  }

  /** @param {KeyboardEvent} event @param {HTMLInputElement} input @param {number} down @param {number} right */
  go(event, input, down, right) {
    const lines = [...this.body.querySelectorAll("tr[data-row]")];
    const line = /** @type {Element} */ (input.closest("tr"));
    const across = [...line.querySelectorAll("input")];
    const target = lines[lines.indexOf(line) + down]?.querySelectorAll("input")[across.indexOf(input) + right];
    if (!target) return;
    event.preventDefault();
    target.focus();
    target.select();
  }

  /** Lay pasted rows over the cells from here on. @param {ClipboardEvent} event */
  paste(event) {
    const input = event.target;
    if (!(input instanceof HTMLInputElement)) return;
    const found = pasted(event.clipboardData?.getData("text/plain") ?? "", this.table, this.columns, input.dataset.heading ?? "");
    if (!found) return;
    event.preventDefault();
    this.begun = 0;
    const { list, headings, lines } = found;
    if (list !== undefined) {
      this.send(() => askWall("list", { text: list, version: this.table.version }));
      return;
    }
    const numbers = [...this.body.querySelectorAll("tr[data-row]")].map((line) => Number(/** @type {HTMLElement} */ (line).dataset.row));
    const first = numbers.indexOf(Number(/** @type {HTMLElement} */ (input.closest("tr")).dataset.row));
    const cells = lines.flatMap((line, down) => line.flatMap((cell, right) => {
      const row = numbers[first + down] ?? numbers[numbers.length - 1] + first + down - (numbers.length - 1);
      return headings[right] ? [[row, headings[right], cell.trim()]] : [];
    }));
    this.change(`pasted ${lines.length} rows`, cells);
  }

  /** @param {boolean} again */
  step(again) {
    this.send(() => askWall(again ? "redo" : "undo", { table: this.table.name }));
  }

  /** @param {HTMLElement} button */
  tool(button) {
    if (button.dataset.do === "more") {
      this.all = !this.all;
      button.setAttribute("aria-pressed", String(this.all));
      this.redraw();
    } else if (button.dataset.do === "remove") this.remove(this.at);
    else this.step(button.dataset.do === "redo");
  }
}
