// One run of one command: what it says where. Data on stdout, talk on stderr; with --json exactly one document on stdout.

import { stripVTControlCharacters } from "node:util";
import { EXIT, type ExitCode } from "#host/errors/exit.ts";
import { Failure, messageOf } from "#host/errors/failure.ts";
import { type ProgressShow, progressOn } from "#host/report/terminal/progress.ts";
import { type Paint, paintFor, widthOf } from "#host/report/terminal/terminal.ts";
import { printable, wrap } from "#host/report/terminal/wrap.ts";
import type { Io } from "./io.ts";

/** What a command comes to. `data` is the `--json` document without its envelope, `lines` the same for people. */
export interface Result {
  readonly exit?: ExitCode;
  readonly data: Readonly<Record<string, unknown>>;
  readonly lines: readonly string[];
}

/** Options that every command has. */
export interface CommonOptions {
  readonly json?: true | undefined;
  readonly debug?: true | undefined;
}

/** Speaks for one command. */
export class Session {
  readonly io: Io;
  readonly paint: Paint;
  /** Width of stdout. */
  readonly width: number;
  json = false;
  debug = false;
  command = "";
  exit: ExitCode = EXIT.yes;
  /** Last line of a command that promises one, also when it fails. */
  verdict: string | undefined;
  /** The command prints documents one to a line, also that of its failure. */
  streams = false;
  /** Lines of talk so far: they stand on the same screen. */
  talked = 0;
  private printed = false;
  private readonly saidOnce = new Set<string>();
  /** The latest bar; a failure in the middle of it begins a line of its own. */
  private bar: ProgressShow | undefined;

  constructor(io: Io) {
    this.io = io;
    this.paint = paintFor(io.stdout, io.env);
    this.width = widthOf(io.stdout);
  }

  /** A line on stderr, broken where it is too wide; nothing that a script should read. */
  talk(text = ""): void {
    const width = widthOf(this.io.stderr);
    const fits = stripVTControlCharacters(text).length <= width;
    const lines = fits ? [text] : wrap(text, width, 2);
    for (const line of lines) this.io.stderr.write(`${line}\n`);
    this.talked += lines.length;
  }

  /** A line on stderr that says nothing new the second time. */
  talkOnce(text: string): void {
    if (!this.saidOnce.has(text)) this.talk(text);
    this.saidOnce.add(text);
  }

  /** Sentences as lines for stdout. */
  wrapped(...texts: readonly string[]): string[] {
    return texts.flatMap((text) => wrap(text, this.width, 2));
  }

  /** The verdict as lines: one line for scripts to read, broken only on a screen that is too narrow. */
  verdictLines(verdict: string): string[] {
    return this.io.stdout.columns === undefined ? [verdict] : this.wrapped(verdict);
  }

  progress(label: string): ProgressShow {
    this.bar = progressOn(this.io.stderr, label, this.io.echoOff);
    return this.bar;
  }

  /** Is somebody there who can answer a question? */
  get interactive(): boolean {
    return this.io.stdin.isTTY === true && this.io.stderr.isTTY === true;
  }

  /** Prints what a command came to. */
  finish(result: Result): void {
    this.exit = result.exit ?? EXIT.yes;
    if (this.json) this.document({ ok: this.exit === EXIT.yes, ...result.data });
    else this.out(result.lines);
  }

  /** Prints one of several results of a command that goes on: JSON Lines with `--json`. */
  step({ data, lines }: Result, ok: boolean): void {
    if (this.json) this.io.stdout.write(`${JSON.stringify({ command: this.command, ok, ...data })}\n`);
    else this.out(lines);
  }

  /** Prints a failure. Anything that is not a `Failure` is a mistake in the program. */
  fail(thrown: unknown): void {
    this.bar?.end();
    const failure =
      thrown instanceof Failure ? thrown : new Failure("bug", { what: messageOf(thrown), cause: thrown });
    this.exit = failure.exit;
    const { code, message: what, expected, todo, exit, data } = failure;
    if (this.json) this.document({ ok: false, error: { code, what, expected, todo, exit }, ...data });
    else this.failureLines(failure);
    if (this.debug) this.talk(stackOf(failure));
    if (!this.json && this.verdict !== undefined) this.out(this.verdictLines(this.verdict));
  }

  private failureLines(failure: Failure): void {
    const { code } = failure;
    const [message, todo] = [printable(failure.message), printable(failure.todo)];
    const expected = failure.expected && printable(failure.expected);
    const paint = paintFor(this.io.stderr, this.io.env);
    const width = widthOf(this.io.stderr);
    const [first = "", ...more] = message.split("\n");
    for (const line of wrap(`headgate: ${first}`, width, 2)) this.talk(paint.bad(line));
    for (const line of more) this.talk(line);
    if (expected !== undefined) for (const line of wrap(`expected: ${expected}`, width, 2)) this.talk(line);
    for (const line of wrap(`do: ${todo}`, width, 2)) this.talk(line);
    this.talk(paint.faint(`more: headgate explain ${code}`));
  }

  /** The one document; what comes after it can only be talk. */
  private document(data: Readonly<Record<string, unknown>>): void {
    const verdict = this.verdict === undefined ? {} : { verdict: this.verdict };
    const text = JSON.stringify({ command: this.command, ...data, ...verdict }, null, this.streams ? 0 : 2);
    if (this.printed && !this.streams) this.talk(text);
    else this.io.stdout.write(`${text}\n`);
    this.printed = true;
  }

  private out(lines: readonly string[]): void {
    if (lines.length > 0) this.io.stdout.write(`${lines.join("\n")}\n`);
  }
}

function stackOf(failure: Failure): string {
  const { cause } = failure;
  return cause instanceof Error ? `${failure.stack}\ncaused by ${cause.stack}` : String(failure.stack);
}
