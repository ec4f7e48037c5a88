// A page of the docs as one HTML file to print: each part under a heading stays together on its sheet. No script, nothing from elsewhere.
import { escapeHtml, htmlTable } from "../html.ts";
import { pageHead } from "../page.ts";
import { type Block, blocksOf, cellsOf } from "./blocks.ts";

/** What cards have beside the look of every page. */
const CARDS = `
  body { max-width: 46rem; } h1 { font-size: 1.6rem; } section h2 { margin: 0 0 .5rem; }
  section { border: 2px solid; border-radius: .4rem; padding: .8rem 1rem; margin: 1rem 0; break-inside: avoid; }
  pre { white-space: pre-wrap; border-left: 4px solid; padding-left: .8rem; } li { margin: .3rem 0; } code { font-weight: bold; }
  @media print { body { font-size: 14px; line-height: 1.35; } h1 { font-size: 1.3rem; } section { padding: .4rem .9rem; margin: .6rem 0; } }
`;

/** Text with what is typed set apart from what is said. */
const textHtml = (text: string): string => escapeHtml(text).replace(/`([^`]+)`/g, "<code>$1</code>");

function listHtml(items: readonly (Block & { readonly kind: "item" })[]): string {
  const tag = /\d/.test(items[0]!.mark) ? "ol" : "ul";
  return `<${tag}>${items.map(({ text }) => `<li>${textHtml(text)}</li>`).join("")}</${tag}>`;
}

function blockHtml(block: Block): string {
  switch (block.kind) {
    case "head":
      return `<h${block.level}>${escapeHtml(block.text)}</h${block.level}>`;
    case "code":
      return `<pre>${escapeHtml(block.lines.join("\n"))}</pre>`;
    case "table": {
      const [head = [], , ...rows] = block.lines.map(cellsOf);
      return htmlTable(head, rows);
    }
    case "item":
      return listHtml([block]);
    default:
      return `<p>${textHtml(block.text)}</p>`;
  }
}

/** Blocks as HTML, items that follow each other in one list. */
function bodyHtml(blocks: readonly Block[]): string {
  const parts: string[] = [];
  for (let at = 0; at < blocks.length; at++) {
    const items: (Block & { readonly kind: "item" })[] = [];
    for (let block = blocks[at]; block?.kind === "item"; block = blocks[++at]) items.push(block);
    if (items.length > 0) parts.push(listHtml(items));
    const block = blocks[at];
    if (block) parts.push(blockHtml(block));
  }
  return parts.join("\n");
}

/** The whole page: each part under a heading of the second level is a card. */
export function docsPage(title: string, text: string): string {
  const blocks = blocksOf(text);
  const cuts = blocks.flatMap((block, i) => (block.kind === "head" && block.level === 2 ? [i] : []));
  const before = bodyHtml(blocks.slice(0, cuts[0] ?? blocks.length));
  const cards = cuts.map((from, i) => `<section>${bodyHtml(blocks.slice(from, cuts[i + 1]))}</section>`);
  return [`${pageHead(title, CARDS)}<main>`, before, ...cards, "</main></body></html>", ""].join("\n");
}
