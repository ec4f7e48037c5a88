// Stack guard: the lowest words of the stack still hold the paint of the start-up stub, or something ran too deep.
#include "board.h"

#define GUARD_WORDS 4

extern const volatile uint32_t stack_bottom[];

void stack_check(void) {
  for (uint32_t i = 0; i < GUARD_WORDS; i++) {
    if (stack_bottom[i] != STACK_PAINT) trap(HG_TRAP_STACK, (uint32_t)__builtin_return_address(0));
  }
}
