// What a rehearsal shows: when each stage opened, its share pulse by pulse against the table, and how fast everything shut.

import { longestPattern } from "#shared-schema/model/patterns.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { type RampTime, resumeTimeS } from "./after-lift.ts";
import type { Movement } from "./loop/script.ts";
import { allLowAfter, type Burst, burstsOf, type Pulse, pulsesOf } from "./pulses.ts";
import {
  asksNothing,
  type Moment,
  openingMs,
  type StageSettings,
  stagesOf,
  tableShare,
} from "./ramp-model.ts";
import type { Rehearsal, Seen } from "./rehearsal.ts";
import { type Open, openShare, openStretches } from "./valve-flow.ts";

/** How a share was made: a pulse in each period, one on-run over several, or with the valves open all the time. */
export type Making = "pulsed" | "pattern" | "open";

/**
 * What both valves let through, as shares of the stage's full flow, over the periods of the longest pattern that end with
 * the one that begins at `s`; beside it what the table asks then (before the rise limit). No `fuel` for a dry stage.
 */
export interface SharePoint {
  readonly s: number;
  readonly share: number;
  readonly fuel?: number;
  readonly table: number;
  readonly made: Making;
}

/** One stretch of flow of a stage. */
export interface Flow {
  readonly fromS: number;
  readonly toS: number;
  readonly points: readonly SharePoint[];
}

/** How fast everything was low after a movement of the driver. */
export interface Shut {
  readonly words: string;
  readonly atS: number;
  /** Stages, from 1, that flowed at that moment; with none of them there was nothing to shut and no time is given. */
  readonly flowing: readonly number[];
  /** A pin was still high long after. */
  readonly stillHigh: boolean;
  readonly pinsUs: number | undefined;
  /** Until the master relay was open, where it had to open. */
  readonly relayMs: number | undefined;
}

export interface Findings {
  /** Nothing could flow: every share in the settings is 0. */
  readonly asksNothing: boolean;
  readonly stages: readonly (readonly Flow[])[];
  readonly shuts: readonly Shut[];
}

const LONGEST_SHUT_NS = 100e6;

function sampleAt(samples: readonly Seen[], s: number): Seen {
  const step = (samples[1]?.s ?? 1) - (samples[0]?.s ?? 0);
  const index = Math.max(0, Math.min(samples.length - 1, Math.floor(s / step)));
  return samples[index]!;
}

function launchTime(run: Rehearsal, settings: Document): number | undefined {
  const launch = settings.launch as { startsAt: string } | undefined;
  const wanted = launch?.startsAt === "press";
  return run.script.find((m) => m.change.launch === wanted)?.atS;
}

/** A stage opens a little before its first pulse when its ramp begins under the smallest pulse: found by stepping. */
function openedBefore(
  stage: StageSettings,
  periodS: number,
  riseShareS: number,
  moment: (timeS: number) => Moment,
): number {
  const least = (stage.nitrousSolenoid.closingUs ?? 0) / 1e6 / periodS / longestPattern(1 / periodS);
  for (let s = 0; s < 10; s += 0.001) {
    if (Math.min(tableShare(stage, moment(s)), s * riseShareS) > least) return s;
  }
  return 0;
}

function flowOf(
  burst: Burst,
  stage: StageSettings,
  s: number,
  run: Rehearsal,
  settings: Document,
  beganS: number,
): Flow & { readonly openS: number } {
  const flow = settings.flow as { frequencyHz: number; riseLimitPercentPerS: number };
  const periodNs = 1e9 / flow.frequencyHz;
  const launchS = launchTime(run, settings);
  const at = (s: number, openS: number): Moment => {
    const sample = sampleAt(run.samples, s);
    const since = launchS !== undefined && s >= launchS ? s - launchS : undefined;
    return { timeS: beganS + s - openS, launchS: since, rpm: sample.rpm, kmh: sample.kmh, kpa: sample.kpa };
  };
  const startS = burst.startNs / 1e9;
  const openS =
    startS -
    openedBefore(stage, periodNs / 1e9, flow.riseLimitPercentPerS / 100, (t) => ({
      ...at(startS, startS),
      timeS: beganS + t,
    }));
  const points = pointsOf(burst, stage, run, s, flow.frequencyHz).map((point) => ({
    ...point,
    table: tableShare(stage, at(point.s, openS)),
  }));
  return { fromS: startS, toS: burst.endNs / 1e9, points, openS };
}

