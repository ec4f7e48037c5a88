// Start-up stub, the only code that runs from flash: watchdog, clocks, copy of everything else to RAM, jump.
#include "board.h"

extern uint32_t image_ram_load[], image_ram_start[], image_ram_end[];
extern uint32_t bss_start[], bss_end[], core_memory[], stack_bottom[];
// Stack words that are left alone below the top while the stub itself runs on it.
#define STUB_STACK_BYTES 256u

_Noreturn void reset_handler(void);
_Noreturn void early_trap(void);

static inline __attribute__((always_inline)) void fill(uint32_t *from, const uint32_t *to, uint32_t value) {
  while (from < to) *from++ = value;
}

STUB _Noreturn void early_trap(void) {
  REG(WATCHDOG_SCRATCH0) = WATCHDOG_MAGIC_TRAP;
  REG(WATCHDOG_SCRATCH1) = HG_TRAP_HARD_FAULT;
  REG(WATCHDOG_SCRATCH2) = XIP_BASE;
  REG(PSM_WDSEL) = PSM_ALL_BUT_OSCILLATORS;
  REG(WATCHDOG_CTRL) = WATCHDOG_TRIGGER;
  for (;;) {
  }
}

STUB _Noreturn void reset_handler(void) {
  interrupts_off();
  struct start_cause cause = watchdog_start_cause();
  watchdog_start();
  clocks_start();
  watchdog_clocks_run();
  const uint32_t *load = image_ram_load;
  for (uint32_t *word = image_ram_start; word < image_ram_end;) *word++ = *load++;
  fill(bss_start, bss_end, 0);
  fill(core_memory, core_memory + HG_CORE_MEMORY_BYTES / 4u, 0);
  fill(stack_bottom, (uint32_t *)((uint32_t)__builtin_frame_address(0) - STUB_STACK_BYTES), STACK_PAINT);
  REG(SCB_VTOR) = (uint32_t)image_ram_start;
  board_main(&cause);
}
