// Where to put the meter on the bench, and what it must show, at a supply of 12 V; the tests hold the ranges to the solved circuit.

/** One place: black lead on the logic plane, red lead on the pin. Volts. */
export interface TestPoint {
  readonly net: string;
  /** A pin of that net that is easily reached. */
  readonly at: string;
  readonly low: number;
  readonly high: number;
  readonly otherwise: string;
}

const point = (net: string, at: string, low: number, high: number, otherwise: string): TestPoint => ({
  net,
  at,
  low,
  high,
  otherwise,
});

/** Key on, arm switch off, coils or dummy coils fitted, the board held in reset. */
export const AT_REST: readonly TestPoint[] = [
  point("main", "K2.87", 11.6, 12.1, "K2 has not closed: key wire, D11, coil"),
  point("feed", "D14.K", 11.2, 11.9, "F2 or D14"),
  point("5v", "U2.3", 4.9, 5.1, "U2, or something that draws too much: take chips out one by one"),
  point("3v3", "U3.3", 3.25, 3.35, "U3"),
  point("rail", "U5.3", 3.23, 3.37, "U5, R11 to R13: put nothing on an input before it is right"),
  point("sensor5", "U4.3", 4.85, 5.1, "U4, or a sensor wire at ground"),
  point("vsys", "A1.39", 4.4, 4.9, "D15"),
  point("nitrous1.gate", "Q101.G", 0, 0.1, "R101, R103, U6: the same at every driver's gate"),
  point("armSwitch", "A1.27", 0, 0.1, "S1 or its wire on a supply: go no further"),
  point("pump.coil", "X8.3", 0, 0.1, "Q2 or its wire on a supply: go no further"),
  point("drv", "X8.6", 0.3, 0.8, "higher: K1 is closed or R8 open; 0 V: no coil is fitted"),
];

/** The same with the arm switch on and the relay held by the program; every driver off. */
export const RELAY_CLOSED: readonly TestPoint[] = [
  point("armSwitch", "A1.27", 2.5, 3.8, "arm wire, R2102, R2103"),
  point("pump.coil", "X8.3", 10.4, 11.8, "D5, Q2, Q1, the pump"),
  point("drv", "X8.6", 11.5, 12.1, "contact of K1"),
  point("nitrous1.drain", "X2.2", 11.5, 12.1, "F3, the coil, its plug; 0 V: Q101 conducts"),
  point("nitrous1.tap", "U9.1", 1.8, 2.0, "R105, R106"),
  point("nitrous1.gate", "Q101.G", 0, 0.1, "a driver that is told to conduct: go no further"),
];
