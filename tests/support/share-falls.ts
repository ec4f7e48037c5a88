// Shares that fall on a flow bench in the middle of a pattern: cases, and what pins and retard request did before and after.
import fc from "fast-check";
import type { PinEdge } from "#host/bench/core/slice.ts";
import { PWM_STEP_US } from "#shared-schema/model/blocks.ts";
import { periodSteps } from "../oracle/pulse-model.ts";
import { anyCase, apartCase } from "./any-valves.ts";
import type { FlowBench, FlowCase } from "./flow-bench.ts";
import { Random } from "./random.ts";

/** Pins of the bench's stage: nitrous and fuel. */
export const PINS = [0, 1] as const;
/** Longer than two turns of four stages, and than any pattern. */
export const SETTLED_MS = 400;
/** From this frequency on there are patterns of several periods. */
const PATTERNS_HZ = 16;
/** Longer than any pattern. */
const MOST_MS = 130;

/** From where a pin rose to where it fell. */
export interface OnRun {
  readonly from: number;
  readonly to: number;
}

/** What pins did, and the retard that was asked for after each tick. */
export interface Ran {
  readonly edges: PinEdge[];
  readonly retards: { readonly us: number; readonly deciDeg: number }[];
}

/** Lets a bench run on. */
export function run({ car }: FlowBench, ms: number): Ran {
  const ran: Ran = { edges: [], retards: [] };
  for (let i = 0; i < ms; i++) {
    car.tick();
    ran.edges.push(...car.edges);
    ran.retards.push({ us: car.raw.nowUs, deciDeg: car.rig.live.get("retardDeciDeg") });
  }
  return ran;
}

/** The whole on-runs of a pin. */
export function onRuns(edges: readonly PinEdge[], pin: number): OnRun[] {
  const its = edges.filter((edge) => edge.pin === pin);
  return its.flatMap(({ level, us }, i) => (level && its[i + 1] ? [{ from: us, to: its[i + 1]!.us }] : []));
}

export const periodUs = ({ frequencyHz }: FlowCase): number => periodSteps(frequencyHz) * PWM_STEP_US;

/** A case, the lower share that it falls to, and when it does, once it is settled. */
export interface Fall {
  readonly flow: FlowCase;
  readonly to: number;
  readonly afterMs: number;
}

function anyFall(seed: number): Fall {
  const random = new Random(seed);
  let flow = random.oneIn(3) ? apartCase(random) : anyCase(random);
  while (flow.frequencyHz < PATTERNS_HZ) flow = anyCase(random);
  if (random.oneIn(3)) flow = { ...flow, sharePermille: random.between(500, 950) };
  const low = random.oneIn(2) ? 0 : Math.max(0, flow.sharePermille - 50);
  return { flow, to: random.between(low, flow.sharePermille), afterMs: random.below(MOST_MS) };
}

const seeds = fc.integer({ min: 1, max: 2 ** 31 - 1 });

/** Any falls, a third of them with valves far apart. */
export const falls = seeds.map(anyFall);

/** Cases with valves far apart. */
export const apartCases = seeds.map((seed) => apartCase(new Random(seed)));

/** On-runs of both pins: the last before a share fell, and the one that was under way then. */
export interface Seen {
  readonly before: OnRun[];
  readonly underWay: OnRun[];
  readonly fellUs: number;
  readonly retards: Ran["retards"];
  /** Of the pattern under way. */
  readonly periods: 2 | 3;
}

/** What a fall does to a pattern of several periods; undefined when none was under way, or the new share is not made at all. */
export function see(bench: FlowBench, { flow, to, afterMs }: Fall): Seen | undefined {
  bench.set(flow);
  const before = run(bench, SETTLED_MS + afterMs);
  const { periods } = bench;
  const fellUs = bench.car.raw.nowUs;
  bench.share = to;
  const after = run(bench, SETTLED_MS);
  if ((periods !== 2 && periods !== 3) || bench.periods === 0) return undefined;
  const of = PINS.map((pin) => onRuns([...before.edges, ...after.edges], pin));
  const at = of.map((all) => all.findIndex((one) => one.from < fellUs && one.to > fellUs));
  if (at.some((index) => index < 1)) return undefined;
  return {
    before: of.map((all, pin) => all[at[pin]! - 1]!),
    underWay: of.map((all, pin) => all[at[pin]!]!),
    ...{ fellUs, periods, retards: after.retards },
  };
}
