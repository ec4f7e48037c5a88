// The core's traps: an access outside its memory, a division by zero or overflow, an unreachable statement.
#include "wasm-rt.h"

#include "../board/board.h"

_Noreturn void wasm_trap(void) { trap(HG_TRAP_CORE, (uint32_t)__builtin_return_address(0)); }
