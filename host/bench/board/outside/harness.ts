// Everything that is wired to the board: switches, senders, sensors, battery, converters, drivers and the master relay.
import { SENSOR_UV_PER_CODE, SUPPLY_MV_PER_CODE } from "#shared-schema/model/blocks.ts";
import { ADC_A, gpioOf, SLOW_SWITCHES } from "#shared-schema/model/pins.ts";
import type { VirtualClock } from "../clock.ts";
import type { PinRecorder } from "../pins.ts";
import { SolenoidDrivers } from "./drivers.ts";
import { Hc165 } from "./hc165.ts";
import { Mcp3208 } from "./mcp3208.ts";
import { PulseSender } from "./pulses.ts";
import { MasterRelay } from "./relay.ts";
import { SpiWires } from "./spi-wires.ts";

/** Sensors whose voltage is set from outside. */
export type SensorName = Exclude<(typeof ADC_A)[number], "battery" | "driverSupply">;
/** Switches on pins of their own. */
export type FastSwitch = "arm" | "throttle" | "launch";
/** Switches read through the shift register. */
export type SlowSwitch = (typeof SLOW_SWITCHES)[number];

const SWITCH_PINS: Readonly<Record<FastSwitch, string>> = {
  arm: "armSwitch",
  throttle: "throttleSwitch",
  launch: "launchSwitch",
};
const KEEP_ALIVE = gpioOf("keepAlive");
/** Battery of a running engine, mV (common practice, no source). */
const BATTERY_MV = 13_800;

/** The car's side of the connectors. All setters act at once, in virtual time. */
export class Harness {
  readonly relay: MasterRelay;
  readonly drivers: SolenoidDrivers;
  readonly adcA: Mcp3208;
  readonly adcB: Mcp3208;
  readonly spi: SpiWires;
  readonly engine: PulseSender;
  readonly road: PulseSender;
  /** Battery voltage, mV. */
  batteryMv = BATTERY_MV;
  /** What contact, fuse and wiring to the drivers lose, mV. */
  relayDropMv = 0;
  readonly register = new Hc165();
  readonly #sensorsMv = new Map<string, number>();
  readonly #levels = new Map<number, 0 | 1>();
  readonly #onInput: (gpio: number, level: 0 | 1) => void;
  #slowBits = 0;

  constructor(clock: VirtualClock, pins: PinRecorder, onInput: (gpio: number, level: 0 | 1) => void) {
    this.#onInput = onInput;
    this.relay = new MasterRelay(clock);
    this.drivers = new SolenoidDrivers({
      nowNs: () => clock.nanos,
      pinHigh: (gpio) => pins.level(gpio) === 1,
      supplyMv: () => this.supplyMv,
    });
    this.relay.onMove = () => this.drivers.supplyChanges();
    this.adcA = new Mcp3208((channel) => this.#codeA(channel));
    this.adcB = new Mcp3208((channel) => this.drivers.drainMv(channel) / SUPPLY_MV_PER_CODE);
    this.spi = new SpiWires(this.adcA, this.adcB, this.register);
    this.engine = new PulseSender(clock, (level) => this.setInput("enginePulse", level));
    this.road = new PulseSender(clock, (level) => this.setInput("roadPulse", level));
    pins.onChange((gpio, level) => {
      if (gpio === KEEP_ALIVE) this.relay.keepAliveEdge(level);
      else this.drivers.pinChanged(gpio);
    });
  }

  /** Voltage behind the master relay, mV. */
  get supplyMv(): number {
    return this.relay.closed ? Math.max(0, this.batteryMv - this.relayDropMv) : 0;
  }

  /** Sets a sensor's voltage at the connector, mV; the converter sees 0 to 5000. */
  setSensorMv(name: SensorName, millivolts: number): void {
    this.#sensorsMv.set(name, millivolts);
  }

  setSwitch(name: FastSwitch, closed: boolean): void {
    this.setInput(SWITCH_PINS[name], closed ? 1 : 0);
  }

  setSlowSwitch(name: SlowSwitch, closed: boolean): void {
    const bit = 1 << SLOW_SWITCHES.indexOf(name);
    this.#slowBits = closed ? this.#slowBits | bit : this.#slowBits & ~bit;
    this.register.setInputs(this.#slowBits);
  }

  /** Sets the level of an input pin by the name it has in the pin budget. */
  setInput(pinName: string, level: 0 | 1): void {
    const gpio = gpioOf(pinName);
    if (this.inputLevel(gpio) === level) return;
    this.#levels.set(gpio, level);
    this.#onInput(gpio, level);
  }

  /** Level that the car gives an input pin; open wires are low. */
  inputLevel(gpio: number): 0 | 1 {
    return this.#levels.get(gpio) ?? 0;
  }

  /** Frequency of the engine speed pulses, Hz. */
  setEngineHz(hz: number): void {
    this.engine.setHz(hz);
  }

  /** Frequency of the road speed pulses, Hz. */
  setRoadHz(hz: number): void {
    this.road.setHz(hz);
  }

  #codeA(channel: number): number {
    const name = ADC_A[channel]!;
    if (name === "battery") return this.batteryMv / SUPPLY_MV_PER_CODE;
    if (name === "driverSupply") return this.supplyMv / SUPPLY_MV_PER_CODE;
    return ((this.#sensorsMv.get(name) ?? 0) * 1000) / SENSOR_UV_PER_CODE;
  }
}
