// A page of the docs as lines for a screen: headings, paragraphs, lists and tables wrapped to its width, code as it stands.
import { type Block, blocksOf, cellsOf, withoutCode } from "../docs/blocks.ts";
import { tableLines } from "./table.ts";
import type { Paint } from "./terminal.ts";
import { labelled, wrap } from "./wrap.ts";

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
      return labelled(block.mark, withoutCode(block.text), width);
    default:
      return [...wrap(withoutCode(block.text), width), ""];
  }
}

/** Lines of a width; never two empty ones after each other. */
export function markdownLines(page: string, width: number, paint: Paint): string[] {
  const lines = blocksOf(page).flatMap((block) => linesOf(block, width, paint));
  return lines.filter((line, i) => line !== "" || (i > 0 && lines[i - 1] !== ""));
}
