// Which extremes of the supply are tried: forms and levels of ISO 16750-2 and ISO 7637-2, from memory, and power coming and going.
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Extreme } from "./extremes.ts";

type Points = [number, number][];
const USUAL = 13.8;
/** Until then the box is up: relays closed, the 5 V standing, a driven coil at its current. */
const UP_S = 0.08;
const up: Points = [
  [0, 0],
  [1e-3, USUAL],
  [UP_S, USUAL],
];

/** A load dump that rises in 10 ms and falls to a tenth in `dump.time`, by straight pieces. */
function dump(top: number, values: Values): Points {
  const fall = values("dump.time") / Math.log(10);
  const points = Array.from({ length: 40 }, (_, i): [number, number] => {
    const s = (i / 40) * 2 * values("dump.time");
    return [UP_S + 0.01 + s, USUAL + (top - USUAL) * Math.exp(-s / fall)];
  });
  return [...up, ...points];
}

/** One pulse behind a resistance, with the battery's wire off: volts, rise and length in s. */
const pulse = (volts: number, riseS: number, lengthS: number): Points => [
  [0, USUAL],
  [UP_S, USUAL],
  [UP_S + riseS, USUAL + volts],
  [UP_S + lengthS, USUAL],
];

/**
 * Ten pulses of a fast burst, 100 us apart: up in 5 ns, a tenth left after 150 ns. A whole burst has a hundred in 10 ms and then
 * rests for 90 ms; after the first two or three nothing new happens.
 */
const burst = (volts: number): Points => [
  ...up.slice(0, -1),
  ...Array.from({ length: 10 }, (_, i): Points => {
    const s = UP_S + i * 100e-6;
    return [
      [s, USUAL],
      [s + 5e-9, USUAL + volts],
      [s + 150e-9, USUAL + 0.1 * volts],
      [s + 400e-9, USUAL],
    ];
  }).flat(),
];

/** Down to the starter's voltage within 5 ms, there for 15 ms, then somewhat higher, and back: ISO 16750-2, from memory. */
const crank = (least: number, then: number): Points => [
  ...up,
  [UP_S + 5e-3, least],
  [UP_S + 20e-3, least],
  [UP_S + 70e-3, then],
  [UP_S + 200e-3, then],
  [UP_S + 300e-3, USUAL],
];

const LONG = { stepS: 50e-6, stopS: 0.5 };
const SHORT = { stepS: 5e-6, stopS: 0.12 };

const surges = (values: Values): Extreme[] => [
  {
    name: "reversed battery, arm switch on",
    source: [
      [0, 0],
      [1e-3, -USUAL],
    ],
    armed: true,
    stepS: 20e-6,
    stopS: 0.1,
  },
  {
    name: "jump start from 24 V, arm switch off",
    source: [...up, [UP_S + 1e-3, values("supply.jump")]],
    armed: false,
    ...LONG,
  },
  {
    name: "jump start from 24 V while a driver conducts, then everything off",
    source: [...up, [UP_S + 1e-3, values("supply.jump")]],
    armed: true,
    drivenS: 0.2,
    pumpS: 0.2,
    ...LONG,
  },
  {
    name: "load dump of an alternator with a limiter, driver switching off at its top",
    source: [
      ...up,
      [UP_S + 0.01, values("dump.limited")],
      [UP_S + 0.4, values("dump.limited")],
      [UP_S + 0.42, USUAL],
    ],
    ohm: values("dump.source"),
    armed: true,
    drivenS: UP_S + 0.02,
    ...LONG,
  },
  {
    name: "load dump of an alternator without a limiter, driver and relay switching off at its top",
    source: dump(values("dump.open"), values),
    ohm: values("dump.source"),
    armed: true,
    drivenS: UP_S + 0.012,
    pumpS: UP_S + 0.01,
    stepS: 50e-6,
    stopS: 0.8,
  },
  {
    name: "pulse 1 of -150 V behind 10 ohm, 2 ms, the battery's wire off",
    source: pulse(-150, 1e-6, 2e-3),
    ohm: 10,
    looseS: UP_S - 1e-4,
    armed: true,
    ...SHORT,
  },
  {
    name: "pulse 2a of +112 V behind 2 ohm, 50 us, the battery's wire off",
    source: pulse(112, 1e-6, 50e-6),
    ohm: 2,
    looseS: UP_S - 1e-4,
    armed: true,
    ...SHORT,
  },
];

/** Behind 50 ohm, across the 5 uH of the standard's artificial network; the levels are the highest remembered. */
const bursts = (): Extreme[] =>
  (
    [
      ["3a", -220],
      ["3b", 150],
    ] as const
  ).flatMap(([pulse, volts]) =>
    [true, false].map((armed) => ({
      name: `burst ${pulse} of ${volts > 0 ? "+" : ""}${volts} V behind 50 ohm, ${armed ? "arm switch and relay on" : "no pin driven"}`,
      source: burst(volts),
      ohm: 50,
      wireH: 5e-6,
      armed,
      ...(armed ? {} : { floating: true }),
      stepS: 5e-6,
      stopS: UP_S + 2e-3,
    })),
  );

const comings = (values: Values): Extreme[] => [
  { name: "cranking down to 6 V", source: crank(values("supply.crank"), 6.5), armed: false, ...LONG },
  { name: "cranking down to 4.5 V", source: crank(4.5, 6.5), armed: true, ...LONG },
  { name: "cranking down to 3 V", source: crank(3, 5), armed: true, ...LONG },
  ...[1e-5, 1e-3, 0.3].map(
    (riseS): Extreme => ({
      name: `power comes within ${riseS * 1000} ms, no pin driven`,
      source: [
        [0, 0],
        [riseS, USUAL],
      ],
      armed: false,
      floating: true,
      stepS: riseS < 0.1 ? 10e-6 : 50e-6,
      stopS: riseS < 0.1 ? 0.1 : 0.4,
    }),
  ),
  {
    name: "power comes with the arm switch on and the pump fed, no pin driven",
    source: [
      [0, 0],
      [1e-3, USUAL],
    ],
    armed: true,
    floating: true,
    stepS: 5e-6,
    stopS: 0.1,
  },
  {
    name: "key off while a coil has current",
    source: up,
    armed: true,
    keyOffS: UP_S,
    drivenS: 0.3,
    stepS: 20e-6,
    stopS: 0.3,
  },
  {
    name: "contact of K1 bounces while a coil has current",
    source: up,
    armed: true,
    bouncesS: Array.from({ length: 12 }, (_, i) => UP_S + i * 0.4e-3),
    drivenS: 0.12,
    ...SHORT,
  },
  {
    name: "battery's wire off while a coil has current",
    source: up,
    ohm: 1e6,
    looseS: UP_S,
    armed: true,
    drivenS: 0.3,
    stepS: 20e-6,
    stopS: 0.3,
  },
];

/** All of them, in a fixed order. */
export const extremesOf = (values: Values): readonly Extreme[] => [
  ...surges(values),
  ...bursts(),
  ...comings(values),
];
