/** What a plan is made from: a car file with every gap filled, all in base units; each default used is listed in `assumptions`. */

import type { CarData } from "#host/car/car.ts";
import type { Driver } from "#host/car/driver.ts";
import type { SupplyLags } from "#host/car/supply-data.ts";
import type { ROAD_SENDERS } from "#shared-schema/settings/choices.ts";
import type { Air } from "../engine/atmosphere.ts";
import type { Fuel } from "../engine/fuels.ts";
import type { PartLimit } from "../engine/limits.ts";
import type { Bottle } from "../nitrous/bottle.ts";
import type { BottleWindow } from "../nitrous/bottle-window.ts";
import type { RampAxis } from "../ramp/share-limits.ts";

import type { PURPOSES } from "./schema.ts";

/** A value that the file left out: its key, the value in words, and why this one. */
export interface Assumption {
  readonly key: string;
  readonly value: string;
  readonly why: string;
}

/** Engine beyond its torque curve (which is in `car`). Pressures are gauge, Pa. */
export interface EngineInput {
  readonly powerW: number;
  readonly cylinders: number;
  readonly limiterRpm: number;
  readonly boostPa: number;
  readonly carburettor: boolean;
  readonly efficiency: number;
  readonly lambda: number;
}

/** Fuel side; flows in m3/s, undefined when not given. */
export interface FuelInput {
  readonly fuel: Fuel;
  readonly gaugePa: number;
  /** Fuel jets on hand, m, rising; undefined: any. */
  readonly jetsM: readonly number[] | undefined;
  readonly injectorM3S: number | undefined;
  readonly injectors: number;
  readonly pumpM3S: number | undefined;
  readonly ecuEnrichment: boolean;
}

/** What flow may do against the planned one, as factors: jets and model (`tolerance`), and over the bottle's window too. */
export interface FlowEdges {
  readonly tolerance: number;
  readonly low: number;
  readonly high: number;
}

/** Nitrous side; pressures absolute, Pa, bores in m, undefined where the plan sizes them. */
export interface NitrousInput {
  /** Working pressure: the heater and the shade keep the bottle there, and jets are sized for it. */
  readonly bottlePa: number;
  readonly window: BottleWindow;
  /** The full bottle as it stands today, K and Pa; undefined where the file states no temperature. */
  readonly day: { readonly temperatureK: number; readonly pressurePa: number } | undefined;
  readonly edges: FlowEdges;
  readonly bottle: Bottle;
  readonly coefficient: number;
  readonly valveBoreM: number | undefined;
  /** Nitrous jets on hand, m, rising; undefined: any. */
  readonly jetsM: readonly number[] | undefined;
  readonly lineBoreM: number | undefined;
  readonly purgeBoreM: number;
  readonly lineLengthM: number;
  /** Darcy friction factor of the line. */
  readonly lineFriction: number;
  readonly solenoidBoreM: number | undefined;
  readonly lambda: number;
  readonly efficiency: number;
  readonly openingS: number;
  readonly opening10VS: number;
  readonly opening14VS: number;
  readonly closingS: number;
  readonly frequencyHz: number;
}

/** The goal. Exactly one of the first two is set. */
export interface GoalInput {
  readonly addedW: number | undefined;
  readonly quarterS: number | undefined;
  readonly system: "best" | "wet" | "dry";
  readonly stages: number | undefined;
  /** Parts of the flow of the stages that are in the car, together 1; undefined: the plan divides it. */
  readonly parts: readonly number[] | undefined;
  readonly axis: RampAxis | undefined;
  /** What each stage is for, in order; undefined: all are for the run. */
  readonly purposes: readonly Purpose[] | undefined;
  /** A stage for the boost is shut above this manifold pressure, absolute Pa; undefined without such a stage. */
  readonly boostOffPa: number | undefined;
}

/** For the start (first gear alone), to bring a turbocharger up (until there is boost), or for the run. */
export type Purpose = (typeof PURPOSES)[number];

/** What the controller may switch beside the stages; else it has a switch of its own, or is not there. */
export type Switched = "purge" | "heater" | "bottleValve";

/** Sensors and switches that the controller will have. */
export interface ControlInput {
  /** Undefined where neither the file nor the cylinders tell: nothing may then be written. */
  readonly pulsesPerRev: number | undefined;
  /** Pulses of a sensor that counts every firing; undefined where the sensor is said to count less, or the cylinders are not said. */
  readonly firingsPerRev: number | undefined;
  /** Highest gauge pressure, Pa, that the bottle pressure sensor reads; undefined without a sensor. */
  readonly bottleReachPa: number | undefined;
  /** Absolute pressure, Pa, that the manifold pressure sensor reads at its upper end; undefined where no stage needs one. */
  readonly manifoldReachPa: number | undefined;
  readonly pulsesPerM: number | undefined;
  readonly roadSender: (typeof ROAD_SENDERS)[number];
  readonly launchSwitch: boolean;
  readonly launchStartsAt: "press" | "release";
  readonly throttleSwitch: boolean;
  readonly switches: readonly Switched[];
}

/** What a person answers for, by the name of the STOP, with the reason given in the car file. */
export type Acknowledged = Readonly<Partial<Record<"added-power" | "retard" | "fuel-pump", string>>>;

/** Limits of the nitrous charge and of the ignition: lambda, and degrees at full flow. */
export interface ChargeLimits {
  readonly lean: number;
  readonly rich: number;
  readonly retardDeg: number;
}

/** What ramps must hold at: so much less grip, a start so much later than the launch switch, s. Undefined `reserve`: the plan finds it. */
export interface HoldInput {
  readonly gripLoss: number;
  readonly lateS: number;
  readonly reserve: number | undefined;
}

/** Everything together. */
export interface PlanInput {
  readonly name: string;
  readonly heightM: number;
  readonly air: Air;
  readonly engine: EngineInput;
  readonly fuel: FuelInput;
  readonly car: CarData;
  readonly driver: Driver;
  readonly hold: HoldInput;
  readonly lags: SupplyLags;
  readonly limits: readonly PartLimit[];
  readonly perCylinderW: number | undefined;
  readonly charge: ChargeLimits;
  readonly acknowledged: Acknowledged;
  readonly goal: GoalInput;
  readonly nitrous: NitrousInput;
  readonly control: ControlInput;
  readonly closeRpm: number;
  readonly hysteresisRpm: number;
  readonly assumptions: readonly Assumption[];
}
