// WATCHDOG and PSM: the bite, what it leaves behind for the next start, and the feeding, which only the main loop does.
#include "board.h"

// Erratum RP2040-E1: the counter falls by two each tick.
#define LOAD_PER_US 2u
// A tick is so many cycles of clk_ref: 1 us by the crystal. The ring oscillator that the chip starts on has 1.8 to 12 MHz
// (RP2040 datasheet, from memory), which makes it 1 to 6.7 us: never a shorter time than was asked for.
#define CYCLES_PER_TICK 12u
// For the crystal's 64 ms, the PLL, and the stub's own words, read from flash by the ring oscillator.
#define CLOCKS_US 200000u
// Enough for the rest of the start, in which the program is copied and the core reads settings and log from flash.
#define START_US 500000u

// Why the chip started: 0 power, 1 a bite, 2 a trap, 3 asked for, 4 the boot ROM, which restarts through the watchdog too
// when it has taken an image. The scratch registers then carry the mark of a running program, which a bite leaves there.
STUB struct start_cause watchdog_start_cause(void) {
  struct start_cause cause = {0, HG_TRAP_NONE, 0};
  if (REG(WATCHDOG_REASON)) {
    uint32_t mark = REG(WATCHDOG_SCRATCH0);
    cause.reason = mark == WATCHDOG_MAGIC_RUNNING ? 1u : mark == WATCHDOG_MAGIC_RESTART ? 3u : 4u;
    if (mark == WATCHDOG_MAGIC_TRAP) {
      cause.reason = 2u;
      cause.detail = REG(WATCHDOG_SCRATCH1);
      cause.place = REG(WATCHDOG_SCRATCH2);
    }
  }
  REG(WATCHDOG_SCRATCH0) = WATCHDOG_MAGIC_RUNNING;
  REG(WATCHDOG_SCRATCH1) = 0;
  REG(WATCHDOG_SCRATCH2) = 0;
  return cause;
}

// A lockout outlives every reset that keeps this register: a bite, a trap, a restart. Only power-on clears it; no code does.
uint32_t watchdog_kept_lockout(void) { return REG(WATCHDOG_SCRATCH3); }

void watchdog_keep_lockout(uint32_t lockout) {
  if (lockout) REG(WATCHDOG_SCRATCH3) = lockout;
}

static void load(uint32_t us) { REG(WATCHDOG_LOAD) = LOAD_PER_US * us; }

// Sets the time to the next bite outside the main loop's rhythm: around a flash operation.
void watchdog_allow(uint32_t us) { load(us); }

// Called from one place: the main loop, after the tick and the outputs.
void watchdog_feed(void) { load(HG_WATCHDOG_US); }

// The first thing after a reset: a crystal that does not start ends in a bite. The pause bits stay 0: a debugger does not
// stop the watchdog.
STUB void watchdog_start(void) {
  REG(WATCHDOG_CTRL) = 0;
  REG(PSM_WDSEL) = PSM_ALL_BUT_OSCILLATORS;
  REG(WATCHDOG_TICK) = CYCLES_PER_TICK | WATCHDOG_TICK_ENABLE;
  REG(WATCHDOG_LOAD) = LOAD_PER_US * CLOCKS_US;
  REG(WATCHDOG_CTRL) = WATCHDOG_ENABLE;
}

// The first pass of the main loop shortens it to its 20 ms.
STUB void watchdog_clocks_run(void) { REG(WATCHDOG_LOAD) = LOAD_PER_US * START_US; }

_Noreturn void watchdog_reset(uint32_t magic, uint32_t detail, uint32_t place) {
  interrupts_off();
  REG(WATCHDOG_SCRATCH0) = magic;
  REG(WATCHDOG_SCRATCH1) = detail;
  REG(WATCHDOG_SCRATCH2) = place;
  REG(PSM_WDSEL) = PSM_ALL_BUT_OSCILLATORS;
  REG(WATCHDOG_CTRL) = WATCHDOG_TRIGGER;
  for (;;) {
  }
}