/** All stretches of a stage, each with its ramps over time where the lift before it left them. */
function flowsOf(
  bursts: readonly Burst[],
  stage: StageSettings,
  s: number,
  run: Rehearsal,
  settings: Document,
): Flow[] {
  const flows: Flow[] = [];
  let ramp: RampTime = { atS: 0, shutS: 0 };
  for (const burst of bursts) {
    const beganS = resumeTimeS(ramp, burst.startNs / 1e9, run, settings);
    const { openS, ...flow } = flowOf(burst, stage, s, run, settings, beganS);
    ramp = { atS: beganS + flow.toS - openS, shutS: flow.toS };
    flows.push(flow);
  }
  return flows;
}

/** When a valve was open: its opening time follows the battery of the moment. */
function valveOf(
  edges: Rehearsal["nitrous"][number],
  solenoid: Record<string, number>,
  run: Rehearsal,
): Open[] {
  const opening = (ns: number): number => openingMs(solenoid, sampleAt(run.samples, ns / 1e9).volts) * 1e6;
  return openStretches(pulsesOf(edges, run.endS * 1e9), opening, (solenoid.closingUs ?? 0) * 1e3);
}

function makingOf(pulses: readonly Pulse[], fromNs: number, toNs: number, periods: number): Making {
  const within = pulses.filter((p) => p.startNs < toNs && p.startNs + p.widthNs > fromNs);
  if (within.some((p) => p.startNs <= fromNs && p.startNs + p.widthNs >= toNs)) return "open";
  const periodNs = (toNs - fromNs) / periods;
  return within.length === periods && within.every((p) => p.widthNs < periodNs) ? "pulsed" : "pattern";
}

/** One point for each period, as far as whole patterns go. */
function pointsOf(
  burst: Burst,
  stage: StageSettings,
  run: Rehearsal,
  s: number,
  frequencyHz: number,
): Omit<SharePoint, "table">[] {
  const periodNs = 1e9 / frequencyHz;
  const periods = longestPattern(frequencyHz);
  const nitrous = valveOf(run.nitrous[s] ?? [], stage.nitrousSolenoid, run);
  const fuel = stage.fuelSolenoid && valveOf(run.fuel[s] ?? [], stage.fuelSolenoid, run);
  const count = Math.floor((burst.endNs - burst.startNs) / periodNs + 1e-6) - periods + 1;
  return Array.from({ length: Math.max(0, count) }, (_, i) => {
    const fromNs = burst.startNs + i * periodNs;
    const toNs = fromNs + periods * periodNs;
    return {
      s: (toNs - periodNs) / 1e9,
      share: openShare(nitrous, fromNs, toNs),
      ...(fuel && { fuel: openShare(fuel, fromNs, toNs) }),
      made: makingOf(burst.pulses, fromNs, toNs, periods),
    };
  });
}

const flowsAt = (flows: readonly Flow[], s: number): boolean =>
  flows.some(({ fromS, toS }) => fromS < s && s <= toS);

function shutAfter(
  run: Rehearsal,
  { atS, words, change }: Movement,
  stages: readonly (readonly Flow[])[],
  periodS: number,
): Shut {
  const causeNs = atS * 1e9;
  const flowing = stages.flatMap((flows, s) =>
    flowsAt(flows, atS) || flowsAt(flows, atS - periodS) ? [s + 1] : [],
  );
  const pinsNs = allLowAfter([...run.nitrous, ...run.fuel], causeNs, LONGEST_SHUT_NS);
  const relay = run.relay.find((e) => e.level === 0 && e.ns >= causeNs);
  return {
    words,
    atS,
    flowing,
    stillHigh: pinsNs === undefined,
    pinsUs: pinsNs === undefined || flowing.length === 0 ? undefined : pinsNs / 1000,
    relayMs: change.arm === false && relay ? (relay.ns - causeNs) / 1e6 : undefined,
  };
}

/** Reads a rehearsal. */
export function findings(run: Rehearsal, settings: Document): Findings {
  const { frequencyHz } = settings.flow as { frequencyHz: number };
  const gapNs = ((longestPattern(frequencyHz) + 0.5) * 1e9) / frequencyHz;
  const stages = stagesOf(settings).map((stage, s) =>
    flowsOf(burstsOf(pulsesOf(run.nitrous[s] ?? [], run.endS * 1e9), gapNs), stage, s, run, settings),
  );
  const shuts = run.script
    .filter((m) => m.change.pedal === 0 || m.change.arm === false)
    .map((m) => shutAfter(run, m, stages, gapNs / 1e9));
  return { asksNothing: asksNothing(settings), stages, shuts };
}
