// A page of the docs as lines for a screen: headings, paragraphs, lists and tables wrapped to its width, code as it stands.
import { tableLines } from "./table.ts";
import type { Paint } from "./terminal.ts";
import { labelled, wrap } from "./wrap.ts";

/** Marks of emphasis, code and links taken away; of a link its text stays. */
const inline = (text: string): string =>
  text
    .replace(/!\[([^\]]*)\]\([^)]*\)/g, "$1")
    .replace(/\[([^\]]*)\]\([^)]*\)/g, "$1")
    .replace(/\*\*([^*]+)\*\*/g, "$1")
    .replace(/(?<!\w)_([^_]+)_(?!\w)/g, "$1")
    .replaceAll("\\|", "|")
    .replaceAll("&nbsp;", " ")
    .replaceAll("`", "");

const cellsOf = (row: string): string[] =>
  row
    .replace(/^\||\|$/g, "")
    .split(/(?<!\\)\|/)
    .map((cell) => inline(cell.trim()));

/** One block of lines that belong together. */
type Block =
  | { readonly kind: "code" | "table"; readonly lines: readonly string[] }
  | { readonly kind: "head" | "text"; readonly text: string }
  | { readonly kind: "item"; readonly mark: string; readonly text: string };

const ITEM = /^(\s*(?:[-*]|\d+\.)) +(.*)$/;

class Blocks {
  readonly done: Block[] = [];
  private readonly lines: readonly string[];
  private at = 0;

  constructor(page: string) {
    this.lines = page.split("\n");
    while (this.at < this.lines.length) this.next();
  }

  private while(goesOn: (line: string) => boolean): string[] {
    const from = this.at;
    while (this.at < this.lines.length && goesOn(this.lines[this.at]!)) this.at++;
    return this.lines.slice(from, this.at);
  }

  private next(): void {
    const line = this.lines[this.at]!;
    if (line.trim() === "" || /^<!--.*-->$/.test(line)) this.at++;
    else if (/^ *```/.test(line)) this.code();
    else if (line.startsWith("#"))
      this.done.push({ kind: "head", text: inline(this.lines[this.at++]!.replace(/^#+ */, "")) });
    else if (line.startsWith("|"))
      this.done.push({ kind: "table", lines: this.while((one) => one.startsWith("|")) });
    else this.paragraph();
  }

  private code(): void {
    this.at++;
    const lines = this.while((line) => !/^ *```/.test(line));
    this.at++;
    this.done.push({ kind: "code", lines });
  }

  private paragraph(): void {
    const [, mark, first] = ITEM.exec(this.lines[this.at]!) ?? [];
    if (mark !== undefined) this.at++;
    const rest = this.while((line) => line.trim() !== "" && !ITEM.test(line) && !/^ *```|^#|^\|/.test(line));
    const text = inline([first ?? "", ...rest.map((line) => line.trim())].join(" ").trim());
    this.done.push(mark === undefined ? { kind: "text", text } : { kind: "item", mark, text });
  }
}

function table(lines: readonly string[], width: number): string[] {
  const [head = [], , ...rows] = lines.map(cellsOf);
  return tableLines(head, rows, width);
}

function linesOf(block: Block, width: number, paint: Paint): string[] {
  switch (block.kind) {
    case "code":
      return [...block.lines.map((line) => `  ${line}`), ""];
    case "table":
      return [...table(block.lines, width), ""];
    case "head":
      return ["", ...wrap(block.text.toUpperCase(), width).map(paint.strong), ""];
    case "item":
      return labelled(block.mark, block.text, width);
    default:
      return [...wrap(block.text, width), ""];
  }
}

/** Lines of a width; never two empty ones after each other. */
export function markdownLines(page: string, width: number, paint: Paint): string[] {
  const lines = new Blocks(page).done.flatMap((block) => linesOf(block, width, paint));
  return lines.filter((line, i) => line !== "" || (i > 0 && lines[i - 1] !== ""));
}
