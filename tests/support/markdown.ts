// Tables of a Markdown page as cells; how they are padded does not matter.

/** The cells of every table row, heads and rules left out. */
export function tableRows(page: string): string[][] {
  const lines = page.split("\n");
  const isRule = (line: string | undefined): boolean => /^\|( -+ \|)+$/.test(line ?? "");
  return lines
    .filter((line, i) => line.startsWith("| ") && !isRule(line) && !isRule(lines[i + 1]))
    .map((line) =>
      line
        .slice(1, -1)
        .split(/(?<!\\)\|/)
        .map((cell) => cell.trim()),
    );
}
