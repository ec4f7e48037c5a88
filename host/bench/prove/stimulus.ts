// Puts the car's side of the connectors where a proof wants it: every sensor by value, every switch, both pulse trains.
import type { EmulatedBoard } from "../board/emulated-board.ts";
import type { SensorName } from "../board/outside/harness.ts";
import type { Point } from "./point.ts";
import type { ProofSettings, Sensor } from "./settings.ts";

/** Units in which the two-point sensors are calibrated. */
const UNIT: Readonly<Record<string, string>> = {
  manifold: "DeciKpa",
  bottle: "KpaGauge",
  fuel: "DeciKpaGauge",
  lambda: "MilliLambda",
};
/** Battery of a running engine, mV (common practice, no source). */
const BATTERY_MV = 13_800;

/** The car of a proof. Values are in the unit of their sensor's settings. */
export class Stimulus {
  readonly board: EmulatedBoard;
  readonly settings: ProofSettings;
  readonly point: Point;

  constructor(board: EmulatedBoard, settings: ProofSettings, point: Point) {
    this.board = board;
    this.settings = settings;
    this.point = point;
  }

  /** Frequency of the engine pulses at a speed, Hz. */
  engineHz(rpm: number): number {
    return ((rpm / 60) * this.settings.engine.pulsesHalfPulses) / 2;
  }

  /** Frequency of the road pulses at a speed, Hz. */
  roadHz(deciKmh: number): number {
    return (deciKmh / 36_000) * (this.settings.road?.pulsesPerKm ?? 0);
  }

  /** Sets a fitted sensor to a value; one that is not fitted is left alone. */
  sensor(name: SensorName, value: number): void {
    const mv = this.millivolts(name, value);
    if (mv !== undefined) this.board.harness.setSensorMv(name, mv);
  }

  private millivolts(name: SensorName, value: number): number | undefined {
    if (name === "coolant") return value;
    const unit = UNIT[name];
    const points = (unit ? this.settings[name as "fuel"] : this.settings.throttle.position) as
      | Sensor
      | undefined;
    if (!points) return undefined;
    const [x0, x1] = unit ? [points[`low${unit}`]!, points[`high${unit}`]!] : [0, 1000];
    const [y0, y1] = unit ? [points.lowPointMv!, points.highPointMv!] : [points.closedMv!, points.openMv!];
    return y0 + ((value - x0) * (y1 - y0)) / (x1 - x0);
  }

  /** All sensors where flow may go on. */
  goodSensors(): void {
    const { bottle, fuel, lambda, coolant, battery } = this.settings;
    const at = (sensor: Sensor | undefined, name: string): number => sensor?.[name] ?? 0;
    const [low, high] = [at(bottle, "lowestKpaGauge"), at(bottle, "highestKpaGauge")];
    this.sensor("throttle", 1000);
    this.sensor("manifold", this.point.deciKpa);
    this.sensor("bottle", low + at(bottle, "hysteresisKpaGauge") + (high - low) / 8);
    this.sensor("fuel", at(fuel, "lowestDeciKpaGauge") * 1.3);
    this.sensor("lambda", at(lambda, "leanestMilliLambda") - 40);
    if (coolant) this.sensor("coolant", (at(coolant, "coldAboveMv") + at(coolant, "hotBelowMv")) / 2);
    this.board.harness.batteryMv = Math.max(BATTERY_MV, battery.lowestMv + 500);
  }

  /** Engine and road at the point. */
  goodSpeeds(): void {
    this.board.harness.setEngineHz(this.engineHz(this.point.rpm));
    this.board.harness.setRoadHz(this.roadHz(this.point.deciKmh));
  }

  /** Throttle open, enrichment confirmed, bottle valve and heater switched on, no purge; arm and launch stay as they are. */
  goodSwitches(): void {
    const { harness } = this.board;
    harness.setSwitch("throttle", true);
    harness.setSlowSwitch("enrich", true);
    harness.setSlowSwitch("bottleValve", true);
    harness.setSlowSwitch("heater", true);
    harness.setSlowSwitch("purge", false);
  }

  /** Closes the throttle by every way that is fitted. */
  lift(): void {
    this.board.harness.setSwitch("throttle", false);
    this.sensor("throttle", 0);
  }

  /** Opens it again. */
  press(): void {
    this.board.harness.setSwitch("throttle", true);
    this.sensor("throttle", 1000);
  }

  /** Everything as it must be for flow. */
  good(): void {
    this.goodSensors();
    this.goodSpeeds();
    this.goodSwitches();
  }

  /** Moves the launch switch to before or after the start. */
  launch(started: boolean): void {
    const pressed = (this.settings.launch?.startsAt === "release") !== started;
    this.board.harness.setSwitch("launch", pressed);
  }

  /** Every sensor that these settings have. */
  fitted(): SensorName[] {
    const { manifold, bottle, fuel, lambda, coolant, throttle } = this.settings;
    const all = { throttle: throttle.position, manifold, bottle, fuel, lambda, coolant };
    return (Object.keys(all) as (keyof typeof all)[]).filter((name) => all[name] !== undefined);
  }
}
