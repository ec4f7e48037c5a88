// WATCHDOG and PSM: the bite, what it leaves behind for the next start, and the feeding, which only the main loop does.
#include "board.h"

// Erratum RP2040-E1: the counter falls by two each microsecond.
#define LOAD_PER_US 2u
// Enough for start-up, in which the core reads its settings from flash.
#define START_US 500000u

// Why the chip started, from the reason register and the scratch registers, which are cleared for the next time.
struct start_cause watchdog_start_cause(void) {
  struct start_cause cause = {REG(WATCHDOG_REASON) ? 1u : 0u, HG_TRAP_NONE, 0};
  uint32_t magic = cause.reason ? REG(WATCHDOG_SCRATCH0) : 0;
  if (magic == WATCHDOG_MAGIC_TRAP) {
    cause = (struct start_cause){2u, REG(WATCHDOG_SCRATCH1), REG(WATCHDOG_SCRATCH2)};
  } else if (magic == WATCHDOG_MAGIC_RESTART) {
    cause.reason = 3u;
  }
  REG(WATCHDOG_SCRATCH0) = 0;
  REG(WATCHDOG_SCRATCH1) = 0;
  REG(WATCHDOG_SCRATCH2) = 0;
  return cause;
}

static void load(uint32_t us) { REG(WATCHDOG_LOAD) = LOAD_PER_US * us; }

// Sets the time to the next bite outside the main loop's rhythm: at start and around a flash operation.
void watchdog_allow(uint32_t us) { load(us); }

// Called from one place: the main loop, after the tick and the outputs.
void watchdog_feed(void) { load(HG_WATCHDOG_US); }

// The pause bits stay 0: a debugger does not stop the watchdog.
void watchdog_start(void) {
  REG(WATCHDOG_CTRL) = 0;
  REG(PSM_WDSEL) = PSM_ALL_BUT_OSCILLATORS;
  watchdog_allow(START_US);
  REG(WATCHDOG_CTRL) = WATCHDOG_ENABLE;
}

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
