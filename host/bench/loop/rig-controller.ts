// The core rig as a controller in a closed loop: the control core's own .wasm, a thousand ticks a second of virtual time.
import { SENSOR_UV_PER_CODE, SUPPLY_MV_PER_CODE, SWITCH_BITS, TICK_US } from "#shared-schema/model/blocks.ts";
import { STARTED_US } from "../board/boot.ts";
import type { Edge } from "../board/pins.ts";
import { BoardLayer, type Switch } from "../core/board-layer.ts";
import type { MemoryFlash } from "../core/flash.ts";
import { CoreRig } from "../core/rig.ts";
import { SOUND_RELAY, Wiring } from "../core/wiring.ts";
import type { Connectors } from "./connectors.ts";
import { AFTER_TICK_US, type Controller, HighTime, SOLENOIDS } from "./controller.ts";

const SWITCHES = Object.entries(SWITCH_BITS) as [Switch, number][];
/** Converters cut off what the board layer's place rounds. */
const HALF_SENSOR_CODE_MV = SENSOR_UV_PER_CODE / 2000;
const HALF_SUPPLY_CODE_MV = SUPPLY_MV_PER_CODE / 2;
const NS = 1000;
/** The channel that a round begins with: it is converted before the connectors move, and a tick looks at it a tick late. */
const FIRST_CONVERTED = 0;

const seenMv = ({ sensorsMv }: Connectors, channel: number): number =>
  sensorsMv[channel]! - HALF_SENSOR_CODE_MV;

/** One core with its settings in flash. Edges are kept only when asked for. */
export class RigController implements Controller {
  readonly on = new Float64Array(SOLENOIDS);
  readonly relayEdges: Edge[] = [];
  /** The core itself, with its memory and its flash. */
  readonly rig: CoreRig;
  private readonly layer: BoardLayer;
  private readonly keeps: boolean;
  private readonly pins = Array.from({ length: SOLENOIDS }, () => new HighTime());
  private readonly edges: Edge[][] = Array.from({ length: SOLENOIDS }, () => []);
  private supplied = false;
  private engineHz = 0;
  private roadHz = 0;

  /** `before`: ticks since the start, which decide whose turn it is; without edges a run costs less. */
  constructor(module: WebAssembly.Module, flash: MemoryFlash, { keepsEdges = true, before = 0 } = {}) {
    this.rig = new CoreRig(module, flash);
    this.rig.start();
    this.layer = new BoardLayer(this.rig, STARTED_US - before * TICK_US, new Wiring(SOUND_RELAY));
    for (let i = 0; i < before; i++) this.layer.tick(TICK_US);
    this.keeps = keepsEdges;
  }

  run(connectors: Connectors, us: number): void {
    if (us !== TICK_US) throw new RangeError("a core rig is run tick by tick");
    this.connect(connectors);
    this.convert(connectors);
    this.layer.tick(TICK_US);
    this.layer.sensorsMv[FIRST_CONVERTED] = seenMv(connectors, FIRST_CONVERTED);
    this.look();
  }

  private connect(connectors: Connectors): void {
    const { layer } = this;
    const moved = connectors.switches ^ layer.raw.switches;
    if (moved !== 0)
      for (const [name, bit] of SWITCHES)
        if ((moved >> bit) & 1) layer.set(name, ((connectors.switches >> bit) & 1) === 1);
    layer.engineRate = this.rate(this.engineHz, connectors.engineHz);
    layer.roadRate = this.rate(this.roadHz, connectors.roadHz);
    this.engineHz = connectors.engineHz;
    this.roadHz = connectors.roadHz;
  }

  /** Pulses a microsecond from tick to tick, where the frequency moves shortly after the first of them. */
  private rate(oldHz: number, hz: number): number {
    return (oldHz * AFTER_TICK_US + hz * (TICK_US - AFTER_TICK_US)) / TICK_US / 1e6;
  }

  /** All but the first channel are converted later in the round than the connectors move. */
  private convert(connectors: Connectors): void {
    const { layer } = this;
    layer.batteryMv = connectors.batteryMv - HALF_SUPPLY_CODE_MV;
    for (let i = 0; i < layer.sensorsMv.length; i++)
      if (i !== FIRST_CONVERTED) layer.sensorsMv[i] = seenMv(connectors, i);
  }

  /** Takes over what pins and relay did in the tick. */
  private look(): void {
    const { layer, on, pins } = this;
    const toNs = (layer.raw.nowUs - STARTED_US) * NS;
    for (const { us, pin, level } of layer.edges) {
      const ns = (us - STARTED_US) * NS;
      pins[pin]!.edge(ns, level);
      if (this.keeps) this.edges[pin]!.push({ ns, level: level ? 1 : 0 });
    }
    const supplied = layer.wiring.supplyMv > 0;
    for (let n = 0; n < SOLENOIDS; n++) {
      const share = pins[n]!.take(toNs - TICK_US * NS, toNs);
      on[n] = supplied ? share : 0;
    }
    if (supplied !== this.supplied) this.relayEdges.push({ ns: toNs, level: supplied ? 1 : 0 });
    this.supplied = supplied;
  }

  get mode(): number {
    return this.layer.mode;
  }
  get trip(): number {
    return this.layer.trip;
  }
  get reasons(): number {
    return this.layer.reasons;
  }
  get flowing(): number {
    return this.layer.flowing;
  }
  sharePermille(stage: number): number {
    return this.layer.sharePermille(stage);
  }
  pinEdges(solenoid: number): readonly Edge[] {
    return this.edges[solenoid]!;
  }
}
