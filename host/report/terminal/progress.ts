// Progress that a person can follow: a bar on a terminal, one line for every tenth elsewhere.
import { type Screen, widthOf } from "./terminal.ts";

const STEPS = 10;

/** Called with work done out of all; `end` closes the bar. */
export interface ProgressShow {
  readonly update: (done: number, all: number) => void;
  readonly end: () => void;
}

/** A bar of `=` that fits the screen. */
export function barText(label: string, share: number, width: number): string {
  const percent = `${Math.floor(share * 100)} %`.padStart(5);
  const room = Math.max(4, width - label.length - percent.length - 5);
  const full = Math.round(share * room);
  return `${label} [${"=".repeat(full)}${" ".repeat(room - full)}]${percent}`;
}

/** Shows progress on a stream. Before a bar is drawn it is made `quiet`: a key that were echoed would tear the bar. */
export function progressOn(screen: Screen, label: string, quiet?: () => void): ProgressShow {
  let shown = -1;
  const draw = (share: number): void => {
    if (screen.isTTY) {
      if (shown < 0) quiet?.();
      screen.write(`\r${barText(label, share, widthOf(screen) - 1)}`);
      shown = 1;
      return;
    }
    const step = Math.floor(share * STEPS);
    if (step > shown) screen.write(`${label} ${step * (100 / STEPS)} %\n`);
    shown = Math.max(shown, step);
  };
  return {
    update: (done, all) => draw(all === 0 ? 1 : done / all),
    end: () => {
      if (screen.isTTY && shown >= 0) screen.write("\n");
      shown = -1;
    },
  };
}
