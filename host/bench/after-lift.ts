// Where a stage's ramps over time go on when it flows again after a lift, as `flow.after-lift` says.
import { unhandled } from "#shared-schema/model/unhandled.ts";
import type { AFTER_LIFT } from "#shared-schema/settings/choices.ts";
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

/** What the settings say of a lift. */
export interface AfterLift {
  readonly afterLift: (typeof AFTER_LIFT)[number];
  readonly stepBackMs: number;
}

function afterLiftS(atS: number, { afterLift, stepBackMs }: AfterLift): number {
  if (afterLift === "restart") return 0;
  if (afterLift === "resume") return atS;
  if (afterLift === "step-back") return Math.max(0, atS - stepBackMs / 1000);
  return unhandled(afterLift);
}

/** Time on the ramps, s, from which a stage goes on that opens at `openS`. */
export function resumeTimeS(before: RampTime, openS: number, run: Rehearsal, settings: Document): number {
  if (disarmed(run, before.shutS, openS)) return 0;
  return afterLiftS(before.atS, settings.flow as unknown as AfterLift);
}
