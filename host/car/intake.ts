/** What the engine breathes: filling that follows the throttle, boost that follows the load with a lag, and the manifold pressure of both. */
import type { BoostData, CarData, MotionData } from "./car.ts";
import { type Table, tableOf } from "./table.ts";

const BOOST_CELLS = 500;
const TORQUE_CELLS = 2000;
const RAD_S_PER_RPM = Math.PI / 30;
/** Nitrous brings the turbine no more heat than so many times the engine's own counts for. */
const MOST_OF_OWN = 1;

/**
 * Boost of a turbocharger, gauge Pa. It nears the steady boost at the present engine speed as a first-order lag. What turns the
 * rotor up is the heat of the exhaust, so the lag shrinks as the power grows: by own / (own + added), at most by half (a simple
 * model of ours, no source).
 */
class Boost {
  gaugePa = 0;
  /** Torque now as a share of that at the steady boost: it goes with the absolute manifold pressure. */
  torqueShare = 1;
  private readonly data: BoostData;
  private readonly steady: Table;

  constructor(data: BoostData) {
    this.data = data;
    this.steady = tableOf(data.overRpm, BOOST_CELLS);
  }

  step(dtS: number, rpm: number, load: number, ownW: number, addedW: number): void {
    const { lagS, airPa } = this.data;
    const steadyPa = this.steady.at(rpm);
    const missingPa = steadyPa * load - this.gaugePa;
    const heat = missingPa > 0 && addedW > 0 ? 1 + Math.min(MOST_OF_OWN, addedW / Math.max(ownW, 1)) : 1;
    this.gaugePa = Math.min(steadyPa, this.gaugePa + missingPa * Math.min(1, (heat * dtS) / lagS));
    this.torqueShare = (airPa + this.gaugePa) / (airPa + steadyPa);
  }
}

/** Breathing of an engine. Read its fields after each step. */
export class Intake {
  /** Filling of the cylinders, 0 to 1, of what the present boost allows. */
  filling = 0;
  /** Absolute, Pa. */
  manifoldPa: number;
  private readonly motion: MotionData;
  private readonly torque: Table;
  private readonly boost: Boost | undefined;

  constructor({ motion, torque }: CarData) {
    this.motion = motion;
    this.torque = tableOf(torque, TORQUE_CELLS);
    this.boost = motion.boost && new Boost(motion.boost);
    this.manifoldPa = motion.closedManifoldPa;
  }

  /** Torque, Nm, of the engine alone with a wide throttle, at the present boost. */
  wideNm(rpm: number): number {
    return this.torque.at(rpm) * (this.boost?.torqueShare ?? 1);
  }

  /** `addedW`: what nitrous adds. A free engine has no load, and makes no boost. */
  step(dtS: number, pedal: number, rpm: number, isFree: boolean, addedW: number): void {
    const { motion, boost } = this;
    this.filling += (pedal - this.filling) * Math.min(1, dtS / motion.intakeS);
    if (boost) {
      const ownW = this.filling * this.wideNm(rpm) * rpm * RAD_S_PER_RPM;
      boost.step(dtS, rpm, isFree ? 0 : this.filling, ownW, addedW);
    }
    const openPa = motion.openManifoldPa + (boost?.gaugePa ?? 0);
    this.manifoldPa = motion.closedManifoldPa + this.filling * (openPa - motion.closedManifoldPa);
  }
}
