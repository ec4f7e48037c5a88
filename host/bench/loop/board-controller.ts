// The emulated board as a controller in a closed loop: the released image, instruction by instruction.
import { LIVE } from "#shared-schema/link/columns.ts";
import { CORE_MEMORY_BYTES, SWITCH_BITS, TICK_US } from "#shared-schema/model/blocks.ts";
import { place } from "#shared-schema/model/layout.ts";
import { ADC_A, SLOW_SWITCHES, STAGES } from "#shared-schema/model/pins.ts";
import type { EmulatedBoard } from "../board/emulated-board.ts";
import type { FastSwitch, SensorName } from "../board/outside/harness.ts";
import type { Edge } from "../board/pins.ts";
import type { Connectors } from "./connectors.ts";
import { AFTER_TICK_US, type Controller, HighTime, SOLENOIDS } from "./controller.ts";

const SENSORS = ADC_A.map((name, channel) => [name, channel] as const).filter(
  ([name]) => name !== "battery" && name !== "driverSupply",
) as unknown as (readonly [SensorName, number])[];
const FAST: readonly FastSwitch[] = ["arm", "throttle", "launch"];
/** Names of the solenoid pins, in pin order. */
const PINS = Array.from({ length: STAGES }, (_, s) => [`nitrous${s + 1}`, `fuel${s + 1}`]).flat();
/** No tick comes while a sector of flash is erased. */
const LONGEST_FLASH_WORK_US = 500_000;
const AT = Object.fromEntries(place(LIVE).map(({ field, offset }) => [field.name, LIVE.address + offset]));

/** A powered board with the settings already in it, in mode off. Its edges so far are dropped. */
export class BoardController implements Controller {
  readonly on = new Float64Array(SOLENOIDS);
  private readonly board: EmulatedBoard;
  private readonly startNs: number;
  private readonly pins = Array.from({ length: SOLENOIDS }, () => new HighTime());
  private readonly seen: number[] = new Array(SOLENOIDS).fill(0);
  private switches = 0;

  constructor(board: EmulatedBoard) {
    this.board = board;
    this.toTick();
    this.startNs = board.nowNs;
    board.pins.forget();
    board.harness.relay.forget();
  }

  /** Time since the controller was made, ns. Instructions end where they end: each stretch begins where the last was meant to. */
  private ranNs = 0;

  run(connectors: Connectors, us: number): void {
    const fromNs = this.ranNs;
    this.connect(connectors);
    this.ranNs += us * 1000;
    this.board.run(this.startNs + this.ranNs);
    this.look(fromNs);
  }

  /** Runs to shortly after a tick, so that each stretch has one tick, at its end. */
  private toTick(): void {
    const lastUs = this.live.getUint32(AT.timeUs!, true);
    const ticked = (): boolean => this.live.getUint32(AT.timeUs!, true) !== lastUs;
    if (!this.board.runUntil(ticked, LONGEST_FLASH_WORK_US, TICK_US / 20))
      throw new Error("the board does not tick");
    this.board.runFor(AFTER_TICK_US);
  }

  private connect(connectors: Connectors): void {
    const { harness } = this.board;
    harness.setEngineHz(connectors.engineHz);
    harness.setRoadHz(connectors.roadHz);
    harness.batteryMv = connectors.batteryMv;
    for (const [name, channel] of SENSORS) harness.setSensorMv(name, connectors.sensorsMv[channel]!);
    if (connectors.switches === this.switches) return;
    this.switches = connectors.switches;
    const closed = (name: keyof typeof SWITCH_BITS): boolean =>
      ((connectors.switches >> SWITCH_BITS[name]) & 1) === 1;
    for (const name of FAST) harness.setSwitch(name, closed(name));
    for (const name of SLOW_SWITCHES) harness.setSlowSwitch(name, closed(name));
  }

  private look(fromNs: number): void {
    const { board, on } = this;
    const supplied = board.harness.relay.closed;
    for (let n = 0; n < SOLENOIDS; n++) {
      const pin = this.pins[n]!;
      const edges = board.pins.edges(PINS[n]!);
      for (; this.seen[n]! < edges.length; this.seen[n]!++) {
        const { ns, level } = edges[this.seen[n]!]!;
        pin.edge(Math.min(ns - this.startNs, this.ranNs), level === 1);
      }
      const share = pin.take(fromNs, this.ranNs);
      on[n] = supplied ? share : 0;
    }
  }

  private get live(): DataView {
    return new DataView(this.board.chip.rp2040.sram.buffer, 0, CORE_MEMORY_BYTES);
  }

  get mode(): number {
    return this.live.getUint8(AT.mode!);
  }
  get trip(): number {
    return this.live.getUint8(AT.trip!);
  }
  get reasons(): number {
    return this.live.getUint32(AT.reasons!, true);
  }
  get flowing(): number {
    return this.live.getUint8(AT.flowing!);
  }
  sharePermille(stage: number): number {
    return this.live.getUint16(AT.sharePermille! + 2 * stage, true);
  }
  pinEdges(solenoid: number): readonly Edge[] {
    return shifted(this.board.pins.edges(PINS[solenoid]!), this.startNs);
  }
  get relayEdges(): readonly Edge[] {
    return shifted(this.board.harness.relay.edges, this.startNs);
  }
}

const shifted = (edges: readonly Edge[], ns: number): Edge[] =>
  edges.map((edge) => ({ ns: edge.ns - ns, level: edge.level }));
