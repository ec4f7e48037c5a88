/**
 * The car in motion, stepped in time with road speed and driven-wheel speed apart. Point mass, one driven axle (or all wheels as one),
 * stiff driveline, tyre force by slip, axle load with a lag, clutch, gear changes and limiter; textbook mechanics (e.g. T. D. Gillespie,
 * Fundamentals of Vehicle Dynamics, SAE 1992; from memory). A step makes no objects.
 */
import type { CarData, MotionData } from "./car.ts";
import { HOLD_S, HOME_RAD_S, SLIP_AGAIN, startingNm, takingUpNm } from "./clutch.ts";
import { Driveline } from "./driveline.ts";
import { ASSUMED_DRIVER, type Driver } from "./driver.ts";
import { gripCurve, gripTable } from "./grip-curve.ts";
import { Intake } from "./intake.ts";
import { type Clutch, MotionInput } from "./motion-input.ts";
import { SLIP_FLOOR_MS, solveWheel, WheelStep } from "./wheel.ts";

const RAD_S_PER_RPM = Math.PI / 30;
/** Added power becomes torque at no less than this engine speed. */
const LEAST_RAD_S = 100;
/** The limiter leaves out ever more ignitions over so many rpm. */
const LIMITER_BAND_RPM = 50;

/** A car that moves. Read its fields after each step; write only `input`. */
export class Motion {
  readonly car: CarData;
  readonly driver: Driver;
  readonly input = new MotionInput();

  timeS = 0;
  distanceM = 0;
  /** Speed of the car, and of an undriven wheel's tread. */
  speedMS = 0;
  /** Speed of a driven wheel's tread. */
  wheelMS = 0;
  accelerationMS2 = 0;
  /** Surplus of the driven wheels' speed over the car's, as a share of the latter (of 3 m/s at least). */
  slip = 0;
  engineRpm: number;
  /** 0 is first. */
  gear = 0;
  clutch: Clutch = "open";
  /** A gear is being changed: no drive. */
  shifting = false;
  /** The car has been let go. */
  going = false;
  /** Ignition is cut, wholly or in part, by the limiter or a flat gear change. */
  cut = false;
  /** Pedal as it stands, 0 to 1, and what the engine breathes behind it. */
  pedal = 0;
  readonly intake: Intake;
  /** Torque of the engine with what nitrous adds, and what the clutch passes, Nm. */
  engineNm = 0;
  clutchNm = 0;
  /** Force at the driven wheels' tread from the driveline, of the tyres on the road, and of air and rolling, N. */
  driveN = 0;
  tyreN = 0;
  resistanceN = 0;
  /** Load on the driven wheels, N. */
  loadN: number;
  /** Slip at which the tyres grip most, and friction there. */
  readonly peakSlip: number;
  readonly peakFriction: number;

  private radS: number;
  private shiftLeftS = 0;
  private feather = 1;
  private readonly wheel: WheelStep;
  private readonly data: MotionData;
  private readonly line: Driveline;
  private readonly launchRadS: number;

  constructor(car: CarData, driver: Driver) {
    this.car = car;
    this.driver = driver;
    const curve = gripCurve(car);
    this.peakSlip = curve.peakSlip;
    this.peakFriction = curve.peak;
    this.wheel = new WheelStep(gripTable(curve));
    this.data = car.motion;
    this.line = new Driveline(car);
    this.loadN = this.line.staticN;
    this.launchRadS = car.launchRpm * RAD_S_PER_RPM;
    this.engineRpm = car.motion.idleRpm;
    this.radS = this.engineRpm * RAD_S_PER_RPM;
    this.intake = new Intake(car);
  }

  /** Moves on by `dtS`, s (1 ms is right; up to 5 ms holds). */
  step(dtS: number): void {
    this.movePedal(dtS);
    this.engineNm = this.engineTorqueNm();
    this.takeOff();
    this.drive(dtS);
    this.roll(dtS);
    this.changeGear(dtS);
    this.timeS += dtS;
  }

  private gearboxRadS(): number {
    return (this.wheelMS / this.line.tyreRadiusM) * this.line.ratio[this.gear]!;
  }

  /** Force at the tread, N, of each Nm of the engine. */
  private perNm(): number {
    return this.line.perNm[this.gear]!;
  }

