// `headgate learn CAR RUN...`: what recorded runs say of a car, and what of it may go into its file.
import { Option } from "@commander-js/extra-typings";
import type { AddCommand } from "../command.ts";
import { withPort } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { LearnOptions } from "./run-learn.ts";

async function learn(
  session: Session,
  car: string,
  runs: readonly string[],
  options: LearnOptions,
): Promise<Result> {
  const { learnFrom } = await import("./run-learn.ts");
  return learnFrom(session, car, runs, options);
}

export const addLearn: AddCommand = (program, act) => {
  withPort(program.command("learn"))
    .argument("<car>", "car file")
    .argument("[runs...]", "run files, or numbers of stored runs, or last: all of one car on one day")
    .option("--write", "put what was learned into the car file, with its origin")
    .option("--raise", "with --write: yes to a higher share, of 5 points at most, where two runs agree")
    .addOption(
      new Option(
        "--baseline <file>",
        "write new settings for the run with the bottle shut: every share at 0, so that neither valve moves",
      ),
    )
    .option("--settings <file>", "with --baseline: settings file that is in use (default: the first run's)")
    .description("learn grip, engine power, nitrous power and flow from runs, and lower the plan by it")
    .action(act(learn));
};
