// The conditions on the whole system that must hold in every tick with flow, and those on each stage.
import { WATCHDOG_US } from "#shared-schema/model/blocks.ts";
import { gearCouldBeIn } from "./gear.ts";
import { LenientWindow } from "./lenient-window.ts";
import { Plausible, TURN_TICKS } from "./plausible.ts";
import { batteryMv, isOn, type Raw, sensed, windowValue } from "./raw.ts";
import {
  limitsOf,
  lineOf,
  type SensorName,
  type Settings,
  WINDOW_NAMES,
  type WindowName,
  type Windows,
} from "./settings.ts";

/** A time in the core is counted from tick to tick; one tick with its jitter more is not a fault. */
export const TICK_SLACK_US = 1_100;
/** What is looked at in turns may be seen this much later: four ticks, one of them as late as the watchdog allows. */
export const TURN_US = WATCHDOG_US + 4 * TICK_SLACK_US;
const LOST_PERIODS = 3;
const LOST_MOST_US = 60_000;

interface WatchedWindow {
  readonly name: WindowName;
  readonly window: LenientWindow;
}

/** Windows of the system, and a stage's on engine speed, are looked at in every tick; a stage's others in its turn. */
function watched(windows: Windows, turns: number): WatchedWindow[] {
  return WINDOW_NAMES.flatMap((name) => {
    const limits = limitsOf(windows, name);
    return limits ? [{ name, window: new LenientWindow(limits, name === "engineSpeed" ? 1 : turns) }] : [];
  });
}

function outside(windows: readonly WatchedWindow[]): string[] {
  return windows.filter(({ window }) => !window.inside).map(({ name }) => name);
}

/** How far past its longest allowed time the last engine pulse lies; below 0 all is well. */
export function engineSilentUs(raw: Pick<Raw, "nowUs" | "engine">): number {
  const { edgeUs, periodUs } = raw.engine;
  return raw.nowUs - edgeUs - Math.min(LOST_PERIODS * periodUs, LOST_MOST_US);
}

/** Is a sensor that is fitted surely above (sign 1) or below (sign -1) a limit? */
export function surely(raw: Raw, settings: Settings, name: SensorName, sign: 1 | -1, limit: number): boolean {
  const line = lineOf(settings, name);
  if (!line) return false;
  const { value, rounding } = sensed(raw, name, line);
  return sign * (value - limit) > rounding;
}

/** Follows every condition. `update` once a tick, then ask. */
export class Conditions {
  /** Conditions on the system that are surely not met in this tick. */
  system: string[] = [];
  private stages: string[][] = [];
  private readonly settings: Settings;
  private readonly plausible: Plausible;
  private readonly systemWindows: WatchedWindow[];
  private readonly stageWindows: WatchedWindow[][];
  private throttleOpen = false;
  private readonly slowTicks = new Map<string, number>();

  constructor(settings: Settings) {
    this.settings = settings;
    this.plausible = new Plausible(settings);
    this.systemWindows = watched(settings.windows, 1);
    this.stageWindows = settings.stages.map((stage) => watched(stage, TURN_TICKS));
  }

  /** `armed`: false only where the core is surely not: it follows the windows of stages while it is. */
  update(raw: Raw, armed = true): void {
    this.plausible.update(raw);
    if (!armed) for (const { window } of this.stageWindows.flat()) window.forgetLeft();
    for (const windows of [this.systemWindows, ...this.stageWindows])
      for (const { name, window } of windows) window.update(windowValue(raw, this.settings, name));
    this.updateThrottle(raw);
    this.system = [...outside(this.systemWindows), ...this.switchesAndGear(raw), ...this.pressures(raw)];
    if (this.plausible.bad) this.system.push("plausible");
    this.stages = this.settings.stages.map((_, s) => this.stageNow(raw, s));
  }

  /** Is a sensor surely not believable in this tick? */
  get sensorBad(): boolean {
    return this.plausible.bad;
  }

  /** Is a converter surely without live values in this tick? */
  get converterDead(): boolean {
    return this.plausible.dead;
  }

  /** Are all needed sensors and both converters surely believable in this tick? */
  get sensorsGood(): boolean {
    return this.plausible.good;
  }

  /** Windows of a stage that are surely not satisfied: engine speed at once, the others once the stage has had its turn. */
  stage(s: number): string[] {
    return this.stages[s] ?? [];
  }

  private stageNow(raw: Raw, s: number): string[] {
    const gear = !gearCouldBeIn(raw, this.settings, this.settings.stages[s]!);
    const windows = outside(this.stageWindows[s]!).map((name) => `stage ${name}`);
    return [...windows, ...this.lasting(`stage ${s} gear`, gear)];
  }

  /** The name, once what it stands for has lasted so many ticks that it has surely been looked at. */
  private lasting(name: string, bad: boolean): string[] {
    const ticks = bad ? (this.slowTicks.get(name) ?? 0) + 1 : 0;
    this.slowTicks.set(name, ticks);
    return ticks >= TURN_TICKS ? [name] : [];
  }

  private switchesAndGear(raw: Raw): string[] {
    const { throttle, windows } = this.settings;
    const broken: string[] = [];
    if (throttle.switch === "yes" && !isOn(raw, "throttle")) broken.push("throttle switch");
    if (throttle.position && !this.throttleOpen) broken.push("throttle position");
    if (!gearCouldBeIn(raw, this.settings, windows)) broken.push("gear");
    return broken;
  }

  private pressures(raw: Raw): string[] {
    const { manifold, bottle, battery } = this.settings;
    const broken: string[] = [];
    const is = (name: SensorName, sign: 1 | -1, limit: number): boolean =>
      surely(raw, this.settings, name, sign, limit);
    if (manifold?.overboost && is("manifold", 1, manifold.overboost.aboveDeciKpa)) broken.push("overboost");
    broken.push(...this.lasting("bottle low", !!bottle && is("bottle", -1, bottle.lowestKpaGauge)));
    broken.push(...this.lasting("bottle high", !!bottle && is("bottle", 1, bottle.highestKpaGauge)));
    broken.push(...this.lasting("battery", batteryMv(raw) < battery.lowestMv));
    return broken;
  }

  private updateThrottle(raw: Raw): void {
    const sensor = this.settings.throttle.position;
    if (!sensor) return;
    if (surely(raw, this.settings, "throttle", -1, sensor.closesAtPermille)) this.throttleOpen = false;
    else if (!surely(raw, this.settings, "throttle", -1, sensor.opensAtPermille)) this.throttleOpen = true;
  }
}
