// `headgate rehearse`: one run of a car with a settings file, on the core rig or the emulated board, and what everything did.

import { InvalidArgumentError } from "@commander-js/extra-typings";
import type { AddCommand } from "../command.ts";
import { wholeNumber, withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";
import {
  batteryOption,
  bottleOption,
  lateOption,
  liftOption,
  noiseOption,
  quantityOption,
  shareOption,
} from "./condition-options.ts";
import type { RehearseOptions } from "./run-rehearsal.ts";

const timeOption = quantityOption("time", [0.5, 60], "quarter, eighth, or a time from 0.5 s to 60 s");

function untilOption(text: string): "quarter" | "eighth" | number {
  if (text === "quarter" || text === "eighth") return text;
  if (/^\d/u.test(text)) return timeOption(text);
  throw new InvalidArgumentError("enter quarter, eighth, or a time from 0.5 s to 60 s.");
}

async function rehearse(
  session: Session,
  file: string | undefined,
  options: RehearseOptions,
): Promise<Result> {
  const { rehearseFile } = await import("./run-rehearsal.ts");
  const { goodFile } = await import("../settings/settings-file.ts");
  const { packageFile } = await import("../package-file.ts");
  const good = goodFile(session, file ?? packageFile("host", "demo", "street-coupe.yaml"));
  return rehearseFile(session, good, options);
}

export const addRehearse: AddCommand = (program, act) => {
  withCommon(program.command("rehearse"))
    .argument("[file]", "settings file (default: the demo's own)")
    .option("--car <file>", "car file of the car that drives (default: the demo car)")
    .option("--board", "run the released image on the emulated board instead of the core alone")
    .option(
      "--until <end>",
      "where the run ends: quarter, eighth, or a time",
      untilOption,
      "quarter" as const,
    )
    .option("--grip <share>", "the tyres' grip, as a share of the car file's, such as 85%", shareOption)
    .option("--late <time>", "the car goes so long after its launch switch says so", lateOption)
    .option("--bottle <pressure>", "bottle pressure at the start, gauge, such as 850psi", bottleOption)
    .option("--flow <share>", "nitrous flow, as a share of the plan's", shareOption)
    .option("--valves <share>", "times of all valves, as a share of the settings'", shareOption)
    .option("--battery <voltage>", "the battery without load by the valves, such as 11.5V", batteryOption)
    .option("--noise [voltage]", "noise at every sensor, 5 mV when not named", noiseOption)
    .option("--lift <time>", "lift the pedal for 0.6 s so long after the launch switch", liftOption)
    .option("--seed <number>", "seed of the noise", wholeNumber(0, 2 ** 31 - 1), 1)
    .option("--keep <file>", "write a new run file with all that the core read, for `headgate replay`")
    .option("--html <file>", "where to write the page with the plots", "headgate-run.html")
    .description(
      "drive a car with these settings, and show its time slip, its wheels and what every stage did",
    )
    .action(act(rehearse));
};
