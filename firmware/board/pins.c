// IO_BANK0, PADS_BANK0 and SIO: every pin's pad, function and safe level, and the plain outputs. Off needs nothing but
// this file: a solenoid pin handed back to SIO is low.
#include "board.h"

#define BIT(gpio) (1u << (gpio))
#define SOLENOIDS (0xffu << HG_FIRST_SOLENOID_PIN)
#define PLAIN                                                                                            \
  (BIT(HG_PIN_KEEP_ALIVE) | BIT(HG_PIN_PURGE) | BIT(HG_PIN_HEATER) | BIT(HG_PIN_BOTTLE_VALVE) |          \
   BIT(HG_PIN_STAGE_ACTIVE) | BIT(HG_PIN_LAMP))
#define SELECTS (BIT(HG_PIN_ADC_A_SELECT) | BIT(HG_PIN_ADC_B_SELECT))
#define OUTPUT_PAD (PAD_SCHMITT | PAD_PULL_DOWN | PAD_DRIVE_4MA | PAD_INPUT)
#define INPUT_PAD (PAD_SCHMITT | PAD_PULL_DOWN | PAD_INPUT)
#define IDLE_HIGH_INPUT_PAD (PAD_SCHMITT | PAD_PULL_UP | PAD_INPUT)

static void set_pad(uint32_t gpio, uint32_t pad, uint32_t function) {
  REG(PAD(gpio)) = pad;
  REG(IO_CTRL(gpio)) = function;
}

static void start_outputs(void) {
  REG(SIO_GPIO_OUT) = SELECTS;
  REG(SIO_GPIO_OE) = SOLENOIDS | PLAIN | SELECTS | BIT(HG_PIN_RETARD);
  for (uint32_t gpio = HG_PIN_ADC_A_SELECT; gpio <= HG_PIN_RETARD; gpio++) {
    set_pad(gpio, OUTPUT_PAD, IO_FUNCTION_SIO);
  }
  set_pad(HG_PIN_LAMP, OUTPUT_PAD, IO_FUNCTION_SIO);
}

// An open switch wire reads 0. An open data line reads 1, so that a missing ADC has no leading zero and a missing host
// sends no break.
void pins_start(void) {
  start_outputs();
  set_pad(HG_PIN_UART_TX, OUTPUT_PAD, IO_FUNCTION_UART);
  set_pad(HG_PIN_UART_RX, IDLE_HIGH_INPUT_PAD, IO_FUNCTION_UART);
  set_pad(HG_PIN_SPI_CLOCK, OUTPUT_PAD, IO_FUNCTION_SPI);
  set_pad(HG_PIN_SPI_OUT, OUTPUT_PAD, IO_FUNCTION_SPI);
  set_pad(HG_PIN_SPI_IN, IDLE_HIGH_INPUT_PAD, IO_FUNCTION_SPI);
  set_pad(HG_PIN_ARM_SWITCH, INPUT_PAD, IO_FUNCTION_SIO);
  set_pad(HG_PIN_THROTTLE_SWITCH, INPUT_PAD, IO_FUNCTION_SIO);
  set_pad(HG_PIN_LAUNCH_SWITCH, INPUT_PAD, IO_FUNCTION_SIO);
  set_pad(HG_PIN_ENGINE_PULSE, INPUT_PAD, IO_FUNCTION_SIO);
  set_pad(HG_PIN_ROAD_PULSE, INPUT_PAD, IO_FUNCTION_SIO);
}

// All solenoid pins low at once, nitrous before fuel. Straight stores: the arm switch waits for this.
void pins_cut_solenoids(void) {
  REG(IO_CTRL(HG_PIN_NITROUS1)) = IO_FUNCTION_SIO;
  REG(IO_CTRL(HG_PIN_NITROUS2)) = IO_FUNCTION_SIO;
  REG(IO_CTRL(HG_PIN_NITROUS3)) = IO_FUNCTION_SIO;
  REG(IO_CTRL(HG_PIN_NITROUS4)) = IO_FUNCTION_SIO;
  REG(IO_CTRL(HG_PIN_FUEL1)) = IO_FUNCTION_SIO;
  REG(IO_CTRL(HG_PIN_FUEL2)) = IO_FUNCTION_SIO;
  REG(IO_CTRL(HG_PIN_FUEL3)) = IO_FUNCTION_SIO;
  REG(IO_CTRL(HG_PIN_FUEL4)) = IO_FUNCTION_SIO;
}

// The plain outputs and the retard request low, the keep-alive too: the master relay drops.
void pins_plain_off(void) {
  REG(SIO_GPIO_OUT_CLEAR) = PLAIN | SOLENOIDS | BIT(HG_PIN_RETARD);
  REG(IO_CTRL(HG_PIN_RETARD)) = IO_FUNCTION_SIO;
}

static inline uint32_t move(uint32_t flags, uint32_t mask, uint32_t gpio) { return flags & mask ? BIT(gpio) : 0; }

// Sets the plain outputs from the core's flags; the keep-alive turns over at each call while its flag is set,
// or stands high for the test at arming, which charges nothing.
void pins_apply(uint32_t flags) {
  uint32_t high = move(flags, HG_OUTPUT_PURGE, HG_PIN_PURGE) | move(flags, HG_OUTPUT_HEATER, HG_PIN_HEATER) |
                  move(flags, HG_OUTPUT_BOTTLE_VALVE, HG_PIN_BOTTLE_VALVE) |
                  move(flags, HG_OUTPUT_STAGE_ACTIVE, HG_PIN_STAGE_ACTIVE) |
                  move(flags, HG_OUTPUT_LAMP, HG_PIN_LAMP);
  high |= move(flags, HG_OUTPUT_KEEP_ALIVE, HG_PIN_KEEP_ALIVE) & ~REG(SIO_GPIO_OUT);
  high |= move(flags, HG_OUTPUT_KEEP_ALIVE_HIGH, HG_PIN_KEEP_ALIVE);
  REG(SIO_GPIO_OUT_CLEAR) = PLAIN & ~high;
  REG(SIO_GPIO_OUT_SET) = high;
}

// The three switches that have a pin, as bits of Inputs.switches.
uint32_t pins_switches(void) {
  uint32_t in = REG(SIO_GPIO_IN);
  return (in & BIT(HG_PIN_ARM_SWITCH) ? HG_SWITCH_ARM : 0) | (in & BIT(HG_PIN_THROTTLE_SWITCH) ? HG_SWITCH_THROTTLE : 0) |
         (in & BIT(HG_PIN_LAUNCH_SWITCH) ? HG_SWITCH_LAUNCH : 0);
}
