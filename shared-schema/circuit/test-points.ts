// Where to put the meter at each step of the first power-up, and what it must show; tests hold every value to the solved circuit.

/** Where a value comes from: the solved circuit or network, or the simulation in time. */
type From = "computed" | "simulated";

/** One place. Black lead on the logic plane, of a gate's pull-down and of R8 on the star; red lead on the pin. */
export interface TestPoint {
  /** A pin that is easily reached; a coil where its current is meant. */
  readonly at: string;
  readonly unit: "ohm" | "V" | "A" | "ms";
  readonly expect: number;
  readonly low: number;
  readonly high: number;
  readonly from: From;
  readonly otherwise: string;
}

/** How the circuit stands while its points are looked at; a test has a scene for each. */
export type State =
  | "cold"
  | "board out"
  | "in reset"
  | "flashed"
  | "switches on"
  | "relay open"
  | "relay closed"
  | "drivers on"
  | "relay coil kicks"
  | "dummy coils kick"
  | "coils on"
  | "coils kick";

export interface TestTable {
  /** Step of first-power-up.md, from 1 on. */
  readonly step: number;
  readonly state: State;
  /** The same for people. */
  readonly when: string;
  readonly points: readonly TestPoint[];
}

const of =
  (unit: TestPoint["unit"], from: From = "computed") =>
  (at: string, expect: number, low: number, high: number, otherwise: string): TestPoint => ({
    at,
    unit,
    expect,
    low,
    high,
    from,
    otherwise,
  });
const ohm = of("ohm");
const volts = of("V");
const amps = of("A");
const peak = of("V", "simulated");
const time = of("ms", "simulated");

const GATE = volts("Q101.G", 0, 0, 0.1, "R101, R103, U6; the same at every driver's gate: go no further");
const COIL_OFF = volts("X8.3", 0, 0, 0.1, "Q2 or its wire on a supply: go no further");
const ARM_OFF = volts("A1.27", 0, 0, 0.1, "S1 or its wire on a supply: go no further");

const POWERED: readonly TestPoint[] = [
  volts("K2.87", 12, 11.6, 12.1, "K2 has not closed: key wire, D11, coil"),
  volts("D14.K", 11.7, 11.2, 11.9, "F2 or D14"),
  volts("U2.3", 5, 4.9, 5.1, "U2, or something that draws too much: take chips out one by one"),
  volts("U3.3", 3.3, 3.25, 3.35, "U3"),
  volts("U5.3", 3.3, 3.23, 3.37, "U5, R11 to R13: put nothing on an input before it is right"),
  volts("U4.3", 5, 4.85, 5.1, "U4, or a sensor wire at ground"),
  volts("A1.39", 4.7, 4.4, 4.9, "D15"),
  volts("U8.6", 1.88, 1.8, 1.95, "R1705, R1706: the battery would be read wrong"),
  volts("X2.2", 2.4, 2.2, 2.9, "D103, R104, R105; the same at every drain, without a coil"),
  GATE,
  ARM_OFF,
  COIL_OFF,
  volts("X8.6", 0, 0, 0.1, "the contact of K1 is closed or bridged: go no further"),
];

const HELD: readonly TestPoint[] = [
  volts("A1.27", 3.6, 2.9, 3.8, "arm wire, R2102, R2103"),
  volts("X8.3", 11.4, 10.4, 11.8, "D5, Q2, Q1, the pump"),
  volts("X8.6", 12, 11.5, 12.1, "contact of K1"),
  volts("X2.2", 12, 11.5, 12.1, "F3, what stands for the coil, its plug; 0 V: Q101 conducts"),
  volts("U9.1", 1.92, 1.8, 2, "R105, R106"),
  GATE,
];

