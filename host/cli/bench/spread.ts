// `headgate spread`: many runs of a car with a settings file, each under other conditions; `spread join` puts parts together.

import { type Command, InvalidArgumentError } from "@commander-js/extra-typings";
import type { Act, AddCommand } from "../command.ts";
import { wholeNumber, withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";
import {
  batteryOption,
  bottleToleranceOption,
  lateOption,
  noiseOption,
  toleranceOption,
} from "./condition-options.ts";
import type { SpreadOptions } from "./run-spread.ts";

function partOption(text: string): readonly [number, number] {
  const [part = 0, of = 0] = /^\d+\/\d+$/u.test(text) ? text.split("/").map(Number) : [];
  if (part >= 1 && part <= of) return [part, of];
  throw new InvalidArgumentError("enter a part as I/N, such as 3/20.");
}

function untilOption(text: string): "quarter" | "eighth" {
  if (text === "quarter" || text === "eighth") return text;
  throw new InvalidArgumentError("enter quarter or eighth.");
}

async function spread(session: Session, file: string, options: SpreadOptions): Promise<Result> {
  const { spreadFile } = await import("./run-spread.ts");
  return spreadFile(session, file, options);
}

interface JoinOptions {
  readonly out?: string | undefined;
}

async function join(
  session: Session,
  files: readonly string[],
  options: JoinOptions,
  _command: unknown,
): Promise<Result> {
  const { joined, spreadText } = await import("./spread-file.ts");
  const { spreadResult } = await import("./spread-report.ts");
  const whole = joined(session, files);
  const missing = whole.head.all - whole.runs.length;
  if (missing > 0) session.talk(`${missing} of ${whole.head.all} runs are in none of the files`);
  if (options.out !== undefined) {
    const { writeNew } = await import("../files.ts");
    writeNew(session.io, options.out, spreadText(whole.head, whole.runs));
  }
  return spreadResult(session, whole, false);
}

const NOTES = `
Parts of a spread, driven anywhere, join to what one machine would say:
  headgate spread my.yaml --car car.yaml --runs 999 --part 3/20 --out 3.json
  headgate spread join part-*.json
A file that --out finds with runs of the same spread is gone on with.`;

function addJoin(command: Command<[string], Record<string, unknown>>, act: Act): void {
  withCommon(command.command("join"))
    .argument("<files...>", "files that `headgate spread --out` wrote")
    .description("put parts of one spread together")
    .action((files, _, own) => act(join)(files, own.optsWithGlobals() as JoinOptions, own));
}

export const addSpread: AddCommand = (program, act) => {
  const command = withCommon(program.command("spread"))
    .argument("<file>", "settings file")
    .option("--car <file>", "car file of the car that drives (default: the demo car)")
    .option("--runs <count>", "how many runs", wholeNumber(1, 1_000_000), 200)
    .option("--seed <number>", "seed of everything that is drawn", wholeNumber(0, 2 ** 31 - 1), 1)
    .option("--corners", "the corners of the tolerance instead of runs drawn from it")
    .option("--until <end>", "where runs end: quarter or eighth", untilOption, "quarter" as const)
    .option("--grip <share>", "tolerance of the tyres' grip (default: 10%)", toleranceOption)
    .option("--late <time>", "how late the car may go (default: 0.3s)", lateOption)
    .option("--bottle <pressure>", "tolerance of bottle pressure (default: 5 bar)", bottleToleranceOption)
    .option("--flow <share>", "tolerance of the nitrous flow (default: 10%)", toleranceOption)
    .option("--valves <share>", "tolerance of the valves' times (default: 15%)", toleranceOption)
    .option("--battery-low <voltage>", "the weakest battery (default: the car file's)", batteryOption)
    .option("--battery-high <voltage>", "the strongest battery (default: the car file's)", batteryOption)
    .option("--noise <voltage>", "noise at every sensor (default: 5mV)", noiseOption)
    .option("--part <I/N>", "only part I of N", partOption)
    .option("--out <file>", "write all runs, for join and for scripts")
    .option("--html <file>", "write what all runs came to, and the worst run, as a page")
    .option("--workers <count>", "drive on so many processors; on all when left out", wholeNumber(1, 64))
    .description("drive many runs under other conditions: quantiles of time and slip, trips, the worst run")
    .addHelpText("after", NOTES)
    .action(act(spread));
  addJoin(command as unknown as Command<[string], Record<string, unknown>>, act);
};
