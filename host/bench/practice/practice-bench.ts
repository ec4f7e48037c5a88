// A board to practise on: the released image on an emulated board, a car at its connectors, and hands that move and damage everything.
import { SWITCH_BITS, TICK_US } from "#shared-schema/model/blocks.ts";
import { ADC_A, SLOW_SWITCHES } from "#shared-schema/model/pins.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { EmulatedBoard } from "../board/emulated-board.ts";
import type { FastSwitch, SensorName } from "../board/outside/harness.ts";
import type { DrivenCar } from "../loop/closed-loop.ts";
import type { Connectors } from "../loop/connectors.ts";
import { ending, GO_S, launchScript, ScriptReader } from "../loop/script.ts";
import type { PracticeDisk } from "./boot-disk.ts";
import { PracticeCar, STOOD_S } from "./practice-car.ts";
import { storedSettings } from "./stored-settings.ts";

/** What a bench is made of. `carFor` gives the car that drives with some settings; `unset` stands in while none are stored. */
export interface PracticeOptions {
  readonly board: EmulatedBoard;
  readonly carFor: (settings: Document) => DrivenCar;
  readonly unset: Document;
  readonly disk: PracticeDisk;
  /** Called when the flash chip has been written to, with its contents. */
  readonly onFlash?: (bytes: Uint8Array) => void;
}

/** A launch that is being driven. */
interface Launch {
  readonly reader: ScriptReader;
  readonly startNs: number;
  readonly endS: number;
  readonly over: () => void;
}

const SENSORS = ADC_A.map((name, channel) => [name, channel] as const).filter(
  ([name]) => name !== "battery" && name !== "driverSupply",
) as unknown as (readonly [SensorName, number])[];
const FAST: readonly FastSwitch[] = ["arm", "throttle", "launch"];
/** Disk and flash are looked at every so many ticks. */
const LOOK_EVERY = 50;
/** So long after the last write to flash its contents count as settled, ns. */
const SETTLED_NS = 100e6;
/** After a launch the controller has time to store its run, s. */
const STORED_S = 1.6;
const STEP_S = TICK_US / 1e6;

export class PracticeBench {
  readonly board: EmulatedBoard;
  readonly car: PracticeCar;
  /** Is the board's supply on? Its chip may be in its boot mode all the same. */
  supplied = false;
  /** Check sum of the settings that the car is wired for; undefined while none are stored. */
  settingsCrc: number | undefined;
  settings: Document;
  readonly disk: PracticeDisk;
  private readonly options: PracticeOptions;
  private launch: Launch | undefined;
  private writtenNs: number | undefined;
  private ticks = 0;

  constructor(options: PracticeOptions) {
    this.options = options;
    this.board = options.board;
    this.disk = options.disk;
    const stored = storedSettings(this.board.flash.bytes);
    this.settingsCrc = stored?.crc;
    this.settings = stored?.document ?? options.unset;
    this.car = new PracticeCar(options.carFor(this.settings), this.settings);
    this.board.flash.onOperation = () => {
      this.writtenNs = this.board.nowNs;
      return undefined;
    };
  }

  get nowNs(): number {
    return this.board.nowNs;
  }

  /** Is a launch being driven? */
  get driving(): boolean {
    return this.launch !== undefined;
  }

  power(on: boolean): void {
    if (on === this.supplied) return;
    this.supplied = on;
    if (on) this.board.powerOn();
    else this.board.powerOff();
  }

  /** Presses the board's reset button. Without supply nothing comes of it. */
  reset(): void {
    if (this.supplied) this.board.pullReset();
  }

  /** Puts the car back at the line with every hand off; a launch under way ends there. */
  toLine(): void {
    this.endLaunch();
    this.car.toLine();
  }

  /** Drives one launch from the line, until so many seconds after go. Settles when it is over and the run is stored. */
  drive(seconds: number): Promise<void> {
    this.endLaunch();
    this.car.toLine(true);
    const endS = GO_S + seconds;
    const reader = new ScriptReader([...launchScript(this.settings), ...ending(endS)]);
    const startNs = this.board.nowNs + STOOD_S * 1e9;
    return new Promise((over) => {
      this.launch = { reader, startNs, endS: endS + STORED_S, over };
    });
  }

  /** Lets so many microseconds of virtual time go by, in whole ticks. Throws an EmulationFault. */
  runFor(us: number): void {
    for (let left = Math.max(1, Math.round(us / TICK_US)); left > 0; left--) this.tick();
  }

  private tick(): void {
    const { board, car } = this;
    this.moveHands();
    this.connect(car.connectors());
    board.runFor(TICK_US);
    car.step(STEP_S, (solenoid) => board.harness.drivers.energised(solenoid));
    if (++this.ticks % LOOK_EVERY === 0) this.look();
  }

  private moveHands(): void {
    const { launch } = this;
    if (!launch) return;
    const s = (this.board.nowNs - launch.startNs) / 1e9;
    launch.reader.moveTo(s);
    this.car.controls = launch.reader.controls;
    if (s >= launch.endS) this.endLaunch();
  }

  private endLaunch(): void {
    const { launch } = this;
    if (!launch) return;
    this.launch = undefined;
    this.car.toLine();
    launch.over();
  }

  private connect(connectors: Connectors): void {
    const { harness } = this.board;
    harness.setEngineHz(connectors.engineHz);
    harness.setRoadHz(connectors.roadHz);
    harness.batteryMv = connectors.batteryMv;
    for (const [name, channel] of SENSORS) harness.setSensorMv(name, connectors.sensorsMv[channel]!);
    const closed = (name: keyof typeof SWITCH_BITS): boolean =>
      ((connectors.switches >> SWITCH_BITS[name]) & 1) === 1;
    for (const name of FAST) harness.setSwitch(name, closed(name));
    for (const name of SLOW_SWITCHES) harness.setSlowSwitch(name, closed(name));
  }

  private look(): void {
    const { board, options } = this;
    board.pins.forget();
    board.harness.relay.forget();
    this.disk.look();
    if (this.writtenNs === undefined || board.nowNs - this.writtenNs < SETTLED_NS) return;
    this.writtenNs = undefined;
    this.follow();
    options.onFlash?.(board.flash.bytes);
  }

  /** When other settings have come into force, the car's sensors are those that they describe. */
  private follow(): void {
    const stored = storedSettings(this.board.flash.bytes);
    if (stored === undefined || stored.crc === this.settingsCrc) return;
    this.settingsCrc = stored.crc;
    this.settings = stored.document;
    this.car.rewire(this.options.carFor(stored.document), stored.document);
  }

  /** Ends a launch under way and takes the volume of the boot mode away; flash goes out once more where it was being written. */
  close(): void {
    this.endLaunch();
    this.disk.remove();
    if (this.writtenNs !== undefined) this.options.onFlash?.(this.board.flash.bytes);
  }
}
