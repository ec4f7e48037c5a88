// The gear and the slip of each moment of a pull, from engine speed and road speed: a car that is driven for time changes up only.
import type { CarData } from "#host/car/car.ts";
import { ratioOf } from "#host/car/car.ts";

/** A gear whose wheels would turn slower than the car rolls by more than this is not the one. */
const NEGATIVE = -0.03;

/** Speed, m/s, of the driven wheels' tread with the clutch closed, at an engine speed, rpm; gear 0 is first. */
export const treadMS = (car: CarData, gear: number, rpm: number): number =>
  (((rpm * Math.PI) / 30) * car.tyreRadiusM) / ratioOf(car, gear);

/** The lowest gear from `least` on that is possible at these speeds; the top one where none is. */
export function gearAt(car: CarData, least: number, rpm: number, speedMS: number): number {
  const top = car.gears.length - 1;
  for (let gear = least; gear < top; gear++)
    if (treadMS(car, gear, rpm) >= (1 + NEGATIVE) * speedMS) return gear;
  return top;
}

/** Surplus of the tread's speed over the car's as a share of the latter. */
export const slipAt = (car: CarData, gear: number, rpm: number, speedMS: number): number =>
  treadMS(car, gear, rpm) / speedMS - 1;
