// What a terminal stream can do, and words made bold or coloured only where that can be seen; meaning never hangs on colour.
import { styleText } from "node:util";

/** The part of an output stream that matters here. */
export interface Screen {
  write(text: string): unknown;
  readonly isTTY?: boolean | undefined;
  readonly columns?: number | undefined;
  readonly rows?: number | undefined;
}

/** Environment variables by name. */
export type Env = Readonly<Record<string, string | undefined>>;

type Format = Parameters<typeof styleText>[0];

/** Paints text for one stream. */
export interface Paint {
  readonly strong: (text: string) => string;
  readonly good: (text: string) => string;
  readonly bad: (text: string) => string;
  readonly warn: (text: string) => string;
  readonly faint: (text: string) => string;
}

/** Does the stream show colour? NO_COLOR (no-color.org), FORCE_COLOR and a dumb terminal are respected. */
export function showsColour(screen: Screen, env: Env): boolean {
  if (env.NO_COLOR) return false;
  if (env.FORCE_COLOR) return env.FORCE_COLOR !== "0";
  return screen.isTTY === true && env.TERM !== "dumb";
}

/** Painters for a stream; each gives its text back unchanged where colour is not shown. */
export function paintFor(screen: Screen, env: Env): Paint {
  const on = showsColour(screen, env);
  const painter = (format: Format) => (text: string) =>
    on ? styleText(format, text, { validateStream: false }) : text;
  return {
    strong: painter("bold"),
    good: painter("green"),
    bad: painter(["bold", "red"]),
    warn: painter("yellow"),
    faint: painter("dim"),
  };
}

const USUAL_COLUMNS = 80;
const LEAST_COLUMNS = 20;
const USUAL_ROWS = 24;
const LEAST_ROWS = 4;

/** Lines that a screen shows; no end in a pipe. */
export function heightOf(screen: Screen): number {
  return screen.isTTY === true ? Math.max(LEAST_ROWS, screen.rows ?? USUAL_ROWS) : Number.POSITIVE_INFINITY;
}

/** Width to write for: the terminal's, or 80 in a pipe. */
export function widthOf(screen: Screen): number {
  return Math.max(LEAST_COLUMNS, screen.columns ?? USUAL_COLUMNS);
}
