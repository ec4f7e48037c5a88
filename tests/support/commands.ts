// The commands in the code blocks of a Markdown page, and how a line of a shell becomes the words of one.
import { readFileSync } from "node:fs";

const blocksOf = (page: string): string[] =>
  [...page.matchAll(/^ *```\w*\n([\s\S]*?)^ *```$/gm)].map((match) => match[1]!.replace(/\\\n\s*/g, ""));

/** Lines of code blocks that begin with the tool's name; what follows two spaces is a remark beside it. */
export function commandsIn(path: string): string[] {
  return blocksOf(readFileSync(path, "utf8"))
    .flatMap((block) => block.split("\n"))
    .map((line) => line.trim().replace(/ {2,}.*$/, ""))
    .filter((line) => line.startsWith("headgate "));
}

/** Commands within the text and the tables of a page: code that begins with the tool's name and says more than a verb. */
export function commandsWithin(path: string): string[] {
  const text = readFileSync(path, "utf8").replace(/^ *```[\s\S]*?^ *```$/gm, "");
  return [...text.matchAll(/`(headgate [^`]+)`/g)].map((match) => match[1]!.replace(/\s+/g, " "));
}

/** Words of a line, the tool's name left out; quotes hold words together. */
export const wordsOf = (line: string): string[] =>
  [...line.matchAll(/"([^"]*)"|(\S+)/g)].map((match) => match[1] ?? match[2]!).slice(1);
