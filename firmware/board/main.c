// Start and main loop: inputs, tick, outputs, feed, next ADC round, link. The core decides; this only carries.
#include "board.h"
#include "core.h"

// No answer takes longer, not even one with 127 words of flash that the cache does not hold, 2.3 us each; only flash work
// does, which makes the next tick late in any case.
#define SERVE_US 700u

static w2c_core core;

static void boot_core(const struct start_cause *cause) {
  wasm2c_core_instantiate(&core, 0);
  CORE_BOOT->reason = cause->reason;
  CORE_BOOT->detail = cause->detail;
  CORE_BOOT->place = cause->place;
  CORE_BOOT->lockout = watchdog_kept_lockout();
  image_report();
  w2c_core_boot(&core);
}

static void start_drivers(void) {
  stages_start();
  pulses_start();
  adc_start();
  uart_start();
  clock_start();
  interrupts_on();
}

static void serve(void) {
  if (!uart_transmitter_free()) return;
  if (imports_pending()) {
    imports_finish();
    return;
  }
  uint32_t count = w2c_core_serve(&core, uart_take());
  if (count > HG_LINK_TX_ROOM) board_trap();
  if (count) uart_send(CORE_AT(HG_LINK_TX_ADDRESS), count);
}

// What comes over the line is looked after at once, unless the next tick might have to wait for it.
static void attend(void) {
  if (clock_left_us() >= SERVE_US) serve();
}

static void pass(void) {
  clock_wait_for_tick(attend);
  uint32_t start_us = now_us();
  CORE_INPUTS->switches = pins_switches() | adc_fill();
  pulses_fill();
  stages_fill();
  CORE_INPUTS->rxLost = uart_lost();
  w2c_core_tick(&core, now_us());
  stages_apply();
  pins_apply(CORE_OUTPUTS->flags);
  watchdog_keep_lockout(CORE_OUTPUTS->lockout);
  stack_check();
  watchdog_feed();
  adc_begin_round();
  w2c_core_keepRecords(&core);
  if (!w2c_core_keepTick(&core)) serve();
  uint32_t taken_us = now_us() - start_us;
  CORE_INPUTS->loopUs = taken_us < 0xffffu ? taken_us : 0xffffu;
}

_Noreturn void board_main(const struct start_cause *cause) {
  pins_start();
  boot_core(cause);
  start_drivers();
  for (;;) pass();
}
