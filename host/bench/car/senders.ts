// Turns what the car does into what the controller's connectors see, by the calibrations in its settings.
import type { Document } from "#shared-schema/settings/pack.ts";
import type { EmulatedBoard } from "../board/emulated-board.ts";
import type { Car } from "./car.ts";
import type { Controls } from "./script.ts";

/** Fuel pressure and mixture of the demo car. Invented. */
const FUEL_KPA = 400;
const LAMBDA = 0.82;

type Group = { readonly [key: string]: number };

const line = (x: number, x0: number, y0: number, x1: number, y1: number): number =>
  y0 + ((x - x0) * (y1 - y0)) / (x1 - x0);

/** Senders of a car that is wired for these settings. */
export class Senders {
  private readonly board: EmulatedBoard;
  private readonly settings: Document;

  constructor(board: EmulatedBoard, settings: Document) {
    this.board = board;
    this.settings = settings;
  }

  private group(name: string): Group | undefined {
    return this.settings[name] as Group | undefined;
  }

  /** Sets every switch. */
  controls(controls: Controls): void {
    const { harness } = this.board;
    harness.setSwitch("arm", controls.arm);
    harness.setSwitch("throttle", controls.pedal > 0.95);
    harness.setSwitch("launch", controls.launch);
    harness.setSlowSwitch("enrich", controls.enrich);
    harness.setSlowSwitch("bottleValve", controls.bottleValve);
    harness.setSlowSwitch("purge", controls.purge);
    harness.setSlowSwitch("heater", controls.heater);
  }

  /** Sets every sender and sensor. */
  car(car: Car, pedal: number): void {
    const { harness } = this.board;
    harness.setEngineHz((car.rpm / 60) * ((this.group("engine")?.pulsesHalfPulses ?? 0) / 2));
    harness.setRoadHz((car.speedMs / 1000) * (this.group("road")?.pulsesPerKm ?? 0));
    const throttle = (this.settings.throttle as { position?: Group }).position;
    if (throttle)
      harness.setSensorMv("throttle", line(pedal, 0, throttle.closedMv ?? 0, 1, throttle.openMv ?? 0));
    this.pressure("manifold", "DeciKpa", car.manifoldKpa * 10);
    this.pressure("bottle", "KpaGauge", car.bottleKpa);
    this.pressure("fuel", "DeciKpaGauge", FUEL_KPA * 10);
    this.pressure("lambda", "MilliLambda", LAMBDA * 1000);
    const coolant = this.group("coolant");
    if (coolant) harness.setSensorMv("coolant", ((coolant.coldAboveMv ?? 0) + (coolant.hotBelowMv ?? 0)) / 2);
  }

  /** A sensor with two calibration points, at a value in the unit that it is stored in. */
  private pressure(name: "manifold" | "bottle" | "fuel" | "lambda", unit: string, value: number): void {
    const points = this.group(name);
    if (!points) return;
    const [low, high] = [points[`low${unit}`] ?? 0, points[`high${unit}`] ?? 1];
    this.board.harness.setSensorMv(
      name,
      line(value, low, points.lowPointMv ?? 0, high, points.highPointMv ?? 0),
    );
  }
}