  private movePedal(dtS: number): void {
    const { driver, input } = this;
    const lifted = this.shifting && driver.shift === "lift";
    const wanted = lifted ? 0 : input.pedal * this.pedalLeft(dtS);
    const most = dtS / driver.pedalS;
    this.pedal += Math.max(-most, Math.min(most, wanted - this.pedal));
    this.intake.step(dtS, this.pedal, this.engineRpm, this.clutch === "open", input.addedW);
  }

  get manifoldPa(): number {
    return this.intake.manifoldPa;
  }

  /** Share of the driver's pedal that is left by what the driver does about wheelspin. */
  private pedalLeft(dtS: number): number {
    const { spin, reactionS } = this.driver;
    if (spin === "flat" || this.clutch === "open") return 1;
    if (spin === "held") return this.heldShare();
    this.feather += (this.featherWanted() - this.feather) * Math.min(1, dtS / reactionS);
    return this.feather;
  }

  /** Pedal at which the engine alone gives the tyres what the driver asks of them; turning parts take their part of it. */
  private heldShare(): number {
    const { carKg, perM, efficiency } = this.line;
    const regain = this.input.addedW > 0 ? 1 : this.gripLeft();
    const heldN = regain * this.tyreShareN() * (1 + this.turningKg() / carKg);
    const wantedNm = heldN / (perM[this.gear]! * efficiency);
    const { brakingNm } = this.data;
    return Math.min(1, (wantedNm + brakingNm) / (this.intake.wideNm(this.engineRpm) + brakingNm));
  }

  /** Mass, kg, that turns with the driven wheels. */
  private turningKg(): number {
    const { line } = this;
    return this.clutch === "locked" ? line.lockedKg[this.gear]! : line.wheelKg;
  }

  private gripLeft(): number {
    return this.slip > this.peakSlip ? this.wheel.friction.at(this.slip) / this.peakFriction : 1;
  }

  /** What the driver asks of the driven tyres at most, N. */
  private tyreShareN(): number {
    return this.driver.clutchShare * this.peakFriction * this.loadN;
  }

  private featherWanted(): number {
    if (this.clutch !== "locked") return 1;
    return Math.max(0, Math.min(1, 1 - (0.5 * (this.slip - this.peakSlip)) / this.driver.featherSlip));
  }

  private engineTorqueNm(): number {
    const { data } = this;
    const sparking = this.sparkingShare();
    this.cut = sparking < 1;
    const closed = Math.min(
      data.brakingNm,
      Math.max(0, this.radS - data.idleRpm * RAD_S_PER_RPM) * data.brakingNm * 0.1,
    );
    const { filling } = this.intake;
    const open = filling * this.intake.wideNm(this.engineRpm) - (1 - filling) * closed;
    const full = open + this.input.addedW / Math.max(this.radS, LEAST_RAD_S);
    const whole = sparking * full - (1 - sparking) * closed;
    if (this.clutch === "locked" || this.shifting || this.gear > 0) return whole;
    if (this.clutch === "open") return Math.min(whole, this.heldNm());
    if (this.driver.spin !== "held") return whole;
    return Math.min(whole, this.tyreShareN() / this.perNm() + this.heldNm());
  }

  /** Share of ignitions that the limiter or a flat gear change leaves, 0 to 1. */
  private sparkingShare(): number {
    if (this.shifting && this.driver.shift === "flat") return 0;
    const over = (this.engineRpm - this.data.limiterRpm) / LIMITER_BAND_RPM;
    return over <= 0 ? 1 : over >= 1 ? 0 : 1 - over;
  }

  /** Torque that brings a free engine to the speed at which the driver or a launch limiter holds it. */
  private heldNm(): number {
    return ((this.launchRadS - this.radS) * this.line.engineInertiaKgM2) / HOLD_S;
  }

  private takeOff(): void {
    const { input, line } = this;
    if (this.going || input.hold || input.pedal < 0.5 || this.engineRpm < 0.9 * line.launchRpm) return;
    this.going = true;
    this.clutch = "slipping";
  }

  /** Torque that a slipping clutch passes, Nm: in first gear it holds the launch speed, otherwise it brings both sides together. */
  private slippingNm(): number {
    const { driver, engineNm, radS } = this;
    const inertia = this.line.engineInertiaKgM2;
    const { clutchNm } = this.data;
    const spareNm = this.tyreShareN() / this.perNm() - engineNm;
    const gearbox = this.gearboxRadS();
    const wanted =
      this.gear === 0
        ? startingNm(engineNm, radS, Math.max(this.launchRadS, gearbox), inertia, spareNm)
        : takingUpNm(engineNm, ((radS - gearbox) * inertia) / driver.takeUpS, spareNm);
    return Math.max(-clutchNm, Math.min(clutchNm, wanted));
  }

