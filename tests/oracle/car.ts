// A car in front of a core rig: physical values go in, raw inputs are written, the core ticks. Time never wraps here, only in the core.
import { BoardLayer } from "#host/bench/core/board-layer.ts";
import type { CoreRig } from "#host/bench/core/rig.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { looksLikeTry } from "./driver-try.ts";
import type { Commanded } from "./oracle.ts";
import type { Settings } from "./settings.ts";

export type { Switch } from "#host/bench/core/board-layer.ts";

/** What the senders of a car say. Rates are of this moment; voltages are those at the connectors. */
export interface Point {
  rpm: number;
  deciKmh: number;
  throttleMv: number;
  manifoldMv: number;
  bottleMv: number;
  fuelMv: number;
  lambdaMv: number;
  coolantMv: number;
  batteryMv: number;
}

const CHANNEL = Object.fromEntries(ADC_A.map((name, channel) => [name, channel]));
const PINS = [0, 1, 2, 3, 4, 5, 6, 7] as const;

/** A car and its controller. Change `point`, `switches` and the faults, then `tick`. */
export class Car extends BoardLayer {
  point: Point;
  engineWireCut = false;
  private readonly settings: Settings;

  constructor(rig: CoreRig, settings: Settings, point: Readonly<Point>, nowUs: number) {
    super(rig, nowUs);
    this.settings = settings;
    this.point = { ...point };
    this.sense();
    this.engine.prime(nowUs, this.engineRate);
    this.road.prime(nowUs, this.roadRate);
  }

  /** Puts what the senders say at the connectors. */
  private sense(): void {
    const { point, settings, sensorsMv } = this;
    this.engineRate = this.engineWireCut ? 0 : (point.rpm * settings.engine.pulsesHalfPulses) / 120e6;
    this.roadRate = (point.deciKmh * (settings.road?.pulsesPerKm ?? 0)) / 3.6e10;
    this.batteryMv = point.batteryMv;
    sensorsMv[CHANNEL.throttle!] = point.throttleMv;
    sensorsMv[CHANNEL.manifold!] = point.manifoldMv;
    sensorsMv[CHANNEL.bottle!] = point.bottleMv;
    sensorsMv[CHANNEL.fuel!] = point.fuelMv;
    sensorsMv[CHANNEL.lambda!] = point.lambdaMv;
    sensorsMv[CHANNEL.coolant!] = point.coolantMv;
  }

  /** Closes the throttle by every way that is fitted. Returns what opens it again to where its sensor was. */
  lift(): () => void {
    const { throttleMv } = this.point;
    this.set("throttle", false);
    this.point.throttleMv = this.settings.throttle.position?.closedMv ?? throttleMv;
    return () => {
      this.set("throttle", true);
      this.point.throttleMv = throttleMv;
    };
  }

  /** An extra pulse on the engine wire at `atUs`, as noise makes it. */
  spuriousPulse(atUs: number): void {
    this.engine.edge(1, atUs, 0);
  }

  /** Pulses were missed, as the board layer tells after each work in flash. */
  missPulses(): void {
    this.engine.forget();
    this.road.forget();
  }

  override tick(us = 1000): void {
    this.sense();
    super.tick(us);
  }

  pins(): number[] {
    return PINS.map((i) => this.pin(i));
  }

  /** The same, with the least width in the shut periods of a pattern: such a stage counts as fed. */
  fedPins(): number[] {
    if (looksLikeTry(this.pins())) return this.pins();
    return PINS.map((i) => {
      const shut = this.fed(i >> 1) && this.width(i & ~1) === 0 && (i % 2 === 0 || this.width(i) === 0);
      return shut ? 1 : this.pin(i);
    });
  }

  /** All that the outputs say after a tick. */
  get commanded(): Commanded {
    return { pulse: this.fedPins(), edges: this.edges, runs: this.runs, flags: this.outputFlags };
  }
}
