// Stack guard: the lowest words of the stack still hold the paint of the start-up stub, or something ran too deep.
#include "board.h"

extern const volatile uint32_t stack_bottom[];

void stack_check(void) {
  if (stack_bottom[0] != STACK_PAINT || stack_bottom[1] != STACK_PAINT) {
    trap(HG_TRAP_STACK, (uint32_t)__builtin_return_address(0));
  }
}
