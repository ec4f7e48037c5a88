// A rehearsal: one scripted launch on the emulated board, and what its pins did, moment by moment.

import { STAGES } from "#shared-schema/model/pins.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { EmulatedBoard } from "./board/emulated-board.ts";
import type { Edge } from "./board/pins.ts";
import { Car, type CarData } from "./car/car.ts";
import { controlsAt, type Movement } from "./car/script.ts";
import { Senders } from "./car/senders.ts";

/** The car at one moment of the run. */
export interface Sample {
  readonly s: number;
  readonly pedal: number;
  readonly armed: boolean;
  readonly rpm: number;
  readonly kmh: number;
  readonly kpa: number;
}

/** All that was seen in a run. Edge times are in ns since the run began. */
export interface Rehearsal {
  readonly samples: readonly Sample[];
  /** Edges of each stage's pins. */
  readonly nitrous: readonly (readonly Edge[])[];
  readonly fuel: readonly (readonly Edge[])[];
  readonly relay: readonly Edge[];
  readonly endS: number;
  readonly script: readonly Movement[];
}

export interface RehearsalOptions {
  readonly settings: Document;
  readonly script: readonly Movement[];
  readonly endS: number;
  readonly car: CarData;
  /** Told how much of the run is over, 0 to 1. */
  readonly onProgress?: (share: number) => void;
}

const STEP_S = 0.002;

function flowNow(board: EmulatedBoard, stages: number): number {
  let open = 0;
  for (let s = 0; s < stages; s++) if (board.harness.drivers.energised(2 * s)) open += 1;
  return stages === 0 ? 0 : open / stages;
}

function shifted(edges: readonly Edge[], ns: number): Edge[] {
  return edges.map((e) => ({ ns: e.ns - ns, level: e.level }));
}

/** Drives a powered board, with the settings already in it, through a script. The board must be in mode off. */
export function rehearse(board: EmulatedBoard, options: RehearsalOptions): Rehearsal {
  const { settings, script, endS } = options;
  const car = new Car(options.car);
  const senders = new Senders(board, settings);
  const stages = (settings.stages as unknown[]).length;
  const startNs = board.nowNs;
  const samples: Sample[] = [];
  board.pins.forget();
  board.harness.relay.forget();
  for (let i = 0; i * STEP_S < endS; i++) {
    const s = i * STEP_S;
    const controls = controlsAt(script, s);
    car.step(STEP_S, controls.pedal, controls.launch, flowNow(board, stages));
    senders.controls(controls);
    senders.car(car, controls.pedal);
    samples.push({
      s,
      pedal: controls.pedal,
      armed: controls.arm,
      rpm: car.rpm,
      kmh: car.speedMs * 3.6,
      kpa: car.manifoldKpa,
    });
    board.run(startNs + (i + 1) * STEP_S * 1e9);
    options.onProgress?.(Math.min(1, (s + STEP_S) / endS));
  }
  const pins = (kind: string): Edge[][] =>
    Array.from({ length: STAGES }, (_, s) => shifted(board.pins.edges(`${kind}${s + 1}`), startNs));
  const relay = shifted(board.harness.relay.edges, startNs);
  return { samples, nitrous: pins("nitrous"), fuel: pins("fuel"), relay, endS, script };
}