  /** Engine, clutch and driven wheels. */
  private drive(dtS: number): void {
    const { efficiency } = this.line;
    const perM = this.line.perM[this.gear]!;
    const locked = this.clutch === "locked";
    const passedNm = locked ? this.engineNm : this.clutch === "slipping" ? this.slippingNm() : 0;
    this.driveN = passedNm * perM * (passedNm > 0 ? efficiency : 1 / efficiency);
    const { wheel } = this;
    wheel.speedMS = this.wheelMS;
    solveWheel(wheel, this.speedMS, this.driveN, this.turningKg() / dtS, this.loadN);
    this.wheelMS = wheel.speedMS;
    this.tyreN = wheel.forceN;
    if (locked) this.turnTogether(perM, dtS);
    else this.turnApart(passedNm, perM, dtS);
    this.engineRpm = this.radS / RAD_S_PER_RPM;
  }

  private turnTogether(perM: number, dtS: number): void {
    const radS = this.wheelMS * perM;
    const spinUpNm = (this.line.engineInertiaKgM2 * (radS - this.radS)) / dtS;
    this.clutchNm = this.engineNm - spinUpNm;
    this.driveN -= spinUpNm * perM;
    this.radS = radS;
    const slow = this.gear === 0 && radS < SLIP_AGAIN * this.launchRadS;
    if (slow || Math.abs(this.clutchNm) > this.data.clutchNm) this.clutch = "slipping";
  }

  private turnApart(passedNm: number, perM: number, dtS: number): void {
    this.clutchNm = passedNm;
    this.radS = Math.max(0, this.radS + ((this.engineNm - passedNm) / this.line.engineInertiaKgM2) * dtS);
    if (this.clutch !== "slipping") return;
    const ahead = this.radS - this.wheelMS * perM;
    if (this.gear === 0 ? ahead > 0 : Math.abs(ahead) > HOME_RAD_S) return;
    this.clutch = "locked";
    this.join(perM);
  }

  /** Both sides of the clutch take the speed that keeps their momentum. */
  private join(perM: number): void {
    const { wheelKg, engineInertiaKgM2 } = this.line;
    const engineKg = engineInertiaKgM2 * perM * perM;
    this.wheelMS = (wheelKg * this.wheelMS + (engineKg * this.radS) / perM) / (wheelKg + engineKg);
    this.radS = this.wheelMS * perM;
  }

  /** The car itself, and the load on its driven wheels. */
  private roll(dtS: number): void {
    const { speedMS, line } = this;
    this.resistanceN = line.dragKgM * speedMS * speedMS + (speedMS > 0 || this.going ? line.rollingN : 0);
    const speed = Math.max(0, speedMS + ((this.tyreN - this.resistanceN) / line.carKg) * dtS);
    this.accelerationMS2 = (speed - speedMS) / dtS;
    this.distanceM += ((speedMS + speed) / 2) * dtS;
    this.speedMS = speed;
    this.slip = (this.wheelMS - speed) / Math.max(speed, SLIP_FLOOR_MS);
    const load = Math.max(0, Math.min(line.weightN, line.staticN + line.transferKg * this.accelerationMS2));
    this.loadN += (load - this.loadN) * Math.min(1, dtS / this.data.axleLagS);
  }

  private changeGear(dtS: number): void {
    const { line } = this;
    if (this.shifting) {
      this.shiftLeftS -= dtS;
      if (this.shiftLeftS > 0) return;
      this.shifting = false;
      this.clutch = "slipping";
    } else if (this.clutch === "locked" && this.engineRpm >= line.shiftRpm && this.gear < line.topGear) {
      this.gear += 1;
      this.shifting = line.shiftS > 0;
      this.shiftLeftS = line.shiftS;
      this.clutch = this.shifting ? "open" : "slipping";
    }
  }
}

/** A car at rest with its engine idling. */
export const createMotion = (car: CarData, driver: Driver = ASSUMED_DRIVER): Motion =>
  new Motion(car, driver);
