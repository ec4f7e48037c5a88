// Writes hardware-notes/calibration.md: what each sensor input must show at known voltages, and a worksheet for each sensor.
import { CIRCUIT, endAt, partOf } from "../circuit/circuit.ts";
import { SENSORS } from "../circuit/inputs.ts";
import { GENERATED_NOTE, table } from "./markdown.ts";
import { si, written } from "./note-values.ts";

const CODES = 4096;
/** Largest error of a reading as a share, by divider and reference, and in codes besides. */
const ERROR = 0.012;
const ERROR_CODES = 4;

/** What each sensor is compared with, and at which points; no numbers of any sensor's maker. */
const COMPARE: Readonly<Record<string, readonly [withWhat: string, points: readonly string[]]>> = {
  throttle: [
    "the stop of the throttle and full opening, engine off",
    ["closed", "half way", "wide open", "closed again, five times"],
  ],
  manifold: [
    "a barometer with the engine off; a gauge on a hand pump",
    ["engine off: outside air", "low", "middle", "high", "outside air again"],
  ],
  bottle: [
    "a gauge on the same line, bottle at rest for an hour",
    ["line vented: 0", "bottle open, cold", "bottle open, warm", "line vented again"],
  ],
  fuel: [
    "a gauge on the same line, engine off",
    ["line without pressure", "pump on", "pump on, some fuel drawn", "without pressure again"],
  ],
  lambda: [
    "its maker's controller or display",
    ["sensor in air, hot", "idle, warm engine", "steady load on a dynamometer"],
  ],
  coolant: [
    "a thermometer in the same water, sensor out of the engine",
    ["ice water", "room", "hot, in steps of 20 C", "boiling water"],
  ],
};

/** Voltage at the converter's channel for one at the wire. */
const atChannel = (volts: number): number =>
  (volts * si("sensor.bottom")) / (si("sensor.top") + si("sensor.bottom"));

function known(): string {
  const rows = [0.25, 0.5, 1, 2, 2.5, 3, 4, 4.5, 4.75].map((volts) => {
    const code = Math.round((atChannel(volts) / si("adc.reference")) * CODES);
    return [
      `${volts.toFixed(2)} V`,
      `${atChannel(volts).toFixed(3)} V`,
      `${((1000 * (ERROR * code + ERROR_CODES) * si("adc.full-sensor")) / CODES).toFixed(0)} mV`,
    ];
  });
  return table(["at the wire", "at the channel", "the reading may be off by"], rows);
}

/** Pin of U8 at which a sensor is read, and its three wires at X4. */
function where(name: string): string {
  const channel = partOf(CIRCUIT, "U8").pins.find(({ net }) => net === `${name}.adc`)!;
  const wires = CIRCUIT.wires.filter(({ to }) => endAt(CIRCUIT, to).part.part.startsWith(`${name} sensor`));
  return `Channel ${channel.name}, pin ${channel.no} of U8. Wires: ${wires.map(({ ref, from, what }) => `${what.split(", ")[1]} ${from} (${ref})`).join(", ")}.`;
}

function worksheet(name: string): string {
  const [withWhat, points] = COMPARE[name]!;
  const blank = "..........";
  const rows = points.map((point) => [point, blank, blank, blank, blank]);
  return `\n## ${name}\n\n${where(name)} Compare with ${withWhat}.\n\n${table(
    ["point", "gauge or meter", "volts at the wire", "`headgate watch` shows", "apart by"],
    rows,
  )}`;
}

/** The whole page. */
export function calibrationDoc(): string {
  return [
    `# Calibration of the sensors\n\n${GENERATED_NOTE}\n\n`,
    "A worksheet to print. The voltages of a sensor come from its maker's sheet; this page shows whether your input and your settings agree with a gauge. ",
    "No bottle or fuel line is opened for it without the cautions of [README.md](README.md), and never with the arm switch on.\n\n",
    "## The input first\n\nPull the sensor's plug. Give its signal wire a voltage from a bench supply, its minus at the sensor's ground wire, and measure both ends of the divider. ",
    `A full code is ${written("adc.full-sensor")} at the wire. Divider of ${written("sensor.top")} and ${written("sensor.bottom")}; the reference may be off by 1 %, which is most of what the last column allows.\n\n`,
    known(),
    "\n## Then the sensor\n\n1. Write the two calibration points of the maker's sheet into the settings, and load them.\n",
    "2. Go through the points below from one end to the other and back: a sensor that sticks shows then.\n",
    "3. Where the last column is more than the maker allows, find out why. Do not bend the settings to fit a bad ground.\n",
    "4. Pull the plug, then bridge signal and ground, then signal and 5 V: each must read as failed (SENSOR).\n",
    "5. Repeat once a season, and after any work on sensor, plug or wire.\n",
    ...SENSORS.map(worksheet),
    "\nDate .............., board's number .............., settings' check sum .............., name ..............\n",
  ].join("");
}
