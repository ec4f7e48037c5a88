// How a run may differ from what was planned: the tyres' grip, a late start, the bottle, the flow, the valves, the battery, noise at the sensors.
import type { StageSupply, SupplyData, ValveData } from "#host/car/supply-data.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { DrivenCar } from "./closed-loop.ts";
import type { Connectors } from "./connectors.ts";
import type { RunRandom } from "./random.ts";

/** Shares are of what was planned; pressures gauge, Pa. */
export interface Conditions {
  readonly gripShare: number;
  /** The car goes so much later than its launch switch says, s. */
  readonly lateS: number;
  /** Added to the bottle's pressure at the start. */
  readonly bottlePa: number;
  /** Nitrous flow and added power. */
  readonly flowShare: number;
  /** Opening and closing times of all valves. */
  readonly valveShare: number;
  /** Added to the battery's voltage. */
  readonly batteryV: number;
  /** Deviation of the noise at every sensor, mV; with any, engine pulses are uneven by 0.2 % too. */
  readonly noiseMv: number;
}

/** As planned. */
export const AS_PLANNED: Conditions = {
  gripShare: 1,
  lateS: 0,
  bottlePa: 0,
  flowShare: 1,
  valveShare: 1,
  batteryV: 0,
  noiseMv: 0,
};

const UNEVEN = 0.002;
/** A battery is measured over four times the range of a sensor. */
const BATTERY_TIMES = 4;

const valve = (data: ValveData, share: number): ValveData => ({
  opening10VS: data.opening10VS * share,
  opening12VS: data.opening12VS * share,
  opening14VS: data.opening14VS * share,
  closingS: data.closingS * share,
});

function stage(data: StageSupply, { flowShare, valveShare }: Conditions): StageSupply {
  return {
    ...data,
    addedW: data.addedW * flowShare,
    nitrousKgS: data.nitrousKgS * flowShare,
    nitrousValve: valve(data.nitrousValve, valveShare),
    fuelValve: data.fuelValve && valve(data.fuelValve, valveShare),
  };
}

function supply(data: SupplyData, conditions: Conditions): SupplyData {
  return {
    ...data,
    bottlePa: data.bottlePa + conditions.bottlePa,
    batteryV: data.batteryV + conditions.batteryV,
    stages: data.stages.map((one) => stage(one, conditions)),
  };
}

/** The car under other conditions. */
export function under(driven: DrivenCar, conditions: Conditions): DrivenCar {
  const { car } = driven;
  const curve = car.grip.curve.map(
    ([slip, friction]) => [slip, friction * conditions.gripShare] as [number, number],
  );
  return {
    ...driven,
    car: { ...car, grip: { ...car.grip, curve } },
    supply: supply(driven.supply, conditions),
  };
}

const SENSORS = ADC_A.map((name, channel) => ({ name, channel })).filter(
  ({ name }) => name !== "battery" && name !== "driverSupply",
);

/** Noise on what the connectors show; undefined for none. Sensors without a voltage are not fitted and stay so. */
export function noise(
  { noiseMv }: Conditions,
  random: RunRandom,
): ((connectors: Connectors) => void) | undefined {
  if (noiseMv === 0) return undefined;
  return (connectors) => {
    const { sensorsMv } = connectors;
    for (const { channel } of SENSORS)
      if (sensorsMv[channel]! > 0) sensorsMv[channel]! += noiseMv * random.normal();
    connectors.batteryMv += BATTERY_TIMES * noiseMv * random.normal();
    connectors.engineHz *= 1 + UNEVEN * random.normal();
  };
}
