// Mistakes in the board layer, each a piece of its C source and what takes its place, with the tests of the image that should notice.

/** `from` stands exactly once in the file. `tests`: files of tests/firmware/board, or a path from the root. */
export interface BoardMutant {
  readonly file: string;
  readonly from: string;
  readonly to: string;
  readonly tests: readonly string[];
}

const m = (file: string, from: string, to: string, ...tests: string[]): BoardMutant => ({
  file,
  from,
  to,
  tests,
});

const HANGS = "tests/host/bench/pins/hangs.test.ts";

const PINS: readonly BoardMutant[] = [
  m("pins.c", "HG_OUTPUT_PURGE, HG_PIN_PURGE", "HG_OUTPUT_PURGE, HG_PIN_HEATER", "plain-outputs"),
  m("pins.c", "HG_OUTPUT_BOTTLE_VALVE, HG_PIN_BOTTLE_VALVE", "HG_OUTPUT_BOTTLE_VALVE, 0", "plain-outputs"),
  m("pins.c", "REG(SIO_GPIO_OUT_CLEAR) = PLAIN & ~high;", "", "plain-outputs"),
  m("pins.c", "  REG(IO_CTRL(HG_PIN_FUEL4)) = IO_FUNCTION_SIO;\n", "", "stages"),
  m("pins.c", "  REG(IO_CTRL(HG_PIN_NITROUS1)) = IO_FUNCTION_SIO;\n", "", "stages"),
  m("pins.c", " & ~REG(SIO_GPIO_OUT);", ";", "lockout"),
  m("pins.c", "HG_OUTPUT_KEEP_ALIVE_HIGH, HG_PIN_KEEP_ALIVE", "HG_OUTPUT_KEEP_ALIVE_HIGH, 0", "lockout"),
  m(
    "pins.c",
    "REG(SIO_GPIO_OUT_CLEAR) = PLAIN | SOLENOIDS |",
    "REG(SIO_GPIO_OUT_CLEAR) = SOLENOIDS |",
    "endings",
  ),
  m("pins.c", "in & BIT(HG_PIN_THROTTLE_SWITCH)", "in & BIT(HG_PIN_LAUNCH_SWITCH)", "inputs"),
];

const STAGES: readonly BoardMutant[] = [
  m("stages.c", "  release(stage);\n", "", "stages"),
  m("stages.c", "if (pulses_arm_cuts == acked) {", "{", "stages"),
  m("stages.c", "wanted = seen ? CORE_OUTPUTS->runs : 0;", "wanted = CORE_OUTPUTS->runs;", "stages"),
  m("stages.c", "  REG(PWM_CSR(slice)) = 0;\n", "", "stages"),
  m("stages.c", "  REG(PWM_CTR(slice)) = CORE_OUTPUTS->top;\n", "", "stages"),
  m("stages.c", "if (gap_moves(stage)) drive_if_acked(stage, acked);", "", "stages"),
  m("stages.c", "REG(IO_CTRL(FUEL(stage))) = low & 2u ?", "REG(IO_CTRL(FUEL(stage))) = low & 1u ?", "stages"),
  m("stages.c", "pins_cut_solenoids();\n  running = 0;", "pins_cut_solenoids();", "stages"),
  m("stages.c", "REG(PWM_CC(RETARD_SLICE)) =", "", "stages"),
  m("stages.c", "REG(PWM_CTR(FIRST_SLICE + stage));", "REG(PWM_CTR(FIRST_SLICE));", "stages", "mixture"),
];

const ADC: readonly BoardMutant[] = [
  m("adc.c", "#define REGISTER_TAIL 0xffffu", "#define REGISTER_TAIL 0u", "inputs"),
  m("adc.c", "#define REGISTER_SPARE (7u << 4)", "#define REGISTER_SPARE 0u", "inputs"),
  m("adc.c", "#define REGISTER_H (1u << 7)", "#define REGISTER_H 0u", "inputs"),
  m("adc.c", "null_bits & PAIR_OF_NULL_BITS ?", "0 ?", "inputs"),
  m("adc.c", "if (round.codes[place] & NULL_BIT)", "if (round.codes[place])", "inputs"),
  m("adc.c", "if (!fresh || round.now != plan + SLOTS)", "if (!fresh)", "inputs", "same-as-wasm"),
  m("adc.c", "(uint16_t)++rounds", "(uint16_t)rounds", "inputs", "same-as-wasm"),
  m(
    "adc.c",
    "IO_STATUS(HG_FIRST_SOLENOID_PIN + (channel))",
    "IO_STATUS(HG_FIRST_SOLENOID_PIN)",
    "inputs",
    "stages",
  ),
  m("adc.c", "REG(SIO_GPIO_OUT_SET) = SELECT_A | SELECT_B;", "REG(SIO_GPIO_OUT_SET) = SELECT_A;", "inputs"),
];

