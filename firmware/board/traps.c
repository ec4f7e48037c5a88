// What happens when nothing can be trusted any more: pins off, reason kept in the watchdog's scratch registers, reset.
#include "board.h"

#define RAM_START 0x20000000u
#define RAM_END 0x20042000u
#define FRAME_BYTES 32u
#define FRAME_PC 6
#define EXCEPTION_HARD_FAULT 3u

void fault_handler(void);
__attribute__((used)) _Noreturn void fault_entry(const uint32_t *frame);

_Noreturn void trap(uint32_t code, uint32_t place) {
  interrupts_off();
  all_off();
  watchdog_reset(WATCHDOG_MAGIC_TRAP, code, place);
}

_Noreturn void board_trap(void) { trap(HG_TRAP_BOARD, (uint32_t)__builtin_return_address(0)); }

// NMI, HardFault and every interrupt that nobody asked for. The frame holds the place; a stack pointer gone astray does not.
_Noreturn void fault_entry(const uint32_t *frame) {
  uint32_t exception;
  __asm volatile("mrs %0, ipsr" : "=r"(exception));
  uint32_t at = (uint32_t)frame;
  uint32_t place = at >= RAM_START && at <= RAM_END - FRAME_BYTES ? frame[FRAME_PC] : 0;
  trap(exception <= EXCEPTION_HARD_FAULT ? HG_TRAP_HARD_FAULT : HG_TRAP_BOARD, place);
}

__attribute__((naked)) void fault_handler(void) {
  __asm volatile("mrs r0, msp\n ldr r1, =fault_entry\n bx r1\n .ltorg");
}
