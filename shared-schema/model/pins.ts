// The pin budget of a Pico-class board: every header pin once, with what it does and the level that is safe.

/** What a header pin is used for. `safe` is the level that moves nothing; every output idles at it. */
export interface Pin {
  readonly gpio: number;
  readonly name: string;
  readonly kind: "uart" | "spi" | "switch" | "pulse" | "solenoid" | "output";
  readonly direction: "in" | "out";
  readonly safe: 0 | 1;
  readonly meaning: string;
}

function pin(
  gpio: number,
  name: string,
  kind: Pin["kind"],
  direction: Pin["direction"],
  meaning: string,
): Pin {
  const idlesHigh = name === "uartTx" || name === "adcASelect" || name === "adcBSelect";
  return { gpio, name, kind, direction, safe: idlesHigh ? 1 : 0, meaning };
}

/** How many flow stages the controller drives. */
export const STAGES = 4;
/** First solenoid pin: stage s has nitrous on 8 + 2s (PWM channel A) and fuel on 9 + 2s (channel B), one slice a stage. */
export const FIRST_SOLENOID_GPIO = 8;

function stagePins(stage: number): Pin[] {
  const gpio = FIRST_SOLENOID_GPIO + 2 * stage;
  return [
    pin(
      gpio,
      `nitrous${stage + 1}`,
      "solenoid",
      "out",
      `stage ${stage + 1} nitrous solenoid driver, PWM slice ${4 + stage} A`,
    ),
    pin(
      gpio + 1,
      `fuel${stage + 1}`,
      "solenoid",
      "out",
      `stage ${stage + 1} fuel solenoid driver, PWM slice ${4 + stage} B`,
    ),
  ];
}

/** All 26 header pins, in order of GPIO number. None is left over. */
export const PINS: readonly Pin[] = [
  pin(0, "uartTx", "uart", "out", "serial line to the host (UART0)"),
  pin(1, "uartRx", "uart", "in", "serial line from the host (UART0)"),
  pin(2, "spiClock", "spi", "out", "SPI0 clock: both ADCs and the switch register"),
  pin(3, "spiOut", "spi", "out", "SPI0 data to the ADCs"),
  pin(4, "spiIn", "spi", "in", "SPI0 data from the ADCs and, through a resistor, from the switch register"),
  pin(5, "adcASelect", "spi", "out", "chip select of ADC A, active low; low also loads the switch register"),
  pin(6, "adcBSelect", "spi", "out", "chip select of ADC B, active low"),
  pin(7, "stageActive", "output", "out", "tells the engine computer that a stage flows"),
  ...[0, 1, 2, 3].flatMap(stagePins),
  pin(16, "keepAlive", "output", "out", "square wave into the charge pump that holds the master relay"),
  pin(17, "purge", "output", "out", "purge valve driver"),
  pin(18, "heater", "output", "out", "bottle heater driver"),
  pin(19, "bottleValve", "output", "out", "bottle valve driver"),
  pin(20, "retard", "output", "out", "retard request to the ignition, PWM slice 2 A, share of its range"),
  pin(21, "armSwitch", "switch", "in", "arm switch: high is on, an open wire is off"),
  pin(
    22,
    "throttleSwitch",
    "switch",
    "in",
    "wide-open throttle switch: high is closed, an open wire is not wide open",
  ),
  pin(26, "launchSwitch", "switch", "in", "launch switch: clutch, trans-brake or button"),
  pin(27, "enginePulse", "pulse", "in", "engine speed pulses, rising edges count"),
  pin(28, "roadPulse", "pulse", "in", "road or driveshaft speed pulses, rising edges count"),
];

/** GPIO of the board's own light; it is not on the header. */
export const LAMP_GPIO = 25;

/** Channels of ADC A, in channel order. */
export const ADC_A = [
  "throttle",
  "manifold",
  "bottle",
  "fuel",
  "lambda",
  "battery",
  "coolant",
  "driverSupply",
] as const;
/** Switches read through the shift register, in bit order from bit 0. Bits 4 to 6 are spare, bit 7 is tied high. */
export const SLOW_SWITCHES = ["purge", "heater", "bottleValve", "enrich"] as const;

/** Header pin of a name. Throws on an unknown name: that is a mistake in the caller. */
export function gpioOf(name: string): number {
  const found = PINS.find((p) => p.name === name);
  if (!found) throw new Error(`no pin named ${name}`);
  return found.gpio;
}
