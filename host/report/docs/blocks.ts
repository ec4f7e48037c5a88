// A page of the docs in blocks: headings, paragraphs, items of lists, tables and code; marks of emphasis and links are taken away, those of code stay in paragraphs and items.

/** Marks of emphasis and links taken away; of a link its text stays. Marks of code stay. */
const withCode = (text: string): string =>
  text
    .replace(/!\[([^\]]*)\]\([^)]*\)/g, "$1")
    .replace(/\[([^\]]*)\]\([^)]*\)/g, "$1")
    .replace(/\*\*([^*]+)\*\*/g, "$1")
    .replace(/(?<!\w)_([^_]+)_(?!\w)/g, "$1")
    .replaceAll("\\|", "|")
    .replaceAll("&nbsp;", " ");

/** The marks of code taken away too. */
export const withoutCode = (text: string): string => text.replaceAll("`", "");

/** Cells of a row of a table. */
export const cellsOf = (row: string): string[] =>
  row
    .replace(/^\||\|$/g, "")
    .split(/(?<!\\)\|/)
    .map((cell) => withoutCode(withCode(cell.trim())));

/** One block of lines that belong together. */
export type Block =
  | { readonly kind: "code" | "table"; readonly lines: readonly string[] }
  | { readonly kind: "text"; readonly text: string }
  | { readonly kind: "head"; readonly text: string; readonly level: number }
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
    else if (line.startsWith("#")) this.head(this.lines[this.at++]!);
    else if (line.startsWith("|"))
      this.done.push({ kind: "table", lines: this.while((one) => one.startsWith("|")) });
    else this.paragraph();
  }

  private head(line: string): void {
    const [marks = "#"] = /^#+/.exec(line) ?? [];
    this.done.push({
      kind: "head",
      level: marks.length,
      text: withoutCode(withCode(line.slice(marks.length).trim())),
    });
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
    const text = withCode([first ?? "", ...rest.map((line) => line.trim())].join(" ").trim());
    this.done.push(mark === undefined ? { kind: "text", text } : { kind: "item", mark, text });
  }
}

/** Blocks of a page, in order. */
export const blocksOf = (page: string): readonly Block[] => new Blocks(page).done;
