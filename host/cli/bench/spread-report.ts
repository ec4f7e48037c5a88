// What a spread, whole or joined, comes to on the command line.
import { quantiles, SHARES, tripsByRow, worstOf } from "#host/bench/loop/quantiles.ts";
import { EXIT } from "#host/errors/exit.ts";
import { spreadLines } from "#host/report/spread/text.ts";
import type { Result, Session } from "../session.ts";
import type { SpreadFile } from "./spread-file.ts";

const known = (values: readonly (number | undefined)[]): number[] => values.filter((v) => v !== undefined);

/** As lines and as data. Exit 130 when runs are missing because the user interrupted. */
export function spreadResult(session: Session, { head, runs }: SpreadFile, interrupted: boolean): Result {
  return {
    exit: interrupted ? EXIT.interrupted : EXIT.yes,
    data: {
      head,
      done: runs.length,
      shares: SHARES,
      quarterS: quantiles(known(runs.map(({ quarterS }) => quarterS))),
      eighthS: quantiles(known(runs.map(({ eighthS }) => eighthS))),
      worstSlip: quantiles(runs.map(({ worstSlip }) => worstSlip)),
      overPeakS: quantiles(runs.map(({ overPeakS }) => overPeakS)),
      trips: tripsByRow(runs),
      worst: worstOf(runs) ?? null,
      runs,
    },
    lines: spreadLines(runs, head, Math.min(session.width, 100)),
  };
}