const LINE: readonly BoardMutant[] = [
  m("uart.c", "#define REST_BITS 15u", "#define REST_BITS 10u", "line-speed"),
  m(
    "uart.c",
    "if (uart_head - uart_tail < RING_BYTES) {",
    "if (uart_head - uart_tail <= RING_BYTES) {",
    "inputs",
  ),
  m("uart.c", "      lost++;\n", "", "inputs"),
  m("main.c", "#define SERVE_US 700u", "#define SERVE_US 0u", "link-load"),
  m("main.c", "if (!uart_transmitter_free()) return;", "", "link-load"),
];

const ENDS: readonly BoardMutant[] = [
  m("watchdog.c", "if (lockout) REG(WATCHDOG_SCRATCH3) = lockout;", "(void)lockout;", "lockout"),
  m("watchdog.c", "if (lockout) REG(WATCHDOG_SCRATCH3)", "REG(WATCHDOG_SCRATCH3)", "lockout"),
  m("watchdog.c", "mark == WATCHDOG_MAGIC_RUNNING ? 1u", "mark == WATCHDOG_MAGIC_RUNNING ? 4u", "start"),
  m("watchdog.c", "load(HG_WATCHDOG_US);", "load(4u * HG_WATCHDOG_US);", HANGS, "endings"),
  m("watchdog.c", "#define CLOCKS_US 200000u", "#define CLOCKS_US 40000u", "start"),
  m("watchdog.c", "  REG(WATCHDOG_SCRATCH2) = place;\n", "", "endings"),
  m("traps.c", "  all_off();\n", "", "endings"),
  m("traps.c", "exception <= EXCEPTION_HARD_FAULT ?", "exception > EXCEPTION_HARD_FAULT ?", "endings"),
  m("main.c", "  stack_check();\n", "", "endings"),
  m("main.c", "  watchdog_keep_lockout(CORE_OUTPUTS->lockout);\n", "", "lockout"),
  m("image.c", "return ~crc == found->crc;", "return true;", "endings"),
  m("off.c", "  pins_plain_off();\n", "", "endings"),
];

const FLASH: readonly BoardMutant[] = [
  m("flash.c", "  all_off();\n", "", "endings"),
  m("flash.c", "  pulses_forget();\n", "", "flash-work"),
  m("flash.c", "if (!inside || offset % alignment) board_trap();", "if (!inside) board_trap();", "endings"),
  m("flash.c", "length <= HG_FLASH_BYTES - offset;", "length <= HG_FLASH_BYTES;", "endings"),
  m("flash.c", "  watchdog_allow(OPERATION_US);\n", "", "flash-work", "endings"),
  m(
    "flash.c",
    "if (at == offset || !(at & 3u))",
    "if (!(at & 3u))",
    "endings",
    "tests/firmware/storage/board-readings.test.ts",
  ),
];

const PULSES: readonly BoardMutant[] = [
  m("pulses.c", "    stages_cut();\n", "", "stages"),
  m("pulses.c", "    pulses_arm_cuts++;\n", "", "stages"),
  m("pulses.c", "train->known ? now - train->edge_us : 0;", "now - train->edge_us;", "flash-work"),
  m(
    "pulses.c",
    "if (pulse & ROAD_EDGE) note(&road, now);",
    "if (pulse & ROAD_EDGE) note(&engine, now);",
    "inputs",
  ),
  m("clock.c", "return due || left < 0 ? 0 : (uint32_t)left;", "return (uint32_t)left;", "link-load"),
  m("clock.c", "  due = false;\n}", "}", "costs"),
];

/** All of them. */
export const BOARD_MUTANTS: readonly BoardMutant[] = [
  ...PINS,
  ...STAGES,
  ...ADC,
  ...LINE,
  ...ENDS,
  ...FLASH,
  ...PULSES,
];
