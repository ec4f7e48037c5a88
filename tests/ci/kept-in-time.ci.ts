// Ticks are kept between ticks: while a piece of them begins, with all that the line and the speed wires can bring, tick, feed
// and keep-alive stay on time, and the arm switch cuts at once.
import { expect, test } from "vitest";
import type { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { encodeFrame } from "#host/link/frame.ts";
import { encodePayload, type Values } from "#host/link/payload.ts";
import { LIVE } from "#shared-schema/link/columns.ts";
import { BAUD_MAX, MAX_PAYLOAD, MESSAGES } from "#shared-schema/link/messages.ts";
import { SENSOR_UV_PER_CODE, TICK_US } from "#shared-schema/model/blocks.ts";
import { place } from "#shared-schema/model/layout.ts";
import { MODES } from "#shared-schema/model/modes.ts";
import { PINS } from "#shared-schema/model/pins.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { DENSE_PULSES, heavySettings } from "../bench/heavy-car.ts";
import { boardWith } from "../support/driven.ts";
import { Random } from "../support/random.ts";

/** What the interrupts of a busy line may shift a tick by. */
const JITTER_US = 20;
/** Input, tick and the beginning of a piece, of the time between two ticks: docs/benchmarks.md has its parts. */
const BEGIN_PASS_MOST_US = 850;
/** From the edge at the arm switch until its interrupt has cut the pins. */
const CUT_US = 10;
const RESTED_OFF_US = 210_000;
const ARMING_US = 400_000;
const FLOWING_US = 4_000_000;
const NEXT_BEGINNING_US = 4_000_000;
const AFTER_CUT_US = 20_000;
const BYTES_PER_MS = BAUD_MAX / 10_000;
/** No tick keeps so long unless a piece begins. */
const IN_BEGINNING_US = 200;

function frameOf(name: string, values: Values, tail?: Uint8Array): Uint8Array {
  const { kind, request } = MESSAGES.find((message) => message.name === name)!;
  return encodeFrame({ sequence: 9, kind, payload: encodePayload(request, values, tail) });
}

const PIECE = frameOf("writeData", { id: 5, offset: 0 }, new Uint8Array(480).fill(7));
const FRAMES = Array.from({ length: 60 }, (_, i) => [
  frameOf("logRead", { offset: 1024 * i, length: MAX_PAYLOAD - 4 }),
  PIECE,
]).flat();

/** Lets the line be full for so long. */
function load({ serial }: EmulatedBoard, us: number): void {
  for (let bytes = 0, i = 0; bytes < (us / 1000) * BYTES_PER_MS; i++) {
    const frame = FRAMES[i % FRAMES.length]!;
    serial.send(frame);
    bytes += frame.length;
  }
}

/** What the passes of the main loop came to. */
class Passes {
  readonly ticks: { ns: number }[] = [];
  readonly feeds: { ns: number }[] = [];
  /** From the tick's call to the end of keeping it, where a piece began. */
  readonly beginUs: number[] = [];
  /** Called once, in the middle of the next beginning. */
  inBeginning: (() => void) | undefined;
  private readonly board: EmulatedBoard;
  private keeps = false;

  constructor(board: EmulatedBoard) {
    this.board = board;
    board.watch("w2c_core_tick", () => this.ticks.push({ ns: board.nowNs }));
    board.watch("watchdog_feed", () => this.feeds.push({ ns: board.nowNs }));
    board.watch("w2c_core_keepTick", () => this.keep());
  }

  private keep(): void {
    const { board } = this;
    const { registers } = board.chip.rp2040.core;
    const back = registers[14]! & ~1;
    this.keeps = true;
    board.watch(back, () => {
      board.unwatch(back);
      this.keeps = false;
      if (registers[0] === 1) this.beginUs.push((board.nowNs - this.ticks.at(-1)!.ns) / 1000);
    });
    board.at(board.nowNs + IN_BEGINNING_US * 1000, () => {
      if (!this.keeps) return;
      const { inBeginning } = this;
      this.inBeginning = undefined;
      inBeginning?.();
    });
  }
}

/** Times between neighbours, us. */
const steps = (times: readonly { ns: number }[]): number[] =>
  times.slice(1).map(({ ns }, i) => (ns - times[i]!.ns) / 1000);
const SLOW_CODES = { bottle: 2650, fuel: 2048, lambda: 1400, coolant: 1400 } as const;
const SENSORS_MV = { manifold: 1600, throttle: 4000 } as const;
/** So far codes go to and fro that hardly one is near the mean of those before: a piece is full in half a second. */
const NOISE_MV = 60;

/** The heaviest settings, with a pulse on both speed wires in nearly every tick and noise at every sensor; the arm switch has been off for long enough. */
function heaviestBoard(): EmulatedBoard {
  const settings = heavySettings(DENSE_PULSES);
  const { board } = boardWith(settings as unknown as Document);
  const { harness } = board;
  harness.setEngineHz((6400 * DENSE_PULSES.halfPulses) / 120);
  harness.setRoadHz((2800 * DENSE_PULSES.perKm) / 36_000);
  const random = new Random(1);
  const noise = (): number => random.below(NOISE_MV) - NOISE_MV / 2;
  const sense = (): void => {
    for (const [name, code] of Object.entries(SLOW_CODES))
      harness.setSensorMv(name as keyof typeof SLOW_CODES, (code * SENSOR_UV_PER_CODE) / 1000 + noise());
    harness.setSensorMv("manifold", SENSORS_MV.manifold + noise());
    harness.batteryMv = 13_800 + 4 * noise();
  };
  board.watch("adc_begin_round", sense);
  harness.setSensorMv("throttle", settings.throttle.position!.closedMv);
  board.serial.send(frameOf("baud", { baud: BAUD_MAX }));
  board.runFor(5_000);
  board.serial.baud = BAUD_MAX;
  for (const name of ["heater", "bottleValve", "enrich"] as const) harness.setSlowSwitch(name, true);
  board.runFor(RESTED_OFF_US);
  return board;
}

const modeOf = (board: EmulatedBoard): string => {
  const at = LIVE.address + place(LIVE).find(({ field }) => field.name === "mode")!.offset;
  return MODES[board.chip.rp2040.sram[at]!]!;
};

/** Time of the last edge at a solenoid pin, us. */
function lastEdgeUs(board: EmulatedBoard): number {
  const solenoids = PINS.filter(({ kind }) => kind === "solenoid");
  return Math.max(...solenoids.map(({ name }) => board.pins.edges(name).at(-1)?.ns ?? 0)) / 1000;
}

/** Arms with every switch in use while the line is full, and launches. */
function launch(board: EmulatedBoard): void {
  const { harness } = board;
  harness.setSwitch("launch", true);
  load(board, ARMING_US);
  harness.setSwitch("arm", true);
  board.runFor(ARMING_US);
  harness.setSensorMv("throttle", SENSORS_MV.throttle);
  harness.setSwitch("throttle", true);
  harness.setSwitch("launch", false);
}

/** Cuts in the middle of the next beginning; the time of the cut, us. */
function cutInBeginning(board: EmulatedBoard, passes: Passes): number {
  let cutUs = 0;
  passes.inBeginning = () => {
    cutUs = board.nowNs / 1000;
    board.harness.setSwitch("arm", false);
  };
  load(board, NEXT_BEGINNING_US);
  expect(board.runUntil(() => cutUs > 0, NEXT_BEGINNING_US)).toBe(true);
  board.runFor(AFTER_CUT_US);
  return cutUs;
}

test("tick, feed and keep-alive are on time while pieces begin, and the arm switch cuts in the middle of it", () => {
  const board = heaviestBoard();
  const passes = new Passes(board);
  launch(board);
  load(board, FLOWING_US);
  board.pins.forget();
  board.runFor(FLOWING_US);
  expect(modeOf(board)).toBe("flowing");
  const aliveUs = steps(board.pins.edges("keepAlive"));
  const cutUs = cutInBeginning(board, passes);
  process.stdout.write(
    `from a tick to the end of a piece's beginning: at most ${Math.ceil(Math.max(...passes.beginUs))} us\n`,
  );
  expect(lastEdgeUs(board) - cutUs).toBeGreaterThan(0);
  expect(lastEdgeUs(board) - cutUs).toBeLessThan(CUT_US);
  expect(modeOf(board)).toBe("off");
  expect(passes.beginUs.length).toBeGreaterThan(1);
  expect(Math.max(...passes.beginUs)).toBeLessThan(BEGIN_PASS_MOST_US);
  for (const us of [...steps(passes.ticks), ...steps(passes.feeds), ...aliveUs])
    expect(Math.abs(us - TICK_US)).toBeLessThan(JITTER_US);
});
