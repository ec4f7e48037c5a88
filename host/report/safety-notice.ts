// The cautions that every report ends with. They defer to part makers, local codes and licensed practice; none may be dropped.

/** One sentence each, in the order in which they matter. */
export const CAUTIONS: readonly string[] = [
  "The instructions of the maker of every part, the local code and a licensed practitioner rule over this tool.",
  "The emulated board shows what the program does, not what your wiring, valves and supply do. Prove the real board on the bench, bottle shut, before every change of wiring or settings.",
  "Nitrous without added fuel melts pistons: prove fuel pressure before and during flow, and time the ignition first.",
  "A nitrous bottle is a pressure vessel: fill it by weight, have it requalified, never heat it with a flame; its relief vents outside the cabin.",
  "Aim nozzles and vents away from people. Keep the arming switch guarded and off until the car is staged.",
  "Headgate is homemade gear with no certified safety level. When in doubt: off.",
];
