// What the ramps asked for beside what the controller gave, as far as the log tells: where it gave less, how much, and why.
import { stagesOf, tableShare } from "#host/bench/ramp-model.ts";
import type { LogSample } from "#host/logbook/sample.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { numberAt } from "./channels.ts";
import type { Reviewed } from "./reviewed.ts";

/** A stretch in which a stage got less than its ramps asked for. Times of the log, shares in points of percent. */
export interface Less {
  readonly stage: number;
  readonly fromS: number;
  readonly toS: number;
  readonly mostPoints: number;
  readonly mostAtS: number;
  readonly why: string;
}

const FLOWING = MODES.indexOf("flowing");
/** Records are a hundredth of a second apart, and shares half a point: less than this is not told apart. */
const POINTS = 2;
const SHORTEST_S = 0.05;

/** Share in percent that the ramps of a stage ask for in each record; undefined where the log cannot tell. */
export function askedShares({ samples, settings, origin }: Reviewed, stage: number): (number | undefined)[] {
  const found = settings && stagesOf(settings)[stage];
  if (!found) return samples.map(() => undefined);
  const overTime = found.ramps.some(({ over }) => over === "time");
  const overLaunch = found.ramps.some(({ over }) => over === "launch");
  const column = `share${stage + 1}`;
  let openedS: number | undefined;
  let shut = false;
  return samples.map((sample) => {
    const { time = 0, mode, engineSpeed = 0, roadSpeed = 0, manifold = 0 } = sample;
    const flows = mode === FLOWING && (sample[column] ?? 0) > 0;
    if (!flows) {
      shut = openedS !== undefined;
      return undefined;
    }
    openedS ??= time;
    const unknown = (overTime && shut) || (overLaunch && origin.what !== "launch");
    if (unknown) return undefined;
    const launchS = origin.what === "launch" ? time - origin.atS : undefined;
    const now = { timeS: time - openedS, launchS, rpm: engineSpeed, kmh: roadSpeed, kpa: manifold };
    return 100 * tableShare(found, now);
  });
}

/** Why it gave less, as far as the stretch itself shows it. */
function whyLess(settings: Document | undefined, given: readonly number[], seconds: number): string {
  const limit = numberAt(settings, ["flow", "riseLimitPercentPerS"]);
  const cutTo = numberAt(settings, ["driveline", "cutToPermille"]);
  if (cutTo !== undefined && given.every((share) => share <= cutTo / 10 + 0.5))
    return "as DRIVELINE cuts back";
  const rise = (given.at(-1)! - given[0]!) / seconds;
  if (limit !== undefined && rise > 0.7 * limit && rise < 1.3 * limit)
    return `the rise limit of ${limit} %/s held it`;
  return "rise limit, a lift before it, or retard that must come first";
}

interface Stretch {
  readonly first: number;
  readonly last: number;
}

/** Runs of records in which less was given than asked. */
function stretches(asked: readonly (number | undefined)[], given: readonly number[]): Stretch[] {
  const found: { first: number; last: number }[] = [];
  for (const [i, ask] of asked.entries()) {
    if (ask === undefined || ask - given[i]! <= POINTS) continue;
    const last = found.at(-1);
    if (last?.last === i - 1) last.last = i;
    else found.push({ first: i, last: i });
  }
  return found;
}

function lessOf(
  { samples, settings }: Reviewed,
  stage: number,
  asked: readonly (number | undefined)[],
  { first, last }: Stretch,
): Less {
  const column = `share${stage + 1}`;
  const within = samples.slice(first, last + 1);
  const points = within.map((sample, i) => asked[first + i]! - (sample[column] ?? 0));
  const mostPoints = Math.max(...points);
  const [fromS, toS] = [within[0]!.time!, (samples[last + 1] ?? within.at(-1)!).time!];
  const given = within.map((sample: LogSample) => sample[column] ?? 0);
  return {
    stage,
    fromS,
    toS,
    mostPoints,
    mostAtS: within[points.indexOf(mostPoints)]!.time!,
    why: whyLess(settings, given, Math.max(toS - fromS, 0.01)),
  };
}

/** Every stretch of every stage, in order of time. */
export function givenLess(run: Reviewed): Less[] {
  const stages = run.settings ? stagesOf(run.settings).length : 0;
  const all = Array.from({ length: stages }, (_, stage) => {
    const asked = askedShares(run, stage);
    const given = run.samples.map((sample) => sample[`share${stage + 1}`] ?? 0);
    return stretches(asked, given).map((stretch) => lessOf(run, stage, asked, stretch));
  });
  return all
    .flat()
    .filter(({ fromS, toS }) => toS - fromS >= SHORTEST_S)
    .sort((a, b) => a.fromS - b.fromS);
}
