// What the driver does: movements of pedal and switches at set times. Between two movements everything stays as it is.
import type { Document } from "#shared-schema/settings/pack.ts";

/** What the driver can move. `pedal` is 0 to 1; `hold` keeps the car at the line. */
export interface Controls {
  readonly arm: boolean;
  readonly pedal: number;
  readonly hold: boolean;
  readonly launch: boolean;
  readonly enrich: boolean;
  readonly bottleValve: boolean;
  readonly purge: boolean;
  readonly heater: boolean;
}

/** One movement. */
export interface Movement {
  readonly atS: number;
  readonly change: Partial<Controls>;
  /** What to call it in a report. */
  readonly words: string;
}

export const RELEASED: Controls = {
  arm: false,
  pedal: 0,
  hold: true,
  launch: false,
  enrich: false,
  bottleValve: false,
  purge: false,
  heater: false,
};

/** When the launch switch says go. */
export const GO_S = 2;
/** For how long the pedal stays up when a launch has a lift. */
const LIFTED_S = 0.6;

/** How a launch may differ from the planned one, s: the car goes so much later than its switch says; a lift so long after the switch. */
export interface LaunchEdges {
  readonly lateS?: number | undefined;
  readonly liftS?: number | undefined;
}

/** One launch: arm, stage, go; with a lift in between when asked for. Invented. */
export function launchScript(settings: Document, { lateS = 0, liftS }: LaunchEdges = {}): Movement[] {
  const press = (settings.launch as { startsAt: string } | undefined)?.startsAt === "press";
  const lift = (atS: number): Movement[] => [
    { atS, change: { pedal: 0 }, words: "pedal lifted" },
    { atS: atS + LIFTED_S, change: { pedal: 1 }, words: "pedal down again" },
  ];
  return [
    { atS: 0.4, change: { arm: true, bottleValve: true }, words: "arm and bottle valve on" },
    { atS: 0.7, change: { purge: true }, words: "purge" },
    { atS: 0.9, change: { purge: false }, words: "purge ends" },
    { atS: 1.0, change: { launch: !press }, words: "staged" },
    { atS: 1.2, change: { pedal: 1, enrich: true }, words: "pedal down" },
    {
      atS: GO_S,
      change: { launch: press, ...(lateS > 0 ? {} : { hold: false }) },
      words: "launch switch: go",
    },
    ...(lateS > 0 ? [{ atS: GO_S + lateS, change: { hold: false }, words: "the car goes" }] : []),
    ...(liftS === undefined ? [] : lift(GO_S + liftS)),
  ];
}

/** How a run ends that was over at `atS`: the arm switch goes off at speed, then the pedal comes up. */
export const ending = (atS: number): Movement[] => [
  { atS: atS + 0.02, change: { arm: false }, words: "arm switch off" },
  { atS: atS + 0.3, change: { pedal: 0 }, words: "pedal up" },
];
/** So long after its end a run is looked at. */
export const AFTER_S = 0.2;

/** Reads a script as time goes on. Times never go back. */
export class ScriptReader {
  /** As everything stands now. */
  controls: Controls = RELEASED;
  private readonly movements: Movement[];
  private next = 0;

  constructor(movements: readonly Movement[]) {
    this.movements = [...movements];
  }

  /** Appends movements that come after all others. */
  append(movements: readonly Movement[]): void {
    this.movements.push(...movements);
  }

  /** All movements so far. */
  get script(): readonly Movement[] {
    return this.movements;
  }

  /** Moves on to a time, s. True when something moved. */
  moveTo(s: number): boolean {
    const before = this.next;
    for (let m = this.movements[this.next]; m && m.atS <= s + 1e-9; m = this.movements[++this.next])
      this.controls = { ...this.controls, ...m.change };
    return this.next !== before;
  }
}