/** All tables, in the order of the steps. */
export const TEST_TABLES: readonly TestTable[] = [
  {
    step: 1,
    state: "cold",
    when: "No power, no chip and no board in its socket, no coil and no switch fitted, F3 to F7 out. Use a range of the meter that puts less than 0.3 V on what it measures, or diodes conduct and less is shown; without such a range compare equal channels, which must show the same",
    points: [
      ohm("A1.11", 10_000, 9_500, 10_500, "R101; the same at the pin of every output"),
      ohm("Q101.G", 10_000, 9_500, 10_500, "R103; the same at every gate, to the star"),
      ohm("U1.1", 10_000, 9_500, 10_500, "R7, with J1 fitted"),
      ohm("X3.2", 970, 920, 1_020, "R2101 to R2103; the same at every switch wire"),
      ohm("C3.1", 5_650, 5_550, 5_750, "R3, R9: twice as much is one of them open, and way 2 lets go late"),
      ohm("X4.2", 15_430, 15_300, 15_550, "R1101, R1102; the same at every sensor wire"),
      ohm("X2.2", 62_300, 61_600, 63_000, "R105, R106; the same at every drain"),
      ohm("X8.6", 980, 930, 1_030, "R8, to the star"),
    ],
  },
  {
    step: 2,
    state: "board out",
    when: "12 V, key wire on, arm switch off, F3 to F7 out, the chips in and the board not in its socket: put the lead into the socket's hole where a pin of A1 is named",
    points: POWERED,
  },
  {
    step: 2,
    state: "in reset",
    when: "The same with the board in its socket and pin 30 (RUN) bridged to ground",
    points: [
      volts("U2.3", 5, 4.9, 5.1, "the board draws too much"),
      volts("A1.39", 4.7, 4.4, 4.9, "D15, or the board"),
      GATE,
      COIL_OFF,
    ],
  },
  {
    step: 3,
    state: "flashed",
    when: "The program runs, without settings, arm switch off",
    points: [
      volts("A1.21", 0, 0, 0.1, "the keep-alive moves or is high: go no further"),
      volts("A1.22", 0, 0, 0.1, "the pin of the purge valve is high: go no further"),
      GATE,
      COIL_OFF,
    ],
  },
  {
    step: 4,
    state: "switches on",
    when: "Every switch on, each sensor's signal at half of its supply; before the controller tries to arm, or with J1 pulled",
    points: [
      volts("X3.2", 11.7, 11, 11.9, "F2, D14, the switch, its wires"),
      volts("A1.27", 3.6, 2.9, 3.8, "R2102, R2103, D2101"),
      volts("A1.29", 3.6, 2.9, 3.8, "R2202, R2203, D2201; the same at A1.31"),
      volts("U10.11", 3.6, 2.9, 3.8, "R2402, R2403, D2401; the same at U10.12 to U10.14"),
      volts("X4.2", 2.45, 2.35, 2.6, "the sensor, its wires"),
      volts("U8.1", 1.62, 1.55, 1.72, "R1101, R1102; the same at each sensor's channel"),
      volts("U5.3", 3.3, 3.23, 3.4, "the clamp rail does not sink: U5"),
      COIL_OFF,
    ],
  },
  {
    step: 5,
    state: "relay open",
    when: "Lamps and F3 to F7 fitted, arm switch off",
    points: [
      volts("X8.6", 0.55, 0.3, 0.8, "higher: K1 is closed or R8 open; 0 V: no lamp is fitted"),
      volts("X2.2", 0.55, 0.3, 0.8, "near 2.4 V: no lamp at this drain"),
      GATE,
    ],
  },
  { step: 5, state: "relay closed", when: "Armed, nothing flows", points: HELD },
  {
    step: 5,
    state: "drivers on",
    when: "While a stage's lamps are lit without a break (a share of 100 %)",
    points: [
      volts("Q101.G", 4.92, 4.5, 5.1, "R102, U6"),
      volts("X2.2", 0.01, 0, 0.1, "Q101 does not conduct fully"),
    ],
  },
  {
    step: 5,
    state: "relay coil kicks",
    when: "Oscilloscope, at the moment when the relay's coil is let go",
    points: [
      volts(
        "X8.3",
        -36.8,
        -40,
        -34,
        "near -19 V: D7 or D9 shorted; near -1 V: both; far below: D7, D8 or D9 open",
      ),
    ],
  },
  {
    step: 6,
    state: "dummy coils kick",
    when: "Oscilloscope, at switching off with 12 V",
    points: [
      peak(
        "X2.2",
        36.9,
        34,
        39,
        "near 13 V: a shorted suppressor, D101; far above 40 V: D101 or D102 open or not fitted",
      ),
    ],
  },
  {
    step: 7,
    state: "coils on",
    when: "Coils of 4 ohm, all on for a moment, a battery of 12 V under that load: take your coils' resistance for others",
    points: [
      amps("Y1", 2.67, 2.4, 3.1, "F3, wires W201 and W202, the coil; the same for each coil"),
      volts(
        "X8.6",
        10.9,
        10.3,
        12,
        "K1, K2, F1, W3 to W5, the board's trunks of drv and main: look for what is warm",
      ),
      volts("X2.2", 0.13, 0.03, 0.3, "Q101, the star's screws"),
    ],
  },
  {
    step: 7,
    state: "coils kick",
    when: "Oscilloscope, at switching off with 13.8 V and coils of 4 ohm and 30 mH",
    points: [
      peak("X2.2", 39.6, 37, 45, "as with the dummy coils"),
      time("X2.2", 2.9, 2, 4, "for so long it stays above the supply: much longer is a shorted suppressor"),
    ],
  },
];
