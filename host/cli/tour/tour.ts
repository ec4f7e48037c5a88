// `headgate tour`: the whole loop on the emulated board, from the demo car's plan to the review of its run. `npm start` runs it.
import type { AddCommand } from "../command.ts";
import { withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";

interface Options {
  readonly out: string;
}

async function tour(session: Session, { out }: Options): Promise<Result> {
  const { runTour } = await import("./run-tour.ts");
  return runTour(session, out);
}

export const addTour: AddCommand = (program, act) => {
  withCommon(program.command("tour"))
    .option(
      "--out <folder>",
      "folder for its pages and files; those of an earlier tour are replaced",
      "headgate-tour",
    )
    .description("show the whole loop: plan a demo car, load, prove, drive, pull and review its run")
    .action(act(tour));
};
