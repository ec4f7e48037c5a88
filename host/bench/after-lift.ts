// Where a stage's ramps over time go on when it flows again after a lift, as `flow.after-lift` says.
import type { Document } from "#shared-schema/settings/pack.ts";
import type { Rehearsal } from "./rehearsal.ts";

/** How far a stage's ramps over time were, s, when it shut. */
export interface RampTime {
  readonly atS: number;
  readonly shutS: number;
}

/** Was the arm switch off in between? Then the next run begins from the start. */
function disarmed({ samples }: Rehearsal, fromS: number, toS: number): boolean {
  return samples.some(({ s, armed }) => s > fromS && s < toS && !armed);
}

/** Time on the ramps, s, from which a stage goes on that opens at `openS`. */
export function goesOnAtS(before: RampTime, openS: number, run: Rehearsal, settings: Document): number {
  const { afterLift, stepBackMs } = settings.flow as { afterLift: string; stepBackMs: number };
  if (afterLift === "restart" || disarmed(run, before.shutS, openS)) return 0;
  return Math.max(0, before.atS - (afterLift === "step-back" ? stepBackMs / 1000 : 0));
}
