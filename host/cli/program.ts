// The command line as a whole: every command is registered here; what it needs is loaded when it runs.
import { Command } from "@commander-js/extra-typings";
import { Failure } from "#host/errors/failure.ts";
import { NOTHING_PROVED } from "#host/report/proof/words.ts";
import { wrap } from "#host/report/terminal/wrap.ts";
import { addBoard } from "./bench/board.ts";
import { addProve } from "./bench/prove.ts";
import { addRehearse } from "./bench/rehearse.ts";
import { addSpread } from "./bench/spread.ts";
import type { Act, AddCommand } from "./command.ts";
import { addExplain } from "./explain.ts";
import { addFlash } from "./flash/flash.ts";
import type { Io } from "./io.ts";
import { addLearn } from "./learn/learn.ts";
import { addDoctor } from "./line/doctor.ts";
import { addPorts } from "./line/ports.ts";
import { addStatus } from "./line/status.ts";
import { addWatch } from "./line/watch.ts";
import { addHistory } from "./load/history.ts";
import { addLoad } from "./load/load.ts";
import { addUndo } from "./load/undo.ts";
import { NOT_LOADED } from "./load/verdict.ts";
import { addErase } from "./log/erase.ts";
import { addPull } from "./log/pull.ts";
import { addReplay } from "./log/replay.ts";
import { addRuns } from "./log/runs.ts";
import { addCompletion } from "./manual/completion-command.ts";
import { addHelp } from "./manual/help-command.ts";
import { addPlan } from "./plan/plan.ts";
import { addReview } from "./review/review.ts";
import { type CommonOptions, Session } from "./session.ts";
import { addCheck } from "./settings/check.ts";
import { addDiff } from "./settings/diff.ts";
import { addNew } from "./settings/new.ts";
import { addRead } from "./settings/read.ts";
import { addTour } from "./tour/tour.ts";
import { type CommanderEnd, usageWords } from "./usage.ts";
import { TOOL_VERSION } from "./version.ts";

const COMMANDS: readonly AddCommand[] = [
  addPlan,
  addNew,
  addCheck,
  addLoad,
  addUndo,
  addHistory,
  addRead,
  addDiff,
  addStatus,
  addWatch,
  addRuns,
  addPull,
  addReplay,
  addReview,
  addLearn,
  addErase,
  addFlash,
  addPorts,
  addDoctor,
  addBoard,
  addRehearse,
  addSpread,
  addProve,
  addTour,
  addExplain,
  addHelp,
  addCompletion,
];

const NOTES = `Exit codes: 0 yes, 1 no, 64 usage, 65 bad settings, 66 no file, 69 no device,
70 our bug, 74 link lost, 75 try again, 76 mismatch, 77 permission,
130 interrupted. No command uses a network.

Nitrous oxide can kill. Keep to what the makers of your parts say, to the law,
and to what licensed people advise. Work on lines only with the bottle shut.`;

/** Under so many columns a meaning stands below its command or option, not beside it. */
const NARROW = 60;

/** Paragraphs in lines of a width, with an empty line before each. */
const paragraphs = (text: string, width: number): string =>
  text
    .split("\n\n")
    .map((one) => wrap(one, width).join("\n"))
    .join("\n\n");

/** A command or an option with its meaning below it. */
const stacked =
  (width: number) =>
  (term: string, _: number, meaning: string): string =>
    [`  ${term}`, ...wrap(meaning, width - 4).map((line) => `    ${line}`)].join("\n");

function optionsOf(args: readonly unknown[]): CommonOptions {
  return (args.at(-2) ?? {}) as CommonOptions;
}

/** The program with all its commands, speaking through a session. */
export function buildProgram(session: Session): Command {
  const program = new Command("headgate");
  program
    .description("Plan, load, prove and read a Headgate nitrous controller.")
    .version(TOOL_VERSION)
    .addHelpText("after", `\n${paragraphs(NOTES, session.width)}`)
    .helpCommand(false)
    .exitOverride()
    .configureHelp({
      helpWidth: session.width,
      ...(session.width < NARROW ? { formatItem: stacked(session.width) } : {}),
    })
    .configureOutput({
      writeOut: (text) => session.io.stdout.write(text),
      writeErr: () => {},
      getOutHelpWidth: () => session.width,
    });
  const act: Act =
    (work) =>
    async (...args) => {
      const options = optionsOf(args);
      session.json = options.json === true;
      session.debug = options.debug === true;
      const result = await work(session, ...args);
      if (result) session.finish(result);
    };
  for (const add of COMMANDS) add(program, act);
  for (const command of program.commands)
    command.hook("preAction", () => setCommand(session, command.name()));
  return program;
}

function setCommand(session: Session, name: string): void {
  session.command = name;
}

const isCommanderEnd = (thrown: unknown): thrown is CommanderEnd =>
  typeof (thrown as CommanderEnd | null)?.code === "string" &&
  (thrown as CommanderEnd).code.startsWith("commander.");

/** A usage mistake, and whose help to read: that of the command, where there is one of that name. */
function usageFailure(end: CommanderEnd, program: Command, name: string | undefined): Failure {
  const command = program.commands.find((one) => one.name() === name);
  return new Failure("usage", {
    ...usageWords(end),
    ...(command ? { todo: `read \`headgate ${command.name()} --help\`, then correct the command` } : {}),
  });
}

/** Commands that promise a last line, and what it is after a usage mistake. */
const PROMISED: Readonly<Record<string, string>> = {
  load: NOT_LOADED,
  undo: NOT_LOADED,
  prove: NOTHING_PROVED,
};

/** Runs the tool once; gives its exit code and never ends the process. */
export async function runCli(args: readonly string[], io: Io): Promise<number> {
  const session = new Session(io);
  session.json = args.includes("--json");
  session.debug = args.includes("--debug");
  session.verdict = PROMISED[args[0] ?? ""];
  // Also a mistake that is found before the command begins is one document a line there.
  session.streams = args[0] === "watch" || args.includes("--watch");
  const program = buildProgram(session);
  try {
    await program.parseAsync([...args], { from: "user" });
  } catch (thrown) {
    const end = isCommanderEnd(thrown) ? thrown : undefined;
    if (end?.exitCode === 0) return 0;
    session.fail(end ? usageFailure(end, program, args[0]) : thrown);
  }
  return session.exit;
}
