// The moment of a run that its times count from: the launch where the log has one, else the first flow, else arming.
import { SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { LogSample } from "./sample.ts";

/** What happened at the origin, and when, in seconds of the log. */
export interface Origin {
  readonly what: "launch" | "first flow" | "arming";
  readonly atS: number;
}

const FLOWING = MODES.indexOf("flowing");
const ARMED: readonly number[] = ["armed", "flowing"].map((name) => MODES.indexOf(name as never));

/** Which way the launch switch has to move, by the settings; undefined when they have no launch. */
function startsAt(settings: Document | undefined): "press" | "release" | undefined {
  const launch = settings?.launch as { startsAt: "press" | "release" } | undefined;
  return launch?.startsAt;
}

const pressed = ({ switches = 0 }: LogSample): boolean => ((switches >>> SWITCH_BITS.launch) & 1) === 1;

/** The last launch of a run while it was armed, s; undefined when there is none, or no settings say what a launch is. */
export function launchOf(samples: readonly LogSample[], settings: Document | undefined): number | undefined {
  const way = startsAt(settings);
  if (way === undefined) return undefined;
  const at = samples.findLast((sample, i) => {
    const before = samples[i - 1];
    if (before === undefined || !ARMED.includes(sample.mode ?? -1)) return false;
    return pressed(before) === (way === "release") && pressed(sample) === (way === "press");
  });
  return at?.time;
}

/** Where the times of a run begin. */
export function originOf(samples: readonly LogSample[], settings: Document | undefined): Origin {
  const launch = launchOf(samples, settings);
  if (launch !== undefined) return { what: "launch", atS: launch };
  const flow = samples.find(({ mode }) => mode === FLOWING)?.time;
  if (flow !== undefined) return { what: "first flow", atS: flow };
  return { what: "arming", atS: samples[0]?.time ?? 0 };
}

/** An origin of the same kind for both runs: the best that both have. */
export function commonOrigins(
  one: { readonly samples: readonly LogSample[]; readonly settings?: Document | undefined },
  other: { readonly samples: readonly LogSample[]; readonly settings?: Document | undefined },
): readonly [Origin, Origin] {
  const both = [one, other].map(({ samples, settings }) => originOf(samples, settings)) as [Origin, Origin];
  if (both[0].what === both[1].what) return both;
  const flows = [one, other].map(({ samples }) => originOf(samples, undefined)) as [Origin, Origin];
  if (flows[0].what === flows[1].what) return flows;
  return [one, other].map(({ samples }) => ({ what: "arming", atS: samples[0]?.time ?? 0 })) as unknown as [
    Origin,
    Origin,
  ];
}
