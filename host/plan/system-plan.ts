/** The plan as data, from which reports, `--json` and settings file are made. SI, pressures absolute. */

import type { Accessories } from "./accessories.ts";
import type { Layout, SystemKind } from "./choose-kind.ts";
import type { Headroom } from "./engine/fuel-system.ts";
import type { Assumption, FlowEdges } from "./input/plan-input.ts";
import type { BottlePlan } from "./nitrous/bottle-plan.ts";
import type { BottleWindow } from "./nitrous/bottle-window.ts";
import type { Day } from "./nitrous/day-table.ts";
import type { MixtureRange, MixtureRow } from "./nitrous/mixture.ts";
import type { Sizing } from "./nitrous/sizing.ts";
import type { Tried } from "./ramp/choose-stages.ts";
import type { Ramp } from "./ramp/fit.ts";
import type { RampAxis } from "./ramp/share-limits.ts";
import type { PowerTime } from "./run/goal.ts";
import type { LadderStep } from "./run/ladder.ts";
import type { RampProof } from "./run/ramp-proof.ts";
import type { Ranges } from "./run/ranges.ts";
import type { Spool } from "./run/spool.ts";

/** A choice with its reason and the circumstances that would change it. */
export interface Recommendation {
  readonly topic: string;
  readonly choice: string;
  readonly reason: string;
  readonly changes: string;
}

/** `stop` keeps the settings file from being written; an `acknowledged` one no longer does, and stands on top everywhere. */
export interface Caution {
  readonly level: "acknowledged" | "stop" | "caution" | "always";
  /** Short and steady, such as `retard`; a car file acknowledges by it. */
  readonly name: string;
  /** A few words for the first screen. */
  readonly short: string;
  readonly text: string;
  readonly instead: string;
}

/** One stage with its jets, the engine speed from which on it flows, and its ramp; axis values of the ramp in the unit of the axis (m/s, s, rpm). */
export interface PlannedStage {
  readonly part: number;
  readonly addedW: number;
  readonly nitrousKgS: number;
  readonly fuelKgS: number;
  readonly nozzles: number;
  readonly nitrousJetM: number;
  readonly fuelJetM: number | undefined;
  readonly openRpm: number;
  /** Road speed, m/s, and manifold pressure, absolute Pa, above which it is shut. */
  readonly offMS: number | undefined;
  readonly offPa: number | undefined;
  readonly ramp: Ramp;
}

/** Times of one run. */
export interface RunTimes {
  readonly quarterS: number;
  readonly eighthS: number;
  readonly trapMS: number;
}

/** Torque, Nm, at one engine speed, with nitrous as planned and at the upper edge of the flow; `limitNm` undefined without limits. */
export interface TorqueRow {
  readonly rpm: number;
  readonly engineNm: number;
  readonly withNm: number;
  readonly highNm: number;
  readonly limitNm: number | undefined;
}

/** One moment of the run with the planned ramps. */
export interface TraceRow {
  readonly timeS: number;
  readonly speedMS: number;
  readonly rpm: number;
  readonly gear: number;
  readonly share: number;
  readonly shareLimit: number;
  readonly open: boolean;
  readonly forceN: number;
  readonly forceLimitN: number;
}

/** Everything that was calculated for a car. */
export interface SystemPlan {
  readonly name: string;
  readonly airPa: number;
  readonly kind: SystemKind;
  readonly layout: Layout;
  readonly fuelName: string;
  readonly base: {
    readonly powerW: number;
    /** Power in the air of the place; that of an engine with boost does not follow it here. */
    readonly siteW: number;
    readonly cylinders: number;
    readonly limiterRpm: number;
    readonly pulsesPerRev: number | undefined;
  };
  readonly site: { readonly heightM: number; readonly temperatureK: number };
  /** Pressure drop of the fuel jets, Pa, and the fuel's density: what a bench test is made at. */
  readonly fuelTest: { readonly dropPa: number; readonly densityKgM3: number };
  readonly added: {
    readonly wantedW: number;
    readonly powerW: number;
    readonly shareOfBase: number;
    readonly perCylinderW: number;
    /** The same with the flow at its tolerance, and with the bottle at the top of its window as well. */
    readonly perCylinderHighW: readonly [flow: number, both: number];
  };
  readonly retardDeg: number;
  /** What other kinds of systems are compared by: the engine's own fuel, kg/s, gauge pressures of fuel and manifold, Pa, mean lambda of the charge. */
  readonly kinds: {
    readonly ownFuelKgS: number;
    readonly fuelPa: number;
    readonly carburettor: boolean;
    readonly boostPa: number;
    readonly chargeLambda: number;
  };
  readonly sizing: Sizing;
  readonly dryInjectorS: { readonly atOpenS: number; readonly atCloseS: number } | undefined;
  readonly window: {
    readonly openRpm: number;
    readonly closeRpm: number;
    readonly hysteresisRpm: number;
    readonly withinLimits: boolean;
  };
  readonly largest: { readonly addedW: number; readonly part: string; readonly rpm: number } | undefined;
  readonly torque: readonly TorqueRow[];
  readonly axis: RampAxis;
  readonly valves: { readonly least: number; readonly greatest: number };
  readonly stages: readonly PlannedStage[];
  readonly tried: readonly Tried[];
  /** The tyres' reserve, and whether the ramps hold with it at so much less grip and so late a start, s. */
  readonly hold: {
    readonly gripLoss: number;
    readonly lateS: number;
    readonly reserve: number;
    readonly holds: boolean;
  };
  readonly runs: { readonly without: RunTimes; readonly limit: RunTimes; readonly planned: RunTimes };
  readonly ranges: Ranges;
  /** What a stage for the boost gains and costs; undefined without one. */
  readonly spool: Spool | undefined;
  readonly ladder: readonly LadderStep[];
  /** Time over added power, rising, the last one the wanted power. */
  readonly powers: readonly PowerTime[];
  /** What the control core says of the ramps, where it was asked. */
  readonly proof?: RampProof;
  /** The time asked for, s; undefined when the goal is a power. */
  readonly goalS: number | undefined;
  readonly rules: readonly { readonly name: string; readonly timeS: number; readonly mph: number }[];
  readonly overpoweredS: number;
  readonly rpmAfterShift: readonly number[];
  readonly trace: readonly TraceRow[];
  readonly pump: Headroom | undefined;
  readonly injectors: Headroom | undefined;
  readonly mixture: readonly MixtureRow[];
  readonly mixtureRange: MixtureRange;
  readonly days: readonly Day[];
  readonly accessories: Accessories;
  readonly bottleWindow: BottleWindow;
  /** Factors of the flow at its edges. */
  readonly edges: FlowEdges;
  readonly bottle: BottlePlan;
  /** Nitrous of the first stage alone into the open, kg/s: what a weighed discharge should show. */
  readonly firstAloneKgS: number;
  readonly recommendations: readonly Recommendation[];
  readonly checklist: readonly string[];
  readonly cautions: readonly Caution[];
  readonly assumptions: readonly Assumption[];
}

/** The plan before recommendations and cautions are added. */
export type PlanFacts = Omit<SystemPlan, "recommendations" | "cautions">;
