// The safety notices of every report and plan, in one place. They defer to part makers, local codes and licensed practice; none may be dropped.

/** A notice, and what to do instead where that can be said in short. */
export interface SafetyNotice {
  readonly text: string;
  readonly instead?: string;
}

/** One sentence each, in the order in which they matter. Every report ends with them. */
export const SAFETY_NOTICES: readonly SafetyNotice[] = [
  {
    text: "Follow the maker's instructions for every part; they, the local code and a licensed practitioner take precedence over this tool.",
  },
  {
    text: "The emulated board shows what the program does, not what your wiring, valves and supply do. Prove the real board on the bench, bottle shut, after every change of wiring or settings and before the next run.",
  },
  {
    text: "Nitrous without added fuel melts pistons: prove fuel pressure before and during flow, and set the ignition timing first.",
  },
  {
    text: "A nitrous bottle is a pressure vessel: fill it by weight only, keep its relief working and have it requalified when that is due.",
  },
  {
    text: "Never heat a bottle with a flame, and never above 52 C.",
    instead: "use a heater that a pressure or thermostat controls",
  },
  { text: "Relief and purge vent outside the cabin, away from people and ignition." },
  {
    text: "Aim nozzles at the engine and away from people. Keep the arm switch guarded and off until the car is staged.",
  },
  { text: "Headgate is homemade gear with no certified safety level. When in doubt: off." },
];

/** What a plan adds, since it calculates a flow. */
export const FLOW_NOTICE: SafetyNotice = {
  text: "Every flow model is at its worst for liquid at its boiling point, as in a kit bottle: expect about +-20 % in nitrous flow until a bottle has been weighed.",
  instead: "run headgate plan calibrate",
};
