// What the driver does: movements of pedal and switches at set times. Between two movements everything stays as it is.

/** What the driver can move. `pedal` is 0 to 1. */
export interface Controls {
  readonly arm: boolean;
  readonly pedal: number;
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
  launch: false,
  enrich: false,
  bottleValve: false,
  purge: false,
  heater: false,
};

/** When the pedal lifts in the launch below, when it is down again, when the arm switch goes off, and the end. */
export const LIFT_S = 5.2;
export const DISARM_S = 8.2;
export const END_S = 8.8;

/** One launch: arm, stage, go, lift once, go again, arm switch off at speed. Invented. */
export const LAUNCH: readonly Movement[] = [
  { atS: 0.4, change: { arm: true, bottleValve: true }, words: "arm and bottle valve on" },
  { atS: 0.7, change: { purge: true }, words: "purge" },
  { atS: 0.9, change: { purge: false }, words: "purge ends" },
  { atS: 1.0, change: { launch: true }, words: "launch switch pressed" },
  { atS: 1.2, change: { pedal: 1, enrich: true }, words: "pedal down" },
  { atS: 1.5, change: { launch: false }, words: "launch switch released: go" },
  { atS: LIFT_S, change: { pedal: 0 }, words: "pedal lifted" },
  { atS: 5.8, change: { pedal: 1 }, words: "pedal down again" },
  { atS: DISARM_S, change: { arm: false }, words: "arm switch off" },
];

/** Where everything stands at a time. */
export function controlsAt(script: readonly Movement[], s: number): Controls {
  return Object.assign({}, RELEASED, ...script.filter((m) => m.atS <= s).map((m) => m.change)) as Controls;
}
