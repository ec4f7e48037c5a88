// Turns what the car does into what the controller's connectors see, by the calibrations in its settings.
import type { Document } from "#shared-schema/pack.ts";
import type { EmulatedBoard } from "../board/emulated-board.ts";
import type { Car } from "./car.ts";
import type { Controls } from "./script.ts";

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
  }

  /** Sets every sender and sensor. */
  car(car: Car, pedal: number): void {
    const { harness } = this.board;
    harness.setEngineHz((car.rpm / 60) * ((this.group("engine")?.pulsesHalfPulses ?? 0) / 2));
    harness.setRoadHz((car.speedMs / 1000) * (this.group("road")?.pulsesPerKm ?? 0));
    const throttle = (this.settings.throttle as { position?: Group }).position;
    if (throttle)
      harness.setSensorMv("throttle", line(pedal, 0, throttle.closedMv ?? 0, 1, throttle.openMv ?? 0));
    const map = this.group("manifold");
    if (map) harness.setSensorMv("manifold", this.manifoldMv(car.manifoldKpa * 10, map));
  }

  private manifoldMv(deciKpa: number, map: Group): number {
    return line(
      deciKpa,
      map.lowDeciKpa ?? 0,
      map.lowPointMv ?? 0,
      map.highDeciKpa ?? 0,
      map.highPointMv ?? 0,
    );
  }
}
