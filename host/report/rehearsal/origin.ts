// Whose car was driven, with which settings, on what, and under which conditions: the first things that a reader of a run has to know.
import type { Conditions } from "#host/bench/loop/conditions.ts";
import { formatQuantity } from "#host/units/format.ts";

/** What a report says about where a run came from. */
export interface RunOrigin {
  readonly settingsName: string;
  readonly settingsHash: string;
  /** The emulated board with the released image, or the core rig. */
  readonly controller: "emulated board" | "core rig";
  readonly image: string;
  readonly date: string;
  readonly car: CarOrigin;
  readonly conditions: Conditions;
  /** The driver lifts so long after the launch switch, s; left out for no lift. */
  readonly liftS?: number | undefined;
}

/** The car as a report names it. */
export interface CarOrigin {
  readonly name: string;
  /** Nobody's car: none was named. */
  readonly demo: boolean;
  readonly massKg: number;
  readonly engineW: number;
  readonly nitrousW: number;
  /** Quarter mile of its plan, s. */
  readonly plannedS: number;
}

/** Whose car it is, in one sentence. */
export function carLine({ name, demo, massKg, engineW, nitrousW }: CarOrigin): string {
  const kw = (watts: number): string => (watts / 1000).toFixed(0);
  const whose = demo ? "An invented car drives, not yours" : "Your car drives, as its file says";
  return `${whose}: ${name}, ${massKg.toFixed(0)} kg, ${kw(engineW)} kW and ${kw(nitrousW)} kW of nitrous.`;
}

const percent = (share: number): string => `${Math.round(share * 100)} %`;

const side = (difference: number): string => (difference > 0 ? "above" : "below");

/** What differs from the plan, to stand after "Run"; "as planned" when nothing does. */
export function conditionWords({ conditions: c, liftS }: Pick<RunOrigin, "conditions" | "liftS">): string {
  const words = [
    ...(c.gripShare === 1 ? [] : [`grip ${percent(c.gripShare)}`]),
    ...(c.lateS === 0 ? [] : [`${c.lateS.toFixed(2)} s late`]),
    ...(c.bottlePa === 0
      ? []
      : [`bottle ${formatQuantity(Math.abs(c.bottlePa), "psi", 0)} ${side(c.bottlePa)} the plan's`]),
    ...(c.flowShare === 1 ? [] : [`flow ${percent(c.flowShare)}`]),
    ...(c.valveShare === 1 ? [] : [`valve times ${percent(c.valveShare)}`]),
    ...(c.batteryV === 0
      ? []
      : [`battery ${Math.abs(c.batteryV).toFixed(1)} V ${side(c.batteryV)} the car file's`]),
    ...(c.noiseMv === 0 ? [] : [`noise of ${c.noiseMv.toFixed(1)} mV`]),
    ...(liftS === undefined ? [] : [`a lift ${liftS.toFixed(2)} s after the launch switch`]),
  ];
  return words.length === 0 ? "as planned" : `with ${words.join(", ")}`;
}
