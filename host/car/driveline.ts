/** What every step of the motion needs of a car, worked out once: each gear's ratios and turning mass, the car's masses, loads and drag. */
import { STANDARD_GRAVITY } from "#host/units/constants.ts";
import { drivenShare, transferKg } from "./axle.ts";
import { type CarData, ratioOf } from "./car.ts";

/** One value for each gear. */
const perGear = ({ gears }: CarData, value: (gear: number) => number): Float64Array =>
  Float64Array.from({ length: Math.max(1, gears.length) }, (_, gear) => value(gear));

/** Fields of a car as a step reads them; `Float64Array`s by gear (0 is first). */
export class Driveline {
  /** Engine revolutions for each wheel revolution. */
  readonly ratio: Float64Array;
  /** Angle of the engine, rad, for each metre of the tread. */
  readonly perM: Float64Array;
  /** Force at the tread, N, of each Nm of the engine. */
  readonly perNm: Float64Array;
  /** Mass, kg, that turns with the driven wheels once the clutch is locked. */
  readonly lockedKg: Float64Array;
  readonly topGear: number;
  /** The same of the driven wheels alone, and mass of the car with the wheels that roll along. */
  readonly wheelKg: number;
  readonly carKg: number;
  readonly weightN: number;
  /** Load of the driven wheels at rest, and what each m/s2 moves onto them. */
  readonly staticN: number;
  readonly transferKg: number;
  readonly dragKgM: number;
  readonly rollingN: number;
  readonly tyreRadiusM: number;
  readonly efficiency: number;
  readonly engineInertiaKgM2: number;
  readonly shiftRpm: number;
  readonly shiftS: number;
  readonly launchRpm: number;

  constructor(car: CarData) {
    const inertiaKg = car.wheelInertiaKgM2 / car.tyreRadiusM ** 2;
    const wheelKg = inertiaKg * (car.driven === "all" ? 1 : 0.5);
    const perM = (gear: number) => ratioOf(car, gear) / car.tyreRadiusM;
    this.ratio = perGear(car, (gear) => ratioOf(car, gear));
    this.perM = perGear(car, perM);
    this.perNm = perGear(car, (gear) => (ratioOf(car, gear) * car.efficiency) / car.tyreRadiusM);
    this.lockedKg = perGear(car, (gear) => wheelKg + car.engineInertiaKgM2 * perM(gear) * perM(gear));
    this.topGear = car.gears.length - 1;
    this.wheelKg = wheelKg;
    this.carKg = car.massKg + inertiaKg - wheelKg;
    this.weightN = car.massKg * STANDARD_GRAVITY;
    this.staticN = this.weightN * drivenShare(car);
    this.transferKg = transferKg(car);
    this.dragKgM = 0.5 * car.airDensityKgM3 * car.dragAreaM2;
    this.rollingN = car.rolling * this.weightN;
    this.tyreRadiusM = car.tyreRadiusM;
    this.efficiency = car.efficiency;
    this.engineInertiaKgM2 = car.engineInertiaKgM2;
    this.shiftRpm = car.shiftRpm;
    this.shiftS = car.shiftS;
    this.launchRpm = car.launchRpm;
  }
}
