// `headgate review RUN [OTHER]`: what happened in a run, in words, in numbers, and as one page with every channel.
import { Option } from "@commander-js/extra-typings";
import type { AxisKind } from "#host/logbook/align.ts";
import type { Reviewed } from "#host/report/review/reviewed.ts";
import type { AddCommand } from "../command.ts";
import { withPort } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { RunOptions } from "./opened.ts";

interface Options extends RunOptions {
  readonly html?: string | undefined;
  readonly csv?: string | undefined;
  readonly align: "launch" | "distance";
}

const axisOf = ({ align }: Options): AxisKind => (align === "distance" ? "distance" : "time");

/** Both runs, their times from the same kind of moment. */
async function opened(session: Session, runs: readonly string[], options: Options) {
  const { openedRun } = await import("./opened.ts");
  const { commonOrigins } = await import("#host/logbook/origin.ts");
  const [name, otherName] = runs as readonly [string, string?];
  const one = await openedRun(session, name, options);
  if (otherName === undefined) return { one, other: undefined };
  const other = await openedRun(session, otherName, options);
  const [origin, otherOrigin] = commonOrigins(one, other);
  return { one: { ...one, origin }, other: { ...other, origin: otherOrigin } };
}

/** Columns beyond which lines of text are hard to read. */
const MOST_COLUMNS = 100;

/** One run told whole, or two with what differs side by side. */
async function textOf(one: Reviewed, other: Reviewed | undefined, width: number): Promise<string[]> {
  if (other) return (await import("#host/report/review/comparison.ts")).comparisonLines(one, other, width);
  return (await import("#host/report/review/text.ts")).reviewLines(one, width);
}

async function review(
  session: Session,
  run: string,
  second: string | undefined,
  options: Options,
): Promise<Result> {
  const { requireNew, writeNew } = await import("../files.ts");
  for (const file of [options.html, options.csv]) if (file !== undefined) requireNew(session.io, file);
  const { one, other } = await opened(session, second === undefined ? [run] : [run, second], options);
  const { reviewData } = await import("#host/report/review/data.ts");
  const wrote: string[] = [];
  if (options.html !== undefined) {
    const { reviewPage } = await import("#host/report/review/page.ts");
    writeNew(session.io, options.html, reviewPage(axisOf(options), one, other));
    wrote.push(`page with the plots: ${options.html}`);
  }
  if (options.csv !== undefined) {
    const { csvOf } = await import("#host/logbook/csv.ts");
    writeNew(session.io, options.csv, csvOf(one.samples));
    wrote.push(`comma-separated values: ${options.csv}`);
  }
  const runs = other ? [one, other] : [one];
  const text = await textOf(one, other, Math.min(session.width, MOST_COLUMNS));
  return {
    data: { runs: runs.map(reviewData), page: options.html ?? null, csv: options.csv ?? null },
    lines: [...text, "", ...wrote.flatMap((line) => session.wrapped(line))],
  };
}

export const addReview: AddCommand = (program, act) => {
  withPort(program.command("review"))
    .argument("<run>", "run file; or the number of a stored run, or last")
    .argument("[other]", "a second run to compare it with")
    .option("--html <file>", "write a page with every channel over one axis")
    .option("--csv <file>", "write the first run as comma-separated values")
    .option("--car <file>", "car file of the runs, in place of the one in the run file")
    .addOption(
      new Option("--align <by>", "what the page's axis counts from the launch: time, or the distance covered")
        .choices(["launch", "distance"] as const)
        .default("launch" as const),
    )
    .description("say what happened in a run, and compare it with another")
    .action(act(review));
};
