/** What feeds the engine besides air, as data: stages with their valves, bottle, fuel pressure, battery. Pressures are gauge, Pa. */

/** Points of a line: first members rise, ends are held. */
export type Line = readonly (readonly [x: number, y: number])[];

/** A solenoid valve's times, s. Opening falls with the battery: straight between 10, 12 and 14 V, ends held. */
export interface ValveData {
  readonly opening10VS: number;
  readonly opening12VS: number;
  readonly opening14VS: number;
  readonly closingS: number;
}

/** One stage: what it adds and takes with its valves wide open, at the bottle pressure where `flowOverBottle` is 1. */
export interface StageSupply {
  readonly addedW: number;
  readonly nitrousKgS: number;
  /** Fuel through the stage's own valve, kg/s; 0 for a dry stage. */
  readonly fuelKgS: number;
  readonly nitrousValve: ValveData;
  /** Undefined for a dry stage. */
  readonly fuelValve: ValveData | undefined;
}

/** How quickly and how firmly the supply answers: what a car has of its own beside its nitrous system. */
export interface SupplyLags {
  /** Mixing and way from the valve to the cylinder, and the engine's answer: two lags in a row, s. */
  readonly deliveryS: number;
  readonly torqueLagS: number;
  /** Fall of fuel pressure, Pa, at full fuel flow of all stages, and its lag, s. */
  readonly fuelDroopPa: number;
  readonly fuelLagS: number;
  /** Battery without load, V, and its fall for each solenoid that draws current. */
  readonly batteryV: number;
  readonly dropVPerSolenoid: number;
  /** The least and the most that the battery has on some day without load, V: a weak one, and one that is charged hard. */
  readonly batteryLowV: number;
  readonly batteryHighV: number;
}

/** The whole supply. */
export interface SupplyData extends SupplyLags {
  readonly stages: readonly StageSupply[];
  readonly bottlePa: number;
  /** Bottle pressure over nitrous drawn, kg, as a share of the pressure at the start. */
  readonly bottleOverDrawn: Line;
  /** Nitrous flow and added power over bottle pressure, Pa, as shares of each stage's. */
  readonly flowOverBottle: Line;
  readonly powerOverBottle: Line;
  /** Fuel pressure without extra flow, Pa. */
  readonly fuelPa: number;
}

/** Lags where nothing better is known (common practice, no source). */
export const ASSUMED_LAGS: SupplyLags = {
  deliveryS: 0.02,
  torqueLagS: 0.03,
  fuelDroopPa: 20_000,
  fuelLagS: 0.05,
  batteryV: 13.8,
  dropVPerSolenoid: 0.05,
  batteryLowV: 11.5,
  batteryHighV: 14.7,
};
