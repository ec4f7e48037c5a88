// Text in lines of a width; a word longer than the width stays whole.

/** Wraps at spaces. Continuation lines are indented by `hang` spaces. */
export function wrap(text: string, width: number, hang = 0): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(/\s+/).filter((w) => w !== "")) {
    const start = lines.length > 0 ? " ".repeat(hang) : "";
    const longer = line === "" ? start + word : `${line} ${word}`;
    if (line !== "" && longer.length > width) {
      lines.push(line);
      line = " ".repeat(hang) + word;
    } else line = longer;
  }
  return line === "" ? lines : [...lines, line];
}

/** Wraps with a label in front of the first line and everything aligned behind it. */
export function labelled(label: string, text: string, width: number): string[] {
  const hang = label.length + 1;
  const lines = wrap(text, Math.max(10, width - hang));
  return lines.map((line, i) => `${i === 0 ? label : " ".repeat(label.length)} ${line}`);
}

/** Text without bytes that a terminal would obey; what came from files and names is never sent on to it. */
export const printable = (text: string): string =>
  text.replace(/[\p{Cc}\p{Cf}\u2028\u2029]/gu, (c) => (c === "\n" ? c : "\ufffd"));
