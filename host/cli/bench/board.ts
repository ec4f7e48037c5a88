// `headgate board`: a board to practise on, served until interrupted; `headgate board VERB` moves a hand on the one that runs.

import type { Command } from "@commander-js/extra-typings";
import { VERBS, type Verb } from "#host/bench/practice/verbs.ts";
import type { Act, AddCommand } from "../command.ts";
import { wholeNumber, withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { BoardOptions } from "./practice/start.ts";

/** Settles after so many seconds, or when the user interrupts. */
function until(session: Session, seconds: number | undefined): Promise<void> {
  const { io } = session;
  return new Promise((resolve) => {
    const callOff = seconds === undefined ? () => {} : io.clock.after(seconds * 1000, resolve);
    const stop = (): void => {
      callOff();
      resolve();
    };
    if (io.signal.aborted) stop();
    else io.signal.addEventListener("abort", stop, { once: true });
  });
}

async function board(session: Session, options: BoardOptions): Promise<void> {
  const { startPractice } = await import("./practice/start.ts");
  const served = await startPractice(session, options);
  const { port, kind, url } = served;
  session.talk("A board to practise on. Nothing here is real, and no real board is touched.");
  session.talk(`Open this page on this computer: ${url}`);
  session.talk("Or move its hands in another window, and speak to it with every other command:");
  session.talk("  headgate board show");
  session.talk("  headgate status --port practice");
  session.talk("stop it with Ctrl-C");
  session.finish({ data: { port, kind, url }, lines: [port] });
  try {
    await Promise.race([until(session, options.seconds), served.ended]);
  } finally {
    await served.close();
  }
}

const NOTES = `
Verbs move the hands of the board that runs, from another window:
  headgate board arm on
  headgate board pedal 100%
  headgate board bottle 700psi
  headgate board wire manifold open
  headgate board run 4s
Every other command reaches it with --port practice.`;

async function move(session: Session, verb: string, words: readonly string[]): Promise<Result> {
  const { hand } = await import("./practice/hand.ts");
  return hand(session, verb, words);
}

function addVerb(command: Command, act: Act, { name, takes, meaning, things }: Verb): void {
  const verb = withCommon(command.command(name)).description(
    things ? `${meaning}; <name> is one of ${things.join(", ")}` : meaning,
  );
  const words = takes === "" ? verb : verb.argument("[words...]", takes);
  words.action((...args: unknown[]) => {
    const own = args.at(-1) as Command;
    const [given] = takes === "" ? [[]] : (args as [string[]]);
    const work = (session: Session, _options: unknown, _own: unknown) => move(session, name, given ?? []);
    return act(work)(own.optsWithGlobals(), own);
  });
}

export const addBoard: AddCommand = (program, act) => {
  const command = withCommon(program.command("board"))
    .option(
      "--tcp [port]",
      "offer its line over TCP on this computer instead of a pseudo-terminal",
      wholeNumber(0, 65535),
    )
    .option("--flash <file>", "keep what its flash holds in this file: settings, runs and image")
    .option("--car <file>", "car file of the car at its connectors (default: the demo car)")
    .option("--seconds <number>", "stop after this many seconds", wholeNumber(1, 86_400))
    .description("run a board to practise on: its serial line, a car, a page, and hands")
    .addHelpText("after", NOTES)
    .action(act(board));
  for (const verb of VERBS) addVerb(command as unknown as Command, act, verb);
};
